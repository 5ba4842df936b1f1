"""The picture of a search: what is on the axis, what is written on it, what is marked."""

from __future__ import annotations

from builders.trials import Made, search_over, trial_of

from pourday.report.figures.many.choose import save_choose_figures, spacing_figure
from pourday.study.search.found import found_so_far
from pourday.study.search.rounds import Budget, run_search


def found_of(cost, cold=(), key="plan.spacing_min"):
    trial = trial_of(len(cost))
    why = run_search(trial, Made(cost, cold=cold), Budget(200))
    return found_so_far(search_over(range(10, 10 + len(cost)), key), trial, why, 200)


def test_cost_stands_over_spacing_and_the_taken_one_is_ringed():
    found = found_of([10_400, 10_000, 10_200])
    (axes,) = spacing_figure(found, None).axes
    assert axes.get_xlabel() == "plan.spacing_min"
    assert axes.get_ylabel() == "cost of a day, EUR"
    ring = next(line for line in axes.lines if line.get_label() == "taken")
    assert list(ring.get_xdata()) == [11]
    marks = next(line for line in axes.lines if line.get_label() == "line")
    assert list(marks.get_xdata()) == [10, 11, 12]


def test_those_that_break_a_limit_are_crossed_and_the_limit_is_named():
    found = found_of([9_000, 10_000, 10_200], cold=[0.6, 0.0, 0.0])
    figure = spacing_figure(found, None)
    crosses = [line for line in figure.axes[0].lines if line.get_marker() == "x"]
    assert [list(line.get_xdata()) for line in crosses] == [[10]]
    said = " ".join(text.get_text() for text in figure.texts)
    assert "a cold joint on more than 10 % of days" in said
    assert "Taken: c1." in said


def test_it_is_written_as_candidates_png(tmp_path):
    found = found_of([10_000, 10_300], key="plan.start")
    (path,) = save_choose_figures(found, None, tmp_path / "new")
    assert path.name == "candidates.png"
    assert path.stat().st_size > 10_000
