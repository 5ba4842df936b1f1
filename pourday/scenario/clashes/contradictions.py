"""What cannot be true together in a scenario file, though every key alone is in its range.

Each check takes the tables it compares, as written in the file, and returns faults; a check runs
only where its tables could be read. Warnings name what the trade would look at twice.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Any

from pourday.scenario.base.faults import Fault, clock, join, listed
from pourday.scenario.base.trade import STOP_END_OFFSET
from pourday.scenario.clashes.beams import BEAM_CHECKS
from pourday.scenario.clashes.concrete import CONCRETE_CHECKS
from pourday.scenario.clashes.deck import DECK_CHECKS
from pourday.scenario.clashes.heat import HEAT_CHECKS
from pourday.scenario.clashes.people import PEOPLE_CHECKS
from pourday.scenario.clashes.plans import PLAN_CHECKS
from pourday.scenario.clashes.pours import POUR_CHECKS
from pourday.scenario.clashes.prices import PRICE_CHECKS
from pourday.scenario.clashes.search import SEARCH_CHECKS
from pourday.scenario.clashes.site import SITE_CHECKS
from pourday.scenario.presets import age_rule
from pourday.scenario.tables.concrete import MixTable, WeatherTable
from pourday.scenario.tables.deck import LoadsTable, PropsTable, SlabTable
from pourday.scenario.tables.file import FloorTable
from pourday.scenario.tables.site import DEFAULT_AGE_RULE, PumpTable, SiteTable, SupplyTable
from pourday.scenario.tables.supports import (
    LEAST_SPAN,
    MOST_SPAN,
    inside_the_floor,
    sheet_joints,
    supports_of,
)

WETTEST_SLUMP = 150.0
"""Slump up to which a pumped deck mix is ordered, 120 to 150 mm (common practice, no source)."""
HIGHEST_RELEASE = 300.0
"""Height of the hose over the deck that heaps little, mm (common practice, no source)."""
LEAST_OUTPUT = 0.1
"""Least share of the output that a line may leave before the entry is taken for a slip."""


def find(tables: Mapping[str, Any]) -> list[Fault]:
    """All contradictions and warnings among ``tables``.

    ``tables`` holds what could be read: tables by their key, ``pumps`` and ``crews`` as dicts by
    name, ``plans`` as a dict by number from 1 (``raw_plans`` as written), ``pump_names`` and
    ``crew_names`` as tuples of all names in the file, ``raw`` the whole file as written. A check
    whose tables are not all there is left out, and so is every check of the floor where it does not
    say once where its supports are.
    """
    faults = list(_supports_given_once(tables["floor"])) if "floor" in tables else []
    usable = {key: table for key, table in tables.items() if not (faults and key == "floor")}
    return faults + [
        fault
        for needs, check in _EVERY
        if all(need in usable for need in needs)
        for fault in check(*(usable[need] for need in needs))
    ]


def _warning(path: str, found: str, allowed: str, unit: str, advice: str) -> Fault:
    return Fault(path, found, allowed, unit, advice, "warning")


def _supports_given_once(floor: FloorTable) -> Iterator[Fault]:
    if (floor.supports_m is None) == (floor.spans_m is None):
        found = "both given" if floor.supports_m is not None else "neither given"
        yield Fault("floor.supports_m, floor.spans_m", found, "exactly one of the two", "m")


def _supports_in_order(floor: FloorTable) -> Iterator[Fault]:
    for number, (low, high) in enumerate(pairwise(floor.supports_m or []), start=2):
        if not LEAST_SPAN <= round(high - low, 9) <= MOST_SPAN:
            rule = f"from {LEAST_SPAN:g} to {MOST_SPAN:g} beyond the support before it, at {low:g}"
            yield Fault(f"floor.supports_m[{number}]", f"{high:g}", rule, "m")


def _runs_cover_the_spans(floor: FloorTable) -> Iterator[Fault]:
    spans, runs = len(supports_of(floor)) - 1, sum(floor.sheet_runs)
    if spans > 0 and runs != spans:
        found = f"runs that add up to {runs} spans"
        yield Fault("floor.sheet_runs", found, f"runs that add up to {spans}, the spans there are")


def _openings_inside(floor: FloorTable) -> Iterator[Fault]:
    return inside_the_floor("floor.openings", floor.openings, floor)


def _primary_beams_inside(floor: FloorTable) -> Iterator[Fault]:
    beams = floor.primary_beams_y_m
    for number, y in enumerate(beams, start=1):
        path = f"floor.primary_beams_y_m[{number}]"
        if not 0 <= y <= floor.length_y_m:
            yield Fault(path, f"{y:g}", f"0 to {floor.length_y_m:g}, inside the floor", "m")
        elif number > 1 and y <= beams[number - 2]:
            yield Fault(path, f"{y:g}", f"more than the one before it, {beams[number - 2]:g}", "m")


def _props_between_supports(floor: FloorTable, props: PropsTable) -> Iterator[Fault]:
    x = supports_of(floor)
    taken = list(x)
    for number, line in enumerate(props.lines_x_m, start=1):
        path = f"props.lines_x_m[{number}]"
        near = min(taken, key=lambda other: abs(other - line))
        if not x[0] < line < x[-1]:
            rule = f"more than {x[0]:g} and less than {x[-1]:g}, inside the floor"
            yield Fault(path, f"{line:g}", rule, "m")
        elif abs(near - line) < LEAST_SPAN:
            rule = f"at least {LEAST_SPAN:g} from the support or prop line at {near:g}"
            yield Fault(path, f"{line:g}", rule, "m")
        else:
            taken.append(line)


def _stop_ends(floor: FloorTable) -> Iterator[Fault]:
    x = supports_of(floor)
    places = sorted(
        place
        for joint in sheet_joints(floor)
        for place in (joint - STOP_END_OFFSET, joint + STOP_END_OFFSET)
        if x[0] < place < x[-1]
    )
    for number, end in enumerate(floor.stop_ends_x_m, start=1):
        path = f"floor.stop_ends_x_m[{number}]"
        if not x[0] < end < x[-1]:
            rule = f"more than {x[0]:g} and less than {x[-1]:g}, inside the floor"
            yield Fault(path, f"{end:g}", rule, "m")
        elif all(abs(end - place) > 0.005 for place in places):
            where = ", ".join(f"{place:g}" for place in places) or "none, no sheet joint here"
            usual = f"600 mm from the beam centre line at a sheet joint ({where})"
            yield _warning(path, f"{end:g}", usual, "m", "common practice, no source")


def _void_within_depth(slab: SlabTable, deck: Any) -> Iterator[Fault]:
    void = deck.void_volume_m3_per_m2 * 1000
    if void >= slab.depth_mm:
        rule = f"more than the void of the ribs spread out, {void:g} (deck.void_volume_m3_per_m2)"
        yield Fault("slab.depth_mm", f"{slab.depth_mm:g}", rule, "mm")


def _own_loads(loads: LoadsTable) -> Iterator[Fault]:
    for key in ("inside_kN_m2", "outside_kN_m2"):
        given = getattr(loads, key) is not None
        if loads.preset == "own" and not given:
            yield Fault(
                f"loads.{key}", "missing", 'a number, because loads.preset is "own"', "kN/m²"
            )
        elif loads.preset != "own" and given:
            found = f"{getattr(loads, key):g}"
            rule = f'nothing here while loads.preset is "{loads.preset}"'
            yield Fault(f"loads.{key}", found, rule, "kN/m²", 'leave it out, or preset = "own"')


def _mix_times(mix: MixTable) -> Iterator[Fault]:
    late = mix.retarder_min / 60
    least = mix.open_time_min / 60
    if mix.initial_set_h < least:
        rule = f"at least the open time, {least:g}"
        if late:
            rule += f" (the retarder adds {late:g} to both)"
        yield Fault("mix.initial_set_h", f"{mix.initial_set_h:g}", rule, "h")
    if mix.final_set_h <= mix.initial_set_h:
        rule = f"more than the initial set, {mix.initial_set_h:g}"
        yield Fault("mix.final_set_h", f"{mix.final_set_h:g}", rule, "h")


def _edge_shares(mix: MixTable) -> Iterator[Fault]:
    if mix.edge_cold_share <= mix.edge_stiff_share:
        rule = f"more than edge_stiff_share, {mix.edge_stiff_share:g}"
        yield Fault("mix.edge_cold_share", f"{mix.edge_cold_share:g}", rule)


def _slump_to_lose(mix: MixTable) -> Iterator[Fault]:
    if mix.least_slump_mm and mix.least_slump_mm >= mix.slump_mm:
        rule = f"less than slump_mm, {mix.slump_mm:g}: every load would be sent away"
        yield Fault("mix.least_slump_mm", f"{mix.least_slump_mm:g}", rule, "mm")
    elif mix.least_slump_mm and not mix.slump_loss_mm_h:
        advice = "without slump_loss_mm_h no slump is ever lost"
        yield Fault("mix.least_slump_mm", "given alone", "", "", advice, "warning")


def _slump(mix: MixTable) -> Iterator[Fault]:
    if mix.slump_mm > WETTEST_SLUMP:
        advice = "a wetter mix sags and bleeds more (common practice, no source)"
        usual = f"up to {WETTEST_SLUMP:g}"
        yield _warning("mix.slump_mm", f"{mix.slump_mm:g}", usual, "mm", advice)


def _weather_in_order(weather: WeatherTable) -> Iterator[Fault]:
    for number, (before, row) in enumerate(pairwise(weather.hours), start=2):
        if row.at <= before.at:
            rule = f"later than the row before it, {clock(before.at)}"
            yield Fault(f"weather.hours[{number}].at", clock(row.at), rule)


def _breaks_apart(site: SiteTable) -> Iterator[Fault]:
    due = sorted(
        (each.at, each.length_min, number)
        for number, each in enumerate(site.breaks, start=1)
        if each.at is not None
    )
    for (at, length, one), (after, _, two) in pairwise(due):
        end = at + length * 60
        if after < end:
            rule = f"not before the end of break {one}, {clock(end)}"
            yield Fault(f"site.breaks[{two}].at", clock(after), rule)


def _loads_of_trucks(supply: SupplyTable) -> Iterator[Fault]:
    for key in ("smallest_load_m3", "load_step_m3"):
        value = getattr(supply, key)
        if value > supply.load_m3:
            rule = f"up to supply.load_m3, {supply.load_m3:g}"
            yield Fault(f"supply.{key}", f"{value:g}", rule, "m³")


def _plant_names(supply: SupplyTable) -> Iterator[Fault]:
    seen: dict[str, int] = {}
    for number, plant in enumerate(supply.plants, start=1):
        if plant.name in seen:
            rule = f"a name of its own; plant {seen[plant.name]} has this one"
            yield Fault(f"supply.plants[{number}].name", f'"{plant.name}"', rule)
        seen.setdefault(plant.name, number)


def age_limit_min(supply: SupplyTable) -> float:
    """The age limit of a file on a mild day (min)."""
    if supply.age_limit_min is not None:
        return supply.age_limit_min
    return float(age_rule(supply.age_rule or DEFAULT_AGE_RULE)["limit_min"])


def _age_has_one_rule(supply: SupplyTable) -> Iterator[Fault]:
    if supply.age_rule is not None and supply.age_limit_min is not None:
        yield Fault("supply.age_rule", f'"{supply.age_rule}"', "a rule or age_limit_min, not both")


def _breaks_have_one_time(site: SiteTable) -> Iterator[Fault]:
    for number, each in enumerate(site.breaks, start=1):
        if (each.at is None) == (each.every_h is None):
            found = "neither" if each.at is None else "both"
            yield Fault(
                f"site.breaks[{number}]", found, "at (a clock time) or every_h, one of them"
            )


def _loads_arrive_in_time(supply: SupplyTable) -> Iterator[Fault]:
    for number, plant in enumerate(supply.plants, start=1):
        path = listed("supply.plants", number, "travel_min", plant.name)
        mean, limit = plant.travel_min.mean, age_limit_min(supply)
        if mean >= limit:
            rule = f"under the age limit, {limit:g}: no load would arrive in time"
            yield Fault(path, f"{mean:g}", rule, "min")
        elif mean > limit / 2:
            advice = f"the road takes more than half the age limit of {limit:g} min"
            yield _warning(path, f"{mean:g}", f"up to {limit / 2:g}", "min", advice)


def _slump_lasts_the_road(mix: MixTable, supply: SupplyTable) -> Iterator[Fault]:
    if not mix.slump_loss_mm_h:
        return
    life = (mix.slump_mm - mix.least_slump_mm) / mix.slump_loss_mm_h * 60
    for number, plant in enumerate(supply.plants, start=1):
        if life <= plant.travel_min.mean:
            path = listed("supply.plants", number, "travel_min", plant.name)
            rule = f"under {life:.3g}, when the mix has lost the slump it must keep"
            yield Fault(path, f"{plant.travel_min.mean:g}", rule, "min")


def _plant_hours(supply: SupplyTable) -> Iterator[Fault]:
    for number, plant in enumerate(supply.plants, start=1):
        if plant.closes is not None and plant.closes <= plant.opens:
            rule = f"later than opens, {clock(plant.opens)}"
            advice = '"25:00" is 1 am of the next day'
            path = f"supply.plants[{number}].closes"
            yield Fault(path, clock(plant.closes), rule, advice=advice)


def _line_losses(pumps: Mapping[str, PumpTable]) -> Iterator[Fault]:
    for name, pump in pumps.items():
        left = 1 - pump.output_loss_per_100m * pump.line_length_m / 100
        if left < LEAST_OUTPUT:
            found = f"{pump.output_loss_per_100m:g}, lost along {pump.line_length_m:g} m of line"
            rule = f"a loss that leaves {LEAST_OUTPUT:g} of the output or more"
            yield Fault(join("pumps", name, "output_loss_per_100m"), found, rule)


def _release_height(pumps: Mapping[str, PumpTable]) -> Iterator[Fault]:
    for name, pump in pumps.items():
        if pump.release_height_mm > HIGHEST_RELEASE:
            path = join("pumps", name, "release_height_mm")
            usual = f"up to {HIGHEST_RELEASE:g}"
            advice = "a high release heaps on the deck (common practice, no source)"
            yield _warning(path, f"{pump.release_height_mm:g}", usual, "mm", advice)


Check = Callable[..., Iterator[Fault]]
CHECKS: Sequence[tuple[tuple[str, ...], Check]] = (
    (("floor",), _supports_in_order),
    (("floor",), _runs_cover_the_spans),
    (("floor",), _openings_inside),
    (("floor",), _primary_beams_inside),
    (("floor", "props"), _props_between_supports),
    (("floor",), _stop_ends),
    (("slab", "deck"), _void_within_depth),
    (("loads",), _own_loads),
    (("mix",), _mix_times),
    (("mix",), _edge_shares),
    (("mix",), _slump),
    (("mix",), _slump_to_lose),
    (("weather",), _weather_in_order),
    (("site",), _breaks_apart),
    (("supply",), _loads_of_trucks),
    (("supply",), _plant_names),
    (("supply",), _loads_arrive_in_time),
    (("supply",), _age_has_one_rule),
    (("site",), _breaks_have_one_time),
    (("mix", "supply"), _slump_lasts_the_road),
    (("supply",), _plant_hours),
    (("pumps",), _line_losses),
    (("pumps",), _release_height),
)
_EVERY = (
    *CHECKS,
    *DECK_CHECKS,
    *BEAM_CHECKS,
    *PLAN_CHECKS,
    *SITE_CHECKS,
    *PEOPLE_CHECKS,
    *PRICE_CHECKS,
    *CONCRETE_CHECKS,
    *HEAT_CHECKS,
    *POUR_CHECKS,
    *SEARCH_CHECKS,
)
