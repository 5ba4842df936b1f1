"""The strip plan: the floor to scale, every strip with its number and the way of its front."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.legend_handler import HandlerBase
from matplotlib.lines import Line2D
from matplotlib.patches import Patch, Rectangle

from pourday.floor.bays import bays, sheet_runs
from pourday.floor.layout import Layout
from pourday.floor.strips import BEAM, EDGE, GAP, JOINT, Strip
from pourday.outcome.measure import Outcome
from pourday.report.figures_page import (
    A4,
    GREY,
    INK,
    PALE,
    POINTS,
    WARM,
    clock,
    page,
    type_size,
)
from pourday.scenario.model import FloorPlan, Plan, Scenario

KINDS = {
    BEAM: ("B", PALE, "///", "B  beam: at a support"),
    GAP: ("G", "white", "", "G  gap: middle of a span"),
    JOINT: ("J", WARM, "xxx", "J  joint: at a sheet joint"),
    EDGE: ("E", "#e9e9e9", "...", "E  edge: at the floor edge"),
}
"""Letter, fill, hatch and words for each kind of strip."""
_DIGIT = 0.72  # width of a bold digit, as a share of the type size
_ROUND = 30.0  # free border round the floor (pt)
_BAND = 15.0  # low end of every bay, kept for its name (pt)
_HATCH = "#a9a9a9"
_LINES: dict[str, dict[str, Any]] = {
    "support": {"color": INK, "linewidth": 0.7, "linestyle": (0, (9, 2.5, 1.5, 2.5))},
    "primary": {"color": GREY, "linewidth": 3.0, "linestyle": "-"},
    "prop": {"color": INK, "linewidth": 0.9, "linestyle": (0, (1.5, 2.5))},
    "stop end": {"color": INK, "linewidth": 3.0, "linestyle": (0, (2.5, 1))},
}


@dataclass(frozen=True)
class _Sheet:
    """How the floor lies on the sheet: points a metre, turned or not, legend below or beside."""

    scale: float
    points: float
    turned: bool
    beside: bool


class _Pair:
    """Stands for the double line of a sheet joint in the legend."""


class _PairHandler(HandlerBase):
    """Draws the double line."""

    def create_artists(self, *args: Any) -> list[Artist]:
        _, _, x, y, width, height, _, transform = args
        middle = height / 2 - y
        return [
            Line2D([x, x + width], [v, v], color=INK, linewidth=1.0, transform=transform)
            for v in (middle - 1.3, middle + 1.3)
        ]


@dataclass(frozen=True)
class _Pen:
    """Draws in metres of the floor, whichever way the floor lies on the sheet."""

    ax: Axes
    points: float
    turned: bool

    def box(self, x0: float, x1: float, y0: float, y1: float, **style: Any) -> None:
        corner = (y0, x0) if self.turned else (x0, y0)
        size = (y1 - y0, x1 - x0) if self.turned else (x1 - x0, y1 - y0)
        self.ax.add_patch(Rectangle(corner, *size, **style))

    def line(self, x0: float, y0: float, x1: float, y1: float, **style: Any) -> None:
        ends = ([y0, y1], [x0, x1]) if self.turned else ([x0, x1], [y0, y1])
        self.ax.plot(*ends, **style)

    def arrow(self, x: float, y0: float, y1: float) -> None:
        tail, head = ((y0, x), (y1, x)) if self.turned else ((x, y0), (x, y1))
        style = {"arrowstyle": "-|>", "color": INK, "linewidth": 0.9, "mutation_scale": 7}
        style |= {"shrinkA": 0, "shrinkB": 0}
        self.ax.annotate("", head, tail, arrowprops=style, zorder=4)
        self.ax.plot(*tail, marker="o", markersize=2.6, color=INK, zorder=4)

    def text(self, x: float, y: float, words: str, *, along: bool = False, **style: Any) -> None:
        """Words in a white box; ``along`` the strip where it stands upright on the sheet."""
        at = (y, x) if self.turned else (x, y)
        box = {"boxstyle": "square,pad=0.12", "facecolor": "white", "edgecolor": "none"}
        style = {"bbox": box, "zorder": 6, "color": INK, "ha": "center", "va": "center"} | style
        rotation = 90 if along and not self.turned else 0
        self.ax.text(*at, words, rotation=rotation, **style)


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
    sheet = _sheet(floor, layout)
    first = layout.strips[0]
    facts = (
        f"{len(layout.strips)} strips, {layout.volume.sum():.0f} m³ as struck. Begin with strip 1 "
        f"(bay {first.bay}) and follow the numbers; place each strip the way its arrow points.",
    )
    day = None if when is None else when.log.seed
    figure = page("Strip plan", scenario.title, plan.name, day, facts, sheet.scale)
    pen = _axes(figure, floor, sheet)
    for strip in layout.strips:
        _ground(pen, strip)
    _lines(pen, scenario)
    for opening in floor.openings:
        (x0, x1), (y0, y1) = opening.x, opening.y
        pen.box(x0, x1, y0, y1, facecolor="white", edgecolor=INK, linewidth=1.0, zorder=5)
        pen.line(x0, y0, x1, y1, color=INK, linewidth=0.8, zorder=5)
        pen.line(x0, y1, x1, y0, color=INK, linewidth=0.8, zorder=5)
        across = (y1 - y0 if pen.turned else x1 - x0) * pen.points
        size = type_size(opening.name, across - 4, 7, least=4.5)
        pen.text((x0 + x1) / 2, (y0 + y1) / 2, opening.name, size=size)
    sizes = _number_sizes(layout, sheet)
    for i, (strip, up) in enumerate(zip(layout.strips, layout.upward, strict=True)):
        times = None if when is None else _times(when, i)
        _strip(pen, floor, strip, up, i + 1, sizes[i], times)
    for bay in bays(floor):
        name = f"bay {bay.name}"
        room = ((bay.y1 - bay.y0) if pen.turned else (bay.x1 - bay.x0)) * pen.points
        size = type_size(name, room - 6, 8, least=5)
        low = bay.y0 + _BAND / 2 / pen.points
        pen.text((bay.x0 + bay.x1) / 2, low, name, along=pen.turned, size=size, style="italic")
    _begin(pen, floor, first, layout.upward[0])
    _legend(figure, scenario, layout, sheet)
    return figure


def _sheet(floor: FloorPlan, layout: Layout) -> _Sheet:
    """The smallest sheet, and the way to lay the floor on it, where numbers can be read."""
    wide, deep = floor.supports[-1] - floor.supports[0], floor.length_y
    best = _Sheet(1.0, 0.0, False, False)
    for scale in (1.0, math.sqrt(2.0), 2.0, 2.0 * math.sqrt(2.0)):
        best = _Sheet(scale, 0.0, False, False)
        for turned in (False, True):
            for beside in (True, False):
                room = _room(scale, beside)
                across, up = (deep, wide) if turned else (wide, deep)
                points = min((room[2] - 2 * _ROUND) / across, (room[3] - 2 * _ROUND) / up)
                # A floor is turned only where that pays: people know it the way it is drawn.
                if points > best.points * (1.2 if turned and not best.turned else 1.0):
                    best = _Sheet(scale, points, turned, beside)
        if min(strip.x1 - strip.x0 for strip in layout.strips) * best.points >= 7.0:
            break
    return best


def _room(scale: float, beside: bool) -> tuple[float, float, float, float]:
    """Left, bottom, width and height (pt) that the floor may take on the sheet."""
    width, height = A4[0] * POINTS * scale, A4[1] * POINTS * scale
    left, bottom = 52.0, (50.0 if beside else 98.0)
    return left, bottom, width - left - (170.0 if beside else 24.0), height - bottom - 54.0


def _axes(figure: Figure, floor: FloorPlan, sheet: _Sheet) -> _Pen:
    left, bottom, width, height = _room(sheet.scale, sheet.beside)
    page_width, page_height = figure.get_size_inches() * POINTS
    x0, x1, y1 = floor.supports[0], floor.supports[-1], floor.length_y
    across, up = (y1, x1 - x0) if sheet.turned else (x1 - x0, y1)
    w, h = across * sheet.points + 2 * _ROUND, up * sheet.points + 2 * _ROUND
    bottom += height - h if sheet.beside else (height - h) / 2
    left += 0.0 if sheet.beside else (width - w) / 2
    at = (left / page_width, bottom / page_height, w / page_width, h / page_height)
    ax = figure.add_axes(at)
    border = _ROUND / sheet.points
    along_x, along_y = (x0 - border, x1 + border), (-border, y1 + border)
    ax.set_xlim(along_y if sheet.turned else along_x)
    ax.set_ylim(along_x[::-1] if sheet.turned else along_y)
    ax.set_xlabel("y (m)" if sheet.turned else "x (m), along the sheets", size=8)
    ax.set_ylabel("x (m), along the sheets" if sheet.turned else "y (m)", size=8)
    ax.tick_params(labelsize=7.5)
    for side in ax.spines.values():
        side.set_color("#c4c4c4")
    return _Pen(ax, sheet.points, sheet.turned)


def _ground(pen: _Pen, strip: Strip) -> None:
    _, fill, hatch, _ = KINDS[strip.kind]
    place = (strip.x0, strip.x1, strip.y0, strip.y1)
    pen.box(*place, facecolor=fill, edgecolor=_HATCH, hatch=hatch, linewidth=0, zorder=1)
    pen.box(*place, facecolor="none", edgecolor=INK, linewidth=1.1, zorder=2)


def _joints(floor: FloorPlan) -> list[float]:
    """x of every sheet joint, floor ends that are joints with another pour among them."""
    inner = [a.supports[-1] for a, _ in pairwise(sheet_runs(floor))]
    low = [floor.supports[0]] if floor.low_x_end == JOINT else []
    high = [floor.supports[-1]] if floor.high_x_end == JOINT else []
    return [*low, *inner, *high]


def _lines(pen: _Pen, scenario: Scenario) -> None:
    floor, end, over = scenario.floor, scenario.floor.length_y, 8 / pen.points
    joints = _joints(floor)
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
        pen.text(x, end + 17 / pen.points, "stop end", size=7, weight="bold", zorder=7)


def _number_sizes(layout: Layout, sheet: _Sheet) -> list[tuple[float, bool]]:
    """Type size (pt) of each strip's number, and whether it is written along the strip."""
    digits = len(str(len(layout.strips)))
    sizes = []
    for strip in layout.strips:
        across, along = (strip.x1 - strip.x0) * sheet.points, (strip.y1 - strip.y0) * sheet.points
        upright = min((across - 2) / (digits * _DIGIT), along / 4)
        lying = min((across - 2) / 1.05, along / (2.2 * digits))
        turn = sheet.turned or upright < 6.5
        sizes.append((lying if turn else upright, turn))
    cap = min(20.0, 1.5 * min(size for size, _ in sizes))
    return [(max(4.0, min(cap, size)), turn) for size, turn in sizes]


