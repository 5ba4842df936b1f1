"""What a rehearsal answers: a stop with all that helps, and choices tried out side by side."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from pourday.day.orders.line import FORMS
from pourday.outcome.measure import Outcome
from pourday.outcome.scene import AT_PUMP, ON_ROAD, WAITING, FrontScene, Scene, TruckScene
from pourday.report.rehearsal.words import DOING, means_word
from pourday.report.units import SI, Units
from pourday.report.words import clock, minutes, money, percent, strip_of
from pourday.study.choices.lasts import Means
from pourday.study.choices.rests import Figures
from pourday.study.choices.ways import HERE, STRIP, Ending, Way, endings

_MOST_EDGES, _MOST_TRUCKS = 6, 12
_BLANK = "________"
_ENGINEER = "Where a stop end may be, the engineer decides."
_BY = (
    "By: in nine rests of ten. Money is of this day: what is poured on another day, "
    "and the stop end itself, are not in it."
)
BACK = "any key: back to the page"


def stop_page(outcome: Outcome, scene: Scene, units: Units = SI) -> list[str]:
    """All there is to say at a moment: edges, concrete, ways to end, whom to call, orders.

    Cells of tables are parted by tabs.
    """
    lines = [f"{clock(scene.time)}   what can be done"]
    found = {ending.front: ending for ending in endings(outcome, scene)}
    for front in scene.fronts:
        if front.number in found:
            lines += ["", *_front(outcome, scene, front, found[front.number], units)]
    if not found:
        lines += ["", "No pump or crane stands for five minutes or more: nothing has to be ended."]
        lines += [f"{label:<9}{text}" for label, text in edge_rows(outcome, scene, _MOST_EDGES)]
    concrete = concrete_rows(scene, _MOST_TRUCKS, units)
    lines += [f"{label:<9}{text}" for label, text in concrete]
    plants = [f"{plant.name} {_BLANK}" for plant in outcome.basis.scenario.supply.plants]
    words = sorted({means_word(outcome, front.number) for front in scene.fronts})
    means = [f"{word} {_BLANK}" for word in words]
    lines += ["Call     " + "; ".join([*plants, *means, f"engineer {_BLANK}"])]
    lines += ["Orders   o and one of: " + ", ".join(form for form, _ in FORMS)]
    lines += ["         c tries one or two of them out, such as: end here or hold", ""]
    return [*lines, "order\twhat happens", *(f"{form}\t{what}" for form, what in FORMS)]


def edge_rows(
    outcome: Outcome, scene: Scene, most: int, front: int | None = None
) -> list[tuple[str, str]]:
    """Rows (label, words) of open edges: those lost next, by strip; those lost already.

    Of one ``front`` (index): those that it has to cover.
    """
    front_of = outcome.basis.layout.front_of
    edges = [e for e in scene.edges if front is None or front_of[e.younger] == front]
    first: dict[int, float] = {}
    for edge in edges:  # the nearest to be lost first
        if edge.lost_at >= scene.time:
            first.setdefault(edge.older, edge.lost_at)
    lost = sorted({edge.older for edge in edges if edge.lost_at < scene.time})
    rows = []
    if first:
        each = [
            f"{strip_of(outcome.basis.layout, i)} lost at {clock(at)}" for i, at in first.items()
        ]
        more = f"; +{len(each) - most} more" if len(each) > most else ""
        rows.append(("Oldest", "; ".join(each[:most]) + more))
    if lost:
        named = ", ".join(strip_of(outcome.basis.layout, i) for i in lost[:most])
        more = f", +{len(lost) - most} more" if len(lost) > most else ""
        rows.append(("LOST", f"edges of strips {named}{more}"))
    return rows


def concrete_rows(scene: Scene, most: int = 3, units: Units = SI) -> list[tuple[str, str]]:
    """Rows of the concrete on the site and on the road, each truck with its give-up time.

    What has been given up is no concrete any more.
    """
    fresh = [t for t in scene.trucks if t.gives_up >= scene.time]
    here = [t for t in fresh if t.state in (WAITING, AT_PUMP) and t.left > 0.0]
    coming = [t for t in fresh if t.state == ON_ROAD]
    return [
        (label, _concrete(scene, trucks, most, units))
        for label, trucks in (("Here", here), ("On road", coming))
        if trucks
    ]


def end_words(outcome: Outcome, scene: Scene, ending: Ending, units: Units = SI) -> str:
    """What to do about the first open edge of a front that stands, and by when to decide."""
    way = ending.advice(scene.time)
    if way is None:
        return "the edge cannot be saved: form the stop end at the front, ask the engineer"
    here = f"form the stop end at the front; decide by {clock(way.decide_by)}"
    if way.kind == HERE:
        return f"nothing to place with: {here}" if ending.nothing else here
    amount, strip = units.volume.text(way.needed, 1), strip_of(outcome.basis.layout, way.strip)
    takes = f"{amount}, {minutes(way.time)} min{_by(way.means)}"
    return f"fill strip {strip}: {takes}; decide by {clock(way.decide_by)}"


def comparison(
    outcome: Outcome, time: float, tried: Sequence[Figures], units: Units = SI
) -> list[str]:
    """Choices side by side: what becomes of each in the rests that were played.

    Cells of the table are parted by tabs.
    """
    volume, currency = units.volume, outcome.basis.scenario.prices.currency
    rests = len(tried[0].finish)
    rows = (
        ("last concrete", [_finish(each) for each in tried]),
        ("edges lost", [_lost(each) for each in tried]),
        (f"money ({currency})", [money(float(each.money.mean())) for each in tried]),
        ("concrete wasted", [volume.text(float(each.wasted.mean()), 1) for each in tried]),
        ("not poured today", [volume.text(float(each.left_out.mean()), 1) for each in tried]),
    )
    return [
        f"{clock(time)}   {rests} rests of this day, the same ones for both",
        "Drawn: how long a stop lasts, when trucks come, what goes wrong next.",
        "",
        "\t".join(["choice", *(each.choice.words for each in tried)]),
        *("\t".join([label, *cells]) for label, cells in rows),
        "",
        _BY,
    ]


def _finish(each: Figures) -> str:
    about, by = np.quantile(each.finish, (0.5, 0.9))
    return f"about {clock(float(about))}, by {clock(float(by))}"


def _lost(each: Figures) -> str:
    some = float((each.lost > 0).mean())
    return f"{each.lost.mean():.1f}; some in {percent(some)} of rests" if some else "none"


def _front(
    outcome: Outcome, scene: Scene, front: FrontScene, ending: Ending, units: Units
) -> list[str]:
    """One front that stands: why, its edges, what there is to place with, where it could end."""
    means = means_word(outcome, front.number).capitalize()
    why = DOING.get(front.why or front.doing, front.doing)
    lines = [f"{means} {front.number + 1} stands since {clock(front.stands_since)}: {why}"]
    edges = edge_rows(outcome, scene, _MOST_EDGES, front.number)
    lines += [f"{label:<9}{text}" for label, text in edges]
    if ending.edge is None:
        return [*lines, "no edge of it is open that is not lost already"]
    volume = units.volume.word
    lines.append(f"  where it could end\t{volume} in\t{volume} out\tmin\tdecide by")
    for way in ending.ways:
        mark = "*" if way is ending.advice(scene.time) else " "
        cells = (f"{mark} {_place(outcome, way, units)}", *_figures(way, scene.time, units))
        lines.append("\t".join(cells))
    return [*lines, f"* {end_words(outcome, scene, ending, units)}. {_ENGINEER}"]


def _place(outcome: Outcome, way: Way, units: Units) -> str:
    if way.kind == HERE:
        return "end here: at the front"
    if way.kind == STRIP:
        return f"end after {strip_of(outcome.basis.layout, way.strip)}"
    length = units.length
    lane = f"y {length.figure(way.low)} to {length.text(way.high)}"
    if not way.places:
        return f"line at the end of the lane, {lane}"
    at = ", ".join(length.figure(place.x, 1) for place in way.places)
    return f"line at x {at} {length.word}, {lane}"


def _figures(way: Way, now: float, units: Units) -> tuple[str, str, str, str]:
    inside, out = (
        units.volume.figure(each, 1) if each > 0.05 else "-" for each in (way.needed, way.removed)
    )
    if way.means is None:
        return inside, out, "-", "-"
    by = clock(way.decide_by) if way.in_time(now) else "too late"
    name = f" ({way.means.name})" if way.means.name and way.needed > 0.05 else ""
    return inside, out, minutes(way.time), f"{by}{name}"


def _by(means: Means | None) -> str:
    return f" by {means.name}" if means is not None and means.name else ""


def _concrete(scene: Scene, trucks: list[TruckScene], most: int, units: Units) -> str:
    """How much in all, and until when each truck may be discharged."""
    first = sorted(trucks, key=lambda truck: truck.gives_up)
    each = [f"truck {t.number + 1} gives up {clock(t.gives_up)}" for t in first[:most]]
    more = [f"+{len(first) - most} more"] if len(first) > most else []
    if math.isinf(scene.load_life):
        each, more = [], []
    return "; ".join([units.volume.text(sum(t.left for t in trucks), 1), *each, *more])
