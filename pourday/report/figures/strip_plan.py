"""The strip plan: the floor to scale, every strip with its number and the way of its front."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from matplotlib.artist import Artist
from matplotlib.figure import Figure
from matplotlib.legend_handler import HandlerBase
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.text import Text

from pourday.floor.cut import Bay, FloorCut
from pourday.floor.layout import Layout
from pourday.floor.strips import BEAM, EDGE, GAP, JOINT, Strip
from pourday.outcome.measure import Outcome
from pourday.report.figures.floor import BAND, Pen, Sheet, axes_of, lay_on_sheet
from pourday.report.figures.page import (
    GREY,
    INK,
    PALE,
    POINTS,
    WARM,
    page,
    type_size,
)
from pourday.report.figures.set_ups import (
    begins,
    bounds_of,
    changes_of,
    draw_changes,
    draw_places,
    front_facts,
    legend_of,
    number_style,
    number_words,
    places_of,
    strip_tags,
)
from pourday.report.words import clock
from pourday.scenario.model.scenario import FloorPlan, Plan, Scenario

KINDS = {
    BEAM: ("B", PALE, "///", "B  beam: at a support"),
    GAP: ("G", "white", "", "G  gap: middle of a span"),
    JOINT: ("J", WARM, "xxx", "J  joint: at a sheet joint"),
    EDGE: ("E", "#e9e9e9", "...", "E  edge: at the floor edge"),
}
"""Letter, fill, hatch and words for each kind of strip."""
_DIGIT = 0.72  # width of a bold digit, as a share of the type size
_HATCH = "#a9a9a9"
_LINES: dict[str, dict[str, Any]] = {
    "support": {"color": INK, "linewidth": 0.7, "linestyle": (0, (9, 2.5, 1.5, 2.5))},
    "primary": {"color": GREY, "linewidth": 3.0, "linestyle": "-"},
    "prop": {"color": INK, "linewidth": 0.9, "linestyle": (0, (1.5, 2.5))},
    "stop end": {"color": INK, "linewidth": 3.0, "linestyle": (0, (2.5, 1))},
}


class _Joint:
    """Stands for the double line of a sheet joint in the legend."""


class _Opening:
    """Stands for a crossed-out opening in the legend."""


class _Number:
    """Stands for the number of a strip in the legend, in the look of its front."""

    def __init__(self, look: dict[str, Any]) -> None:
        self.look = look


class _Written(HandlerBase):
    """Writes the number that stands in the legend."""

    def create_artists(self, *args: Any) -> list[Artist]:
        """A number in the middle of the box that matplotlib gives."""
        _, handle, x, y, width, height, size, transform = args
        style: dict[str, Any] = {"size": size, "weight": "bold", "color": INK, "ha": "center"}
        style |= {"va": "center", "transform": transform}
        at = (0.5 * width - x, 0.5 * height - y)
        return [Text(*at, "12", **(style | handle.look))]


class _Drawn(HandlerBase):
    """Draws what stands in the legend from lines, each (x0, x1, y0, y1) in shares of its box."""

    def __init__(self, *lines: tuple[float, float, float, float]) -> None:
        super().__init__()
        self._lines = lines

    def create_artists(self, *args: Any) -> list[Artist]:
        """Lines in the box that matplotlib gives: legend, handle, x, y, width, height, ..."""
        _, _, x, y, width, height, _, transform = args
        style: dict[str, Any] = {"color": INK, "linewidth": 1.0, "transform": transform}
        return [
            Line2D([a * width - x, b * width - x], [c * height - y, d * height - y], **style)
            for a, b, c, d in self._lines
        ]


_HANDLERS: dict[Any, HandlerBase] = {
    _Number: _Written(),
    _Joint: _Drawn((0, 1, 0.38, 0.38), (0, 1, 0.66, 0.66)),
    _Opening: _Drawn(
        (0, 1, 0, 0), (0, 1, 1, 1), (0, 0, 0, 1), (1, 1, 0, 1), (0, 1, 0, 1), (0, 1, 1, 0)
    ),
}


def strip_plan(
    scenario: Scenario, plan: Plan, layout: Layout, when: Outcome | None = None
) -> Figure:
    """Plan of the floor to scale with the order of its strips.

    Args:
        scenario: the floor.
        plan: its order.
        layout: what ``floor.layout.lay_out`` made of both.
        when: a day of the plan, for the clock times of every strip.
    """
    floor = scenario.floor
    fronts = len(plan.fronts)
    places = places_of(scenario, plan, layout)
    sheet = lay_on_sheet(floor, layout, bounds_of(floor, places))
    strips = f"{len(layout.strips)} strips, {layout.volume.sum():.0f} m³ as struck."
    facts = (
        f"{strips} Begin with strip 1 (bay {layout.strips[0].bay}) and follow the numbers; place "
        "each strip the way its arrow points.",
    )
    if fronts > 1:
        facts = (f"{strips} {front_facts(scenario, plan, layout)}",)
    day = None if when is None else when.log.seed
    figure = page("Strip plan", scenario.title, plan.name, day, facts, sheet.scale)
    pen = axes_of(figure, sheet)
    for strip in layout.strips:
        _ground(pen, strip)
    _lines(pen, scenario, layout.cut)
    for opening in floor.openings:
        (x0, x1), (y0, y1) = opening.x, opening.y
        pen.box(x0, x1, y0, y1, facecolor="white", edgecolor=INK, linewidth=1.0, zorder=5)
        pen.line(x0, y0, x1, y1, color=INK, linewidth=0.8, zorder=5)
        pen.line(x0, y1, x1, y0, color=INK, linewidth=0.8, zorder=5)
        across = (y1 - y0 if pen.turned else x1 - x0) * pen.points
        size = type_size(opening.name, across - 4, 7, least=4.5)
        inside = any(x0 <= place.x <= x1 and y0 <= place.y <= y1 for place in places)
        at = ((x0 + x1) / 2, y0 + (0.85 if inside else 0.5) * (y1 - y0))
        pen.text(*at, opening.name, size=size)
    changes = changes_of(layout)
    draw_changes(pen, layout, changes)
    tags = strip_tags(layout, places)
    sizes = _number_sizes(layout, sheet)
    for i, (strip, up) in enumerate(zip(layout.strips, layout.upward, strict=True)):
        times = None if when is None else _times(when, i)
        style = number_style(layout.front_of[i], fronts)
        from_place = (tags[i], changes.get(i, []))
        _strip(pen, floor, strip, up, i + 1, sizes[i], times, from_place, style)
    front_of = {strip.bay: f for strip, f in zip(layout.strips, layout.front_of, strict=True)}
    for bay in layout.cut.bays:
        pump = f", pump {front_of[bay.name] + 1}" if fronts > 1 and bay.name in front_of else ""
        _bay_name(pen, floor, bay, pump)
    for front, first in enumerate(begins(layout)):
        words = "BEGIN" if fronts == 1 else f"BEGIN {front + 1}"
        _begin(pen, floor, layout.strips[first], layout.upward[first], words)
    draw_places(pen, floor, places, fronts)
    extra = (
        [(_Number(number_style(n, fronts)), number_words(n)) for n in range(fronts)]
        if fronts > 1
        else []
    )
    extra += legend_of(places, bool(changes), any(tags))
    _legend(figure, scenario, layout, sheet, extra)
    return figure


def _ground(pen: Pen, strip: Strip) -> None:
    _, fill, hatch, _ = KINDS[strip.kind]
    place = (strip.x0, strip.x1, strip.y0, strip.y1)
    pen.box(*place, facecolor=fill, edgecolor=_HATCH, hatch=hatch, linewidth=0, zorder=1)
    pen.box(*place, facecolor="none", edgecolor=INK, linewidth=1.1, zorder=2)


def _joints(cut: FloorCut) -> list[float]:
    """x of every sheet joint, floor ends that are joints with another pour among them."""
    floor = cut.floor
    low = [floor.supports[0]] if floor.low_x_end == JOINT else []
    high = [floor.supports[-1]] if floor.high_x_end == JOINT else []
    return [*low, *cut.joints, *high]


def _lines(pen: Pen, scenario: Scenario, cut: FloorCut) -> None:
    floor, end, over = scenario.floor, scenario.floor.length_y, 8 / pen.points
    joints = _joints(cut)
    for x in floor.supports:
        if x not in joints:
            pen.line(x, -over, x, end + over, zorder=3, **_LINES["support"])
    for x in joints:
        for side in (-1.3 / pen.points, 1.3 / pen.points):
            pen.line(x + side, -over, x + side, end + over, color=INK, linewidth=1.0, zorder=3)
    for y in floor.primary_beams_y:
        ends = (floor.supports[0] - over, y, floor.supports[-1] + over, y)
        pen.line(*ends, zorder=2.5, **_LINES["primary"])
    for x in scenario.props.lines_x:
        pen.line(x, -over, x, end + over, zorder=3, **_LINES["prop"])
    for x in floor.stop_ends_x:
        pen.line(x, -over, x, end + over, zorder=3.5, **_LINES["stop end"])
        pen.text(
            x,
            end + (29 if pen.turned else 17) / pen.points,
            "stop end",
            size=7,
            weight="bold",
            zorder=7,
        )


def _number_sizes(layout: Layout, sheet: Sheet) -> list[tuple[float, bool]]:
    """Type size (pt) of each strip's number, and whether it is written along the strip."""
    digits = len(str(len(layout.strips)))
    sizes = []
    for strip in layout.strips:
        across, along = (strip.x1 - strip.x0) * sheet.points, (strip.y1 - strip.y0) * sheet.points
        upright = min((across - 2) / (digits * _DIGIT), along / 4)
        lying = min(across / 1.18, along / (2.2 * digits))
        turn = sheet.turned or upright < 6.5
        sizes.append((lying if turn else upright, turn))
    cap = min(20.0, 1.5 * min(size for size, _ in sizes))
    return [(max(4.0, min(cap, size)), turn) for size, turn in sizes]


