"""What the maps of the deck share: the floor on its sheet, cells, numbers that fit, legend."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from matplotlib.figure import Figure
from matplotlib.legend_handler import HandlerTuple
from matplotlib.lines import Line2D
from matplotlib.patches import Patch, PathPatch
from matplotlib.path import Path

from pourday.floor.cut import FloorCut
from pourday.outcome.base.basis import Basis
from pourday.outcome.deck.values import Box
from pourday.report.figures.deck.shades import ink_on
from pourday.report.figures.floor import ROUND, Pen, Sheet, axes_of, lay_on_sheet
from pourday.report.figures.page import POINTS, page
from pourday.report.figures.style import GREY, INK
from pourday.report.units import SI, Units
from pourday.scenario.model.scenario import Opening, Scenario

_LETTER = {False: 0.72, True: 0.71}  # width of a digit or sign, of the type size, by bold
_WIDTHS = {" ": 0.32, "!": 0.4, "+": 0.84, "\u2212": 0.84}  # where far from a digit's 0.64
_TALL = 0.84  # height of a digit with a little air
_FACTS = 15.0  # height of a line of facts (pt)
_PROP: dict[str, Any] = {"color": INK, "linewidth": 0.9, "linestyle": (0, (1.5, 2.5))}


@dataclass(frozen=True)
class Writing:
    """Words that fit in a box: type size (pt), standing on end or not, and their middle (m)."""

    size: float
    on_end: bool
    x: float
    y: float

    def extent(self, words: str, pen: Pen, *, bold: bool = False) -> Box:
        """What the words take of the floor, x0, x1, y0, y1 (m)."""
        long, tall = _length(words, bold) * self.size / 2, _TALL * self.size / 2
        wide, deep = (tall, long) if self.on_end != pen.turned else (long, tall)
        wide, deep = wide / pen.points, deep / pen.points
        return self.x - wide, self.x + wide, self.y - deep, self.y + deep


@dataclass(frozen=True)
class Label:
    """Words in a cell of a shade; ``gid`` names them in the figure."""

    place: Writing
    words: str
    colour: str
    gid: str
    bold: bool = False


def floor_map(
    basis: Basis, what: str, facts: Sequence[str], seed: int | None, units: Units = SI
) -> tuple[Figure, Pen, Sheet]:
    """A sheet with heading and facts, and a pen on the floor that leaves room for both."""
    floor = basis.scenario.floor
    sheet = lay_on_sheet(floor, basis.layout)
    figure = page(what, basis.scenario.title, basis.plan.name, seed, facts, sheet.scale)
    more = _FACTS * (len(facts) - 1)
    up = floor.supports[-1] - floor.supports[0] if sheet.turned else floor.length_y
    # The sheet has room for one line of facts; each line more takes its height off the floor.
    sheet = replace(sheet, points=sheet.points - more / up)
    pen = axes_of(figure, sheet, units)
    place = pen.ax.get_position()
    down = (more if sheet.beside else more / 2) / (figure.get_size_inches()[1] * POINTS)
    pen.ax.set_position((place.x0, place.y0 - down, place.width, place.height))
    return figure, pen, sheet


def grounds(pen: Pen, cells: Sequence[tuple[Box, str, str, float]]) -> None:
    """All cells: box, shade, hatch in an ink that shows on the shade, width of the border (pt)."""
    alike: dict[tuple[str, str, float], list[Path]] = {}
    for box, colour, hatch, edge in cells:
        alike.setdefault((colour, hatch, edge), []).append(_outline(box, pen))
    for (colour, hatch, edge), paths in alike.items():
        # One patch for all cells that look alike: a hatch takes long to draw.
        path = Path.make_compound_path(*paths)
        style: dict[str, Any] = {"edgecolor": ink_on(colour, GREY), "hatch": hatch}
        pen.ax.add_patch(PathPatch(path, facecolor=colour, linewidth=0, zorder=1, **style))
        style = {"facecolor": "none", "edgecolor": INK, "linewidth": edge}
        pen.ax.add_patch(PathPatch(path, zorder=2, **style))


def free_part(box: Box, openings: Sequence[Opening]) -> Box | None:
    """The roomiest rectangle beside the openings in a box; ``None`` where nothing is left."""
    for hole in openings:
        x0, x1, y0, y1 = box
        (a, b), (c, d) = hole.x, hole.y
        if not (a < x1 and b > x0 and c < y1 and d > y0):
            continue
        pieces = [(x0, a, y0, y1), (b, x1, y0, y1), (x0, x1, y0, c), (x0, x1, d, y1)]
        # Words need room both ways: a long sliver is worth less than a short piece of full width.
        box = max(pieces, key=lambda p: sorted((p[1] - p[0], p[3] - p[2])))
        if box[1] - box[0] <= 1e-6 or box[3] - box[2] <= 1e-6:
            return None
    return box


def fit(letters: int, box: Box, pen: Pen, most: float, *, bold: bool = False) -> Writing:
    """Room for so many letters in a box, standing on end where they lie too small to be read."""
    wide, tall = _room(box, pen)
    long = _LETTER[bold] * letters
    lying = min(most, (wide - 2.5) / long, (tall - 1.5) / _TALL)
    upright = min(most, (tall - 2.5) / long, (wide - 1.5) / _TALL)
    on_end = lying < 6.5 and upright > lying
    return Writing(
        upright if on_end else lying, on_end, (box[0] + box[1]) / 2, (box[2] + box[3]) / 2
    )


def fit_below(
    place: Writing, letters: int, small: int, box: Box, pen: Pen
) -> tuple[Writing, Writing] | None:
    """The number moved up with room for ``small`` letters under it; ``None`` where there is none.

    Args:
        place: where the bold number of ``letters`` letters stands alone.
        letters: of the number.
        small: letters of the small print.
        box: the cell.
        pen: on the floor.
    """
    wide, tall = _room(box, pen)
    head = _LETTER[True] * place.size * letters if place.on_end else _TALL * place.size
    lying = min(7.0, (wide - 3) / (0.6 * small))
    upright = min(7.0, (wide - 3) / _TALL)
    if not place.on_end and lying >= 5.5 and tall >= head + _TALL * lying + 7:
        size, on_end, deep = lying, False, _TALL * lying
    elif upright >= 5.5 and tall >= head + 0.6 * upright * small + 10:
        size, on_end, deep = upright, True, 0.6 * upright * small
    else:
        return None
    gap = 3.0 if not on_end else 4.0
    up, down = (deep + gap) / 2 / pen.points, (head + gap) / 2 / pen.points
    return (
        _higher(place, up, pen),
        _higher(Writing(size, on_end, place.x, place.y), -down, pen),
    )


def write(pen: Pen, labels: Sequence[Label]) -> None:
    """Words in cells, each on a patch of the plain shade that keeps hatches off them."""
    backs: dict[str, list[Path]] = {}
    for label in labels:
        back = label.place.extent(label.words, pen, bold=label.bold)
        backs.setdefault(label.colour, []).append(_outline(back, pen))
    for colour, paths in backs.items():
        path = Path.make_compound_path(*paths)
        pen.ax.add_patch(PathPatch(path, facecolor=colour, linewidth=0, zorder=1.5))
    for label in labels:
        place = label.place
        style: dict[str, Any] = {"size": place.size, "color": ink_on(label.colour, INK)}
        style |= {"rotation": 90 if place.on_end else 0, "bbox": None, "zorder": 3}
        style |= {"gid": label.gid, "weight": "bold" if label.bold else "normal"}
        pen.text(place.x, place.y, label.words, **style)


def _outline(box: Box, pen: Pen) -> Path:
    x0, x1, y0, y1 = box
    around = [(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)]
    return Path([(y, x) for x, y in around] if pen.turned else around, closed=True)


def furnish(pen: Pen, scenario: Scenario, cut: FloorCut) -> None:
    """Sheet joints, primary beams, prop lines, openings, names of sheet runs, scale bar."""
    floor, k = scenario.floor, pen.points
    x0, x1, end, over = floor.supports[0], floor.supports[-1], floor.length_y, 8 / k
    for x in cut.joints:
        for side in (-1.3 / k, 1.3 / k):
            ends = (x + side, -over, x + side, end + over)
            pen.line(*ends, color=INK, linewidth=1.0, zorder=2.5)
    for y in floor.primary_beams_y:
        pen.line(x0 - over, y, x1 + over, y, color=GREY, linewidth=3.0, zorder=2.4)
    for x in scenario.props.lines_x:
        pen.line(x, -over, x, end + over, zorder=2.5, **_PROP)
    for hole in floor.openings:
        (a, b), (c, d) = hole.x, hole.y
        pen.box(a, b, c, d, facecolor="white", edgecolor=INK, linewidth=1.0, zorder=4)
        pen.line(a, c, b, d, color=INK, linewidth=0.8, zorder=4)
        pen.line(a, d, b, c, color=INK, linewidth=0.8, zorder=4)
    for run in cut.runs:
        middle = (run.supports[0] + run.supports[-1]) / 2
        words = f"run {run.number}" if pen.turned else f"sheet run {run.number}"
        if not pen.turned and (run.supports[-1] - run.supports[0]) * k < 4.6 * len(words):
            words = f"{run.number}"
        out = (26 if pen.turned else 15) / k
        usual: dict[str, Any] = {"size": 7.0, "style": "italic", "bbox": None}
        pen.text(middle, end + out, words, gid=f"run {run.number}", **usual)
    _scale_bar(pen, x0, x1)


def legend(
    figure: Figure,
    scenario: Scenario,
    sheet: Sheet,
    handles: list[Any],
    words: list[str],
    note: str = "",
) -> None:
    """The given handles, what ``furnish`` drew, and a note; beside or below the floor."""
    floor = scenario.floor
    handles, words = list(handles), list(words)

    def _add(handle: Any, name: str) -> None:
        handles.append(handle)
        words.append(name)

    if len(floor.sheet_runs) > 1:
        pair = [Line2D([], [], color=c, linewidth=w) for c, w in ((INK, 3.8), ("white", 1.6))]
        _add(tuple(pair), "sheet joint (double line)")
    if floor.primary_beams_y:
        _add(Line2D([], [], color=GREY, linewidth=3.0), "primary beam")
    if scenario.props.lines_x:
        _add(Line2D([], [], **_PROP), "prop line")
    if floor.openings:
        _add(Patch(facecolor="white", edgecolor=INK), "opening")
    if note:
        _add(Line2D([], [], linestyle="none"), note)
    width, height = figure.get_size_inches() * POINTS
    usual: dict[str, Any] = {"fontsize": 8, "handlelength": 3.2, "handleheight": 1.3}
    usual["handler_map"] = {tuple: HandlerTuple(ndivide=1)}
    if sheet.beside:
        at = ((width - 162) / width, (height - 68) / height)
        usual |= {"loc": "upper left", "bbox_to_anchor": at, "labelspacing": 0.9}
    else:
        at = (0.5, 20 / height)
        usual |= {"loc": "lower center", "bbox_to_anchor": at, "columnspacing": 1.6}
        usual["ncols"] = max(4, -(-len(words) // 3))
    figure.legend(handles, words, frameon=False, **usual)


def _length(words: str, bold: bool) -> float:
    """Length of printed words with a little air, as a share of the type size."""
    usual = 0.5 if words[0].isalpha() else 0.64
    return 0.12 + (1.1 if bold else 1.0) * sum(_WIDTHS.get(letter, usual) for letter in words)


def _room(box: Box, pen: Pen) -> tuple[float, float]:
    """Width and height of a box as it lies on the sheet (pt)."""
    x, y = (box[1] - box[0]) * pen.points, (box[3] - box[2]) * pen.points
    return (y, x) if pen.turned else (x, y)


def _higher(place: Writing, up: float, pen: Pen) -> Writing:
    """Moved up the sheet by ``up`` (m); on a turned sheet x runs down it."""
    if pen.turned:
        return replace(place, x=place.x - up)
    return replace(place, y=place.y + up)


def _scale_bar(pen: Pen, x0: float, x1: float) -> None:
    k = pen.points
    unit = pen.units.length
    factor = unit.factor
    number = next((s for s in (1, 2, 5, 10, 20, 50, 100) if s / factor * k >= 50), 200)
    length, said = number / factor, f"{number} {unit.word}"
    style: dict[str, Any] = {"color": INK, "linewidth": 2.2, "zorder": 5, "solid_capstyle": "butt"}
    words: dict[str, Any] = {"size": 7.5, "bbox": None, "ha": "left", "gid": "scale"}
    if pen.turned:
        at = x1 + min(20.0, 0.5 * ROUND[True]) / k
        pen.line(at, 0.0, at, length, **style)
        pen.text(at, length + 4 / k, said, **words)
    else:
        at = -17 / k
        pen.line(x0, at, x0 + length, at, **style)
        pen.text(x0 + length + 4 / k, at, said, **words)
