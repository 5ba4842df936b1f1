"""What every day of one plan is measured against; made once, read many times."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pourday.concrete.age import arrhenius_rate, clock_time_at_equivalent_age, equivalent_age
from pourday.concrete.cooling import CoolingSlab, slab_relaxation
from pourday.concrete.edges import INTERVAL, SET, EdgeRule, by_interval, by_open_time, by_set
from pourday.concrete.temperature import (
    Air,
    Relaxation,
    concrete_temperature,
    on_days,
)
from pourday.deck.factors import Bounds
from pourday.deck.history import Peaks, peaks
from pourday.floor.layout import Layout, Profile
from pourday.floor.lines.bounds import Felt, joined
from pourday.floor.lines.states import DeckLine
from pourday.outcome.base.top import FloorTop, floor_top
from pourday.scenario.model.scenario import Mix, Plan, Scenario, Weather

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
# Share of a strip's volume in which its front crosses an opening of its whole width.
_CROSSING = 1e-7
_NEWTON_STEPS = 2
Rain = tuple[tuple[float, float], ...]
"""A day's times under cover, from and to (s)."""


@dataclass(frozen=True, eq=False)
class LineGroup:
    """Deck lines on the same supports with the same cells; their days are worked out together.

    ``lines`` are indices into the layout's lines, ``model`` is the first of them, ``strips``
    (G, M) the strip of every state of every line. ``heaped`` are the states with a heap, which
    varies from day to day: ``felt`` (G H rows, line after line) are their bounds. ``bare_peaks``
    are the peaks over all other states.
    """

    lines: tuple[int, ...]
    model: DeckLine
    strips: Ints
    heaped: Ints
    felt: Felt
    bare_peaks: Peaks


@dataclass(frozen=True, eq=False)
class SetClock:
    """When concrete reaches an age, read from a table instead of solved for.

    ``age`` (s at 20 °C) is the set time, retarder in it; ``wait`` (B, T) s is the time from
    batching to it, by time of batching ``batched`` (B,) and delivered temperature
    ``temperature`` (T,), both in even steps, in the air of ``relax``.
    """

    age: float
    activation: float
    relax: Relaxation
    batched: Floats
    temperature: Floats
    wait: Floats

    def at(
        self, batched: ArrayLike, temperature: ArrayLike, relax: Relaxation | None = None
    ) -> Floats:
        """Clock time (s) at which concrete batched then (s), delivered that warm (°C), is there.

        The arguments broadcast; the result has their common shape. Linear between the points and
        constant in ``wait`` beyond them: within half a minute of the exact answer (tested). With
        the air of another day in ``relax`` two Newton steps follow from the table's answer.
        """
        return np.asarray(clocks_at((self,), batched, temperature, relax)[0])

    def _table(self, begin: Floats, warm: Floats) -> Floats:
        i, u = _between(self.batched, begin)
        j, v = _between(self.temperature, warm)
        low = self.wait[i, j] + u * (self.wait[i + 1, j] - self.wait[i, j])
        high = self.wait[i, j + 1] + u * (self.wait[i + 1, j + 1] - self.wait[i, j + 1])
        return np.asarray(begin + low + v * (high - low))


def clocks_at(
    clocks: Sequence[SetClock],
    batched: ArrayLike,
    temperature: ArrayLike,
    relax: Relaxation | None = None,
) -> Floats:
    """:meth:`SetClock.at` of several clocks of one mix, in one go: a row (s) for each."""
    begin, warm = np.broadcast_arrays(
        np.asarray(batched, dtype=float), np.asarray(temperature, dtype=float)
    )
    first = clocks[0]
    clock = np.stack([each._table(begin, warm) for each in clocks])
    if relax is None or relax is first.relax:
        return clock
    ages = np.array([each.age for each in clocks]).reshape(-1, *(1,) * begin.ndim)
    for _ in range(_NEWTON_STEPS):
        short = ages - equivalent_age(relax, begin, clock, warm, first.activation)
        now = concrete_temperature(relax, clock, begin, warm)
        clock = np.maximum(clock + short / arrhenius_rate(now, first.activation), begin)
    return clock


def _between(points: Floats, values: Floats) -> tuple[Ints, Floats]:
    """Index of the even step of ``points`` that holds each value, and the share of it gone."""
    last = len(points) - 1
    place = np.clip((values - points[0]) / (points[1] - points[0]), 0.0, last)
    step = np.minimum(place.astype(np.intp), last - 1)
    return step, place - step


