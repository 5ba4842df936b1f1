"""What tickets of pours that are over teach: the distributions of the next plan.

In come a plan and the tickets of several pours, out comes ``Learned``: trips, discharge and pace,
changes of truck, moves, tests, the factors of the day, each with its interval and what stands
behind it. Times rounded to the minute count as such (``rounded``); waiting is an outcome and is
never fitted. Read ``learn`` first, then ``seen`` and ``pours``.
"""