def _times(day: Outcome, strip: int) -> str:
    begin, end = float(day.strip_start[strip]), float(day.strip_end[strip])
    return "not placed" if math.isnan(begin) else f"{clock(begin)[:5]}–{clock(end)[:5]}"


def _strip(
    pen: Pen,
    floor: FloorPlan,
    strip: Strip,
    up: bool,
    number: int,
    size: tuple[float, bool],
    times: str | None,
    from_place: tuple[str, list[float]],
    look: dict[str, Any],
) -> None:
    """Arrow, number, letter, tag and times; all but the arrow keep clear of openings.

    ``from_place`` is the tag of the pump's place and where (y) it changes; ``look`` says how the
    number is written.
    """
    tag, changes = from_place
    k = pen.points
    low, high = strip.y0 + BAND[pen.turned] / k, strip.y1 - 3 / k
    # The arrow leaves the middle line of the strip free where a support runs along it.
    near = min(4 / k, 0.25 * (strip.x1 - strip.x0))
    on_support = any(abs(x - strip.middle) < near for x in floor.supports)
    way = strip.x0 + (0.2 if on_support else 0.5) * (strip.x1 - strip.x0)
    pen.arrow(way, *((low, high) if up else (high, low)))
    type_number, along = size
    half = type_number * (_DIGIT * len(str(number)) if along else 1.0) / 2
    type_letter = max(5.5, 0.6 * type_number)
    type_tag = min(type_letter, 0.9 * (strip.x1 - strip.x0) * k / (_DIGIT * 2))
    room_tag = 0.0
    if tag:
        lines = tag.split(" ")
        tag = (" " if pen.turned else "\n").join(lines)
        room_tag = type_tag * (0.68 * len(tag) if pen.turned else 1.25 * len(lines)) + 3
    block = 2 * half + type_letter * 1.3 + 4 + room_tag  # number, letter, tag, along y (pt)
    type_times = max(4.5, min(max(7.0, type_number / 2), 0.75 * (strip.x1 - strip.x0) * k))
    length = 0.62 * type_times * len(times or "")
    reach = min((strip.x1 - strip.x0) / 2, (half + 3) / k)  # of the writing, to either side
    taken = [(max(low, y - 4 / k), min(high, y + 4 / k)) for y in changes if low < y < high]
    a, b = _clear(floor, (strip.middle - reach, strip.middle + reach), (low, high), taken)
    middle = a + (0.5 if times is None or b - a > (block + 2 * length + 16) / k else 0.7) * (b - a)
    style: dict[str, Any] = {"size": type_number, "weight": "bold", "gid": f"order {number}"}
    style |= look
    pen.text(strip.middle, middle + block / 2 / k - half / k, f"{number}", along=along, **style)
    at = middle - (block / 2 - type_letter * 0.65 - room_tag) / k
    pen.text(strip.middle, at, KINDS[strip.kind][0], size=type_letter)
    if tag:
        at = middle - (block - room_tag) / 2 / k
        pen.text(strip.middle, at, tag, size=type_tag, gid=f"from {number}", linespacing=1.1)
    if times is not None and (b - a) * k > block + length:
        at = min(a + (b - a) / 4, middle - (block / 2 + length / 2 + 4) / k)
        at = max(at, a + length / 2 / k)
        pen.text(strip.middle, at, times, along=True, size=type_times, gid=f"times {number}")


