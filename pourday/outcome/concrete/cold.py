"""Cold and frost: every strip's colder face, followed until its concrete can stand frost.

COLD is below 5 °C, FROST below 0 °C: then it freezes and is lost. What can stand frost is a matter
of :mod:`pourday.concrete.frost`. The effects of measures are effects in the model.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pourday.concrete.age import arrhenius_rate
from pourday.concrete.cooling import (
    CoolingSlab,
    Faces,
    face_temperatures,
    faces,
    joined,
    slab_relaxation,
    under_mats,
)
from pourday.concrete.frost import COLD, FROST, way_to_resistance
from pourday.concrete.hydration import heat_given
from pourday.concrete.temperature import Air, Relaxation, concrete_temperature, on_days
from pourday.outcome.base.basis import Basis, Floats, Ints
from pourday.outcome.base.fronts import Fronts
from pourday.outcome.base.top import work_between
from pourday.outcome.concrete.drying import NO_MEASURES
from pourday.outcome.concrete.later import DAY, each_day, repeated
from pourday.scenario.model.scenario import Measures

STEP = 1800.0
"""Time between two looks at a place, s."""
DAYS = 10
"""Days after which nobody looks any more: what cannot stand frost then never will."""
_NIGHT = 12 * 3600.0
_HEATED, _MATS, _WARMER, _ACCELERATED = 15.0, 0.5, 5.0, 0.7


@dataclass(frozen=True)
class StripCold:
    """One strip: lowest temperature of its colder face (°C) before it stands frost, and when (s).

    ``cold_from``, ``frost_from`` (s) are when the first of it falls below 5 and 0 °C, nan for
    never; ``resists`` (s) when all of it can stand frost, inf for never. Areas in m².
    """

    strip: int
    lowest: float
    lowest_time: float
    cold_from: float
    frost_from: float
    resists: float
    area: float
    area_cold: float
    area_frost: float


@dataclass(frozen=True)
class Cold:
    """A day's cold: the strips that fall below 5 °C before they can stand frost, and areas (m²).

    ``lowest`` (°C), ``lowest_time`` (s), ``lowest_strip`` are those of the coldest face (nan, nan
    and -1 where nothing comes below 5 °C). ``resists`` (s) is when the last of these strips stands
    frost. ``deck`` is the bare deck's temperature (°C) before the first load, ``deck_lowest`` its
    lowest in the 12 hours before; nan without concrete.
    """

    strips: tuple[StripCold, ...]
    lowest: float
    lowest_time: float
    lowest_strip: int
    resists: float
    area: float
    area_cold: float
    area_frost: float
    deck: float
    deck_lowest: float

    @property
    def level(self) -> str:
        """The word for the day: "FROST", "COLD" or ""."""
        return "FROST" if self.area_frost > 0 else "COLD" if self.area_cold > 0 else ""

    @property
    def frost_from(self) -> float:
        """When the first concrete freezes (s), nan for never."""
        times = [each.frost_from for each in self.strips if not math.isnan(each.frost_from)]
        return min(times, default=math.nan)

    @property
    def icy(self) -> bool:
        """Whether the deck may carry ice, or lies below 0 °C, before the first load."""
        return bool(min(self.deck, self.deck_lowest) < FROST)


@dataclass(frozen=True)
class ColdEffect:
    """One measure in the model: lowest face (°C, nan above 5), areas (m²), when all resists."""

    name: str
    lowest: float
    area_cold: float
    area_frost: float
    resists: float


@dataclass(frozen=True, eq=False)
class Pieces:
    """Pieces of strips (N,) from placing on, and when each is covered (s).

    ``day`` is which day of the air each is on.
    """

    strip: Ints
    day: Ints
    area: Floats
    batched: Floats
    warm: Floats
    placed: Floats
    covered: Floats


@dataclass(frozen=True, eq=False)
class Setting:
    """Where the pieces lie: air of all days, the slab bare and in mats, both relaxations."""

    air: Air
    slab: CoolingSlab
    matted: CoolingSlab
    bare: Relaxation
    kept: Relaxation


def cold(basis: Basis, found: Fronts, covered: Floats, measures: Measures | None = None) -> Cold:
    """Follow the colder face of every strip until its concrete can stand frost.

    Args:
        basis: the plan's basis, with that day's air.
        found: where the front stood that day.
        covered: (strips,) when each strip's last pass is over (s): then mats go on.
        measures: those of the scenario unless told.

    Later days repeat the file's own. The concrete's warmth counts only over heat or under mats,
    and from final set on.
    """
    used = measures or basis.scenario.measures
    pieces = pieces_of(basis, found, covered, used)
    if not len(pieces.strip):
        nan = float("nan")
        return Cold((), nan, nan, -1, nan, 0.0, 0.0, 0.0, nan, nan)
    later = basis.scenario.curing.later
    slab = replace(basis.slab, below=used.heated_below)
    area = float(pieces.area.sum())
    deck = _deck(basis.air, slab, float(pieces.placed.min()))
    # All later days are alike, so that one of them shows whether there is anything to follow.
    around = float(coldest_around(repeated(basis.air, later, 1), slab))
    if min(around, float(pieces.warm.min())) >= COLD:
        nan = float("nan")
        return Cold((), nan, nan, -1, nan, area, 0.0, 0.0, *deck)
    air = repeated(basis.air, later, DAYS + 1)
    return _summary(pieces, followed(basis, pieces, setting_of(air, slab, used), used), area, deck)


def cold_effects(basis: Basis, found: Fronts, covered: Floats) -> tuple[ColdEffect, ...]:
    """The cold with each measure by itself beside none, and with the scenario's own where any.

    All at the same moments of placing and of the last pass. Cooler concrete is none of them.
    """
    rows = [
        ("none", NO_MEASURES),
        (f"enclosure, {_HEATED:g} °C below deck", replace(NO_MEASURES, heated_below=_HEATED)),
        (f"mats {_MATS:g} m²K/W after last pass", replace(NO_MEASURES, mats=_MATS)),
        (f"concrete {_WARMER:g} °C warmer", replace(NO_MEASURES, warmer=_WARMER)),
        ("chloride-free accelerator", replace(NO_MEASURES, accelerator_share=_ACCELERATED)),
        (
            "enclosure and mats",
            replace(NO_MEASURES, heated_below=_HEATED, mats=_MATS),
        ),
        (
            "all of them",
            Measures(1.0, 0.0, 1.0, 0.0, _HEATED, _MATS, _WARMER, _ACCELERATED),
        ),
    ]
    own = basis.scenario.measures
    if any((own.heated_below is not None, own.mats, own.warmer, own.accelerator_share < 1.0)):
        rows.append(("as in the scenario", own))
    out = []
    for name, measures in rows:
        day = cold(basis, found, covered, measures)
        out.append(ColdEffect(name, day.lowest, day.area_cold, day.area_frost, day.resists))
    return tuple(out)


def pieces_of(basis: Basis, found: Fronts, covered: Floats, used: Measures) -> Pieces:
    """What of the fronts has an area; ``covered`` (s) is that of the strips of all days."""
    area, _ = work_between(basis.top, found.strip % basis.strips, found.low, found.high)
    keep = area > 1e-9
    strip = found.strip[keep]
    # What a front laid down last in a piece is the youngest; all of it has one load's age.
    placed = np.maximum(found.time_low, found.time_high)[keep]
    until = np.where(np.isfinite(covered[strip]), np.maximum(covered[strip], placed), np.inf)
    own = basis.scenario.measures.shift
    warm = found.temperature[keep] + used.shift - own
    day = basis.day_of(strip)
    return Pieces(strip, day, area[keep], found.batched[keep], warm, placed, until)


def _deck(air: Air, slab: CoolingSlab, first: float) -> tuple[float, float]:
    """Temperature of the bare steel at the first load, and its lowest in the night before (°C)."""
    when = np.linspace(first - _NIGHT, first, 49)
    around = faces(air, slab, when)
    steel = around.top * around.over + around.bottom * around.under
    steel = steel / (around.top + around.bottom)
    return float(steel[-1]), float(steel.min())


def coldest_around(air: Air, slab: CoolingSlab) -> Floats:
    """The lowest that what lies around a slab is, whatever the hour (°C): of each day, () or (D,).

    No face comes below it, but for concrete that was delivered colder.
    """
    around = faces(air, slab, air.times, each_day(air))
    return np.asarray(np.minimum(around.over.min(axis=-1), around.under.min(axis=-1)))


def setting_of(air: Air, slab: CoolingSlab, used: Measures) -> Setting:
    """The slab in this air, bare and under the mats that are used."""
    matted = under_mats(slab, used.mats)
    bare = slab_relaxation(air, slab)
    return Setting(air, slab, matted, bare, slab_relaxation(air, matted) if used.mats else bare)


@dataclass(frozen=True, eq=False)
class Way:
    """What became of every piece (N,): as in `StripCold`."""

    lowest: Floats
    lowest_time: Floats
    cold_from: Floats
    frost_from: Floats
    resists: Floats


def followed(basis: Basis, pieces: Pieces, around: Setting, used: Measures) -> Way:
    """Day by day after the pour, those pieces that cannot stand frost yet."""
    mix, count = basis.scenario.mix, len(pieces.strip)
    never, nothing = np.full(count, np.inf), np.full(count, np.nan)
    way = Way(never, nothing, nothing.copy(), nothing.copy(), never.copy())
    gone, age, extra = np.zeros(count), np.zeros(count), np.zeros(count)
    age += (pieces.placed - pieces.batched) * arrhenius_rate(pieces.warm, mix.strength_activation)
    left = np.arange(count)
    for day in range(DAYS):
        when = pieces.placed[left, None] + day * DAY + STEP * np.arange(DAY / STEP + 1.0)
        mean = _mean(pieces, around, left, when)
        beside = _beside(around, pieces, left, when)
        if used.mats or used.heated_below is not None:
            mean, age[left], extra[left] = _with_own_heat(
                basis, (pieces, left, when), (around, beside, mean), (age[left], extra[left]), used
            )
        face = np.minimum(*face_temperatures(beside, around.slab.depth, mean))
        gained = way_to_resistance(STEP, face, mix.cement_strength, mix.water_cement_ratio)
        so_far = gone[left, None] + gained / used.accelerator_share
        _note(way, left, when, face, so_far)
        gone[left] = so_far[:, -1]
        left = left[so_far[:, -1] < 1.0]
        if not len(left):
            break
    return way


def _mean(pieces: Pieces, around: Setting, left: Ints, when: Floats) -> Floats:
    """Mean temperature (n, K) °C: bare until the last pass, under mats from then on."""
    batched, warm = pieces.batched[left, None], pieces.warm[left, None]
    in_air = on_days(around.bare, pieces.day[left, None])
    bare = concrete_temperature(in_air, when, batched, warm)
    if around.kept is around.bare:
        return bare
    cover = pieces.covered[left, None]
    begun = np.where(np.isfinite(cover), cover, batched)
    then = concrete_temperature(in_air, begun, batched, warm)
    in_mats = on_days(around.kept, pieces.day[left, None])
    kept = concrete_temperature(in_mats, np.maximum(when, begun), begun, then)
    return np.where(when < cover, bare, kept)


def _beside(around: Setting, pieces: Pieces, left: Ints, when: Floats) -> Faces:
    day = pieces.day[left, None]
    bare = faces(around.air, around.slab, when, day)
    if around.kept is around.bare:
        return bare
    matted = faces(around.air, around.matted, when, day)
    return replace(bare, top=np.where(when >= pieces.covered[left, None], matted.top, bare.top))


def _with_own_heat(
    basis: Basis,
    who: tuple[Pieces, Ints, Floats],
    where: tuple[Setting, Faces, Floats],
    state: tuple[Floats, Floats],
    used: Measures,
) -> tuple[Floats, Floats, Floats]:
    """Mean temperature with the warmth of hardening, age (s) and degrees of it at the end.

    Degrees above the slab without it, as the equation of cooling is linear; the age is that of the
    slab without it, on the cautious side.
    """
    pieces, left, when = who
    around, beside, mean = where
    mix, slab = basis.scenario.mix, around.slab
    rate = arrhenius_rate(mean, mix.strength_activation)
    age = np.repeat(state[0][:, None], when.shape[1], axis=1)
    age[:, 1:] += np.cumsum((rate[:, 1:] + rate[:, :-1]) / 2.0 * STEP, axis=1)
    cement = basis.scenario.batch.cement
    heat = np.diff(heat_given(age, cement, mix.water_cement_ratio), axis=1) * slab.depth / STEP
    relax = basis.relax_on(basis.day_of(pieces.strip[left])) if basis.varied else None
    final = basis.final_set.at(pieces.batched[left], pieces.warm[left], relax)[:, None]
    held = when[:, :-1] >= final
    if used.heated_below is None:
        held &= when[:, :-1] >= pieces.covered[left, None]
    conductance, _ = joined(beside, slab.depth)
    rest = np.where(held, heat, 0.0) / conductance[:, :-1]
    kept = np.exp(-STEP * conductance[:, :-1] / slab.heat)
    extra = np.empty_like(mean)
    extra[:, 0] = state[1]
    for k in range(when.shape[1] - 1):
        extra[:, k + 1] = rest[:, k] + (extra[:, k] - rest[:, k]) * kept[:, k]
    return mean + extra, age[:, -1], extra[:, -1]


def _note(way: Way, left: Ints, when: Floats, face: Floats, so_far: Floats) -> None:
    """Write down what happens to the pieces that are left, up to when each can stand frost."""
    counts = so_far < 1.0
    seen = np.where(counts, face, np.inf)
    at = seen.argmin(axis=1)
    rows = np.arange(len(left))
    lower = seen[rows, at] < way.lowest[left]
    way.lowest[left[lower]] = seen[rows, at][lower]
    way.lowest_time[left[lower]] = when[rows, at][lower]
    for level, out in ((COLD, way.cold_from), (FROST, way.frost_from)):
        new = np.isnan(out[left]) & (seen < level).any(axis=1)
        out[left[new]] = _first(when[new], level - face[new], seen[new] < level)
    over = ~counts.all(axis=1)
    way.resists[left[over]] = _first(when[over], so_far[over] - 1.0, ~counts[over])


def _first(when: Floats, value: Floats, over: NDArray[np.bool_]) -> Floats:
    """When each row is first ``over``, with ``value`` in a line through 0 between two looks."""
    row, k = np.arange(len(when)), over.argmax(axis=1)
    before = np.maximum(k - 1, 0)
    a, b = value[row, before], value[row, k]
    share = np.where((k > 0) & (b > a), np.clip(-a / np.where(b > a, b - a, 1.0), 0.0, 1.0), 1.0)
    return np.asarray(when[row, before] + share * (when[row, k] - when[row, before]))


def _summary(pieces: Pieces, way: Way, area: float, deck: tuple[float, float]) -> Cold:
    is_cold, is_frost = ~np.isnan(way.cold_from), ~np.isnan(way.frost_from)
    strips = []
    for strip in np.unique(pieces.strip[is_cold]):
        mine = np.flatnonzero(pieces.strip == strip)
        worst = mine[np.argmin(way.lowest[mine])]
        frost = way.frost_from[mine]
        strips.append(
            StripCold(
                strip=int(strip),
                lowest=float(way.lowest[worst]),
                lowest_time=float(way.lowest_time[worst]),
                cold_from=float(np.nanmin(way.cold_from[mine])),
                frost_from=float(np.nanmin(frost)) if is_frost[mine].any() else float("nan"),
                resists=float(way.resists[mine].max()),
                area=float(pieces.area[mine].sum()),
                area_cold=float(pieces.area[mine][is_cold[mine]].sum()),
                area_frost=float(pieces.area[mine][is_frost[mine]].sum()),
            )
        )
    if not strips:
        nan = float("nan")
        return Cold((), nan, nan, -1, nan, area, 0.0, 0.0, *deck)
    coldest = min(strips, key=lambda each: each.lowest)
    return Cold(
        strips=tuple(strips),
        lowest=coldest.lowest,
        lowest_time=coldest.lowest_time,
        lowest_strip=coldest.strip,
        resists=max(each.resists for each in strips),
        area=area,
        area_cold=sum(each.area_cold for each in strips),
        area_frost=sum(each.area_frost for each in strips),
        deck=deck[0],
        deck_lowest=deck[1],
    )
