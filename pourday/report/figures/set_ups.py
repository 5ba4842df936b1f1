"""Who places what, from where: fronts, set-up places and reach on the strip plan."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from matplotlib.lines import Line2D
from matplotlib.patches import Circle

from pourday.floor.layout import Layout
from pourday.report.figures.floor import Bounds, Pen
from pourday.report.figures.style import GREY, INK
from pourday.report.units import SI, Units
from pourday.scenario.base.trade import BOOM, SKIP
from pourday.scenario.model.scenario import FloorPlan, Plan, Scenario

_FARTHEST = 0.6
"""Places farther off than this share of the floor's longer side are drawn at the sheet's border."""
_SIZE = 7.0
_MARK: dict[str, Any] = {
    "marker": "s", "markersize": 7, "markerfacecolor": "white", "markeredgecolor": INK,
    "markeredgewidth": 1.6, "linestyle": "none",
}  # fmt: skip
_LOADING: dict[str, Any] = _MARK | {"marker": "v", "markersize": 6, "markeredgewidth": 1.2}
_REACH = ("-", (0, (6, 2)), (0, (6, 2, 1, 2)), (0, (1.5, 1.5)))
_CHANGE: dict[str, Any] = {"color": INK, "linewidth": 2.2, "linestyle": (0, (1.2, 0.8))}
_NUMBERS: tuple[dict[str, Any], ...] = (
    {},
    {"color": "white", "bbox": {"boxstyle": "square,pad=0.12", "facecolor": INK, "edgecolor": INK}},
    {"bbox": {"boxstyle": "square,pad=0.12", "facecolor": "white", "edgecolor": INK}},
)
_NUMBER_WORDS = ("black on white", "white on black", "in a frame")


@dataclass(frozen=True)
class Place:
    """A set-up place of the plan. ``fronts`` use it, ``served`` says whether any strip needs it.

    ``at`` (m) is where it is drawn, ``x`` and ``y`` where it is; ``reach`` (m) is None where the
    pump reaches everything.
    """

    tag: str
    name: str
    x: float
    y: float
    at: tuple[float, float]
    fronts: tuple[int, ...]
    served: bool
    reach: tuple[float, ...]
    loading: tuple[float, float] | None


def places_of(scenario: Scenario, plan: Plan, layout: Layout) -> tuple[Place, ...]:
    """Every set-up place that the plan names once, in the order of its fronts."""
    names = list(dict.fromkeys(p.name for each in layout.access for p in each.places))
    out = []
    for number, name in enumerate(names, start=1):
        place = scenario.site.set_up(name)
        fronts = [n for n, a in enumerate(layout.access) if name in {p.name for p in a.places}]
        pumps = [scenario.pumps[plan.fronts[n].pump] for n in fronts]
        served = any(
            layout.access[n].places[leg.place].name == name
            for n in fronts
            for legs in layout.access[n].legs
            for leg in legs
        )
        reach = {p.reach for p in pumps if p.means == BOOM and p.reach is not None}
        skip = any(pump.means == SKIP for pump in pumps)
        at = _near(scenario.floor, place.x, place.y)
        loading = place.loading if skip else None
        reaches = tuple(sorted(reach))
        out.append(
            Place(f"S{number}", name, place.x, place.y, at, tuple(fronts), served, reaches, loading)
        )
    return tuple(out)


def bounds_of(floor: FloorPlan, places: tuple[Place, ...]) -> Bounds:
    """What the plan shows (m): the floor, and the places beside it."""
    spots = [place.at for place in places]
    spots += [_near(floor, *place.loading) for place in places if place.loading]
    xs = [floor.supports[0], floor.supports[-1], *(x for x, _ in spots)]
    ys = [0.0, floor.length_y, *(y for _, y in spots)]
    return Bounds(min(xs), max(xs), min(ys), max(ys))


def _near(floor: FloorPlan, x: float, y: float) -> tuple[float, float]:
    far = _FARTHEST * max(floor.supports[-1] - floor.supports[0], floor.length_y)
    low, high = floor.supports[0] - far, floor.supports[-1] + far
    return min(max(x, low), high), min(max(y, -far), floor.length_y + far)


def draw_places(pen: Pen, floor: FloorPlan, places: tuple[Place, ...], fronts: int) -> None:
    """Marks with their names, circles of reach, and where a skip is filled."""
    for number, place in enumerate(places):
        style: dict[str, Any] = {"fill": False, "edgecolor": GREY, "linewidth": 0.8, "zorder": 4.5}
        style["linestyle"] = _REACH[number % len(_REACH)]
        for reach in place.reach if place.served else ():
            centre = (place.y, place.x) if pen.turned else (place.x, place.y)
            pen.ax.add_patch(Circle(centre, reach, gid=f"reach {place.name}", **style))
        pen.line(*place.at, *place.at, zorder=8, gid=f"place {place.name}", **_MARK)
        words = [f"{place.tag} {place.name}" if len(places) > 1 else place.name]
        below = [f"pump {' and '.join(str(n + 1) for n in place.fronts)}"] if fronts > 1 else []
        below += [] if place.served else ["not needed"]
        words += [", ".join(below)] if below else []
        if place.at != (place.x, place.y):
            unit = pen.units.length
            words.append(f"farther off: x {unit.short_text(place.x)}, y {unit.short_text(place.y)}")
        inside = any(
            h.x[0] <= place.x <= h.x[1] and h.y[0] <= place.y <= h.y[1] for h in floor.openings
        )
        _beside(pen, floor, place.at, "\n".join(words), f"set-up {place.name}", below=inside)
        if place.loading:
            spot = _near(floor, *place.loading)
            pen.line(*spot, *spot, zorder=8, gid=f"loading {place.name}", **_LOADING)
            _beside(pen, floor, spot, "skip is filled", f"filled {place.name}")


def _beside(
    pen: Pen,
    floor: FloorPlan,
    at: tuple[float, float],
    words: str,
    gid: str,
    below: bool = False,
) -> None:
    """Words off a mark, on its side away from the floor, and no farther out than the axes."""
    lines = words.split("\n")
    half = 0.31 * _SIZE * max(map(len, lines)) / pen.points
    flat, up = (at[1], at[0]) if pen.turned else at
    (left, right), (y0, y1) = sorted(pen.ax.get_xlim()), pen.ax.get_ylim()
    flat = min(max(flat, left + half), right - half)
    # Up on the sheet is towards high y, or towards low x where the floor lies turned.
    middle = (floor.supports[0] + floor.supports[-1]) / 2 if pen.turned else floor.length_y / 2
    above = (up > middle) == (y1 > y0) and not below
    off = (7.0 + 1.25 * _SIZE * len(lines) / 2) / pen.points * (1 if above else -1)
    up += off if y1 > y0 else -off
    x, y = (up, flat) if pen.turned else (flat, up)
    pen.text(x, y, words, size=_SIZE, zorder=8.5, gid=gid, linespacing=1.1)


def number_style(front: int, fronts: int) -> dict[str, Any]:
    """How the number of a strip is written, so that fronts are told apart without colour."""
    return _NUMBERS[front % len(_NUMBERS)] if fronts > 1 else {}


def number_words(front: int) -> str:
    """The same in words, for the legend."""
    return f"{_NUMBER_WORDS[front % len(_NUMBER_WORDS)]}: pump {front + 1}"


def strip_tags(layout: Layout, places: tuple[Place, ...]) -> list[str]:
    """For each strip the tag of the place it is placed from; empty where its pump never moves.

    A strip placed from two places has both, in the order of its front, as "S1 S2".
    """
    tag = {place.name: place.tag for place in places}
    out = [""] * len(layout.strips)
    for front, access in enumerate(layout.access):
        if access.set_up_moves == 0:
            continue
        mine = [i for i, f in enumerate(layout.front_of) if f == front]
        for i, legs in zip(mine, access.legs, strict=True):
            out[i] = " ".join(tag[access.places[leg.place].name] for leg in legs)
    return out


def changes_of(layout: Layout) -> dict[int, list[float]]:
    """For each strip (index) inside which the pump changes its place, where its front is then."""
    found: dict[int, list[float]] = {}
    for front, access in enumerate(layout.access):
        mine = [i for i, f in enumerate(layout.front_of) if f == front]
        for i, legs in zip(mine, access.legs, strict=True):
            for before, leg in pairwise(legs):
                if before.place != leg.place:
                    found.setdefault(i, []).append(leg.begin)
    return found


def draw_changes(pen: Pen, layout: Layout, changes: dict[int, list[float]]) -> None:
    """A heavy dotted line across a strip where the pump changes its place."""
    for i, at in changes.items():
        strip = layout.strips[i]
        for place in at:
            ends = (strip.x0, place, strip.x1, place)
            if strip.along == "x":
                ends = (place, strip.y0, place, strip.y1)
            pen.line(*ends, zorder=4.6, gid=f"change {i + 1}", **_CHANGE)


def legend_of(
    places: tuple[Place, ...], changes: bool, tags: bool, units: Units = SI
) -> list[tuple[Any, str]]:
    """Handles and words for what this module draws."""
    out: list[tuple[Any, str]] = []
    if places:
        words = "set-up place" + (" (S1, S2 ...)" if tags else "")
        out.append((Line2D([], [], **_MARK), words))
    if any(place.reach for place in places):
        reaches = sorted({r for place in places for r in place.reach})
        words = " or ".join(units.length.short(r) for r in reaches)
        out.append(
            (Line2D([], [], color=GREY, linewidth=0.8), f"reach, {words} {units.length.word}")
        )
    if any(place.loading for place in places):
        out.append((Line2D([], [], **_LOADING), "where the skip is filled"))
    if changes:
        out.append((Line2D([], [], **_CHANGE), "pump changes its place"))
    return out


def begins(layout: Layout) -> list[int]:
    """First strip (index) of each front."""
    return [layout.front_of.index(front) for front in range(len(layout.access))]


def front_facts(scenario: Scenario, plan: Plan, layout: Layout, units: Units = SI) -> str:
    """Who begins where, and how much each places."""
    words = []
    for front, first in enumerate(begins(layout)):
        mine = [i for i, f in enumerate(layout.front_of) if f == front]
        means = "crane" if scenario.pumps[plan.fronts[front].pump].means == SKIP else "pump"
        volume = math.fsum(float(layout.volume[i]) for i in mine)
        names = f" ({plan.fronts[front].pump}, crew {plan.fronts[front].crew})"
        words.append(
            f"{means} {front + 1}{names if len(plan.fronts) < 3 else ''} "
            f"begins with strip {first + 1} (bay {layout.strips[first].bay}): {len(mine)} strips, "
            f"{units.volume.text(volume)}"
        )
    text = "; ".join(words)
    return f"{text[0].upper()}{text[1:]}. Each keeps to its own numbers and arrows."
