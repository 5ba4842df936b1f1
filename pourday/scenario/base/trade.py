"""Words and facts of the trade that files, floors and days all go by."""

from __future__ import annotations

BOOM, LINE, SKIP = "boom", "line", "skip"
"""Means of placing."""
STOP_END_OFFSET = 0.6
"""Stop end from the beam centre line at a sheet joint, m (common practice, no source)."""
CAREFUL_SLUMP = 0.100
"""Slump that careful placing asks for at the most, m: little water sags and bleeds less."""
LEAST_PART = 1.2
"""Narrowest part of a floor poured on a day of its own, m: nobody calls a pump for less (chosen
here, no source)."""
