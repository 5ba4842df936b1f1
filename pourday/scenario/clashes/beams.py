"""What cannot be true together about what carries the deck and what lies on it before the pour.

Beam lines and stacks are counted from 1, as the file does.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise

from pourday.scenario.base.faults import Fault, show
from pourday.scenario.tables.deck import BeamLine, BeamsTable, LoadsTable, PropsTable
from pourday.scenario.tables.file import FloorTable
from pourday.scenario.tables.supports import inside_the_floor, supports_of

SAME_PLACE = 1e-6
"""Places closer than this are one, m."""
_SECTION = ("I_cm4", "E_GPa", "precamber_mm", "continuous")


def _at(number: int, key: str) -> str:
    return f"beams.lines[{number}].{key}"


def _one_place_each(beams: BeamsTable) -> Iterator[Fault]:
    seen: dict[tuple[str, float], int] = {}
    for number, line in enumerate(beams.lines, start=1):
        if (line.x_m is None) == (line.y_m is None):
            found = "neither given" if line.x_m is None else "both given"
            rule = "x_m for a secondary beam or y_m for a primary beam, exactly one of the two"
            yield Fault(f"{_at(number, 'x_m')}, {_at(number, 'y_m')}", found, rule, "m")
            continue
        key, place = _place(line)
        if (key, round(place, 6)) in seen:
            first = seen[key, round(place, 6)]
            rule = f"a place of its own; line {first} has this one"
            yield Fault(_at(number, key), f"{place:g}", rule, "m")
        seen.setdefault((key, round(place, 6)), number)


def _lines_on_beams(beams: BeamsTable, floor: FloorTable) -> Iterator[Fault]:
    for number, line in enumerate(beams.lines, start=1):
        if (line.x_m is None) == (line.y_m is None):
            continue
        key, place = _place(line)
        known = supports_of(floor) if key == "x_m" else floor.primary_beams_y_m
        what = "support of the floor" if key == "x_m" else "primary beam, floor.primary_beams_y_m"
        near = min(known, key=lambda other: abs(other - place), default=None)
        if near is None:
            yield Fault(_at(number, key), f"{place:g}", f"the place of a {what}; there is none")
        elif round(near, 6) != round(place, 6):  # as build.py looks lines up
            rule = f"the place of a {what}; the nearest is at {near:g}"
            yield Fault(_at(number, key), f"{place:g}", rule, "m")


def _walls_are_plain(beams: BeamsTable) -> Iterator[Fault]:
    for number, line in enumerate(beams.lines, start=1):
        for key in _SECTION:
            value = getattr(line, key)
            if line.kind == "wall" and value is not None:
                rule = 'nothing here while kind is "wall"'
                advice = f'leave {key} out, or kind = "beam"'
                yield Fault(_at(number, key), show(value), rule, advice=advice)


def _lines_have_sections(beams: BeamsTable) -> Iterator[Fault]:
    for number, line in enumerate(beams.lines, start=1):
        if line.kind == "wall" or line.I_cm4 is not None:
            continue
        if (line.x_m is None) == (line.y_m is None):
            continue
        table = "secondary" if line.x_m is not None else "primary"
        if getattr(beams, table) is None:
            rule = f"a number, because there is no [beams.{table}] to take it from"
            yield Fault(_at(number, "I_cm4"), "missing", rule, "cm⁴")


def _primaries_have_places(beams: BeamsTable, floor: FloorTable) -> Iterator[Fault]:
    if beams.primary is not None and not floor.primary_beams_y_m:
        rule = "the y of every primary beam, because [beams.primary] is given"
        yield Fault("floor.primary_beams_y_m", "missing", rule, "m")


def _primaries_have_columns(beams: BeamsTable, floor: FloorTable) -> Iterator[Fault]:
    bend, columns = _bending_primaries(beams, floor), beams.columns_x_m
    if bend and len(columns) < 2:
        found = f"{len(columns)} column" if columns else "missing"
        which = ", ".join(f"{y:g}" for y in bend)
        rule = f"the x of two columns or more, because the primary beams at y {which} stand on them"
        yield Fault("beams.columns_x_m", found, rule, "m", 'kind = "wall" for a line on a wall')
    elif columns and not bend:
        found = "given while no primary beam bends"
        advice = "they carry nothing; give a table beams.primary, or leave them out"
        yield Fault("beams.columns_x_m", found, advice=advice, severity="warning")


def _columns_inside(beams: BeamsTable, floor: FloorTable) -> Iterator[Fault]:
    x = supports_of(floor)
    for number, column in enumerate(beams.columns_x_m, start=1):
        path = f"beams.columns_x_m[{number}]"
        if not x[0] - SAME_PLACE <= column <= x[-1] + SAME_PLACE:
            rule = f"{x[0]:g} to {x[-1]:g}, inside the floor"
            yield Fault(path, f"{column:g}", rule, "m")
    for number, (before, column) in enumerate(pairwise(beams.columns_x_m), start=2):
        if column <= before + SAME_PLACE:
            path = f"beams.columns_x_m[{number}]"
            yield Fault(path, f"{column:g}", f"more than the one before it, {before:g}", "m")


def _primaries_carry_something(beams: BeamsTable, floor: FloorTable) -> Iterator[Fault]:
    """Without secondary beams every support line is a wall, and no load reaches a primary."""
    if beams.secondary is not None or not _bending_primaries(beams, floor):
        return
    if not any(line.x_m is not None and line.I_cm4 is not None for line in beams.lines):
        rule = "a table with I_cm4, because primary beams carry secondary beams"
        advice = "left out, every support of the deck is a wall"
        yield Fault("beams.secondary", "missing", rule, advice=advice)


def _props_have_one_capacity(props: PropsTable) -> Iterator[Fault]:
    """Capacity per metre of line, or of one prop with the distance of props; never both or half."""
    if props.prop_capacity_kN is not None and props.capacity_kN_per_m is not None:
        rule = "one of the two: a metre of the line, or one prop with prop_spacing_m"
        yield Fault("props.capacity_kN_per_m, props.prop_capacity_kN", "both given", rule)
    elif (props.prop_capacity_kN is None) != (props.prop_spacing_m is None):
        missing, there = "prop_spacing_m", "prop_capacity_kN"
        if props.prop_capacity_kN is None:
            missing, there = there, missing
        yield Fault(f"props.{missing}", "missing", f"a value, because {there} is given")


def _overhangs_at_edges(floor: FloorTable) -> Iterator[Fault]:
    """Where sheets go on into another pour nothing hangs over, and none is longer than its span."""
    x = supports_of(floor)
    for side, span in (("low_x", x[1] - x[0]), ("high_x", x[-1] - x[-2])):
        length = getattr(floor, f"{side}_overhang_m")
        path = f"floor.{side}_overhang_m"
        if length > 0 and getattr(floor, f"{side}_end") == "joint":
            rule = f'0, because {side}_end = "joint": the sheets go on there'
            yield Fault(path, f"{length:g}", rule, "m")
        elif length > span / 2:
            rule = f"up to {span / 2:g}, half of the span behind it"
            yield Fault(path, f"{length:g}", rule, "m")


def _stacks_inside(loads: LoadsTable, floor: FloorTable) -> Iterator[Fault]:
    return inside_the_floor("loads.stacks", loads.stacks, floor)


def _place(line: BeamLine) -> tuple[str, float]:
    """Key and value of the place of a line that names exactly one."""
    return ("x_m", line.x_m) if line.x_m is not None else ("y_m", line.y_m or 0.0)


def _bending_primaries(beams: BeamsTable, floor: FloorTable) -> list[float]:
    """y of the primary beams that have a section, from [beams.primary] or their own line."""
    lines = {round(line.y_m, 6): line for line in beams.lines if line.y_m is not None}
    out = []
    for y in floor.primary_beams_y_m:
        line = lines.get(round(y, 6))
        wall = line is not None and line.kind == "wall"
        own = line is not None and line.I_cm4 is not None
        if not wall and (own or beams.primary is not None):
            out.append(y)
    return out


Check = Callable[..., Iterator[Fault]]
BEAM_CHECKS: Sequence[tuple[tuple[str, ...], Check]] = (
    (("beams",), _one_place_each),
    (("beams", "floor"), _lines_on_beams),
    (("beams",), _walls_are_plain),
    (("beams",), _lines_have_sections),
    (("beams", "floor"), _primaries_have_places),
    (("beams", "floor"), _primaries_have_columns),
    (("beams", "floor"), _columns_inside),
    (("beams", "floor"), _primaries_carry_something),
    (("loads", "floor"), _stacks_inside),
    (("props",), _props_have_one_capacity),
    (("floor",), _overhangs_at_edges),
)
