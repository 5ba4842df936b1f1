"""Time series of a day: every line of deck and every beam, state by state.

A line's state comes when the front passes its place along y; "left" and "full" when the strip ends.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourday.deck.history import Peaks
from pourday.floor.lines.states import BARE, FULL, LEFT, DeckLine
from pourday.outcome.base.basis import Basis, Floats
from pourday.outcome.base.fronts import Fronts, piece_at, time_at
from pourday.outcome.deck.peaks import heap_factors, response_of, use_of_lines


@dataclass(frozen=True, eq=False)
class LineSeries:
    """One line over a day: M states, in order of time; SI, per metre width.

    ``sag_moment`` and ``hog_moment`` are the greatest and least moment on the line, ``reaction``
    and ``uplift`` the greatest and least reaction, ``deflection`` the deck's own between its
    supports, ``down`` the greatest way down of a support (0 on rigid supports).
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
        _line(line, factors, use, found, end)
        for line, use in zip(basis.layout.lines, uses, strict=True)
    )


def beam_series(basis: Basis, found: Fronts) -> tuple[BeamSeries, ...]:
    """Series of every support line that moves; empty on rigid supports."""
    layout = basis.layout
    if layout.frame is None:
        return ()
    strips = np.array([strip for strip, _ in layout.struck.steps], dtype=np.intp)
    y = np.array([layout.lines[lines[0]].station.y for _, lines in layout.struck.steps])
    begun = np.diff(found.first)[strips] > 0
    time = np.full(len(strips), np.nan)
    time[begun] = time_at(found, piece_at(found, strips[begun], y[begun]), y[begun])
    moved = layout.struck.moved[1:]
    return tuple(
        BeamSeries(float(x), time, layout.frame.y, moved[:, layout.frame.node[s]])
        for s, x in enumerate(layout.frame.x)
        if moved[:, layout.frame.node[s]].any()
    )


def _line(line: DeckLine, factors: Floats, use: Floats, found: Fronts, end: Floats) -> LineSeries:
    strip = np.array([state.strip for state in line.states], dtype=np.intp)
    stage = [state.stage for state in line.states]
    begun = np.diff(found.first)[strip] > 0
    time = np.full(len(strip), np.nan)
    y = np.full(len(strip), line.station.y)
    time[begun] = time_at(found, piece_at(found, strip[begun], y[begun]), y[begun])
    gone = np.array([s in (LEFT, FULL) for s in stage])
    time[gone] = end[strip[gone]]
    felt = response_of(line, factors)
    # The bare deck stands before the first front comes.
    time[[s == BARE for s in stage]] = np.nan
    return LineSeries(
        bay=line.bay.name,
        y=line.station.y,
        time=time,
        strip=tuple(int(i) for i in strip),
        stage=tuple(stage),
        sag_moment=felt.moment.max(axis=1),
        hog_moment=felt.moment.min(axis=1),
        reaction=felt.reaction.max(axis=1),
        uplift=felt.reaction.min(axis=1),
        deflection=felt.deflection.max(axis=1),
        down=line.supports_down.max(axis=1),
        use=use,
    )
