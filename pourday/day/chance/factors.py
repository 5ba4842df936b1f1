"""Factors that hold for a whole day: a slow road, a slow pump. They are 1 until a file says more.

One factor a day for travel and one for pace at the pump, since what makes a day slow (rain on the
road, a new crew) makes every trip and every strip of it slow.
"""

from __future__ import annotations

from typing import NamedTuple


class DayFactors(NamedTuple):
    """``travel`` multiplies every trip's time, ``pace`` the rate of placing."""

    travel: float = 1.0
    pace: float = 1.0
