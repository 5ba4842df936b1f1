"""The picture of a floor in parts: what is written on it, and that nothing lies on anything."""

from __future__ import annotations

from itertools import combinations

import pytest
from builders.pours import pour
from matplotlib.text import Text

from pourday.report.figures.many.split import save_split_figure, split_figure
from pourday.study.days import study_plans
from pourday.study.pours.split import find_split


def found_for(scenario, parts):
    def _play(bases):
        return study_plans(bases, 1, workers=1)

    return find_split(scenario, scenario.plans[0], _play, parts)


def texts_of(figure):
    figure.canvas.draw()
    return [t for t in figure.findobj(Text) if t.get_visible() and t.get_text().strip()]


@pytest.mark.parametrize("runs", [2, 6])
def test_every_part_and_stop_end_is_named_and_no_words_lie_on_others(runs):
    scenario = pour(floor={"spans_m": [3.0] * 2 * runs, "sheet_runs": [2] * runs})
    found = found_for(scenario, runs)
    figure = split_figure(scenario, found, found.best)
    texts = texts_of(figure)
    words = [t.get_text() for t in texts]
    for number in range(1, runs + 1):
        assert f"{number}" in words
        assert any(w.startswith(f"{number}  pour {number}, 2027-03-") for w in words)
    for number in range(1, runs):
        assert f"S{number}" in words
        assert f"S{number}  stop end at x = {6 * number + 0.6:.2f} m" in words
    assert f"600 mm from the beam at x = {6 * (runs - 1):.2f} m" in words
    boxes = [t.get_window_extent() for t in texts]
    for (a, one), (b, two) in combinations(zip(words, boxes, strict=True), 2):
        assert not one.overlaps(two), (a, b)
    width, height = figure.canvas.get_width_height()
    assert all(b.x0 >= 0 and b.x1 <= width and b.y0 >= 0 and b.y1 <= height for b in boxes)


def test_a_floor_without_a_stop_end_has_no_picture(tmp_path):
    scenario = pour()
    assert save_split_figure(scenario, found_for(scenario, None), tmp_path) == []
    assert list(tmp_path.iterdir()) == []
