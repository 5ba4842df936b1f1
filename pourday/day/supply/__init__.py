"""Plants and roads: a yard with its trucks, its mixer, trips in rush hours, stages of a pour.

In come values of the scenario and windows in which something stands still; the day is not known.
When a load is called, and how large the last one is, stands in ``day.calling``.
"""
