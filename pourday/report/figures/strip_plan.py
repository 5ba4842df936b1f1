"""The strip plan: the floor to scale, every strip with its number and the way of its front."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.figure import Figure

from pourday.floor.cut import Bay, FloorCut
from pourday.floor.layout import Layout
from pourday.floor.strips import Strip
from pourday.outcome.measure import Outcome
from pourday.report.figures.floor import BAND, Pen, axes_of, lay_on_sheet
from pourday.report.figures.page import page, type_size
from pourday.report.figures.set_ups import (
    Place,
    begins,
    bounds_of,
    changes_of,
    draw_changes,
    draw_places,
    front_facts,
    legend_of,
    places_of,
    strip_tags,
)
from pourday.report.figures.strip_legend import KINDS, LINES, joints, legend, numbers_of_fronts
from pourday.report.figures.strip_marks import draw_mark, strip_marks
from pourday.report.figures.style import GREY, INK
from pourday.report.units import SI, Units
from pourday.scenario.model.scenario import FloorPlan, Opening, Plan, Scenario

_HATCH = GREY


def strip_plan(
    scenario: Scenario,
    plan: Plan,
    layout: Layout,
    when: Outcome | None = None,
    units: Units = SI,
) -> Figure:
    """Plan of the floor to scale with the order of its strips.

    Args:
        scenario: the floor.
        plan: its order.
        layout: what ``floor.layout.lay_out`` made of both.
        when: a day of the plan, for the clock times of every strip.
        units: of the reader.
    """
    floor, fronts = scenario.floor, len(plan.fronts)
    places = places_of(scenario, plan, layout)
    sheet = lay_on_sheet(floor, layout, bounds_of(floor, places))
    day = None if when is None else when.log.seed
    facts = (_facts(scenario, plan, layout, units),)
    figure = page("Strip plan", scenario.title, plan.name, day, facts, sheet.scale)
    pen = axes_of(figure, sheet, units)
    for strip in layout.strips:
        _ground(pen, strip)
    _lines(pen, scenario, layout.cut)
    for opening in floor.openings:
        _opening(pen, opening, places)
    changes = changes_of(layout)
    draw_changes(pen, layout, changes)
    tags = strip_tags(layout, places)
    for mark in strip_marks(layout, sheet, tags, when):
        draw_mark(pen, floor, mark)
    front_of = {strip.bay: f for strip, f in zip(layout.strips, layout.front_of, strict=True)}
    for bay in layout.cut.bays:
        pump = f", pump {front_of[bay.name] + 1}" if fronts > 1 and bay.name in front_of else ""
        _bay_name(pen, floor, bay, pump)
    for front, first in enumerate(begins(layout)):
        words = "BEGIN" if fronts == 1 else f"BEGIN {front + 1}"
        _begin(pen, floor, layout.strips[first], layout.upward[first], words)
    draw_places(pen, floor, places, fronts)
    extra = [*numbers_of_fronts(fronts), *legend_of(places, bool(changes), any(tags), units)]
    legend(figure, scenario, layout, sheet, extra)
    return figure


def _facts(scenario: Scenario, plan: Plan, layout: Layout, units: Units) -> str:
    strips = f"{len(layout.strips)} strips, {units.volume.text(layout.volume.sum())} as struck."
    if len(plan.fronts) > 1:
        return f"{strips} {front_facts(scenario, plan, layout, units)}"
    return (
        f"{strips} Begin with strip 1 (bay {layout.strips[0].bay}) and follow the numbers; place "
        "each strip the way its arrow points."
    )


def _opening(pen: Pen, opening: Opening, places: Sequence[Place]) -> None:
    """An opening, crossed out, with its name clear of places that stand inside it."""
    (x0, x1), (y0, y1) = opening.x, opening.y
    pen.box(x0, x1, y0, y1, facecolor="white", edgecolor=INK, linewidth=1.0, zorder=5)
    pen.line(x0, y0, x1, y1, color=INK, linewidth=0.8, zorder=5)
    pen.line(x0, y1, x1, y0, color=INK, linewidth=0.8, zorder=5)
    across = (y1 - y0 if pen.turned else x1 - x0) * pen.points
    size = type_size(opening.name, across - 4, 7, least=4.5)
    inside = any(x0 <= place.x <= x1 and y0 <= place.y <= y1 for place in places)
    at = ((x0 + x1) / 2, y0 + (0.85 if inside else 0.5) * (y1 - y0))
    pen.text(*at, opening.name, size=size)


def _ground(pen: Pen, strip: Strip) -> None:
    _, fill, hatch, _ = KINDS[strip.kind]
    place = (strip.x0, strip.x1, strip.y0, strip.y1)
    pen.box(*place, facecolor=fill, edgecolor=_HATCH, hatch=hatch, linewidth=0, zorder=1)
    pen.box(*place, facecolor="none", edgecolor=INK, linewidth=1.1, zorder=2)


def _lines(pen: Pen, scenario: Scenario, cut: FloorCut) -> None:
    floor, end, over = scenario.floor, scenario.floor.length_y, 8 / pen.points
    at_joints = joints(cut)
    for x in floor.supports:
        if x not in at_joints:
            pen.line(x, -over, x, end + over, zorder=3, **LINES["support"])
    for x in at_joints:
        for side in (-1.3 / pen.points, 1.3 / pen.points):
            pen.line(x + side, -over, x + side, end + over, color=INK, linewidth=1.0, zorder=3)
    for y in floor.primary_beams_y:
        ends = (floor.supports[0] - over, y, floor.supports[-1] + over, y)
        pen.line(*ends, zorder=2.5, **LINES["primary"])
    for x in scenario.props.lines_x:
        pen.line(x, -over, x, end + over, zorder=3, **LINES["prop"])
    for x in floor.stop_ends_x:
        pen.line(x, -over, x, end + over, zorder=3.5, **LINES["stop end"])
        pen.text(
            x,
            end + (29 if pen.turned else 17) / pen.points,
            "stop end",
            size=7,
            weight="bold",
            zorder=7,
        )


def _bay_name(pen: Pen, floor: FloorPlan, bay: Bay, pump: str) -> None:
    """The bay's name, and its pump, at its low end, at the first place that no opening takes."""
    k = pen.points
    room = ((bay.y1 - bay.y0) if pen.turned else (bay.x1 - bay.x0)) * k
    low, high = bay.y0, bay.y0 + BAND[pen.turned] / k
    holes = [h.x for h in floor.openings if h.y[0] < high and h.y[1] > low]
    tries: list[tuple[bool, int, float, str, float]] = []
    for name in (f"bay {bay.name}{pump}", f"{bay.name}{pump}"):
        size = type_size(name, room - 6, 8, least=5)
        reach = (0.7 * size if pen.turned else 0.35 * size * len(name)) / k
        for share in (0.5, 0.25, 0.75, 0.12, 0.88):
            x = bay.x0 + share * (bay.x1 - bay.x0)
            hit = any(x + reach > a and x - reach < b for a, b in holes)
            tries.append((hit, len(tries), x, name, size))
    _, _, x, name, size = min(tries)
    pen.text(x, (low + high) / 2, name, size=size, style="italic", gid=f"bay {bay.name}")


def _begin(pen: Pen, floor: FloorPlan, first: Strip, up: bool, what: str) -> None:
    y, out = (first.y0, -1) if up else (first.y1, 1)
    at_edge = min(abs(y), abs(y - floor.length_y)) < 1e-6
    # Inside the floor the band of the bay's name stays free.
    band = BAND[pen.turned]
    off = (27 if pen.turned else 19) if at_edge else -(band + (21 if pen.turned else 11))
    at = y + out * off / pen.points
    end = y if at_edge or not up else y + band / pen.points
    box = {"boxstyle": "square,pad=0.25", "facecolor": INK, "edgecolor": INK}
    words = {"size": 7.5, "weight": "bold", "color": "white", "zorder": 8}
    pen.line(first.middle, at, first.middle, end, color=INK, linewidth=3, zorder=7)
    pen.text(first.middle, at, what, along=pen.turned, bbox=box, **words)
