"""What the deck carried through a day: the plan fixes the states, the day their times and heaps."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pourday.day.chance.streams import Stream
from pourday.deck.factors import Bounds
from pourday.deck.history import Extremes, Peak, Peaks, Response, UseCause, peaks
from pourday.floor.lines.bounds import joined
from pourday.floor.lines.states import DeckLine
from pourday.outcome.base.basis import Basis, Floats, Ints, LineGroup
from pourday.outcome.base.fronts import Fronts

CAUSES = {
    UseCause.SAG_MOMENT: "sag moment",
    UseCause.INNER_SUPPORT: "moment with reaction",
    UseCause.END_REACTION: "reaction at the end",
}
# Which way a quantity is worse: the greatest sag moment, but the least (most negative) hog moment.
SIGNS = {"sag_moment": 1.0, "hog_moment": -1.0, "reaction": 1.0, "uplift": -1.0, "deflection": 1.0}


@dataclass(frozen=True)
class DeckPeak:
    """One peak of a day: size (never negative), where, and the strip whose placing causes it.

    ``time`` (s) is when the front enters that strip (the peak walks along the strip with it), or
    when the strip is full, for the stages "left" and "full".
    ``cause`` says, for the use of resistance only, which check used most. ``factored`` is the same
    quantity with partial factors, at its own worst place, and nan where it has none.
    """

    value: float
    bay: str
    x: float
    strip: int
    stage: str
    time: float
    cause: str = ""
    factored: float = math.nan


@dataclass(frozen=True)
class DeckOutcome:
    """Peaks of a day (SI, per metre width), the share of resistance used, and ponding (m³).

    The value of ``use`` is nan where the file does not say what the resistance is.
    """

    sag_moment: DeckPeak
    hog_moment: DeckPeak
    reaction: DeckPeak
    uplift: DeckPeak
    deflection: DeckPeak
    use: DeckPeak
    ponding: float


@dataclass(frozen=True, eq=False)
class UseOverTime:
    """Greatest share of resistance used anywhere, as a step line over the day.

    ``steps[k]`` holds from ``times[k]`` (s) on, and is caused by the strip ``strips[k]``.
    """

    times: Floats
    steps: Floats
    strips: tuple[int, ...]


def heap_factors(basis: Basis, seed: int | None) -> Floats:
    """Height factor of the heap at the front of each strip, (strips,); no seed gives the mean."""
    if seed is None:
        factor = basis.scenario.loads.heap_height_factor.mean
        return np.full(len(basis.layout.strips), factor)
    draw = Stream(seed, "heap", basis.scenario.loads.heap_height_factor)
    return np.array([draw(i) for i in range(len(basis.layout.strips))])


def group_peaks(basis: Basis, seed: int | None) -> tuple[Peaks, ...]:
    """Peaks of every group of alike lines in the day with this seed.

    The states of a group's lines stand one line after another: state k of line g is g M + k.
    """
    return peaks_with(basis, heap_factors(basis, seed))


def mean_peaks(basis: Basis) -> tuple[Peaks, ...]:
    """The same for heaps of the mean height factor: the plan as such, no day."""
    return peaks_with(basis, heap_factors(basis, None))


def peaks_with(basis: Basis, factors: Floats) -> tuple[Peaks, ...]:
    """The same for a heap height factor on each strip, (strips,)."""
    return tuple(_peaks_of(group, factors) for group in basis.groups)


def most_used(every: Sequence[Peaks]) -> float:
    """Highest share of resistance in all of them; nan where the file has no resistances."""
    return max(float(peaks.use.max()) for peaks in every)


def peaks_without_heaps(basis: Basis) -> tuple[Peaks, ...]:
    """The same with neither the day's heap nor the heaping of a preset on any strip."""
    out = []
    for group in basis.groups:
        every = joined([basis.layout.lines[n].felt for n in group.lines])
        bare = every.plain.light, every.factored.light
        out.append(peaks(*bare, every.effects, group.model.resistance))
    return tuple(out)