@dataclass(frozen=True, eq=False)
class Basis:
    """Scenario, plan and layout with the arrays that outcomes need.

    ``pair_first``, ``pair_second`` (P,) are strips of the edge pairs in placing order;
    ``pair_low``, ``pair_high`` (P,) the range of the side along the way of the fronts (m), y or
    x: ``layout.along``; equal for a side that lies across it.
    ``edge_rule`` says when an edge is stiff and cold. ``profile_keys`` and ``profile_at`` are the
    volume profiles of all strips end to end: key 2 i + share of volume in strip i, counted from
    its low end. ``width_marks`` are the keys, counted from where placing begins, at which a strip
    changes width. ``slab`` is what cools; ``floating`` counts from placing, at the temperature
    there. ``varied`` says that ``air`` and ``relax`` are those of the days, not the rows'.

    A basis may be that of several ``days``, measured together: strip ``i`` of day ``d`` then has
    the number d S + i, its edge pair ``p`` the number d P + p. ``rains`` are their times under
    cover, ``air`` and ``relax`` those of all of them; one day is the case of length one.
    """

    scenario: Scenario
    plan: Plan
    layout: Layout
    air: Air
    relax: Relaxation
    slab: CoolingSlab
    edge_rule: EdgeRule
    pair_first: Ints
    pair_second: Ints
    pair_low: Floats
    pair_high: Floats
    pair_length: Floats
    profile_keys: Floats
    profile_at: Floats
    width_marks: Floats
    groups: tuple[LineGroup, ...]
    initial_set: SetClock
    final_set: SetClock
    floating: SetClock
    varied: bool
    top: FloorTop
    days: int = 1
    rains: tuple[Rain, ...] = ((),)

    @property
    def rain(self) -> Rain:
        """Times under cover of the (first) day."""
        return self.rains[0]

    @property
    def strips(self) -> int:
        """S, how many strips there are."""
        return len(self.layout.strips)

    def day_of(self, strip: Ints) -> Ints:
        """On which of the days these strips were placed."""
        return strip // self.strips

    def relax_on(self, day: Ints) -> Relaxation:
        """The slab in the air of these days, as many as moments are asked about."""
        return on_days(self.relax, day)

    def on(self, day: int) -> Basis:
        """The basis of one of the days."""
        if self.days == 1:
            return self
        one = replace(self, days=1, rains=self.rains[day : day + 1])
        if not self.varied:
            return one
        rows = self.air
        air = Air(rows.times, rows.temperature[day], rows.humidity[day], rows.wind[day])
        return replace(one, air=air, relax=slab_relaxation(air, self.slab))


def air_of(weather: Weather) -> Air:
    """Weather rows as arrays."""
    return Air(
        *(np.array(row) for row in (weather.at, weather.air, weather.humidity, weather.wind))
    )


def edge_rule(mix: Mix) -> EdgeRule:
    """The rule for edges of a mix; the retarder counts where the rule looks at age."""
    shares = mix.edge_stiff_share, mix.edge_cold_share
    if mix.edge_rule == SET:
        return by_set(mix.initial_set + mix.retarder, *shares)
    if mix.edge_rule == INTERVAL:
        return by_interval(*shares)
    return by_open_time(mix.open_time + mix.retarder, *shares)


def basis(scenario: Scenario, plan: Plan, layout: Layout) -> Basis:
    """Prepare a plan for measuring its days."""
    air = air_of(scenario.weather)
    slab = scenario.cooling
    relax = slab_relaxation(air, slab)
    pairs = layout.pairs
    profiles = list(enumerate(layout.profiles))
    initial_set, final_set, floating = _set_clocks(scenario, relax, plan.start)
    with_front = np.array([p.along == layout.along for p in pairs], dtype=bool)
    low = np.array([p.low for p in pairs])
    high = np.array([p.high for p in pairs])
    at = np.array([p.at for p in pairs])
    return Basis(
        scenario=scenario,
        plan=plan,
        layout=layout,
        air=air,
        relax=relax,
        slab=slab,
        edge_rule=edge_rule(scenario.mix),
        pair_first=np.array([p.first for p in pairs], dtype=np.intp),
        pair_second=np.array([p.second for p in pairs], dtype=np.intp),
        pair_low=np.where(with_front, low, at),
        pair_high=np.where(with_front, high, at),
        pair_length=high - low,
        profile_keys=np.concatenate([2 * i + _shares(p) for i, p in profiles]),
        profile_at=np.concatenate([p.at for _, p in profiles]),
        width_marks=_width_marks(layout),
        groups=_groups(layout),
        initial_set=initial_set,
        final_set=final_set,
        floating=floating,
        varied=False,
        top=floor_top(layout.cut, layout.strips),
    )


