"""A floor poured on more than one day: where it could be ended, what each part asks for and costs.

In: a scenario and its plan, or the pours of the file; out: the long day, and parts with their days,
limits and money. Read ``split.py`` first.
"""