def _times(day: Outcome, strip: int) -> str:
    begin, end = float(day.strip_start[strip]), float(day.strip_end[strip])
    return "not placed" if math.isnan(begin) else f"{clock(begin)}–{clock(end)}"


def _strip(
    pen: _Pen,
    floor: FloorPlan,
    strip: Strip,
    up: bool,
    number: int,
    size: tuple[float, bool],
    times: str | None,
) -> None:
    """Arrow, number, letter and times; all but the arrow keep clear of openings."""
    k = pen.points
    low, high = strip.y0 + _BAND / k, strip.y1 - 3 / k
    # The arrow leaves the middle line of the strip free where a support runs along it.
    on_support = any(abs(x - strip.middle) < 4 / k for x in floor.supports)
    way = strip.x0 + (0.2 if on_support else 0.5) * (strip.x1 - strip.x0)
    pen.arrow(way, *((low, high) if up else (high, low)))
    type_number, along = size
    half = type_number * (_DIGIT * len(str(number)) if along else 1.0) / 2
    type_letter = max(4.0, 0.6 * type_number)
    block = 2 * half + type_letter * 1.3 + 4  # number and letter, along y (pt)
    type_times = max(4.2, min(7.5, 0.55 * (strip.x1 - strip.x0) * k))
    length = 0.62 * type_times * len(times or "")
    a, b = _clear(floor, strip, low, high, (block + length + 8) / k)
    middle = a + (0.5 if times is None or b - a > (block + 2 * length + 16) / k else 0.7) * (b - a)
    style: dict[str, Any] = {"size": type_number, "weight": "bold", "gid": f"order {number}"}
    pen.text(strip.middle, middle + block / 2 / k - half / k, f"{number}", along=along, **style)
    at = middle - (block / 2 - type_letter * 0.65) / k
    pen.text(strip.middle, at, KINDS[strip.kind][0], size=type_letter)
    if times is not None and (b - a) * k > block + length:
        at = min(a + (b - a) / 4, middle - (block / 2 + length / 2 + 4) / k)
        at = max(at, a + length / 2 / k)
        pen.text(strip.middle, at, times, along=True, size=type_times, gid=f"times {number}")