def excess_of(line: DeckLine, factors: Floats) -> Floats:
    """Heap above the thickness of its strip, (M,) shares of it, in every state of a line."""
    return np.asarray(factors[[state.strip for state in line.states]] - 1.0)


def response_of(line: DeckLine, factors: Floats) -> Response:
    """The deck in every state of a line as it lies, with a heap height factor on each strip.

    Unfactored, zone and heap in the middle of the strip; for what it feels at its worst see
    :func:`bounds_of`.
    """
    excess = excess_of(line, factors)[:, None]
    base, heap = line.base, line.heap
    return Response(
        moment=base.moment + excess * heap.moment,
        deflection=base.deflection + excess * heap.deflection,
        reaction=base.reaction + excess * heap.reaction,
        support_moment=base.support_moment + excess * heap.support_moment,
    )


def bounds_of(line: DeckLine, factors: Floats) -> tuple[Bounds, Bounds]:
    """Worst of every effect in every state of a line, unfactored and factored."""
    excess = excess_of(line, factors)
    return line.felt.plain.at(excess), line.felt.factored.at(excess)


def _peaks_of(group: LineGroup, factors: Floats) -> Peaks:
    """Peaks of a group: only the states with a heap differ from day to day."""
    excess = factors[group.strips[:, group.heaped]].ravel() - 1.0
    if not len(excess):
        return group.bare_peaks
    felt = group.felt
    plain, factored = felt.plain.at(excess), felt.factored.at(excess)
    today = peaks(plain, factored, felt.effects, group.model.resistance)
    states = group.strips.shape[1]
    numbers = (np.arange(len(group.lines))[:, None] * states + group.heaped).ravel()
    return _merged(today, group.bare_peaks, numbers)


def _merged(today: Peaks, known: Peaks, numbers: Ints) -> Peaks:
    """The states without a heap (known) and those with one (``today``), in order of states."""

    def _worse(a: Peak, b: Peak, sign: float) -> Peak:
        mine = replace(b, state=int(numbers[b.state]))
        return mine if counts_today(sign * b.value, sign * a.value) else a

    def _extremes(a: Extremes, b: Extremes) -> Extremes:
        names = [name for name in SIGNS if name != "deflection"]
        return Extremes(
            **{name: _worse(getattr(a, name), getattr(b, name), SIGNS[name]) for name in names}
        )

    def _whole(name: str) -> Floats:
        out = getattr(known, name).copy()
        out[numbers] = getattr(today, name)
        return np.asarray(out)

    return Peaks(
        plain=_extremes(known.plain, today.plain),
        factored=_extremes(known.factored, today.factored),
        deflection=_worse(known.deflection, today.deflection, SIGNS["deflection"]),
        use=_whole("use"),
        use_cause=_whole("use_cause").astype(np.intp),
        use_x=_whole("use_x"),
    )


def counts_today(today: ArrayLike, known: float) -> NDArray[np.bool_]:
    """Whether the peak of states with a heap is the one, not that ``known`` of the others.

    A tie goes to the front: it comes first. Both have the sign by which more is worse.
    """
    return np.asarray(np.subtract(today, known) >= -1e-9 * abs(known))


def strip_times(basis: Basis, found: Fronts) -> tuple[Floats, Floats]:
    """Start and end of every strip (s), on all days of the basis; nan where it was never begun."""
    count = basis.days * basis.strips
    begin, end = np.full(count, np.nan), np.full(count, np.nan)
    np.fmin.at(begin, found.strip, np.minimum(found.time_low, found.time_high))
    np.fmax.at(end, found.strip, np.maximum(found.time_low, found.time_high))
    return begin, end


def deck_outcome(
    basis: Basis, by_group: tuple[Peaks, ...], begin: Floats, end: Floats
) -> DeckOutcome:
    """Peaks of a day with place and time; each strip was placed from ``begin`` to ``end`` (s)."""
    best = {quantity: _greatest(basis, by_group, quantity, begin, end) for quantity in SIGNS}
    return DeckOutcome(**best, use=_use(basis, by_group, begin, end), ponding=basis.layout.ponding)


