"""The simpy model of one pour day: plant, trucks, pump and crew play a plan; out comes a day log.

``play`` starts it; ``dispatch``, ``truck`` and ``placing`` are the three stories that run at once;
``site`` is what they share. The day knows when, not what it meant.
"""
