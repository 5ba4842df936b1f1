"""The floor, the trucks and the deck's share as SVG with real text, still until a frame moves it.

Every id begins with the name of its block, so that several days can stand on one page.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from pourday.outcome.measure import Outcome
from pourday.report.page.drawn.frames import LANES, Frame
from pourday.report.page.drawn.ground import MARGIN, WIDTH, Ground
from pourday.report.page.html import Html, joined, tag
from pourday.report.page.numbers import HOUR, clock, percent, strip_of

_CHART_HEIGHT, _CHART_LEFT, _CHART_TOP, _CHART_BOTTOM = 130.0, 44.0, 18.0, 18.0
_TRUCK_WIDE, _TRUCK_HIGH, _TRUCKS_A_ROW = 29.0, 15.0, 3
_LANE_WIDE = WIDTH / len(LANES)


def floor_drawing(block: str, outcome: Outcome, ground: Ground, frames: Sequence[Frame]) -> Html:
    """The floor to scale: strips with their numbers, concrete, open edges and fronts."""
    layout, floor = outcome.basis.layout, outcome.basis.scenario.floor
    strips, filled, numbers, wet = [], [], [], f"url(#{block}-hatch)"
    for k, strip in enumerate(layout.strips):
        x, y, w, h = ground.box(strip.x0, strip.x1, strip.y0, strip.y1)
        title = tag("title", strip_of(layout, k))
        strips.append(tag("rect", title, x=x, y=y, width=w, height=h, class_="strip"))
        filled.append(tag("rect", id=f"{block}-s{k}", class_="in", width="0", height="0", fill=wet))
        size = max(4.5, min(11.0, 0.62 * w, 0.8 * h))
        numbers.append(
            tag(
                "text",
                str(k + 1),
                x=x + w / 2,
                y=y + h / 2 + 0.35 * size,
                font_size=size,
                class_="number",
            )
        )
    holes = [_opening(ground, *hole.x, *hole.y, hole.name) for hole in floor.openings]
    most = max((len(frame.edges) for frame in frames), default=0)
    edges = [tag("line", id=f"{block}-e{n}", class_="edge off") for n in range(most)]
    fronts = [_front(block, n) for n in range(len(outcome.basis.plan.fronts))]
    hatch = tag(
        "pattern",
        tag("rect", width="6", height="6", class_="wet"),
        tag("path", d="M0 6L6 0", class_="hatch"),
        id=f"{block}-hatch",
        width="6",
        height="6",
        patternUnits="userSpaceOnUse",
    )
    return tag(
        "svg",
        tag("title", f"Plan of the floor, {len(layout.strips)} strips in the order of placing"),
        tag("defs", hatch),
        joined([*strips, *filled, *holes, *numbers, *edges, *fronts]),
        viewBox=f"0 0 {ground.width:.1f} {ground.height:.1f}",
        role="img",
        class_="floor",
        id=f"{block}-floor",
    )


def _opening(ground: Ground, x0: float, x1: float, y0: float, y1: float, name: str) -> Html:
    x, y, w, h = ground.box(x0, x1, y0, y1)
    size = max(4.0, min(9.0, 1.6 * w / max(1, len(name))))
    return joined(
        [
            tag("rect", tag("title", name), x=x, y=y, width=w, height=h, class_="hole"),
            tag("path", d=f"M{x} {y}l{w} {h}M{x} {y + h:.1f}l{w} -{h}", class_="cross"),
            tag("text", name, x=x + w / 2, y=y + h / 2 + 3, font_size=size, class_="number"),
        ]
    )


def _front(block: str, number: int) -> Html:
    return tag(
        "g",
        tag("circle", r="9", class_="front"),
        tag("text", f"P{number + 1}", y="3.2", class_="inside"),
        id=f"{block}-f{number}",
        class_="off",
    )


def trucks_drawing(block: str, outcome: Outcome, frames: Sequence[Frame]) -> Html:
    """Four places a truck may be at, and every truck that is ever at one of them."""
    rows = 1
    for frame in frames:
        for lane in range(len(LANES)):
            here = sum(truck[1] == lane for truck in frame.trucks)
            rows = max(rows, math.ceil(here / _TRUCKS_A_ROW))
    height = 24 + rows * (_TRUCK_HIGH + 4)
    lanes = []
    for n, state in enumerate(LANES):
        x = n * _LANE_WIDE
        lanes.append(
            tag("rect", x=x + 1, y="1", width=_LANE_WIDE - 2, height=height - 2, class_="lane")
        )
        lanes.append(tag("text", state, x=x + 6, y="14", class_="small"))
    seen = sorted({truck[0] for frame in frames for truck in frame.trucks})
    trucks = [
        tag(
            "g",
            tag("rect", width=_TRUCK_WIDE, height=_TRUCK_HIGH, class_="truck"),
            tag("rect", width=_TRUCK_WIDE, height="3", y=_TRUCK_HIGH - 3, class_="load"),
            tag("text", str(number + 1), x=_TRUCK_WIDE / 2, y="10", class_="inside dark"),
            id=f"{block}-t{number}",
            class_="off",
        )
        for number in seen
    ]
    return tag(
        "svg",
        tag("title", "Loads by number: on the road, waiting, at the pump, leaving"),
        joined([*lanes, *trucks]),
        viewBox=f"0 0 {WIDTH:.0f} {height:.0f}",
        role="img",
        class_="trucks",
        id=f"{block}-trucks",
    )


def places_in_time(frames: Sequence[Frame]) -> list[float]:
    """Where each frame stands on the chart of the deck's share."""
    first, last = frames[0].time, frames[-1].time
    wide = WIDTH - _CHART_LEFT - MARGIN
    return [
        round(_CHART_LEFT + wide * (frame.time - first) / max(last - first, 1.0), 1)
        for frame in frames
    ]


