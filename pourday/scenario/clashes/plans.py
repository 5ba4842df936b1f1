"""What a plan cannot ask of this floor, site and supply: contradictions of the ``[[plan]]`` tables.

Plans arrive as a dict by their number in the file, from 1, so that messages count as the file does.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Any

from pourday.scenario.base.faults import Fault, clock, listed, names_differ, unknown
from pourday.scenario.tables.file import FloorTable
from pourday.scenario.tables.site import PlanTable, SiteTable, SupplyTable
from pourday.scenario.tables.supports import LEAST_SPAN, supports_of

Plans = Mapping[int, PlanTable]
Raw = Mapping[str, Any]


def _at(number: int, plan: PlanTable, key: str) -> str:
    return listed("plan", number, key, plan.name)


def _names_differ(plans: Plans) -> Iterator[Fault]:
    return names_differ("plan", {number: plan.name for number, plan in plans.items()})


def _pump_is_there(plans: Mapping[int, Raw], names: Sequence[str]) -> Iterator[Fault]:
    yield from _one_of(plans, "pump", names)


def _crew_is_there(plans: Mapping[int, Raw], names: Sequence[str]) -> Iterator[Fault]:
    yield from _one_of(plans, "crew", names)


def _one_of(plans: Mapping[int, Raw], key: str, names: Sequence[str]) -> Iterator[Fault]:
    """Looks at plans as written, so that a plan with other faults has this one listed too."""
    for number, plan in plans.items():
        chosen, name = plan.get(key), plan.get("name")
        if names and isinstance(chosen, str) and chosen not in names:
            path = listed("plan", number, key, name if isinstance(name, str) else None)
            rule = f"the name of a [{key}s.NAME] table"
            yield unknown(path, chosen, names, rule, f"the {key}s are")


def _order_and_sequence(plans: Plans) -> Iterator[Fault]:
    for number, plan in plans.items():
        if plan.order == "listed" and not plan.sequence:
            rule = 'a list of strip names, because order is "listed"'
            found = "missing" if plan.sequence is None else "an empty list"
            yield Fault(_at(number, plan, "sequence"), found, rule)
        for key in ("sequence", "cut"):
            if plan.order != "listed" and key in plan.model_fields_set:
                found = f'given while order is "{plan.order}"'
                advice = f'leave {key} out, or order = "listed"'
                yield Fault(
                    _at(number, plan, key), found, 'only with order = "listed"', advice=advice
                )


def _strip_width_is_used(plans: Plans) -> Iterator[Fault]:
    for number, plan in plans.items():
        by_width = plan.order == "spread" or (plan.order == "listed" and plan.cut == "spread")
        if plan.strip_width_m is not None and not by_width:
            found = f'given while strips are cut as "{plan.order}"'
            advice = 'it has no effect; use order = "spread", or fraction for "thirds"'
            yield Fault(
                _at(number, plan, "strip_width_m"), found, "", "", advice, severity="warning"
            )


def _bands_are_used(plans: Plans) -> Iterator[Fault]:
    for number, plan in plans.items():
        across = plan.order == "across" or (plan.order == "listed" and plan.cut == "across")
        for key in ("band_m", "pour_width_m", "strike_lag_m"):
            default = type(plan).model_fields[key].default
            if getattr(plan, key) != default and not across:
                found = f'given while strips are cut as "{plan.order}"'
                advice = 'it has no effect; use order = "across"'
                yield Fault(_at(number, plan, key), found, "", "", advice, severity="warning")


def _strips_fit_the_spans(plans: Plans, floor: FloorTable) -> Iterator[Fault]:
    x = supports_of(floor)
    narrowest = min(high - low for low, high in pairwise(x))
    if round(narrowest, 9) < LEAST_SPAN:  # the supports themselves are at fault
        return
    for number, plan in plans.items():
        if plan.strip_width_m is not None and plan.strip_width_m > narrowest + 1e-9:
            rule = f"up to the narrowest span, {narrowest:g}"
            path = _at(number, plan, "strip_width_m")
            yield Fault(path, f"{plan.strip_width_m:g}", rule, "m")


def _room_on_site(plans: Plans, site: SiteTable) -> Iterator[Fault]:
    for number, plan in plans.items():
        positions = site.positions * (1 + len(plan.fronts))
        places = positions + site.holding_places
        rule = f"up to {places}, positions {positions} + holding_places {site.holding_places}"
        for key in ("most_on_site", "hold_back_at"):
            value = getattr(plan, key)
            if value is not None and value > places:
                yield Fault(_at(number, plan, key), f"{value} trucks", rule)


def _start_before_curfew(plans: Plans, site: SiteTable) -> Iterator[Fault]:
    for number, plan in plans.items():
        if site.curfew is not None and plan.start >= site.curfew:
            rule = f"before site.curfew, {clock(site.curfew)}"
            yield Fault(_at(number, plan, "start"), clock(plan.start), rule)


def _plants_open_at_start(plans: Plans, supply: SupplyTable) -> Iterator[Fault]:
    """A fault where no plant is open when a plan starts, a warning where only some are."""
    for number, plan in plans.items():
        shut = [
            f"{plant.name} opens {clock(plant.opens)}"
            + (f", closes {clock(plant.closes)}" if plant.closes is not None else "")
            for plant in supply.plants
            if plan.start < plant.opens or (plant.closes is not None and plan.start >= plant.closes)
        ]
        if shut:
            path, found = _at(number, plan, "start"), clock(plan.start)
            if len(shut) == len(supply.plants):
                yield Fault(path, found, f"a time at which a plant is open ({'; '.join(shut)})")
            else:
                rule = f"a time at which every plant is open ({'; '.join(shut)})"
                yield Fault(path, found, rule, severity="warning")


def _trucks_for_each_plant(plans: Plans, supply: SupplyTable) -> Iterator[Fault]:
    plants = len(supply.plants)
    for number, plan in plans.items():
        if plan.trucks is not None and plan.trucks < plants:
            rule = f"{plants} or more, one for each plant"
            yield Fault(_at(number, plan, "trucks"), f"{plan.trucks} trucks", rule)


def _load_of_the_plan(plans: Plans, supply: SupplyTable) -> Iterator[Fault]:
    for number, plan in plans.items():
        for key in ("smallest_load_m3", "load_step_m3"):
            least = getattr(supply, key)
            if plan.load_m3 is not None and plan.load_m3 < least <= supply.load_m3:
                rule = f"at least supply.{key}, {least:g}"
                yield Fault(_at(number, plan, "load_m3"), f"{plan.load_m3:g}", rule, "m³")


def _plants_keep_up(plans: Plans, supply: SupplyTable) -> Iterator[Fault]:
    rate = sum(plant.batch_m3_h for plant in supply.plants)
    for number, plan in plans.items():
        load = plan.load_m3 or supply.load_m3
        least = load / rate * 60
        mean = plan.spacing_min.mean
        if mean < least * (1 - 1e-9):
            found = f"{mean:.4g}" + ("" if plan.spacing_min.is_fixed else " on average")
            rule = f"{least:.4g} or more"
            advice = f"the plants batch {load:g} m³ in {least:.4g} min ({rate:g} m³/h together)"
            yield Fault(_at(number, plan, "spacing_min"), found, rule, "min", advice, "warning")


Check = Callable[..., Iterator[Fault]]
PLAN_CHECKS: Sequence[tuple[tuple[str, ...], Check]] = (
    (("plans",), _names_differ),
    (("raw_plans", "pump_names"), _pump_is_there),
    (("raw_plans", "crew_names"), _crew_is_there),
    (("plans",), _order_and_sequence),
    (("plans",), _strip_width_is_used),
    (("plans",), _bands_are_used),
    (("plans", "floor"), _strips_fit_the_spans),
    (("plans", "site"), _room_on_site),
    (("plans", "site"), _start_before_curfew),
    (("plans", "supply"), _plants_open_at_start),
    (("plans", "supply"), _trucks_for_each_plant),
    (("plans", "supply"), _load_of_the_plan),
    (("plans", "supply"), _plants_keep_up),
)
