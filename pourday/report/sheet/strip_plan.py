"""The strip plan as it is pinned up: numbers, ways of the fronts, stop ends, pumps, gauges."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from matplotlib.patches import Polygon, Rectangle

from pourday.floor.strips import Strip
from pourday.report.figures.set_ups import Place, bounds_of, places_of
from pourday.report.sheet.paper import INK, LEAST, Page, measured, wrapped
from pourday.report.units import Units
from pourday.study.sheet.says import Sheet

_ROUND = 30.0
"""Border round the floor for letters and names (pt)."""
_ARROW = 14.0
_MARK = 3.6
_SHARE = 0.55
"""Of the width of a number what its strip needs: in the next one it stands a line lower."""


@dataclass(frozen=True, eq=False)
class _Map:
    """A floor laid on a page: points a metre, and where x = y = 0 lies."""

    page: Page
    scale: float
    x: float
    y: float

    def at(self, x: float, y: float) -> tuple[float, float]:
        """The place on the page of a place on the floor (m)."""
        return self.x + x * self.scale, self.y - y * self.scale

    def line(self, x0: float, y0: float, x1: float, y1: float, **style: Any) -> None:
        """A line between two places of the floor (m)."""
        (a, b), (c, d) = self.at(x0, y0), self.at(x1, y1)
        self.page.axes.plot([a, c], [b, d], color=INK, **({"linewidth": 0.6} | style))

    def box(self, x: tuple[float, float], y: tuple[float, float]) -> None:
        """A rectangle of the floor."""
        self.page.box(*self.at(x[0], y[1]), *self.at(x[1], y[0]))


def draw_strip_plan(page: Page, sheet: Sheet, top: float, units: Units) -> None:
    """The plan between ``top`` and the foot of the page, to scale, with what its marks mean."""
    basis = sheet.basis
    floor, layout = basis.scenario.floor, basis.layout
    places = places_of(basis.scenario, basis.plan, layout)
    floor_map, legend = _laid(page, sheet, top, units)
    for n, line in enumerate(reversed(legend)):
        page.text(page.left, page.bottom - 3.0 - 13.0 * n, line)
    for strip in layout.strips:
        floor_map.box((strip.x0, strip.x1), (strip.y0, strip.y1))
    for opening in floor.openings:
        floor_map.box(opening.x, opening.y)
        floor_map.line(opening.x[0], opening.y[0], opening.x[1], opening.y[1])
        floor_map.line(opening.x[0], opening.y[1], opening.x[1], opening.y[0])
    _lines_of_floor(floor_map, sheet)
    _numbers(floor_map, sheet)
    _bays(floor_map, sheet)
    for gauge in sheet.gauges:
        _triangle(floor_map, gauge.x, gauge.y)
    for place in places:
        _pump(floor_map, place)


def numbers_fit(page: Page, sheet: Sheet, top: float, units: Units) -> bool:
    """Whether no number is wider than its strip on a plan between ``top`` and the foot."""
    floor_map = _laid(page, sheet, top, units)[0]
    strips = enumerate(sheet.basis.layout.strips, start=1)
    return floor_map.scale > 0 and all(_fits(floor_map, strip, k, 1.0) for k, strip in strips)


def _laid(page: Page, sheet: Sheet, top: float, units: Units) -> tuple[_Map, list[str]]:
    """The floor laid between ``top`` and the foot of a page, and the lines of its legend."""
    basis = sheet.basis
    places = places_of(basis.scenario, basis.plan, basis.layout)
    show = bounds_of(basis.scenario.floor, places)
    legend = wrapped(legend_words(sheet, bool(places), units), page.width)
    below = page.bottom - 13.0 * len(legend)
    room = (page.width - 2 * _ROUND, below - top - 2 * _ROUND)
    wide, deep = show.x1 - show.x0, show.y1 - show.y0
    scale = min(room[0] / wide, room[1] / deep)
    left = page.left + (page.width - wide * scale) / 2
    low = top + _ROUND + (room[1] + deep * scale) / 2
    return _Map(page, scale, left - show.x0 * scale, low + show.y0 * scale), legend


def legend_words(sheet: Sheet, places: bool, units: Units) -> str:
    """What the marks of the plan mean."""
    words = ["numbers: order; arrow: way of the front, from the number on"]
    if sheet.letters:
        words.append(units.said("broken line with letter: stop end, 0.60 m from a sheet joint"))
    words.append("triangle: sag gauge")
    words.append("crossed: opening" if sheet.basis.scenario.floor.openings else "")
    words.append("P: where the pump stands" if places else "")
    words.append(f"x to the right, y up, in {units.length.word}")
    return "; ".join(word for word in words if word) + "."


def wider_than_deep(sheet: Sheet) -> bool:
    """Whether the floor is larger on paper that lies on its side."""
    floor = sheet.basis.scenario.floor
    return floor.supports[-1] - floor.supports[0] > floor.length_y


def _lines_of_floor(floor_map: _Map, sheet: Sheet) -> None:
    floor = sheet.basis.scenario.floor
    over = 4.0 / floor_map.scale
    for joint in sheet.basis.layout.cut.joints:
        for side in (-1.1 / floor_map.scale, 1.1 / floor_map.scale):
            floor_map.line(joint + side, -over, joint + side, floor.length_y + over, linewidth=0.8)
    for place in sheet.letters:
        ends = (place.x, -2 * over, place.x, floor.length_y + 2 * over)
        floor_map.line(*ends, linewidth=1.8, linestyle=(0, (4.0, 2.0)))
        x, y = floor_map.at(place.x, floor.length_y + 2 * over)
        floor_map.page.text(x, y - 3.0, sheet.letter(place), size=12.0, bold=True, align="center")


def _numbers(floor_map: _Map, sheet: Sheet) -> None:
    """The number of every strip where its front begins, or of a bay's first and last strip."""
    layout = sheet.basis.layout
    fits = [_fits(floor_map, strip, k + 1) for k, strip in enumerate(layout.strips)]
    if all(fits):
        for k in range(len(layout.strips)):
            _number(floor_map, sheet, k + 1)
        return
    for bay in layout.cut.bays:
        mine = [k + 1 for k, strip in enumerate(layout.strips) if strip.bay == bay.name]
        if not mine:
            continue
        together = mine == list(range(mine[0], mine[-1] + 1))
        words = f"{mine[0]}–{mine[-1]}" if together else f"{mine[0]} ..."
        x, y = floor_map.at((bay.x0 + bay.x1) / 2, (bay.y0 + bay.y1) / 2)
        _clear(floor_map, x, y - 12.0, words)
        floor_map.page.text(x, y - 8.4, words, bold=True, align="center")


