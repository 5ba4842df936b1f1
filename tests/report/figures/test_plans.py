"""Plans side by side, from one to nine: values, ticks, limits, nothing over anything."""

from __future__ import annotations

import dataclasses
import math

import pytest
from builders.drawn import least_type, named, texts, together, words
from builders.shipped import shipped
from matplotlib.lines import Line2D

from pourday.report.figures.many.compare import plans_figure
from pourday.report.units import US
from pourday.study.compare import CHANCES, FIGURES, Comparison, PlanSummary
from pourday.study.statistics import Interval, Spread

NAMES = (
    "line, 21 min", "15 people, 04:30", "crane and skip", "line, across, nine people, two breaks",
    "a", "15 people, spread", "night, 20:00", "one long boom", "thirds, 11 people",
)  # fmt: skip


def made(plans: int, end_h: float = 15.0, cost: float = 13_400.0) -> Comparison:
    """A comparison of so many plans, each a little later and dearer than the one before."""
    summaries = []
    for n in range(plans):
        middle = dict.fromkeys(FIGURES, 12.0 + 9 * n)
        middle |= {"end_h": end_h + 0.7 * n, "finishing_end_h": end_h + 5 + n}
        middle |= {"use": 0.86 + 0.01 * n, "cost_total": cost * (1 + 0.03 * n)}
        middle |= {"starved_h": 0.2 * n, "oldest_age_min": 70.0 + 6 * n}
        figures = {k: Spread(v, 0.97 * v, v, 1.04 * v) for k, v in middle.items()}
        chances = dict.fromkeys(CHANCES, Interval(0.02 * n, 0.01 * n, 0.05 + 0.03 * n))
        summaries.append(PlanSummary(NAMES[n], 200, figures, chances, None, {}))
    return Comparison(0, tuple(summaries), {})


@pytest.fixture(scope="module")
def clinic():
    return shipped("clinic_level_1")


@pytest.mark.parametrize("plans", [1, 2, 4, 9])
@pytest.mark.parametrize(("end_h", "cost"), [(15.0, 13_400.0), (24.5, 1_340_000.0)])
def test_nothing_lies_on_anything_and_all_can_be_read_at_half_a_page(clinic, plans, end_h, cost):
    figure = plans_figure(clinic, made(plans, end_h, cost))
    assert together(figure) == []
    assert least_type(figure) >= 7.0
    assert len(texts(figure, "value")) == plans * len(figure.axes)


def test_the_same_with_shares_that_nobody_can_judge(clinic):
    few = made(2)
    nothing = Spread(math.nan, math.nan, math.nan, math.nan)
    plans = tuple(
        dataclasses.replace(plan, figures={**plan.figures, "use": nothing})
        for plan in few.summaries
    )
    assert together(plans_figure(clinic, dataclasses.replace(few, summaries=plans))) == []


def test_limits_are_drawn_where_they_are_and_named(clinic):
    figure = plans_figure(clinic, made(4, end_h=18.0))
    said = [t.get_text() for t in texts(figure, "limit")]
    assert said == ["curfew 19:00", "limit 90", "limit 100 %", "limit 10 %"]
    at = [line.get_xdata()[0] for line in named(figure, Line2D, "limit")]
    assert at == pytest.approx([19 * 3600.0, 90.0, 1.0, 0.10])


def test_a_limit_far_off_is_pointed_to(clinic):
    figure = plans_figure(clinic, made(2, end_h=9.0))
    assert "curfew 19:00 \u2192" in words(figure)


@pytest.mark.parametrize("plans", [1, 2, 4, 9])
def test_ticks_are_round(clinic, plans):
    figure = plans_figure(clinic, made(plans))
    figure.canvas.draw()
    by_title = dict(zip((t.get_text() for t in texts(figure, "title")), figure.axes, strict=True))
    for title, axes in by_title.items():
        low, high = axes.get_xlim()
        ticks = [t for t in axes.get_xticks() if low <= t <= high]
        assert ticks, title
        for tick in ticks:
            if title in ("last concrete", "finishers leave"):
                assert tick % 300.0 == pytest.approx(0.0)
            elif tick:
                digits = f"{abs(tick):.6e}".split("e")[0].rstrip("0").replace(".", "")
                assert len(digits) <= 3, (title, tick)


def test_the_rule_of_edges_is_said_in_the_readers_units(clinic):
    assert "68 °F" in words(plans_figure(clinic, made(1), US))
    said = words(plans_figure(clinic, made(1))).replace("\n", " ")
    assert "starved" not in said
    assert "Cold edge: share of days, bar its 95 % interval." in said
