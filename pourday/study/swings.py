"""Swings of inputs that a user gives low and high: the same days with another number."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from pourday.study.days import PlanDays
from pourday.study.metrics import NAMES
from pourday.study.sensitivity import FIGURES, Sensitivity, Swing, swing_of

_COLUMNS = [NAMES.index(name) for name in FIGURES]
_ASKED = re.compile(r"\s*([^=]+?)\s*=\s*([^:]+?)\s*:\s*([^:]+?)\s*")


@dataclass(frozen=True)
class Asked:
    """A key of the file by its path (``scenario.changed``), and a low and a high value for it."""

    key: str
    low: float
    high: float


def parse_swing(text: str) -> Asked:
    """Read ``KEY=LOW:HIGH``.

    Raises:
        ValueError: in words, where it is none.
    """
    match = _ASKED.fullmatch(text)
    try:
        low, high = (float(match[n]) for n in (2, 3)) if match else (math.nan, math.nan)
    except ValueError:
        low = high = math.nan
    if match is None or not low < high or math.isinf(low) or math.isinf(high):
        raise ValueError("write KEY=LOW:HIGH, such as supply.plants[1].travel_min.mean=14:24")
    return Asked(match[1], low, high)


def with_swings(
    found: Sequence[Sensitivity],
    played: Sequence[PlanDays],
    swung: Sequence[tuple[Asked, Sequence[PlanDays], Sequence[PlanDays]]],
) -> tuple[Sensitivity, ...]:
    """The sensitivities with swings of the user's inputs.

    ``played`` are the days of each plan as they are, ``swung`` those with the low and with the high
    value; all have the same plans and first seed, and days that are missing in one are left out.
    """
    out = []
    for n, each in enumerate(found):
        more = []
        for asked, low, high in swung:
            days = min(played[n].days, low[n].days, high[n].days)
            kept, below, above = (of.values[:days, _COLUMNS] for of in (played[n], low[n], high[n]))
            at = f"{asked.low:g}", f"{asked.high:g}"
            more.append(Swing(asked.key, at, swing_of(kept, below), swing_of(kept, above)))
        out.append(replace(each, swings=(*more, *each.swings)))
    return tuple(out)
