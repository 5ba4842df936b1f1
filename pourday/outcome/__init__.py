"""What a day log means. In come day logs, out come outcomes; nothing is played here.

base      what every judgement builds on: the plan prepared once, places of the fronts
edges     edge pairs, open edges, stop ends
deck      peaks, shares of resistance, level, look-out list
concrete  ageing, drying, finishing, calendar
At the top only what gathers them: ``days`` (read it first), ``measure``, ``cost``, ``events``.
"""
