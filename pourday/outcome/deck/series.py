"""Time series of a day: every line of deck and every beam, state by state.

A line's state comes when the front passes its place along y; "left" and "full" when the strip ends.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourday.deck.history import Peaks
from pourday.floor.lines.states import ARRIVE, BARE, FULL, LEFT, DeckLine
from pourday.outcome.base.basis import Basis, Floats, Ints
from pourday.outcome.base.fronts import Fronts, piece_at, time_at
from pourday.outcome.deck.peaks import bounds_of, heap_factors, use_of_lines


@dataclass(frozen=True, eq=False)
class LineSeries:
    """One line over a day: M states, in order of time; SI, per metre width, unfactored.

    ``sag_moment`` and ``hog_moment`` are the greatest and least moment on the line, ``reaction``
    and ``uplift`` the greatest and least reaction, ``deflection`` the deck's own between its
    supports, ``down`` the greatest way down of a support (0 on rigid supports);
    ``use`` the share of resistance, factored, nan where none is judged.
    """

    bay: str
    y: float
    time: Floats
    strip: tuple[int, ...]
    stage: tuple[str, ...]
    sag_moment: Floats
    hog_moment: Floats
    reaction: Floats
    uplift: Floats
    deflection: Floats
    down: Floats
    use: Floats


@dataclass(frozen=True, eq=False)
class BeamSeries:
    """One secondary beam line (at ``x``) over a day: way down of its places along y.

    ``down`` (T, K) m at the times (T,) when the front passed a line; ``y`` (K,).
    """

    x: float
    time: Floats
    y: Floats
    down: Floats


def line_series(
    basis: Basis, seed: int, by_group: tuple[Peaks, ...], found: Fronts, end: Floats
) -> tuple[LineSeries, ...]:
    """Series of every line. ``end`` (strips,) is when each strip was full (s)."""
    factors = heap_factors(basis, seed)
    uses = use_of_lines(basis, by_group)
    return tuple(
        _line(basis, line, (factors, use), found, end)
        for line, use in zip(basis.layout.lines, uses, strict=True)
    )


def beam_series(basis: Basis, found: Fronts) -> tuple[BeamSeries, ...]:
    """Series of every support line that moves; empty on rigid supports."""
    layout = basis.layout
    if layout.frame is None:
        return ()
    strips = np.array([strip for strip, _ in layout.struck.steps], dtype=np.intp)
    y = np.array([layout.lines[lines[0]].station.y for _, lines in layout.struck.steps])
    time = _passes(basis, found, strips, y, np.ones(len(strips)))
    moved = layout.struck.moved[1:]
    return tuple(
        BeamSeries(float(x), time, layout.frame.y, moved[:, layout.frame.node[s]])
        for s, x in enumerate(layout.frame.x)
        if moved[:, layout.frame.node[s]].any()
    )


def _passes(basis: Basis, found: Fronts, strip: Ints, y: Floats, along: Floats) -> Floats:
    """When fronts in these strips pass a line at ``y`` (m); nan where a strip was not begun.

    In bands a front runs along the line: then it is where the share ``along`` of the strip, 0 its
    start and 1 its end, has been passed.
    """
    strips, up = basis.layout.strips, basis.layout.upward
    place = y
    if basis.layout.along == "x":
        ends = [(strips[i].low, strips[i].high)[:: 1 if up[i] else -1] for i in strip.tolist()]
        place = np.array([a + s * (b - a) for (a, b), s in zip(ends, along, strict=True)])
    begun = np.diff(found.first)[strip] > 0
    time = np.full(len(strip), np.nan)
    time[begun] = time_at(found, piece_at(found, strip[begun], place[begun]), place[begun])
    return time


def _line(
    basis: Basis, line: DeckLine, felt_as: tuple[Floats, Floats], found: Fronts, end: Floats
) -> LineSeries:
    factors, use = felt_as
    strip = np.array([state.strip for state in line.states], dtype=np.intp)
    stage = [state.stage for state in line.states]
    y = np.full(len(strip), line.station.y)
    time = _passes(basis, found, strip, y, np.array([s != ARRIVE for s in stage], dtype=float))
    gone = np.array([s in (LEFT, FULL) for s in stage])
    time[gone] = end[strip[gone]]
    plain, where = bounds_of(line, factors)[0], line.felt.effects.plain
    # The bare deck stands before the first front comes.
    time[[s == BARE for s in stage]] = np.nan
    return LineSeries(
        bay=line.bay.name,
        y=line.station.y,
        time=time,
        strip=tuple(int(i) for i in strip),
        stage=tuple(stage),
        sag_moment=plain.most[:, where.moment].max(axis=1),
        hog_moment=plain.least[:, where.moment].min(axis=1),
        reaction=plain.most[:, where.reaction].max(axis=1),
        uplift=plain.least[:, where.reaction].min(axis=1),
        deflection=plain.most[:, where.deflection].max(axis=1),
        down=line.supports_down.max(axis=1),
        use=use,
    )
