"""Many days and many plans: seeds, processes, comparison, choice.

In come prepared plans, out come rows of figures, comparisons and a choice. Read ``days`` first;
``orders`` compares orders of strips without playing a day.
"""
