"""What a day costs, line by line: quantities of the day times prices of the scenario.

In: a plan's basis, a day log, when pump and people were there. Out: one list of lines that all
reports, totals and comparisons read. Read first: ``lines.py``.
"""
