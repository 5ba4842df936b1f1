"""Pictures: A4 sheets drawn by matplotlib, written as PNG.

In comes an outcome, out come figures; ``save`` writes them. ``page`` is the sheet, ``floor`` how a
floor lies on it; ``strip_plan``, ``compare`` and the rooms ``day``, ``concrete``, ``deck`` draw.
Open edges are drawn in characters, moment by moment: ``report.rehearsal.map``.
"""
