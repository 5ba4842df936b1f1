"""Room on the site: places for trucks, positions at a pump, the line of trucks that stand ready,
ground that two crews could share, and the load of a truck. Each hands out events to wait for.
"""
