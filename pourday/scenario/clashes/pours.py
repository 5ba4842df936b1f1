"""What the ``[[pour]]`` tables cannot be: together they pour the floor once, none of it twice.

Pours arrive as a dict by their number in the file, from 1.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Any

from pourday.scenario.base.faults import Fault, clock, listed, names_differ, nearest, show, unknown
from pourday.scenario.base.trade import LEAST_PART, STOP_END_OFFSET
from pourday.scenario.presets import weather_samples
from pourday.scenario.tables.file import FloorTable
from pourday.scenario.tables.parts import ends_of_runs, extents, runs_named
from pourday.scenario.tables.pours import PourTable
from pourday.scenario.tables.supports import bay_name, between_lanes, sheet_joints, supports_of

Pours = Mapping[int, PourTable]
_YEARS = (2000, 2199)
_NEAR = 1e-6
_SAME = 0.005


def _at(number: int, pour: PourTable, key: str) -> str:
    return listed("pour", number, key, pour.name)


def _names_differ(pours: Pours) -> Iterator[Fault]:
    return names_differ("pour", {number: pour.name for number, pour in pours.items()})


def _plan_is_there(pours: Pours, raw_plans: Mapping[int, Mapping[str, Any]]) -> Iterator[Fault]:
    names = [plan["name"] for plan in raw_plans.values() if isinstance(plan.get("name"), str)]
    for number, pour in pours.items():
        if names and pour.plan not in names:
            rule = "the name of a [[plan]]"
            yield unknown(_at(number, pour, "plan"), pour.plan, names, rule, "the plans are")


def _days_in_order(pours: Pours) -> Iterator[Fault]:
    for number, pour in pours.items():
        if not _YEARS[0] <= pour.date.year <= _YEARS[1]:
            rule = f"a date from {_YEARS[0]} to {_YEARS[1]}"
            yield Fault(_at(number, pour, "date"), pour.date.isoformat(), rule)
    for (_, before), (number, pour) in pairwise(pours.items()):
        if pour.date <= before.date:
            rule = f"a day after that of the pour before it, {before.date.isoformat()}"
            yield Fault(_at(number, pour, "date"), pour.date.isoformat(), rule)


def _own_weather(pours: Pours) -> Iterator[Fault]:
    for number, pour in pours.items():
        if pour.sample is not None and pour.hours:
            yield Fault(_at(number, pour, "sample"), "both given", "sample or hours, not both")
        if pour.sample is not None and pour.sample not in weather_samples():
            advice = nearest(pour.sample, weather_samples(), "the sample days are")
            path = _at(number, pour, "sample")
            yield Fault(path, show(pour.sample), "a sample day", advice=advice)
        for row, (before, after) in enumerate(pairwise(pour.hours), start=2):
            if after.at <= before.at:
                rule = f"later than the row before it, {clock(before.at)}"
                yield Fault(_at(number, pour, f"hours[{row}].at"), clock(after.at), rule)


def _pour_the_floor(pours: Pours, floor: FloorTable) -> Iterator[Fault]:
    """Each by itself first; together only where every one of them can be placed."""
    if not pours or sum(floor.sheet_runs) != len(supports_of(floor)) - 1:
        return
    alone = [f for number, pour in pours.items() for f in _one(number, pour, floor)]
    yield from alone
    if not alone:
        yield from _together(pours, floor)


def _one(number: int, pour: PourTable, floor: FloorTable) -> Iterator[Fault]:
    x = supports_of(floor)
    if pour.bays:
        if pour.from_x_m is not None or pour.to_x_m is not None:
            yield Fault(_at(number, pour, "bays"), "both given", "bays, or from_x_m and to_x_m")
        yield from _bays(number, pour, floor)
        return
    for key, value in (("from_x_m", pour.from_x_m), ("to_x_m", pour.to_x_m)):
        if value is None:
            yield Fault(_at(number, pour, key), "missing", "bays, or from_x_m and to_x_m", "m")
        elif not x[0] - _NEAR <= value <= x[-1] + _NEAR:
            rule = f"{x[0]:g} to {x[-1]:g}, inside the floor"
            yield Fault(_at(number, pour, key), f"{value:g}", rule, "m")
    low, high = pour.from_x_m, pour.to_x_m
    if low is not None and high is not None and high - low < LEAST_PART:
        rule = f"{low + LEAST_PART:g} or more: a part at least {LEAST_PART:g} wide"
        yield Fault(_at(number, pour, "to_x_m"), f"{high:g}", rule, "m")


def _bays(number: int, pour: PourTable, floor: FloorTable) -> Iterator[Fault]:
    lanes = len(between_lanes(_cutting(floor), floor.length_y_m)) + 1
    count = len(floor.sheet_runs)
    of_run = {
        run: [bay_name(run, lane, lanes) for lane in range(lanes)] for run in range(1, count + 1)
    }
    known = [name for names in of_run.values() for name in names]
    path = _at(number, pour, "bays")
    strange = [name for name in pour.bays if name not in known and name not in map(str, of_run)]
    for name in strange:
        yield unknown(path, name, known, "bays of the floor", "the bays are")
    if strange:
        return
    runs = runs_named(pour)
    for run in runs:
        missing = [name for name in of_run[run] if name not in pour.bays]
        if str(run) not in pour.bays and missing:
            rule = "whole sheet runs: a stop end goes across all lanes"
            yield Fault(path, f"sheet run {run} without {', '.join(missing)}", rule)
    if runs != list(range(runs[0], runs[-1] + 1)):
        rule = "sheet runs side by side; pours that lie apart are pours of their own"
        yield Fault(path, f"sheet runs {', '.join(map(str, runs))}", rule)


def _cutting(floor: FloorTable) -> list[float]:
    return floor.primary_beams_y_m if floor.cut_at_primary_beams else []


def _together(pours: Pours, floor: FloorTable) -> Iterator[Fault]:
    """Overlaps and gaps in plain words; then where the stop ends lie."""
    found = extents(pours, floor)
    order = sorted(found, key=lambda number: found[number])
    x = supports_of(floor)
    first, last = order[0], order[-1]
    faults = []
    if found[first][0] > x[0] + _NEAR:
        faults.append(_gap(first, pours[first], x[0], found[first][0]))
    for a, b in pairwise(order):
        end, begin = found[a][1], found[b][0]
        if begin < end - _NEAR:
            what = f'x {begin:g} to {end:g} is poured by "{pours[a].name}" too'
            faults.append(Fault(listed("pour", b, "", pours[b].name), what, "each place once", "m"))
        elif begin > end + _NEAR:
            faults.append(_gap(b, pours[b], end, begin))
    if found[last][1] < x[-1] - _NEAR:
        faults.append(_gap(last, pours[last], found[last][1], x[-1]))
    yield from faults
    if not faults:
        for a, b in pairwise(order):
            yield from _place(pours, floor, (a, b), found[a][1])


def _gap(number: int, pour: PourTable, low: float, high: float) -> Fault:
    path = listed("pour", number, "", pour.name)
    return Fault(path, f"x {low:g} to {high:g} beside it is in no pour", "all of the floor", "m")


def _place(pours: Pours, floor: FloorTable, sides: tuple[int, int], end: float) -> Iterator[Fault]:
    """A stop end that is not where the rule of the trade has it: a warning, with what it cuts."""
    below, above = sides
    step = 1 if below < above else -1
    usual = [joint + step * STOP_END_OFFSET for joint in sheet_joints(floor)]
    x = supports_of(floor)
    usual = [place for place in usual if x[0] < place < x[-1]]
    if any(abs(end - place) <= _SAME for place in usual):
        return
    first = min(below, above)
    key = "to_x_m" if first == below else "from_x_m"
    where = ", ".join(f"{place:g}" for place in usual) or "no sheet joint here"
    rule = (
        "600 mm from the beam centre at a sheet joint, on the side poured later "
        f"({where}; common practice, no source)"
    )
    found = f"{end:g}, {what_it_cuts(floor, end)}"
    path = _at(first, pours[first], key if not pours[first].bays else "bays")
    yield Fault(path, found, rule, "m", severity="warning")


def what_it_cuts(floor: FloorTable, end: float) -> str:
    """Where a stop end at ``end`` (m) lies, in words: what the engineer would look at."""
    x, joints = supports_of(floor), ends_of_runs(floor)[1:-1]
    near = min(x, key=lambda support: abs(support - end))
    off = abs(end - near) * 1000
    beam = f"the {'sheet joint' if any(abs(near - j) < _NEAR for j in joints) else 'beam'}"
    if off < 1:
        return f"on {beam} at {near:g}"
    low = max(s for s in x if s < end)
    high = min(s for s in x if s > end)
    part = (end - low) / (high - low)
    if 0.25 < part < 0.75:
        return f"in the middle of a span ({low:g} to {high:g}): the fresh edge lies where it sags"
    return f"{off:.0f} mm from {beam} at {near:g}"


Check = Callable[..., Iterator[Fault]]
POUR_CHECKS: Sequence[tuple[tuple[str, ...], Check]] = (
    (("pours",), _names_differ),
    (("pours", "raw_plans"), _plan_is_there),
    (("pours",), _days_in_order),
    (("pours",), _own_weather),
    (("pours", "floor"), _pour_the_floor),
)
