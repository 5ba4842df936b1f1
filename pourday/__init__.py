"""Plays through the day a composite steel-deck floor is poured.

Data flows one way: scenario -> floor -> day -> outcome -> study -> report.
``deck`` and ``concrete`` are pure functions over numpy arrays, below all of them.
"""

__version__ = "0.1.0"
