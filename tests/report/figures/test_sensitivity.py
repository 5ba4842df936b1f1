"""The picture of what moves the result: what is written on it, and that it can be read."""

from __future__ import annotations

import math
from itertools import combinations

from builders.drawn import overlap, stays_on_the_sheet, words

from pourday.report.figures.many.sensitivity import sensitivity_figure
from pourday.study.sensitivity import DAY_WIDE, FIGURES, Sensitivity, Source, Swing
from pourday.study.statistics import Interval

NOTHING = Interval(math.nan, math.nan, math.nan)


def found(sources: int = 12, swings: int = 8) -> Sensitivity:
    shares = [Interval(0.9 / n, 0.5 / n, min(1.0, 1.4 / n)) for n in range(1, sources + 1)]
    own = ["supply.plants[1].travel_min.mean", "pumps.boom.output_m3_h", "mix.slump_mm"]
    named = [*own, *DAY_WIDE]
    moved = {name: Interval(0.4, 0.2, 0.6) for name in FIGURES}
    back = {name: Interval(-0.3, -0.5, -0.1) for name in FIGURES}
    return Sensitivity(
        plan="line, 21 min",
        days=200,
        sources=tuple(
            Source(f"source {n}", {"end_h": i, "cost_total": i, "cold_length_m": NOTHING})
            for n, i in enumerate(shares)
        ),
        mean=dict.fromkeys(FIGURES, 12.0),
        sd=dict.fromkeys(FIGURES, 1.0),
        not_zero={"end_h": 200, "cost_total": 200, "cold_length_m": 0},
        swings=tuple(Swing(name, ("14", "24"), back, moved) for name in named[:swings]),
    )


def test_all_labels_stand_on_the_sheet_and_apart():
    figure = sensitivity_figure("Clinic, level 1", found())
    said = words(figure)
    assert "source 0" in said
    assert "supply.plants[1].travel_min.mean" in said
    assert "cold edges" not in said, "a figure that nobody can tell has no panel"
    assert stays_on_the_sheet(figure)
    figure.canvas.draw()
    for axes in figure.axes:
        boxes = [each.get_window_extent() for each in axes.get_yticklabels() if each.get_text()]
        assert not any(overlap(a, b) for a, b in combinations(boxes, 2))
        for box in boxes:
            assert box.x0 > 0


def test_without_swings_or_without_sources_the_rest_is_drawn():
    assert "source 0" in words(sensitivity_figure("Clinic", found(swings=0)))
    bare = sensitivity_figure("Clinic", found(sources=0))
    assert "pumps.boom.output_m3_h" in words(bare)
