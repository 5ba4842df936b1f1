"""What to do about a hot day, in the order in which a technologist says it, each played through.

Begin at night, with the hours that work; a retarder; cooler concrete, with the ice it takes; a
windbreak; a film; fog, where there is no wind. Every measure is the same day measured again with
just that in it, so what it does to edges and finishing stands beside what it does to drying.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from pourday.concrete.evaporation import ACT
from pourday.concrete.mix_temperature import ice_refused, ice_to_cool, mix_temperature
from pourday.concrete.temperature import at
from pourday.outcome.base.basis import Basis, basis
from pourday.outcome.measure import Outcome, measure
from pourday.scenario.model.scenario import Scenario
from pourday.study.days import one_day
from pourday.study.start_times import hours_of_day, ranked, start_times

HOUR, DAY = 3600.0, 86400.0
HOT_AIR = 30.0
"""Air (°C) from which a day is a hot one here (common practice, no source)."""
NIGHT = (16 * HOUR, 7 * HOUR)
"""Starts that are tried, from the afternoon to the morning after."""
RETARDED = 1.0 * HOUR
COOLER = 5.0
"""What is tried of retarder (s) and cooling (°C): common practice, no source."""


@dataclass(frozen=True)
class HeatMeasure:
    """The day with one measure in it.

    ``kind`` is "as planned", "start", "retarder", "cooler", "windbreak", "film" or "fog";
    ``amount`` what is tried (s, °C, or a share). ``peak`` kg/m²/h, ``cover`` and ``late`` m²,
    ``stiff`` and ``cold`` m of edge. ``refused`` says why it cannot be had; its figures
    are then nan.
    """

    kind: str
    amount: float
    peak: float
    cover: float
    late: float
    stiff: float
    cold: float
    refused: str | None = None


@dataclass(frozen=True)
class Heat:
    """A hot day: air at its warmest while people work (°C), and measures in order.

    ``works`` are the starts (s) that leave no cold joint, finish, keep the curfew and stay under
    1.0 kg/m²/h while plastic. ``ice`` kg/m³ is what the cooling takes, of ``water`` kg/m³ in the
    batch; ``ice_all`` kg for the pour. ``wind`` (m/s) is the strongest while people work.
    """

    air: float
    wind: float
    works: tuple[float, ...]
    ice: float
    water: float
    ice_all: float
    measures: tuple[HeatMeasure, ...]


def heat(plan: Basis, outcome: Outcome) -> Heat | None:
    """What would help on this day; None where it is not a hot one, or nothing was placed.

    Args:
        plan: the basis the day was played with.
        outcome: the day.
    """
    if not len(outcome.fronts.strip):
        return None
    air, wind = _warmest_and_windiest(outcome)
    if air < HOT_AIR:
        return None
    scenario = plan.scenario
    works, best = _night(plan, outcome)
    ice = ice_to_cool(scenario.batch, _by_ice(scenario))
    rows = [_row("as planned", 0.0, outcome)]
    if best is not None:
        rows.append(_row("start", best, one_day(_begun(plan, best), outcome.log.seed)))
    # What makes concrete colder or slower is no measure where the night after this heat freezes it.
    freezes = outcome.cold.area_cold > 0.0
    rows += [
        _again(plan, outcome, *each)
        for each in _changed(scenario)
        if not (freezes and each[0] in ("retarder", "cooler"))
    ]
    return Heat(air, wind, works, ice, scenario.batch.water, ice * outcome.ordered, tuple(rows))


def _warmest_and_windiest(outcome: Outcome) -> tuple[float, float]:
    """Air (°C) and wind (m/s) at their most from the first load to the last cover."""
    covered = outcome.finishing.covered
    until = float(np.nanmax(covered)) if np.isfinite(covered).any() else outcome.log.end
    air = outcome.basis.air
    inside = air.times[(air.times > outcome.log.start) & (air.times < until)]
    when = np.concatenate([[outcome.log.start], inside, [until]])
    return float(at(air.times, air.temperature, when).max()), float(
        at(air.times, air.wind, when).max()
    )


def _begun(plan: Basis, start: float) -> Basis:
    return basis(plan.scenario, plan.plan.starting_at(start), plan.layout)


def _night(plan: Basis, outcome: Outcome) -> tuple[tuple[float, ...], float | None]:
    """The starts of the night that work on this day, and the one of them that dries least."""
    seeds = range(outcome.log.seed, outcome.log.seed + 1)
    found = start_times(plan.scenario, plan.plan, hours_of_day(*NIGHT), seeds, workers=1)
    kept = [
        each
        for each in found.starts
        if not each.breaches and each.cold.value == 0.0 and each.drying.mean < ACT
    ]
    order = ranked(replace(found, starts=tuple(kept)), "drying").best
    return tuple(each.start for each in kept), (order[0] if order else None)


def _by_ice(scenario: Scenario) -> float:
    """What ice has to take off what the materials give, for concrete that much cooler (°C).

    A mix that is delivered cooler than its materials has ice in it already.
    """
    in_it = mix_temperature(scenario.batch) - scenario.mix.delivered.mean
    return scenario.measures.cooler + COOLER + max(0.0, in_it)


def _changed(scenario: Scenario) -> list[tuple[str, float, Scenario | str]]:
    """Every measure but the start: its kind, how much, and the scenario with it or why not."""
    own = scenario.measures
    slower = replace(scenario.mix, retarder=scenario.mix.retarder + RETARDED)
    total = own.cooler + COOLER
    refused = ice_refused(scenario.batch, round(_by_ice(scenario), 1))

    def _with(**keys: float) -> Scenario:
        return replace(scenario, measures=replace(own, **keys))

    return [
        ("retarder", RETARDED, replace(scenario, mix=slower)),
        ("cooler", COOLER, refused if refused is not None else _with(cooler=total)),
        ("windbreak", 0.5, _with(wind_share=min(own.wind_share, 0.5))),
        ("film", 0.5, _with(film_share=min(own.film_share, 0.5))),
        ("fog", 0.9, _with(fog_humidity=max(own.fog_humidity, 0.9))),
    ]


def _again(
    plan: Basis, outcome: Outcome, kind: str, amount: float, changed: Scenario | str
) -> HeatMeasure:
    """The same day with one measure in it, or why it cannot be had."""
    if isinstance(changed, str):
        nan = float("nan")
        return HeatMeasure(kind, amount, nan, nan, nan, nan, nan, changed)
    other = basis(changed, plan.plan, plan.layout)
    return _row(kind, amount, measure(other, outcome.log, outcome.by_group))


def _row(kind: str, amount: float, outcome: Outcome) -> HeatMeasure:
    edges, day = outcome.edges, outcome.drying
    return HeatMeasure(
        kind=kind,
        amount=amount,
        peak=day.peak,
        cover=day.area_cover,
        late=outcome.finishing.missed_area,
        stiff=float(edges.stiff_length.sum()),
        cold=float(edges.cold_length.sum()),
    )
