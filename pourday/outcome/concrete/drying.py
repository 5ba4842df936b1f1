"""Water the air takes from every strip against the water that bleeds to its surface.

Followed from screeding until curing covers the strip. The effects of measures are effects in the
model: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from pourday.concrete.age import equivalent_age
from pourday.concrete.bleed import accumulated_bleed
from pourday.concrete.evaporation import (
    ACT,
    COLDEST,
    WATCH,
    evaporation_rate,
    fogged_humidity,
)
from pourday.concrete.temperature import all_at, concrete_temperature
from pourday.outcome.base.basis import Basis, Floats, Ints
from pourday.outcome.base.fronts import Fronts
from pourday.outcome.base.top import work_between
from pourday.scenario.model.scenario import Measures

STEP = 600.0
"""Time between two looks at a place, s."""
MOST_STEPS = 288
"""Looks at a place: two days. Where a floor waits longer for its cover they are further apart."""
MILD = 10.0
"""Air (°C) that all hours of the day must have for cooler concrete to be offered."""

NO_MEASURES = Measures(wind_share=1.0, fog_humidity=0.0, film_share=1.0, cooler=0.0)
_BY_ITSELF = (
    ("none", NO_MEASURES),
    ("concrete 5 °C cooler as delivered", replace(NO_MEASURES, cooler=5.0)),
    ("windbreak: half the wind", replace(NO_MEASURES, wind_share=0.5)),
    ("evaporation retarder: half the rate", replace(NO_MEASURES, film_share=0.5)),
    ("fog: 90 % humidity in still air", replace(NO_MEASURES, fog_humidity=0.9)),
)
# Least temperature of a delivery that a scenario allows (°C); cooling stops there.
_COLDEST = 1.0

Window = tuple[float, float]


@dataclass(frozen=True)
class StripDrying:
    """One strip from its first screeding to its cover (s). Rates in kg/m²/h, water in kg/m².

    ``peak`` is the greatest evaporation and ``peak_time`` when. ``loss`` and ``bleed`` are the
    water lost and risen by the time of cover, ``shortfall`` the greatest lead of loss over bleed,
    0 where bleed kept up: all three at the place where that lead is greatest. Windows run from
    the first to the last moment at any place of the strip, None where there is none: ``dry`` more
    water lost than risen, ``watch`` and ``act`` evaporation over 0.5 and 1.0, ``cover`` dry and
    over 0.5 at the same place, when the surface needs a cover or an evaporation retarder.
    ``area`` (m²) has concrete; ``area_short`` of it falls behind its bleed, and ``area_cover``
    has a ``cover`` window.
    """

    strip: int
    screeded: float
    covered: float
    peak: float
    peak_time: float
    loss: float
    bleed: float
    shortfall: float
    dry: Window | None
    watch: Window | None
    act: Window | None
    cover: Window | None
    area: float
    area_watch: float
    area_act: float
    area_short: float
    area_cover: float


@dataclass(frozen=True)
class Drying:
    """All strips with concrete, the peak (kg/m²/h) with its time (s) and strip, and areas (m²).

    ``area_watch`` and ``area_act`` see more than 0.5 and 1.0 kg/m²/h at some time before they are
    covered, ``area_short`` loses more than it bleeds, ``area_cover`` does so at more than 0.5.
    Without concrete the peak is 0, its time nan and its strip -1.
    """

    strips: tuple[StripDrying, ...]
    measures: Measures
    peak: float
    peak_time: float
    peak_strip: int
    area: float
    area_watch: float
    area_act: float
    area_short: float
    area_cover: float


@dataclass(frozen=True)
class MeasureEffect:
    """One measure in the model: peak rate (kg/m²/h), its time (s), areas (m²) as in `Drying`."""

    name: str
    measures: Measures
    peak: float
    peak_time: float
    area_watch: float
    area_act: float
    area_short: float
    area_cover: float


@dataclass(frozen=True, eq=False)
class _Places:
    """The middle of every piece of every strip that has been covered (N,), and times (N, K)."""

    strip: Ints
    area: Floats
    batched: Floats
    temperature: Floats
    screeded: Floats
    when: Floats


def drying(
    basis: Basis, found: Fronts, covered: Floats, measures: Measures | None = None
) -> Drying:
    """Follow the surface of every strip.

    Args:
        basis: the plan's basis, with that day's air.
        found: where the front stood that day.
        covered: (strips,) when each strip is covered (s), nan for strips without concrete.
        measures: against drying; those of the scenario unless told.

    Every piece of a strip (one load, one pace) is followed at its middle, every 10 minutes.
    Evaporation after Uno (ACI Materials Journal 95-M34, 1998), bleed as in
    :mod:`pourday.concrete.bleed`; the concrete is as warm all through as the slab is on average.
    Cooler concrete dries less and bleeds longer; ``covered`` stays as it is given.
    """
    used = measures or basis.scenario.measures
    places = _places(basis, found, covered)
    if not len(places.strip):
        return Drying((), used, 0.0, float("nan"), -1, 0.0, 0.0, 0.0, 0.0, 0.0)
    warm = _delivered(places, used, basis.scenario.measures.cooler)
    rate = _rate(basis, places, warm, used)
    step = np.diff(places.when, axis=1) / 3600.0
    loss = np.zeros_like(rate)
    np.cumsum((rate[:, 1:] + rate[:, :-1]) / 2.0 * step, axis=1, out=loss[:, 1:])
    bleed = _bleed(basis, places, warm)
    return _summary(places, used, rate, loss, bleed)


def peak_evaporation(
    basis: Basis, found: Fronts, covered: Floats, measures: Measures | None = None
) -> tuple[float, float]:
    """Peak rate (kg/m²/h) and its time (s) of :func:`drying`, without the rest of it.

    0 and nan where there is no concrete. Arguments as there.
    """
    used = measures or basis.scenario.measures
    places = _places(basis, found, covered)
    if not len(places.strip):
        return 0.0, float("nan")
    warm = _delivered(places, used, basis.scenario.measures.cooler)
    rate = _rate(basis, places, warm, used)
    worst = np.unravel_index(int(np.argmax(rate)), rate.shape)
    return float(rate[worst]), float(places.when[worst])


def plastic_drying(basis: Basis, found: Fronts, covered: Floats) -> float:
    """Peak rate (kg/m²/h) that the floor sees while it is plastic, the mean over its area.

    Each place is followed from its screeding to its initial set or its cover, whichever is first:
    later it no longer cracks as plastic concrete does, and the worst hour of the day is not held
    against a start whose concrete has set by then. 0 without concrete. Arguments as in
    :func:`drying`, the scenario's own measures.
    """
    used = basis.scenario.measures
    places = _places(basis, found, covered)
    if not len(places.strip):
        return 0.0
    warm = _delivered(places, used, used.cooler)
    rate = _rate(basis, places, warm, used)
    relax = basis.relax if basis.varied else None
    sets = basis.initial_set.at(places.batched, warm, relax)
    plastic = np.where(places.when <= sets[:, None], rate, 0.0)
    return float(np.average(plastic.max(axis=1), weights=places.area))


def measure_effects(basis: Basis, found: Fronts, covered: Floats) -> tuple[MeasureEffect, ...]:
    """Drying with each measure by itself beside none, and with the scenario's own where it has any.

    Half the wind behind a windbreak, fog that holds still air over the slab at 90 % humidity, a
    film that halves the rate, concrete delivered 5 °C cooler: effects set in the model (common
    practice, no source), the same moment of cover for all. Arguments as in :func:`drying`.
    """
    own = basis.scenario.measures
    # Cooler concrete is never offered where it may get cold.
    rows = [row for row in _BY_ITSELF if not row[1].cooler or basis.air.temperature.min() >= MILD]
    rows += [] if own == NO_MEASURES else [("as in the scenario", own)]
    out = []
    for name, measures in rows:
        day = drying(basis, found, covered, measures)
        areas = day.area_watch, day.area_act, day.area_short, day.area_cover
        out.append(MeasureEffect(name, measures, day.peak, day.peak_time, *areas))
    return tuple(out)


def _places(basis: Basis, found: Fronts, covered: Floats) -> _Places:
    screeded = (found.time_low + found.time_high) / 2.0
    area, _ = work_between(basis.top, found.strip, found.low, found.high)
    keep = (area > 1e-9) & np.isfinite(covered[found.strip])
    strip, screeded = found.strip[keep], screeded[keep]
    until = np.maximum(covered[strip], screeded)
    longest = float(np.max(until - screeded, initial=0.0))
    steps = min(int(np.ceil(longest / STEP)), MOST_STEPS)
    step = STEP if steps < MOST_STEPS else longest / steps
    # Every row has as many times; those past its cover stay at the cover and add nothing.
    when = np.minimum(screeded[:, None] + step * np.arange(steps + 1), until[:, None])
    return _Places(strip, area[keep], found.batched[keep], found.temperature[keep], screeded, when)


def _delivered(places: _Places, measures: Measures, already: float) -> Floats:
    """Temperature of the concrete as delivered (N,) °C, cooled by these measures.

    ``already`` (°C) is what the scenario's own measures have taken off it.
    """
    return np.asarray(np.maximum(places.temperature + already - measures.cooler, _COLDEST))


def _rate(basis: Basis, places: _Places, warm: Floats, measures: Measures) -> Floats:
    """Evaporation at every place and time, (N, K), kg/m²/h."""
    return surface_rate(basis, places.when, places.batched[:, None], warm[:, None], measures)


def surface_rate(
    basis: Basis, when: Floats, batched: Floats, warm: Floats, measures: Measures
) -> Floats:
    """Evaporation (kg/m²/h) off concrete batched then and that warm (°C), with the measures.

    ``when`` and ``batched`` (s) and ``warm`` broadcast. ``warm`` is as delivered, cooling included.
    The air is that of the basis; nothing dries under cover, in its windows of rain. A basis of one
    day; of several ask :func:`rate_off`.
    """
    return rate_off(basis, when, concrete_temperature(basis.relax, when, batched, warm), measures)


def rate_off(
    basis: Basis, when: Floats, warm: Floats, measures: Measures, day: Ints | int = 0
) -> Floats:
    """Evaporation (kg/m²/h) off concrete that is as ``warm`` (°C) as that at ``when`` (s).

    They and ``day``, which of the days of the basis it is, broadcast.
    Source: Uno, ACI Materials Journal 95-M34, 1998. The formula has no value below -18 °C, and
    nothing to speak of dries there.
    """
    air = basis.air
    rows = (air.temperature, air.humidity, air.wind)
    around, damp, wind = all_at(air.times, rows, when, day)
    wind = wind * measures.wind_share
    rate = evaporation_rate(
        np.maximum(warm, COLDEST),
        np.maximum(around, COLDEST),
        fogged_humidity(damp, measures.fog_humidity, wind),
        wind,
    )
    rate = rate * measures.film_share
    for number, rain in enumerate(basis.rains):
        for start, end in rain:
            under = (when >= start) & (when < end) & np.equal(day, number)
            rate = np.where(under, 0.0, rate)
    return np.asarray(rate)


def _bleed(basis: Basis, places: _Places, warm: Floats) -> Floats:
    """Bleed water risen since screeding at every place and time, (N, K), kg/m²."""
    mix = basis.scenario.mix
    batched, relax = places.batched[:, None], basis.relax
    age = equivalent_age(relax, batched, places.when, warm[:, None], mix.set_activation)
    return accumulated_bleed(age, age[:, :1], mix.initial_set + mix.retarder, mix.bleed)


def _summary(
    places: _Places, measures: Measures, rate: Floats, loss: Floats, bleed: Floats
) -> Drying:
    lead = loss - bleed
    rows = np.arange(len(rate))
    peak_at, lead_at = rate.argmax(axis=1), lead.argmax(axis=1)
    peak, shortfall = rate[rows, peak_at], lead[rows, lead_at]
    dry, watch, act = (_windows(places.when, over) for over in (lead, rate - WATCH, rate - ACT))
    cover = np.maximum(dry[:, 0], watch[:, 0]), np.minimum(dry[:, 1], watch[:, 1])
    needed = np.stack(cover, axis=1)
    needed[~(needed[:, 0] < needed[:, 1])] = np.nan
    over = {"watch": peak > WATCH, "act": peak > ACT, "short": shortfall > 0.0}
    over["cover"] = ~np.isnan(needed[:, 0])
    strips = []
    for strip in np.unique(places.strip):
        mine = np.flatnonzero(places.strip == strip)
        top, worst = mine[np.argmax(peak[mine])], mine[np.argmax(shortfall[mine])]
        strips.append(
            StripDrying(
                strip=int(strip),
                screeded=float(places.screeded[mine].min()),
                covered=float(places.when[mine, -1].max()),
                peak=float(peak[top]),
                peak_time=float(places.when[top, peak_at[top]]),
                loss=float(loss[worst, -1]),
                bleed=float(bleed[worst, -1]),
                shortfall=max(0.0, float(shortfall[worst])),
                dry=_hull(dry[mine]),
                watch=_hull(watch[mine]),
                act=_hull(act[mine]),
                cover=_hull(needed[mine]),
                area=float(places.area[mine].sum()),
                **{f"area_{k}": float(places.area[mine][v[mine]].sum()) for k, v in over.items()},
            )
        )
    first = int(np.argmax(peak))
    return Drying(
        strips=tuple(strips),
        measures=measures,
        peak=float(peak[first]),
        peak_time=float(places.when[first, peak_at[first]]),
        peak_strip=int(places.strip[first]),
        area=float(places.area.sum()),
        **{f"area_{k}": float(places.area[v].sum()) for k, v in over.items()},
    )


def _windows(when: Floats, value: Floats) -> Floats:
    """First and last moment (N, 2) at which each row of ``value`` is over 0; nan for never.

    Between two looks the value is taken as linear.
    """
    out = np.full((len(value), 2), np.nan)
    over = value > 0.0
    row = np.flatnonzero(over.any(axis=1))
    last = value.shape[1] - 1
    first_over, last_over = over[row].argmax(axis=1), last - over[row, ::-1].argmax(axis=1)
    out[row, 0] = _crossing(when, value, row, first_over, np.maximum(first_over - 1, 0))
    out[row, 1] = _crossing(when, value, row, last_over, np.minimum(last_over + 1, last))
    return out


def _crossing(when: Floats, value: Floats, row: Ints, over: Ints, not_over: Ints) -> Floats:
    """Where each row passes 0 between two looks; at the look itself where both are the same."""
    a, b = value[row, over], value[row, not_over]
    share = np.where(over == not_over, 0.0, a / np.where(a - b > 0.0, a - b, 1.0))
    return np.asarray(when[row, over] + share * (when[row, not_over] - when[row, over]))


def _hull(windows: Floats) -> Window | None:
    """From the first to the last moment of windows (N, 2), None where there is none."""
    if np.isnan(windows).all():
        return None
    return float(np.nanmin(windows[:, 0])), float(np.nanmax(windows[:, 1]))
