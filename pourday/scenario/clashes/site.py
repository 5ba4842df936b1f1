"""What cannot be true together of pumps, crews, fronts and upsets, each key alone in its range."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import pairwise

from pourday.scenario.base.faults import Fault, clock, join, listed, names_differ, show, unknown
from pourday.scenario.base.upsets import UpsetError, check_upset, fitted, parse_upset
from pourday.scenario.tables.file import FloorTable
from pourday.scenario.tables.site import (
    CrewTable,
    FrontTable,
    PlanTable,
    PumpTable,
    SetUpTable,
    SiteTable,
    SupplyTable,
    UpsetsTable,
)
from pourday.scenario.tables.standby import StandbyTable
from pourday.scenario.tables.supports import bay_name, between_lanes

Plans = Mapping[int, PlanTable]
Pumps = Mapping[str, PumpTable]


def fronts_of(number: int, plan: PlanTable) -> list[tuple[str, PlanTable | FrontTable]]:
    """Path and table of every front of a plan; the first is the plan itself."""
    own = listed("plan", number, "", plan.name)
    more = [(f"{own} fronts[{n}]", front) for n, front in enumerate(plan.fronts, start=1)]
    return [(own, plan), *more]


def bay_names(floor: FloorTable) -> list[str]:
    """Names of all bays."""
    beams = floor.primary_beams_y_m if floor.cut_at_primary_beams else []
    lanes = len(between_lanes(beams, floor.length_y_m)) + 1
    runs = range(1, len(floor.sheet_runs) + 1)
    return [bay_name(run, lane, lanes) for run in runs for lane in range(lanes)]


def _fronts_have_pump_and_crew(
    plans: Plans, pump_names: Sequence[str], crew_names: Sequence[str]
) -> Iterator[Fault]:
    for number, plan in plans.items():
        for path, front in fronts_of(number, plan)[1:]:
            for key, names in (("pump", pump_names), ("crew", crew_names)):
                chosen = getattr(front, key)
                if names and chosen not in names:
                    rule = f"the name of a [{key}s.NAME] table"
                    yield unknown(f"{path}.{key}", chosen, names, rule, f"the {key}s are")


def _bays_of_fronts(plans: Plans, floor: FloorTable) -> Iterator[Fault]:
    known = bay_names(floor)
    for number, plan in plans.items():
        taken: dict[str, str] = {}
        fronts = fronts_of(number, plan)
        wrong = False
        for path, front in fronts:
            for bay in front.bays:
                if bay not in known:
                    wrong = True
                    yield unknown(f"{path}.bays", bay, known, "names of bays", "the bays are")
                elif bay in taken:
                    wrong = True
                    rule = f"each bay once; {taken[bay]} has it already"
                    yield Fault(f"{path}.bays", show(bay), rule)
                taken.setdefault(bay, path)
        left = [bay for bay in known if bay not in taken]
        if left and not wrong and all(front.bays for _, front in fronts):
            path = f"{fronts[-1][0]}.bays"
            found = f"no front for bay{'s' if len(left) > 1 else ''} {', '.join(left)}"
            yield Fault(path, found, "", advice="name them, or leave bays out for one front")
        elif len(fronts) > len(known):
            found = f"{len(fronts)} fronts"
            yield Fault(fronts[0][0], found, f"up to {len(known)}, one for each bay")


def _set_ups_are_there(plans: Plans, site: SiteTable, pumps: Pumps) -> Iterator[Fault]:
    places = {place.name: place for place in site.set_ups}
    for number, plan in plans.items():
        for path, front in fronts_of(number, plan):
            for name in front.set_ups:
                if name not in places:
                    rule = "the name of a [[site.set_ups]]"
                    yield unknown(f"{path}.set_ups", name, places, rule, "the places are")
            if front.pump in pumps:
                yield from _pump_at_its_places(path, front, pumps[front.pump], places)


def _pump_at_its_places(
    path: str,
    front: PlanTable | FrontTable,
    pump: PumpTable,
    places: Mapping[str, SetUpTable],
) -> Iterator[Fault]:
    key = join("pumps", front.pump, "reach_m")
    if len(front.set_ups) > 1 and pump.means != "boom":
        what = "a line pump" if pump.means == "line" else "a crane"
        found = f"{len(front.set_ups)} places for {what}"
        yield Fault(f"{path}.set_ups", found, "one place; only a boom moves in the day")
    if pump.means == "boom" and front.set_ups and pump.reach_m is None:
        found = f"left out while {path} has set-up places"
        advice = "the boom is taken to reach the whole floor from the first place"
        yield Fault(key, found, "", "", advice, "warning")
    if pump.means == "boom" and not front.set_ups and pump.reach_m is not None:
        found = f"no place while {key} is {pump.reach_m:g}"
        advice = "the reach has no effect; name places in site.set_ups and here"
        yield Fault(f"{path}.set_ups", found, "", "", advice, "warning")
    if pump.means == "skip" and pump.skip_m3 is not None:
        for name in front.set_ups:
            if name in places and places[name].loading_m is None:
                advice = "the skip is taken to be filled at the foot of the crane"
                where = f'site.set_ups "{name}".loading_m'
                yield Fault(where, "left out", "", "", advice, "warning")


def _set_up_names_differ(site: SiteTable) -> Iterator[Fault]:
    seen: set[str] = set()
    for number, place in enumerate(site.set_ups, start=1):
        if place.name in seen:
            yield Fault(f"site.set_ups[{number}].name", show(place.name), "a name of its own")
        seen.add(place.name)


def _standby_names_differ(standbys: Mapping[int, StandbyTable]) -> Iterator[Fault]:
    return names_differ("standby", {number: each.name for number, each in standbys.items()})


def _plants_are_there(plans: Plans, supply: SupplyTable) -> Iterator[Fault]:
    names = [plant.name for plant in supply.plants]
    for number, plan in plans.items():
        for path, front in fronts_of(number, plan):
            for name in front.plants:
                if name not in names:
                    rule = "the name of a [[supply.plants]]"
                    yield unknown(f"{path}.plants", name, names, rule, "the plants are")


def _stages_rise(plans: Plans) -> Iterator[Fault]:
    for number, plan in plans.items():
        for n, (before, after) in enumerate(pairwise(plan.stages), start=2):
            if after.until_share <= before.until_share:
                path = listed("plan", number, f"stages[{n}].until_share", plan.name)
                rule = f"more than the stage before it, {before.until_share:g}"
                yield Fault(path, f"{after.until_share:g}", rule)


def _rush_hours(supply: SupplyTable) -> Iterator[Fault]:
    for number, rush in enumerate(supply.rush_hours, start=1):
        if rush.ends <= rush.begins:
            path = f"supply.rush_hours[{number}].ends"
            yield Fault(path, clock(rush.ends), f"after its begin, {clock(rush.begins)}")


def _skip_keys(pumps: Pumps) -> Iterator[Fault]:
    for name, pump in pumps.items():
        if pump.means != "skip":
            for key in ("skip_m3", "other_lifts_every_min"):
                if getattr(pump, key) is not None:
                    advice = f'it has no effect; only with means = "skip", not "{pump.means}"'
                    path = join("pumps", name, key)
                    yield Fault(path, f"{getattr(pump, key):g}", "", "", advice, "warning")


def _roles_of_crews(crews: Mapping[str, CrewTable]) -> Iterator[Fault]:
    for name, crew in crews.items():
        if crew.roles is not None:
            needed = sum(dict(crew.roles).values())
            if needed != crew.placers:
                found = f"roles that add up to {needed} people"
                rule = f"{crew.placers}, the placers; finishers and others do not count here"
                yield Fault(join("crews", name, "roles"), found, rule)
        path = join("crews", name, "rate_when_short")
        if any(b > a for a, b in pairwise([1.0, *crew.rate_when_short])):
            yield Fault(path, "a share that rises", "shares that never rise, one missing first")
        if len(crew.rate_when_short) >= crew.placers:
            found = f"{len(crew.rate_when_short)} shares"
            yield Fault(path, found, f"fewer than the {crew.placers} placers")
        if crew.most_in_zone is not None and crew.most_in_zone > crew.placers:
            advice = f"it has no effect: there are {crew.placers} placers"
            where = join("crews", name, "most_in_zone")
            yield Fault(where, str(crew.most_in_zone), "", "", advice, "warning")


def _what_is_left_of_a_crew_places(
    crews: Mapping[str, CrewTable], site: SiteTable
) -> Iterator[Fault]:
    for name, crew in crews.items():
        away = math.ceil(crew.placers / 3)  # the largest third goes first
        listed_for = len(crew.rate_when_short)
        if site.breaks and crew.breaks_taken == "in_turn" and 0 < listed_for < away:
            found = f"{listed_for} shares, while breaks in turn leave {away} missing"
            advice = "nobody would place then: the breaks take longer than one together"
            path = join("crews", name, "rate_when_short")
            yield Fault(path, found, "", "", advice, "warning")


def _upsets_read(upsets: UpsetsTable) -> Iterator[Fault]:
    for number, text in enumerate(upsets.given, start=1):
        try:
            parse_upset(text)
        except UpsetError as error:
            path = f"upsets.given[{number}] ({show(text)})"
            yield Fault(path, error.found, error.allowed, advice=error.advice)


def _upsets_fit(
    upsets: UpsetsTable, plans: Plans, supply: SupplyTable, pumps: Pumps
) -> Iterator[Fault]:
    """A fault where an upset fits no plan, a warning where it fits some only."""
    plants = [plant.name for plant in supply.plants]
    for number, text in enumerate(upsets.given, start=1):
        try:
            upset = fitted(parse_upset(text), plants)
        except UpsetError:
            continue
        wrong: dict[str, str] = {}
        for n, plan in plans.items():
            means = [pumps[f.pump].means for _, f in fronts_of(n, plan) if f.pump in pumps]
            found = check_upset(upset, plants, means) if means else None
            if found:
                wrong[plan.name] = found
        if wrong:
            path = f"upsets.given[{number}] ({show(text)})"
            found = next(iter(wrong.values()))
            if len(wrong) == len(plans):
                yield Fault(path, found)
            else:
                names = ", ".join(map(show, wrong))
                yield Fault(path, f"{found} (plan {names})", severity="warning")


Check = Callable[..., Iterator[Fault]]
SITE_CHECKS: Sequence[tuple[tuple[str, ...], Check]] = (
    (("plans", "pump_names", "crew_names"), _fronts_have_pump_and_crew),
    (("plans", "floor"), _bays_of_fronts),
    (("site",), _set_up_names_differ),
    (("standbys",), _standby_names_differ),
    (("plans", "site", "pumps"), _set_ups_are_there),
    (("plans", "supply"), _plants_are_there),
    (("plans",), _stages_rise),
    (("supply",), _rush_hours),
    (("pumps",), _skip_keys),
    (("crews",), _roles_of_crews),
    (("crews", "site"), _what_is_left_of_a_crew_places),
    (("upsets",), _upsets_read),
    (("upsets", "plans", "supply", "pumps"), _upsets_fit),
)
