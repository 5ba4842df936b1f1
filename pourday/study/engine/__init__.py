"""How the days of a study get played: in this process, in several, on a cluster.

In come a scenario and its plans (``jobs.Work``), out come rows of figures, a row a day and plan,
the same bits wherever they were worked out. ``run`` goes on until all days are there or somebody
stops it; ``ledger`` keeps what is finished, ``resume`` keeps that in a file.
Read ``jobs`` first, then ``run``.
"""