def _fits(floor_map: _Map, strip: Strip, number: int, share: float = _SHARE) -> bool:
    """Whether number and arrow have room in a strip; narrow ones have their numbers staggered."""
    wide = (strip.x1 - strip.x0) * floor_map.scale
    deep = (strip.y1 - strip.y0) * floor_map.scale
    needs = measured(str(number), LEAST, bold=True) + 2.0
    if strip.along == "x":
        return deep >= 11.0 and wide >= needs + _ARROW
    return wide >= share * needs and deep >= 24.0 + _ARROW


def _number(floor_map: _Map, sheet: Sheet, number: int) -> None:
    strip, rising = sheet.basis.layout.strips[number - 1], sheet.strips[number - 1].rising
    words = str(number)
    (x0, y1), (x1, y0) = floor_map.at(strip.x0, strip.y1), floor_map.at(strip.x1, strip.y0)
    half = measured(words, LEAST, bold=True) / 2
    if strip.along == "x":
        middle, ends = (y0 + y1) / 2, (x0 + half + 2.0, x1 - half - 2.0)
        x = ends[0] if rising else ends[1]
        begin, end = (x0 + 2 * half + 4.0, x1 - 3.0)
        if not rising:
            begin, end = (x1 - 2 * half - 4.0, x0 + 3.0)
        floor_map.page.text(x, middle + 3.6, words, bold=True, align="center")
        _arrow(floor_map, (begin, middle), (end, middle))
        return
    narrow = _narrow_lane(floor_map, sheet, strip)
    x = (x0 + x1) / 2 if narrow else _clear_of_lines(floor_map, sheet, (x0, x1), half)
    off = 12.0 if narrow and _staggered(sheet, number) else 0.0
    base = y0 - 3.0 - off if rising else y1 + 11.0 + off
    begin, end = (base - 11.0, y1 + 3.0) if rising else (base + 3.0, y0 - 3.0)
    holes = sheet.basis.scenario.floor.openings
    if narrow or any(h.x[0] < strip.x1 and h.x[1] > strip.x0 for h in holes):
        _clear(floor_map, x, base - 3.6, words)
    floor_map.page.text(x, base, words, bold=True, align="center")
    _arrow(floor_map, (x, begin), (x, end))


