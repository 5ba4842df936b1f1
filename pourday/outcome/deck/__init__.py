"""What the deck felt: peaks with time and place, shares of resistance, level, what to look at.

In come the load states of a plan and the times of a day. Read ``peaks`` first; the share of
resistance is worked out in ``pourday/deck/history.py`` and judged clause by clause in ``checks``.
"""
