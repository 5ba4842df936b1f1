"""Floors and plans drawn by hypothesis."""

from __future__ import annotations

from dataclasses import replace
from itertools import accumulate

from builders.pours import pour
from hypothesis import strategies as st

from pourday.scenario.model.scenario import FloorPlan, Opening, Plan, Scenario

PLAIN = pour()


@st.composite
def floors(draw, openings: int = 2) -> FloorPlan:
    spans = draw(st.lists(st.sampled_from([1.5, 2.4, 3.0, 3.7]), min_size=1, max_size=6))
    runs: list[int] = []
    while sum(runs) < len(spans):
        runs.append(draw(st.integers(1, len(spans) - sum(runs))))
    length = draw(st.sampled_from([6.0, 14.0]))
    supports = (0.0, *accumulate(spans))
    holes = []
    for n in range(draw(st.integers(0, openings))):
        x0, x1 = sorted(draw(_two(supports[-1])))
        y0, y1 = sorted(draw(_two(length)))
        holes.append(Opening(f"hole {n}", (x0, x1), (y0, y1)))
    return FloorPlan(
        supports=supports,
        sheet_runs=tuple(runs),
        length_y=length,
        primary_beams_y=draw(st.sampled_from([(), (0.0, 5.0), (2.0, 4.5)])),
        cut_at_primary_beams=draw(st.booleans()),
        openings=tuple(holes),
        low_x_end=draw(st.sampled_from(["edge", "joint"])),
        high_x_end=draw(st.sampled_from(["edge", "joint"])),
        stop_ends_x=(),
    )


def _two(most: float) -> st.SearchStrategy[list[float]]:
    place = st.integers(0, 20).map(lambda n: most * n / 20)
    return st.lists(place, min_size=2, max_size=2, unique=True)


@st.composite
def plans(draw) -> Plan:
    order = draw(st.sampled_from(["thirds", "spread", "across"]))
    return replace(
        PLAIN.plans[0],
        order=order,
        fraction=draw(st.sampled_from([0.2, 1 / 3, 0.45])),
        strip_width=draw(st.none() | st.sampled_from([0.7, 1.5])) if order == "spread" else None,
        band=draw(st.sampled_from([1.0, 2.0, 3.5])),
        pour_width=draw(st.none() | st.sampled_from([3.0, 5.0, 9.0])),
        begin_y=draw(st.sampled_from(["low_y", "high_y"])),
        least_strip=draw(st.sampled_from([0.0, 1.2])),
        begin_at=draw(st.sampled_from(["low_x", "high_x"])),
        lanes=draw(st.sampled_from(["side_by_side", "one_after_another"])),
        alternate=draw(st.booleans()),
    )


def on(floor: FloorPlan) -> Scenario:
    return replace(PLAIN, floor=floor)