def _narrow_lane(floor_map: _Map, sheet: Sheet, strip: Strip) -> bool:
    """Whether any strip beside this one is narrower than its number: then all are staggered."""
    return any(
        (each.x1 - each.x0) * floor_map.scale < measured(str(k), LEAST, bold=True) + 2.0
        for k, each in enumerate(sheet.basis.layout.strips, start=1)
        if each.y0 == strip.y0
    )


def _staggered(sheet: Sheet, number: int) -> bool:
    """Whether a strip is an even one of its lane, counted along x."""
    strips = sheet.basis.layout.strips
    mine = strips[number - 1]
    return sum(each.y0 == mine.y0 and each.x0 < mine.x0 for each in strips) % 2 == 1


def _clear_of_lines(
    floor_map: _Map, sheet: Sheet, sides: tuple[float, float], half: float
) -> float:
    """An x on the page inside a strip where a number of that half width stands on no line."""
    lines = [*sheet.basis.layout.cut.joints, *(place.x for place in sheet.letters)]
    at = [floor_map.at(x, 0.0)[0] for x in lines]
    low, high = sides[0] + half + 1.0, sides[1] - half - 1.0
    tries = [low + share * (high - low) for share in (0.5, 0.35, 0.65, 0.2, 0.8, 0.0, 1.0)]
    return max(tries, key=lambda x: min([abs(x - each) - half for each in at] + [4.0]))


def _arrow(floor_map: _Map, begin: tuple[float, float], end: tuple[float, float]) -> None:
    style = {"arrowstyle": "-|>", "color": INK, "linewidth": 0.8, "mutation_scale": 7.0}
    style |= {"shrinkA": 0.0, "shrinkB": 0.0}
    floor_map.page.axes.annotate("", end, begin, arrowprops=style, zorder=4)


def _bays(floor_map: _Map, sheet: Sheet) -> None:
    """Sheet runs below the floor, letters of its lanes beside it."""
    cut, floor = sheet.basis.layout.cut, sheet.basis.scenario.floor
    for run in cut.runs:
        x, y = floor_map.at((run.supports[0] + run.supports[-1]) / 2, 0.0)
        wide = (run.supports[-1] - run.supports[0]) * floor_map.scale
        words = f"bay {run.number}"
        if measured(words) > wide - 4.0:
            words = str(run.number)
        floor_map.page.text(x, y + 14.0, words, align="center")
    for number, (low, high) in enumerate(cut.lanes if len(cut.lanes) > 1 else ()):
        x, y = floor_map.at(floor.supports[0], (low + high) / 2)
        floor_map.page.text(x - 8.0, y + 3.6, chr(ord("a") + number), align="right")


def _triangle(floor_map: _Map, x: float, y: float) -> None:
    a, b = floor_map.at(x, y)
    corners = [(a - _MARK, b + _MARK), (a + _MARK, b + _MARK), (a, b - _MARK)]
    patch = Polygon(corners, closed=True, facecolor=INK, edgecolor=INK, linewidth=0.4, zorder=6)
    floor_map.page.axes.add_patch(patch)


def _pump(floor_map: _Map, place: Place) -> None:
    a, b = floor_map.at(*place.at)
    words = place.tag.replace("S", "P")
    half = measured(words, LEAST, bold=True) / 2 + 2.0
    _clear(floor_map, a, b, words)
    floor_map.page.box(a - half, b - 7.0, a + half, b + 7.0, thick=True)
    floor_map.page.text(a, b + 3.6, words, bold=True, align="center")


def _clear(floor_map: _Map, x: float, y: float, words: str) -> None:
    """White below words that stand on lines; ``x``, ``y`` their middle."""
    half = measured(words, LEAST, bold=True) / 2 + 1.5
    patch = Rectangle(
        (x - half, y - 6.5),
        2 * half,
        13.0,
        facecolor="white",
        edgecolor="white",
        linewidth=0.0,
        zorder=4.5,
    )
    floor_map.page.axes.add_patch(patch)
