"""What the deck carried through a day: the plan fixes the states, the day their times and heaps."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourday.day.log import DayLog
from pourday.day.streams import Stream
from pourday.deck.history import Peak, Peaks, Response, peaks
from pourday.floor.lines import DeckLine, State
from pourday.outcome.basis import Basis, Floats
from pourday.outcome.fronts import Fronts

QUANTITIES = ("sag_moment", "hog_moment", "reaction", "uplift", "deflection")


@dataclass(frozen=True)
class DeckPeak:
    """One peak of a day: size (never negative), where, and the strip whose placing causes it.

    ``time`` (s) is when the front enters that strip; the peak walks along the strip with it.
    """

    value: float
    bay: str
    x: float
    strip: int
    stage: str
    time: float


@dataclass(frozen=True, eq=False)
class DeckOutcome:
    """Peaks of a day (SI, per metre width) and the share of resistance used.

    ``use_times`` and ``use_steps`` are the greatest share used anywhere, as a step line over the
    day; ``use_strips`` the strip that causes each step. ``by_line`` holds each line's own peaks.
    """

    sag_moment: DeckPeak
    hog_moment: DeckPeak
    reaction: DeckPeak
    uplift: DeckPeak
    deflection: DeckPeak
    use: DeckPeak
    ponding: float
    use_times: Floats
    use_steps: Floats
    use_strips: tuple[int, ...]
    by_line: tuple[Peaks, ...]


def deck_peaks_of(line: DeckLine, heap_factors: Floats) -> Peaks:
    """Peaks of one line for a heap height factor on each of its states (M,)."""
    excess = (heap_factors - 1.0)[:, None]
    base, heap = line.base, line.heap
    response = Response(
        moment=base.moment + excess * heap.moment,
        deflection=base.deflection + excess * heap.deflection,
        reaction=base.reaction + excess * heap.reaction,
        support_moment=base.support_moment + excess * heap.support_moment,
    )
    return peaks(response, line.influence, line.resistance)


def heap_factors(basis: Basis, seed: int) -> Floats:
    """Height factor of the heap at the front of each strip in a day, (strips,)."""
    draw = Stream(seed, "heap", basis.scenario.loads.heap_height_factor)
    return np.array([draw(i) for i in range(len(basis.layout.strips))])


def line_peaks(basis: Basis, seed: int) -> tuple[Peaks, ...]:
    """Peaks of every line in the day with this seed."""
    factors = heap_factors(basis, seed)
    return tuple(
        deck_peaks_of(line, factors[[state.strip for state in line.states]])
        for line in basis.layout.lines
    )


def strip_times(basis: Basis, log: DayLog, found: Fronts) -> tuple[Floats, Floats]:
    """Start and end of every strip (s); nan where a strip was never begun."""
    count = len(basis.layout.strips)
    begin, end = np.full(count, np.nan), np.full(count, np.nan)
    np.fmin.at(begin, found.strip, np.minimum(found.time_low, found.time_high))
    np.fmax.at(end, found.strip, np.maximum(found.time_low, found.time_high))
    return begin, end


def deck_outcome(
    basis: Basis, by_line: tuple[Peaks, ...], begin: Floats, end: Floats
) -> DeckOutcome:
    """Peaks with their times, and the use of the deck over the day."""
    lines = basis.layout.lines
    best = {q: _greatest(lines, by_line, q, begin) for q in QUANTITIES}
    times, steps, strips = _use_over_time(lines, by_line, begin, end)
    return DeckOutcome(
        **best,
        use=_greatest_use(lines, by_line, begin),
        ponding=basis.layout.ponding,
        use_times=times,
        use_steps=steps,
        use_strips=strips,
        by_line=by_line,
    )


def _greatest(
    lines: tuple[DeckLine, ...], by_line: tuple[Peaks, ...], quantity: str, begin: Floats
) -> DeckPeak:
    sign = -1.0 if quantity in ("hog_moment", "uplift") else 1.0
    found: list[Peak] = [getattr(peak, quantity) for peak in by_line]
    n = max(range(len(lines)), key=lambda i: sign * found[i].value)
    return _peak(lines[n], sign * found[n].value, found[n].x, found[n].state, begin)


def _greatest_use(
    lines: tuple[DeckLine, ...], by_line: tuple[Peaks, ...], begin: Floats
) -> DeckPeak:
    n = max(range(len(lines)), key=lambda i: float(by_line[i].use.max()))
    state = int(np.argmax(by_line[n].use))
    use, x = float(by_line[n].use[state]), float(by_line[n].use_x[state])
    return _peak(lines[n], use, x, state, begin)


def _peak(line: DeckLine, value: float, x: float, number: int, begin: Floats) -> DeckPeak:
    state: State = line.states[number]
    return DeckPeak(
        value=max(0.0, value),
        bay=line.bay.name,
        x=x,
        strip=state.strip,
        stage=state.stage,
        time=float(begin[state.strip]),
    )


def _use_over_time(
    lines: tuple[DeckLine, ...], by_line: tuple[Peaks, ...], begin: Floats, end: Floats
) -> tuple[Floats, Floats, tuple[int, ...]]:
    """Step line of the greatest use: while a front is in a strip its worst stage, then "left"."""
    changes: list[tuple[float, int, float, int]] = []
    level = np.zeros(len(lines))
    for n, (line, peak) in enumerate(zip(lines, by_line, strict=True)):
        level[n] = peak.use[0]
        for turn, strip in enumerate(line.strips):
            if begin[strip] != begin[strip]:
                continue
            mine = [k for k, s in enumerate(line.states) if s.turn == turn]
            active = [k for k in mine if line.states[k].stage in ("arrive", "front")]
            left = next(k for k in mine if line.states[k].stage == "left")
            changes.append((float(begin[strip]), n, float(peak.use[active].max()), strip))
            changes.append((float(end[strip]), n, float(peak.use[left]), strip))
    times, steps, strips = [], [], []
    cause = [line.strips[0] for line in lines]
    for time, n, use, strip in sorted(changes):
        level[n], cause[n] = use, strip
        worst = int(np.argmax(level))
        times.append(time)
        steps.append(float(level[worst]))
        strips.append(cause[worst])
    return np.array(times), np.array(steps), tuple(strips)