def _clear(
    floor: FloorPlan, strip: Strip, low: float, high: float, need: float
) -> tuple[float, float]:
    """The whole length of a strip, or its longest piece between openings where one is in it."""
    holes = sorted(h.y for h in floor.openings if h.x[0] < strip.x1 and h.x[1] > strip.x0)
    marks = [low, *(y for hole in holes for y in hole), high]
    pieces = [(a, b) for a, b in zip(marks[::2], marks[1::2], strict=True) if b > a]
    a, b = max(pieces, key=lambda p: p[1] - p[0], default=(low, high))
    return (a, b) if b - a > need / 2 else (low, high)


def _begin(pen: _Pen, floor: FloorPlan, first: Strip, up: bool) -> None:
    y, out = (first.y0, -1) if up else (first.y1, 1)
    at_edge = min(abs(y), abs(y - floor.length_y)) < 1e-6
    at = y + (out if at_edge else -out) * 19 / pen.points
    box = {"boxstyle": "square,pad=0.25", "facecolor": INK, "edgecolor": INK}
    words = {"size": 7.5, "weight": "bold", "color": "white", "zorder": 8}
    pen.line(first.middle, at, first.middle, y, color=INK, linewidth=3, zorder=7)
    pen.text(first.middle, at, "BEGIN", along=pen.turned, bbox=box, **words)