def basis_beside(known: Basis, scenario: Scenario, plan: Plan) -> Basis:
    """The basis of a plan on a layout for which another is known: the same as made anew, sooner.

    What is the same in both is shared: all but clocks where the start is another, all where only
    supply, site, spacing or prices are.
    """
    mine, other = (
        (each.weather, each.cooling, each.mix, each.finishing)
        for each in (scenario, known.scenario)
    )
    if mine != other:
        return basis(scenario, plan, known.layout)
    beside = replace(known, scenario=scenario, plan=plan)
    if plan.start == known.plan.start:
        return beside
    initial_set, final_set, floating = _set_clocks(scenario, known.relax, plan.start)
    return replace(beside, initial_set=initial_set, final_set=final_set, floating=floating)


def _set_clocks(scenario: Scenario, relax: Relaxation, start: float) -> tuple[SetClock, ...]:
    """Tables of initial set, final set and the floating condition.

    For all batching (placing, for the last) from 3 h before to 24 h after the start.
    """
    mix = scenario.mix
    batched = start + np.arange(-3.0, 24.1, 1 / 3) * 3600.0
    temperature = np.arange(-20.0, 46.1, 2.0)
    ages = np.array([mix.initial_set, mix.final_set]) + mix.retarder
    ages = np.append(ages, scenario.finishing.float_from_share * ages[0])
    clock = clock_time_at_equivalent_age(
        relax,
        batched[:, None],
        temperature[None, :],
        ages[:, None, None],
        mix.set_activation,
    )
    wait = clock - batched[:, None]
    return tuple(
        SetClock(float(age), mix.set_activation, relax, batched, temperature, row)
        for age, row in zip(ages, wait, strict=True)
    )


def _shares(profile: Profile) -> Floats:
    """Share of a strip's volume at each place of its profile, rising all the way.

    Over an opening as wide as the strip no volume is placed: the front crosses it in next to none,
    so that a share still names one place.
    """
    volume = profile.volume
    level = np.diff(volume, prepend=-1.0) <= 1e-12 * volume[-1]
    share = volume / volume[-1] + _CROSSING * np.cumsum(level)
    return np.asarray(share / share[-1])


def _width_marks(layout: Layout) -> Floats:
    marks = [np.zeros(0)]
    for i, profile in enumerate(layout.profiles):
        share = _shares(profile)[1:-1]
        marks.append(2 * i + np.unique(share if layout.upward[i] else 1.0 - share))
    return np.concatenate(marks)


def _groups(layout: Layout) -> tuple[LineGroup, ...]:
    """Sort the lines into groups with the same supports, cells and states."""
    groups: list[list[int]] = []
    for n, line in enumerate(layout.lines):
        for group in groups:
            if _alike(layout.lines[group[0]], line):
                group.append(n)
                break
        else:
            groups.append([n])
    return tuple(_group(layout, members) for members in groups)


def _group(layout: Layout, members: list[int]) -> LineGroup:
    lines = [layout.lines[n] for n in members]
    model = lines[0]
    heaped = np.flatnonzero(model.heap_pressures.any(axis=1))
    calm = np.ones(len(model.states), dtype=bool)
    calm[heaped] = False
    every = joined([line.felt for line in lines])
    # Rows of heaped states are zero here, so that no peak is found in them.
    rows = np.tile(calm, len(lines)).astype(float)[:, None]
    others = [
        Bounds(level.stands.most * rows, level.stands.least * rows)
        for level in (every.plain, every.factored)
    ]
    return LineGroup(
        lines=tuple(members),
        model=model,
        strips=np.array([[s.strip for s in line.states] for line in lines], dtype=np.intp),
        heaped=heaped,
        felt=every.rows(np.flatnonzero(np.tile(~calm, len(lines)))),
        bare_peaks=peaks(others[0], others[1], every.effects, model.resistance),
    )


def _alike(a: DeckLine, b: DeckLine) -> bool:
    if a.deck is b.deck:
        return True
    same_states = [(s.turn, s.stage) for s in a.states] == [(s.turn, s.stage) for s in b.states]
    if not same_states or a.pressures.shape != b.pressures.shape:
        return False
    shift = b.supports[0] - a.supports[0]
    return len(a.supports) == len(b.supports) and bool(
        np.allclose(np.add(a.supports, shift), b.supports, atol=1e-9)
        and np.allclose(a.deck.fine + shift, b.deck.fine, atol=1e-9)
    )
