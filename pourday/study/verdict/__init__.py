"""Which plan, and how surely: what so many days decide, and what they leave open.

In come bad days and costs of plans on common seeds, out comes what is within its limits, beyond
them or not decided, and which plan may be preferred. Read ``evidence`` first, then ``rounds``.
"""