def _legend(figure: Figure, scenario: Scenario, layout: Layout, sheet: _Sheet) -> None:
    present = {strip.kind for strip in layout.strips}
    handles: list[Any] = []
    words: list[str] = []

    def add(handle: Any, text: str) -> None:
        handles.append(handle)
        words.append(text)

    for kind, (_, fill, hatch, text) in KINDS.items():
        if kind in present:
            add(Patch(facecolor=fill, edgecolor=GREY, hatch=hatch, linewidth=0.8), text)
    arrow: dict[str, Any] = {"color": INK, "linewidth": 0.9, "marker": ">", "markersize": 5, "markevery": [1]}
    add(Line2D([0, 1], [0, 0], **arrow), "way of the front")
    add(Line2D([], [], **_LINES["support"]), "support (beam, wall)")
    if _joints(scenario.floor):
        add(_Pair(), "sheet joint (double line)")
    if scenario.floor.primary_beams_y:
        add(Line2D([], [], **_LINES["primary"]), "primary beam")
    if scenario.props.lines_x:
        add(Line2D([], [], **_LINES["prop"]), "prop line")
    if scenario.floor.stop_ends_x:
        add(Line2D([], [], **_LINES["stop end"]), "stop end")
    if scenario.floor.openings:
        add(Patch(facecolor="white", edgecolor=INK), "opening (crossed out)")
    width, height = figure.get_size_inches() * POINTS
    style: dict[str, Any] = {"fontsize": 8, "handlelength": 3.2, "handleheight": 1.3}
    style |= {"handler_map": {_Pair: _PairHandler()}}
    if sheet.beside:
        at = ((width - 162) / width, (height - 54) / height)
        style |= {"loc": "upper left", "bbox_to_anchor": at, "labelspacing": 0.9}
    else:
        at = (0.5, 22 / height)
        style |= {"loc": "lower center", "bbox_to_anchor": at, "ncols": 5, "columnspacing": 1.6}
    figure.legend(handles, words, frameon=False, **style)
