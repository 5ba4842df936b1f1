"""Where a pour could be ended: the good places of the rule, and what each of them asks for.

A stop end (construction joint) belongs 600 mm from the beam centre line at a beam where sheets
join (design section 5; common practice, no source). These good places cut the floor into parts;
where the pour is ended, every part is either full or empty. A part that is begun can be filled up,
or what lies in it can be taken out while it is fresh. The engineer decides.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from pourday.outcome.base.basis import Basis, Floats
from pourday.scenario.base.trade import STOP_END_OFFSET

Bools = NDArray[np.bool_]
_NEAR = 1e-6
_NOTHING = 1e-9


@dataclass(frozen=True)
class EndPlace:
    """A stop end across the lanes at ``x`` (m), beside the sheet joint at ``joint`` (m)."""

    x: float
    joint: float


@dataclass(frozen=True)
class StopEnd:
    """One way to end the pour: all that is poured is full up to ``places``, nothing lies beyond.

    ``places`` is empty where nothing is left open: the lanes are full from end to end. ``low`` and
    ``high`` (m) are the y range of the lanes it is for. On the poured side ``full`` (m³) goes in
    all, ``placed`` of it lies there, ``needed`` is the rest; ``removed`` lies beyond and has to
    come out while it is fresh. ``time`` (s) is how long the rest takes at the pace before the stop,
    ``latest`` the clock time (s) by which placing must go on to be done before the edge is lost.
    """

    places: tuple[EndPlace, ...]
    low: float
    high: float
    full: float
    placed: float
    needed: float
    removed: float
    time: float
    latest: float


@dataclass(frozen=True, eq=False)
class Progress:
    """How far a front has come when it stops.

    ``own`` (strips,) are its strips, ``strip`` the one it stands in, ``rate`` (m³/s) its pace
    before the stop. Of every strip of the floor ``volume`` (strips,) m³ is to go in and ``placed``
    lies there.
    """

    own: Bools
    strip: int
    volume: Floats
    placed: Floats
    rate: float


def stop_ends(basis: Basis, front: Progress, lost: float) -> tuple[StopEnd, ...]:
    """Every part begun filled or emptied, whichever moves less; then one of them the other way.

    ``lost`` (s) is when the first open edge is.
    """
    own, volume, placed, rate = front.own, front.volume, front.placed, front.rate
    cut, strips = basis.layout.cut, basis.layout.strips
    lanes = _lanes(basis)
    lane = _begun_lanes(basis, front) or {lanes[front.strip]}
    inside = np.array([each in lane for each in lanes])
    places = _good_places(basis, own & inside)
    if not places:
        return ()
    supports = cut.floor.supports
    marks = [supports[0], *(place.x for place in places), supports[-1]]
    share = np.zeros((len(strips), len(places) + 1))
    for i in np.flatnonzero(inside):
        s = strips[i]
        for part, (a, b) in enumerate(pairwise(marks)):
            left, right = max(a, s.x0), min(b, s.x1)
            if right > left:
                share[i, part] = cut.open_area(left, right, s.y0, s.y1) / s.area
    mine, others = share[own], share[~own]
    full, lies = volume[own] @ mine, placed[own] @ mine
    bare = (volume[~own] - placed[~own]) @ others > _NEAR
    is_own = full > _NEAR
    partial = np.flatnonzero(is_own & (lies > _NEAR) & (lies < full - _NEAR))
    keep = is_own & (lies > _NEAR) & (2.0 * lies >= full)
    flips = (np.arange(len(full)) == part for part in partial)
    ends = []
    for kept in (keep, *(keep ^ flip for flip in flips)):
        if not kept.any():
            continue  # everything would have to come out: no stop end
        needed = float(np.sum((full - lies)[kept]))
        time = needed / rate if needed > _NEAR else 0.0  # what is open was placed: rate > 0
        stands = np.where(is_own, kept, True) & ~bare
        at = [
            place
            for k, place in enumerate(places)
            if stands[k] != stands[k + 1] and (kept[k] or kept[k + 1])
        ]
        ends.append(
            StopEnd(
                places=tuple(at),
                low=min(y0 for y0, _ in lane),
                high=max(y1 for _, y1 in lane),
                full=float(full[kept].sum()),
                placed=float(lies[kept].sum()),
                needed=needed,
                removed=float(lies[is_own & ~kept].sum()),
                time=time,
                latest=lost - time,
            )
        )
    return tuple(sorted(ends, key=lambda end: end.needed + end.removed)[:2])


def _begun_lanes(basis: Basis, front: Progress) -> set[tuple[float, float]]:
    """y ranges of the front's lanes that have concrete but are not full."""
    lanes, own, placed = _lanes(basis), front.own, front.placed
    begun = {lanes[i] for i in np.flatnonzero(own & (placed > _NOTHING))}
    short = own & (placed < front.volume - _NOTHING)
    return begun & {lanes[i] for i in np.flatnonzero(short)}


def _lanes(basis: Basis) -> list[tuple[float, float]]:
    """y from and to of the lane of every strip."""
    of_bay = {bay.name: (bay.y0, bay.y1) for bay in basis.layout.cut.bays}
    return [of_bay[strip.bay] for strip in basis.layout.strips]


def _good_places(basis: Basis, mine: Bools) -> list[EndPlace]:
    """600 mm from each sheet joint inside the floor, on the side that these strips reach last."""
    cut = basis.layout.cut
    run_of = {bay.name: bay.run for bay in cut.bays}
    run = np.array([run_of[strip.bay] for strip in basis.layout.strips])
    order = np.arange(len(run))
    out: dict[float, EndPlace] = {}
    for number, (before, after) in enumerate(pairwise(cut.runs)):
        joint = after.supports[0]
        turns = [order[mine & (run == r)] for r in (number, number + 1)]
        low, high = (float(t.mean()) if len(t) else np.inf for t in turns)
        if low == high:
            continue  # neither run is poured by this front in these lanes
        x = joint + STOP_END_OFFSET * (1.0 if low < high else -1.0)
        if before.supports[0] + _NEAR < x < after.supports[-1] - _NEAR:
            out.setdefault(round(x, 6), EndPlace(x, joint))
    return [out[x] for x in sorted(out)]


def open_sides(basis: Basis, placed: Floats) -> tuple[float, ...]:
    """Primary beams (y) with concrete in the lane on one side and none at all on the other."""
    lanes = _lanes(basis)
    begun = {lanes[i] for i in np.flatnonzero(placed > _NOTHING)}
    between = pairwise(basis.layout.cut.lanes)
    return tuple(low[1] for low, high in between if (low in begun) != (high in begun))
