"""The strip plan of the order ``across``: every band's strips with an arrow along x."""

from __future__ import annotations

import pytest
from builders.pours import basis_of, measured, pour
from matplotlib.text import Annotation

from pourday.report.figures.concrete.drying import weather_and_drying
from pourday.report.figures.concrete.finishing import finishing_bars
from pourday.report.figures.save import save_figures
from pourday.report.figures.strip_plan import strip_plan

FLOOR = {
    "spans_m": [4.0, 4.0, 3.0],
    "sheet_runs": [2, 1],
    "length_y_m": 6.0,
    "openings": [{"x_m": [1.0, 3.0], "y_m": [2.0, 4.0]}],
}


def drawn(floor=FLOOR, when=False):
    scenario = pour(floor=floor, plan={"order": "across"})
    basis = basis_of(scenario)
    day = measured(scenario) if when else None
    figure = strip_plan(scenario, basis.plan, basis.layout, day)
    return basis.layout, figure


@pytest.mark.parametrize("long", [False, True])
def test_arrows_run_along_x_the_way_of_each_front(long):
    floor = FLOOR | ({"length_y_m": 40.0} if long else {})
    layout, figure = drawn(floor)
    arrows = [a for a in figure.axes[0].texts if isinstance(a, Annotation) and not a.get_text()]
    assert len(arrows) == len(layout.strips)
    turned = "y" in figure.axes[0].get_xlabel()
    for arrow, strip, up in zip(arrows, layout.strips, layout.upward, strict=True):
        tail, head = arrow.xyann, arrow.xy
        if turned:
            tail, head = tail[::-1], head[::-1]
        assert tail[1] == head[1]
        assert strip.y0 < tail[1] < strip.y1
        assert (head[0] > tail[0]) == up
        assert strip.x0 < min(tail[0], head[0]) < max(tail[0], head[0]) < strip.x1


def test_numbers_stand_in_their_strips_clear_of_openings():
    layout, figure = drawn(when=True)
    numbers = {t.get_gid(): t for t in figure.axes[0].texts if str(t.get_gid()).startswith("order")}
    assert len(numbers) == len(layout.strips)
    for k, strip in enumerate(layout.strips, start=1):
        x, y = numbers[f"order {k}"].get_position()
        assert strip.x0 < x < strip.x1
        assert strip.y0 < y < strip.y1
        assert not (1.0 < x < 3.0 and 2.0 < y < 4.0)


def test_every_figure_of_a_day_of_bands_can_be_drawn(tmp_path):
    scenario = pour(
        floor=FLOOR | {"length_y_m": 90.0},
        plan={"order": "across"},
        crews={"crew": {"finishers": 2}},
    )
    outcome = measured(scenario)
    assert all(path.stat().st_size > 0 for path in save_figures(outcome, tmp_path))
    assert weather_and_drying(outcome).axes
    rows = [t.get_text() for ax in finishing_bars(outcome).axes for t in ax.get_yticklabels()]
    assert any("band 1" in row for row in rows)
    assert len(rows) < len(outcome.basis.layout.strips)