def _use(basis: Basis, by_group: tuple[Peaks, ...], begin: Floats, end: Floats) -> DeckPeak:
    """The greatest share; where none is judged, nan at the place of the greatest sag moment."""
    if np.isnan(by_group[0].use).any():
        return replace(_greatest(basis, by_group, "sag_moment", begin, end), value=math.nan)
    n = max(range(len(by_group)), key=lambda i: float(by_group[i].use.max()))
    state = int(np.argmax(by_group[n].use))
    use = Peak(float(by_group[n].use[state]), state, float(by_group[n].use_x[state]))
    cause = CAUSES[UseCause(int(by_group[n].use_cause[state]))]
    return replace(_peak(basis, n, use, begin, end), cause=cause)


def _greatest(
    basis: Basis, by_group: tuple[Peaks, ...], quantity: str, begin: Floats, end: Floats
) -> DeckPeak:
    sign = SIGNS[quantity]
    if quantity == "deflection":
        found, factored = [peaks.deflection for peaks in by_group], math.nan
    else:
        found = [getattr(peaks.plain, quantity) for peaks in by_group]
        factored = max(sign * getattr(peaks.factored, quantity).value for peaks in by_group)
    n = max(range(len(found)), key=lambda i: sign * found[i].value)
    most = replace(found[n], value=sign * found[n].value)
    # Less than nothing is nothing: no support lifts, nowhere does the deck hog.
    factored = factored if math.isnan(factored) else max(0.0, factored)
    return replace(_peak(basis, n, most, begin, end), factored=factored)


def _peak(basis: Basis, group_number: int, peak: Peak, begin: Floats, end: Floats) -> DeckPeak:
    group = basis.groups[group_number]
    which, number = divmod(peak.state, group.strips.shape[1])
    line = basis.layout.lines[group.lines[which]]
    strip = int(group.strips[which, number])
    stage = group.model.states[number].stage
    return DeckPeak(
        value=max(0.0, peak.value),
        bay=line.bay.name,
        x=peak.x - group.model.supports[0] + line.supports[0],
        strip=strip,
        stage=stage,
        time=float((end if stage in ("left", "full") else begin)[strip]),
    )


def use_of_lines(basis: Basis, by_group: tuple[Peaks, ...]) -> list[Floats]:
    """Share of resistance used in every state of every line, in the layout's order of lines."""
    out: list[Floats] = [np.zeros(0)] * len(basis.layout.lines)
    for group, peak in zip(basis.groups, by_group, strict=True):
        for n, use in zip(group.lines, peak.use.reshape(group.strips.shape), strict=True):
            out[n] = use
    return out


def use_over_time(
    basis: Basis, by_group: tuple[Peaks, ...], begin: Floats, end: Floats
) -> UseOverTime:
    """Step line of the greatest use: while a front is in a strip its worst stage, then "left"."""
    changes: list[tuple[float, int, float, int]] = []
    lines = basis.layout.lines
    level = np.zeros(len(lines))
    for n, (line, use) in enumerate(zip(lines, use_of_lines(basis, by_group), strict=True)):
        level[n] = use[0]
        turns = np.array([s.turn for s in line.states])
        stages = np.array([s.stage for s in line.states])
        for turn, strip in enumerate(line.strips):
            if np.isnan(begin[strip]):
                continue
            active = (turns == turn) & ((stages == "arrive") | (stages == "front"))
            # Once the last strip of the line is full, nobody stands there any more.
            after = "full" if turn == len(line.strips) - 1 else "left"
            left = (turns == turn) & (stages == after)
            changes.append((float(begin[strip]), n, float(use[active].max()), strip))
            changes.append((float(end[strip]), n, float(use[left].max()), strip))
    times, steps, strips = [], [], []
    cause = [line.strips[0] for line in lines]
    for time, n, share, strip in sorted(changes):
        level[n], cause[n] = share, strip
        worst = int(np.argmax(level))
        times.append(time)
        steps.append(float(level[worst]))
        strips.append(cause[worst])
    return UseOverTime(np.array(times), np.array(steps), tuple(strips))