def deck_chart(block: str, outcome: Outcome, frames: Sequence[Frame]) -> Html:
    """Share of resistance over the day with its limit, and a line where the slider stands."""
    limit = outcome.basis.scenario.limits.deck_use
    shares = [frame.share for frame in frames]
    most = max(1.0, limit, *shares) * 1.08
    base = _CHART_HEIGHT - _CHART_BOTTOM
    across = places_in_time(frames)

    def _up(share: float) -> float:
        return round(base - (base - _CHART_TOP) * share / most, 1)

    path = f"M{across[0]} {_up(shares[0])}" + "".join(
        f"H{x}V{_up(share)}" for x, share in zip(across[1:], shares[1:], strict=True)
    )
    marks = []
    for share in (0.0, 0.5, 1.0):
        marks.append(
            tag("text", percent(share), x=_CHART_LEFT - 4, y=_up(share) + 3, class_="small end")
        )
        marks.append(
            tag("line", x1=_CHART_LEFT, x2=WIDTH - MARGIN, y1=_up(share), y2=_up(share),
                class_="grid")
        )  # fmt: skip
    marks += _hours(frames, across, base)
    at = _up(limit)
    return tag(
        "svg",
        tag("title", "Share of the deck's resistance in use over the day"),
        joined(marks),
        tag("line", x1=_CHART_LEFT, x2=WIDTH - MARGIN, y1=at, y2=at, class_="limit"),
        tag("text", f"your limit {percent(limit)}", x=WIDTH - MARGIN, y=at - 4, class_="small end"),
        tag("path", d=path, class_="share"),
        tag("line", id=f"{block}-now", x1="0", x2="0", y1=_CHART_TOP - 6, y2=base, class_="now"),
        viewBox=f"0 0 {WIDTH:.0f} {_CHART_HEIGHT:.0f}",
        role="img",
        class_="chart",
        id=f"{block}-chart",
    )


def _hours(frames: Sequence[Frame], across: Sequence[float], base: float) -> list[Html]:
    """Whole hours below the chart, as many as have room."""
    first, last = frames[0].time, frames[-1].time
    every = HOUR * max(1, math.ceil((last - first) / HOUR / 9))
    per_second = (across[-1] - across[0]) / max(last - first, 1.0)
    out = []
    for n in range(math.ceil(first / every), math.floor(last / every) + 1):
        x = across[0] + (n * every - first) * per_second
        out.append(tag("text", clock(n * every), x=x, y=base + 12, class_="small middle"))
    return out