def _clear(
    floor: FloorPlan,
    x: tuple[float, float],
    y: tuple[float, float],
    taken: Sequence[tuple[float, float]],
) -> tuple[float, float]:
    """The longest piece along ``y`` that is clear of openings between two x, and of ``taken``."""
    (left, right), (low, high) = x, y
    holes = [
        (max(low, h.y[0]), min(high, h.y[1]))
        for h in floor.openings
        if h.x[0] < right and h.x[1] > left and h.y[0] < high and h.y[1] > low
    ]
    holes += taken
    marks = [low, *(y for hole in sorted(holes) for y in hole), high]
    # Two that overlap leave a piece of no length, which is never the longest.
    return max(zip(marks[::2], marks[1::2], strict=True), key=lambda piece: piece[1] - piece[0])


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


def _legend(
    figure: Figure,
    scenario: Scenario,
    layout: Layout,
    sheet: Sheet,
    extra: Sequence[tuple[Any, str]],
) -> None:
    present = {strip.kind for strip in layout.strips}
    handles: list[Any] = []
    words: list[str] = []

    def add(handle: Any, text: str) -> None:
        handles.append(handle)
        words.append(text)

    for kind, (_, fill, hatch, text) in KINDS.items():
        if kind in present:
            add(Patch(facecolor=fill, edgecolor=GREY, hatch=hatch, linewidth=0.8), text)
    arrow: dict[str, Any] = {
        "color": INK,
        "linewidth": 0.9,
        "marker": ">",
        "markersize": 5,
        "markevery": [1],
    }
    add(Line2D([0, 1], [0, 0], **arrow), "way of the front")
    add(Line2D([], [], **_LINES["support"]), "support (beam, wall)")
    if _joints(layout.cut):
        add(_Joint(), "sheet joint (double line)")
    if scenario.floor.primary_beams_y:
        add(Line2D([], [], **_LINES["primary"]), "primary beam")
    if scenario.props.lines_x:
        add(Line2D([], [], **_LINES["prop"]), "prop line")
    if scenario.floor.stop_ends_x:
        add(Line2D([], [], **_LINES["stop end"]), "stop end")
    if scenario.floor.openings:
        add(_Opening(), "opening")
    for handle, text in extra:
        add(handle, text)
    width, height = figure.get_size_inches() * POINTS
    style: dict[str, Any] = {"fontsize": 8, "handlelength": 3.2, "handleheight": 1.3}
    style |= {"handler_map": _HANDLERS}
    if sheet.beside:
        at = ((width - 162) / width, (height - 54) / height)
        style |= {"loc": "upper left", "bbox_to_anchor": at, "labelspacing": 0.9}
    else:
        at = (0.5, 22 / height)
        style |= {"loc": "lower center", "bbox_to_anchor": at, "ncols": 5, "columnspacing": 1.6}
    figure.legend(handles, words, frameon=False, **style)
