"""The order of placing: a directed acyclic graph over strips with a reason on every edge.

In come strips and a plan, out come the order, the front of each strip, and broken rules.
``graph`` has the rules of placing, ``shares`` deals the bays out to several fronts.
"""
