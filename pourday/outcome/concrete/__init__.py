"""What became of the concrete: age and temperature, drying, finishing, and the dates after.

In come basis and fronts, out come windows, jobs, water lost and calendar lines.
"""
