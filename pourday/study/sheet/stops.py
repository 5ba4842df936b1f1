"""If the pour stops: for each part of the floor the stop ends, and how long there is to decide."""

from __future__ import annotations

import math

import numpy as np

from pourday.outcome.base.basis import Basis, Floats
from pourday.outcome.edges.end_places import EndPlace, StopEnd
from pourday.outcome.edges.if_stopped import ends_from, open_length
from pourday.study.sheet.row import DaysOfSheet
from pourday.study.sheet.says import StopPart, StopRow, WayOut

_STEP = 300.0
"""Times to decide are given down to 5 min: nobody reads a watch closer in a stop."""
_NOTHING = 0.05


def end_letters(basis: Basis) -> tuple[EndPlace, ...]:
    """Every stop end that a strip of the plan can be ended at, from low to high x."""
    places = {
        place
        for strip in range(len(basis.layout.strips))
        for end in ends_from(basis, strip)
        for place in end.places
    }
    return tuple(sorted(places, key=lambda place: (place.x, place.joint)))


def stop_parts(basis: Basis, days: DaysOfSheet) -> tuple[StopPart, ...]:
    """Bay by bay a row for each strip; band by band where bands cross the bays, one row each."""
    strips = basis.layout.strips
    parts: dict[str, list[int]] = {}
    for k, strip in enumerate(strips):
        parts.setdefault(f"band {strip.band + 1}" if strip.band >= 0 else f"bay {strip.bay}", [])
        name = f"band {strip.band + 1}" if strip.band >= 0 else f"bay {strip.bay}"
        if strip.band < 0 or not parts[name]:
            parts[name].append(k)
    return tuple(
        StopPart(name, tuple(_row(basis, days, k) for k in mine)) for name, mine in parts.items()
    )


def _row(basis: Basis, days: DaysOfSheet, strip: int) -> StopRow:
    ways = tuple(
        WayOut(
            places=end.places,
            needed=end.needed,
            removed=end.removed,
            decide=_decide(basis, days, strip, end),
        )
        for end in ends_from(basis, strip)
    )
    return StopRow(strip + 1, basis.layout.strips[strip].name, open_length(basis, strip), ways)


def _decide(basis: Basis, days: DaysOfSheet, strip: int, end: StopEnd) -> float:
    """Time from a stop anywhere in the strip to the last moment to go on, on 9 days in 10 (s).

    From when the strip begins its open edges last ``left``. Up to the stop end it takes what is
    needed at the front's own pace, or what the strip itself took that day and the rest at that
    pace, whichever is longer: so it holds for a stop at any place of the strip.
    """
    volume = float(basis.layout.volume[strip])
    pace = np.maximum(days.pace[:, basis.layout.front_of[strip]], 1e-9)
    rest = (end.needed - min(volume, end.needed)) / pace
    took: Floats = days.end[:, strip] - days.begin[:, strip]
    left = days.left[:, strip] - np.maximum(end.needed / pace, took + rest)
    left = left[np.isfinite(left)]
    if not len(left):
        return 0.0
    least = float(np.percentile(left, 10.0, method="lower"))
    return max(0.0, math.floor(least / _STEP + 1e-9) * _STEP)
