"""What a page says at a stop: edges by age, and the concrete that waits with its give-up time."""

from __future__ import annotations

from pourday.day.log import DOWN
from pourday.floor.layout import Layout
from pourday.outcome.edges.open_edges import OpenEdge
from pourday.outcome.measure import Outcome
from pourday.outcome.scene import AT_PUMP, ON_ROAD, WAITING, Scene, TruckScene
from pourday.report.units import SI, Units
from pourday.report.words import clock

_MOST_EDGES, _MOST_TRUCKS = 2, 3


def stop_rows(outcome: Outcome, scene: Scene, units: Units = SI) -> list[tuple[str, str]]:
    """Rows (label, words) of a page at a stop; nothing in them knows how long it lasts."""
    layout = outcome.basis.layout
    first: dict[int, OpenEdge] = {}
    for edge in scene.edges:  # the nearest to be lost first
        if edge.lost_at >= scene.time:
            first.setdefault(edge.older, edge)
    ahead = list(first.values())
    lost = [edge for edge in scene.edges if edge.lost_at < scene.time]
    rows = []
    if ahead:
        each = [f"{_of(layout, e)} lost at {clock(e.lost_at)}" for e in ahead[:_MOST_EDGES]]
        rows.append(("Oldest", "; ".join(each)))
    if lost:
        numbers = sorted({edge.older + 1 for edge in lost})
        rows.append(("LOST", "edges of strips " + ", ".join(map(str, numbers))))
    here = [t for t in scene.trucks if t.state in (WAITING, AT_PUMP) and t.left > 0.0]
    coming = [t for t in scene.trucks if t.state == ON_ROAD]
    for label, trucks in (("Here", here), ("On road", coming)):
        if trucks:
            rows.append((label, _concrete(scene, trucks, units)))
    if ahead:
        rows.append(("End it", _end_words(outcome, scene, ahead[0].lost_at, units)))
    return rows


def _end_words(outcome: Outcome, scene: Scene, lost_at: float, units: Units) -> str:
    """What is left to fill of the strips that are begun, and by when that has to be decided.

    With the pump down there is nothing to place with; else the pace is that of the crew so far.
    """
    here = f"form the stop end at the front; decide by {clock(lost_at)}"
    standing = [front for front in scene.fronts if front.stands_long(scene.time)]
    if any(front.doing == DOWN for front in standing):
        return f"nothing to place with: {here}"
    volumes = outcome.log.strip_volumes
    begun = [n for n, strip in enumerate(scene.strips) if 0.0 < strip.share < 1.0]
    rest = sum(volumes[n] * (1.0 - scene.strips[n].share) for n in begun)
    first = min((s.start for s in outcome.log.stretches if s.strip >= 0), default=scene.time)
    spent = min(front.stands_since for front in standing) - first
    if not begun or spent <= 0.0 or scene.placed <= 0.0:
        return here
    takes = rest * spent / scene.placed
    strips = ", ".join(str(n + 1) for n in begun)
    by = clock(max(scene.time, lost_at - takes))
    amount = units.volume.text(rest, 1)
    return f"fill strip {strips}: {amount}, {takes / 60:.0f} min; decide by {by}"


def strip_number(layout: Layout, strip: int) -> str:
    """A strip by its number in the order of placing and its name: "12 (1b/joint)"."""
    return f"{strip + 1} ({layout.strips[strip].name})"


def _of(layout: Layout, edge: OpenEdge) -> str:
    return strip_number(layout, edge.older)


def _concrete(scene: Scene, trucks: list[TruckScene], units: Units) -> str:
    """How much in all, and until when each truck may be discharged."""
    first = sorted(trucks, key=lambda truck: -truck.age)
    each = [
        f"truck {t.number + 1} gives up {clock(scene.time - t.age + scene.load_life)}"
        for t in first[:_MOST_TRUCKS]
    ]
    more = [f"+{len(first) - _MOST_TRUCKS} more"] if len(first) > _MOST_TRUCKS else []
    if scene.load_life == float("inf"):
        each, more = [], []
    return "; ".join([units.volume.text(sum(t.left for t in trucks), 1), *each, *more])
