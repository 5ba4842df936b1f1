"""What cannot be true together in a file, though every key alone is in its range.

In come checked tables, out come faults and warnings. ``contradictions`` gathers them; ``beams``,
``plans``, ``site`` and ``people`` hold those of their tables.
"""
