"""Figures: what is written on them and that it can be read; no image is compared."""

from __future__ import annotations

import dataclasses
import subprocess
import sys
from itertools import combinations
from pathlib import Path

import pytest
from builders.drawn import boxes, is_a_page, overlap, stays_on_the_sheet, texts, words
from builders.shipped import day_of, on_another_floor, shipped
from matplotlib.figure import Figure
from matplotlib.text import Text

from pourday.floor.layout import Layout, lay_out
from pourday.outcome.measure import Outcome
from pourday.report.figures.page import FOOT
from pourday.report.figures.save import (
    deck_use,
    save_figures,
    save_strip_plan,
    strip_plan,
    time_line,
    volume,
)
from pourday.report.words import strip_words
from pourday.scenario.model.scenario import Opening, Scenario

NAMES = ["strip_plan.png", "time_line.png", "volume.png", "deck_use.png"]


@pytest.fixture(scope="module")
def library() -> Scenario:
    return shipped("library_level_2")


def hall(scenario: Scenario) -> Scenario:
    """79 m x 60 m: eight sheet runs, two lanes, strips about 1.1 m and 2.2 m wide and 30 m long."""
    return on_another_floor(scenario, [79 / 24] * 24, [3] * 8, [0.0, 30.0, 60.0])


def small(scenario: Scenario) -> Scenario:
    return on_another_floor(scenario, [2.8, 2.8], [2], [0.0, 7.0])


@pytest.fixture(scope="module")
def outcome(library: Scenario) -> Outcome:
    return day_of(library)


def orders(figure: Figure) -> dict[str, Text]:
    """The order numbers of a strip plan."""
    return {t.get_text(): t for t in texts(figure, "order ")}


def plan_of(scenario: Scenario, which: int = 0, when: Outcome | None = None):
    plan = scenario.plans[which]
    layout: Layout = lay_out(scenario, plan)
    return strip_plan(scenario, plan, layout, when), layout


def test_report_package_leaves_matplotlib_alone():
    code = "import sys, pourday.report; sys.exit('matplotlib' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_figures_use_no_global_state_of_matplotlib():
    code = "import sys, pourday.report.figures.save; sys.exit('matplotlib.pyplot' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_four_files_are_written_as_png_of_a_printable_size(outcome: Outcome, tmp_path: Path):
    files = save_figures(outcome, tmp_path / "new" / "folder")
    assert [file.name for file in files] == NAMES
    for file in files:
        assert is_a_page(file)
        assert file.stat().st_size > 30_000


def test_the_same_day_gives_the_same_bytes(outcome: Outcome, tmp_path: Path):
    plan = (outcome.basis.scenario, outcome.basis.plan, outcome.basis.layout)
    first, again = (save_strip_plan(*plan, tmp_path / name) for name in ("a.png", "b.png"))
    assert first.read_bytes() == again.read_bytes()


@pytest.mark.parametrize("draw", [time_line, volume, deck_use])
def test_heading_names_scenario_plan_and_day_and_the_foot_says_whose_job_it_is(
    outcome: Outcome, draw
):
    written = words(draw(outcome))
    for part in ("Library, level 2", "thirds, 11 people", "day 0", FOOT):
        assert part in written


def test_strip_plan_names_its_day_only_where_one_was_played(library: Scenario, outcome: Outcome):
    assert "day 0" in words(plan_of(library, when=outcome)[0])
    assert "day 0" not in words(plan_of(library)[0])
    assert FOOT in words(plan_of(library)[0])


def test_no_figure_promises_safety(outcome: Outcome, library: Scenario):
    figures = [draw(outcome) for draw in (time_line, volume, deck_use)]
    for figure in [*figures, plan_of(library)[0]]:
        assert "safe" not in words(figure).lower()


@pytest.mark.parametrize("change", [lambda s: s, small, hall])
@pytest.mark.parametrize("which", [0, 1])
def test_every_strip_has_its_number_where_the_strip_lies(library: Scenario, change, which: int):
    scenario = change(library)
    figure, layout = plan_of(scenario, which)
    found = orders(figure)
    assert list(found) == [str(n + 1) for n in range(len(layout.strips))]
    for strip, text in zip(layout.strips, found.values(), strict=True):
        x, y = text.get_position()
        assert x == pytest.approx(strip.middle)
        assert strip.y0 < y < strip.y1


@pytest.mark.parametrize("change", [lambda s: s, small, hall])
@pytest.mark.parametrize("which", [0, 1])
def test_no_two_order_numbers_or_clock_times_overlap(library: Scenario, change, which: int):
    scenario = change(library)
    when = day_of(scenario, which)
    figure, _ = plan_of(scenario, which, when)
    written = boxes(figure, "order ", "times ")
    assert len(written) == 2 * len(when.strip_start)
    assert not [1 for a, b in combinations(written, 2) if overlap(a, b)]


@pytest.mark.parametrize("which", [0, 1])
def test_numbers_of_the_market_hall_can_be_read(library: Scenario, which: int):
    figure, _ = plan_of(hall(library), which)
    assert min(text.get_fontsize() for text in orders(figure).values()) >= 6.5


def test_numbers_stay_clear_of_openings(library: Scenario):
    hole = library.floor.openings[0]
    figure, _ = plan_of(library)
    for text in orders(figure).values():
        x, y = text.get_position()
        assert not (hole.x[0] < x < hole.x[1] and hole.y[0] < y < hole.y[1])


def test_bay_name_moves_aside_for_an_opening(library: Scenario):
    hole = Opening("shaft", (4.0, 7.0), (0.0, 2.0))
    plan = dataclasses.replace(library.floor, openings=(hole,))
    figure, _ = plan_of(dataclasses.replace(library, floor=plan))
    (name,) = (t for t in texts(figure) if t.get_gid() == "bay 1a")
    assert not hole.x[0] < name.get_position()[0] < hole.x[1]


def test_legend_shows_only_what_is_on_the_floor(library: Scenario):
    written = words(plan_of(library)[0])
    for part in ("B  beam", "G  gap", "J  joint", "E  edge", "sheet joint", "opening", "BEGIN"):
        assert part in written
    written = words(plan_of(small(library))[0])
    for part in ("J  joint", "sheet joint", "opening", "stop end", "prop line"):
        assert part not in written


def test_stop_ends_and_props_are_drawn_where_there_are_any(library: Scenario):
    scenario = dataclasses.replace(
        library,
        floor=dataclasses.replace(library.floor, stop_ends_x=(11.4,)),
        props=dataclasses.replace(library.props, lines_x=(1.8,)),
    )
    written = words(plan_of(scenario)[0])
    assert written.count("stop end") == 2
    assert "prop line" in written


def test_long_narrow_floor_is_turned_and_a_square_one_is_not(library: Scenario):
    long = on_another_floor(library, [3.0] * 4, [4], [0.0, 70.0])
    assert plan_of(long)[0].axes[0].get_xlabel().startswith("y")
    assert plan_of(library)[0].axes[0].get_xlabel().startswith("x")


def test_clock_times_of_a_strip_are_those_of_the_day(library: Scenario, outcome: Outcome):
    figure, _ = plan_of(library, when=outcome)
    (text,) = (t for t in texts(figure) if t.get_gid() == "times 1")
    begin = outcome.strip_start[0] / 60
    assert text.get_text().startswith(f"{int(begin // 60):02d}:")


def test_time_line_has_a_row_for_every_truck_and_state(outcome: Outcome):
    figure = time_line(outcome)
    pump, strips, trucks = figure.axes
    states = [label.get_text() for label in pump.get_yticklabels()]
    assert states == ["placing", "no truck", "changing", "moving", "down", "break", "rain"]
    assert len(trucks.patches) >= 4 * len(outcome.log.visits)
    numbers = [t.get_text() for t in strips.texts if (t.get_gid() or "").startswith("strip ")]
    assert len(numbers) >= 0.9 * len(outcome.strip_start)


def test_time_line_marks_what_was_not_placed(outcome: Outcome):
    lost = [v for v in outcome.log.visits if v.outcome != "placed"]
    visits = (*outcome.log.visits[:-1], outcome.log.visits[-1]._replace(outcome="rejected: test"))
    log = dataclasses.replace(outcome.log, visits=visits)
    assert "rejected: test" in words(time_line(dataclasses.replace(outcome, log=log)))
    assert f"not emptied: {len(lost)}" in words(time_line(outcome))


def test_volume_ends_at_what_was_delivered_and_discharged(outcome: Outcome):
    ax = volume(outcome).axes[0]
    lines = {line.get_label(): line.get_ydata() for line in ax.get_lines()}
    placed = outcome.log.placed + outcome.log.held
    assert lines["delivered (arrived at the site)"][-1] == pytest.approx(outcome.ordered)
    assert lines["discharged"][-1] == pytest.approx(placed)


def test_concrete_on_trucks_is_never_negative_and_ends_at_none(outcome: Outcome):
    low = volume(outcome).axes[1]
    heights = low.get_lines()[0].get_ydata()
    assert min(heights) > -1e-6
    assert heights[-1] == pytest.approx(0.0, abs=1e-6)


def test_planned_arrivals_can_be_left_out(outcome: Outcome):
    assert "as planned" in words(volume(outcome))
    assert "as planned" not in words(volume(outcome, planned=False))


def test_deck_use_names_the_strip_of_the_highest_step(outcome: Outcome):
    figure = deck_use(outcome)
    peak = outcome.deck.use
    said = [t.get_text() for t in figure.axes[0].texts]
    name = strip_words(peak.strip + 1, outcome.basis.layout.strips[peak.strip].name)
    assert any(f"strip {name}\n" in text for text in said)
    assert any("resistance" in text for text in said)
    assert any(f"{outcome.basis.scenario.loads.look_share:.2f}" in text for text in said)


def test_deck_use_above_resistance_is_said_in_words(library: Scenario):
    weak = dataclasses.replace(library.deck, sag_moment_resistance=4000.0)
    figure = deck_use(day_of(dataclasses.replace(library, deck=weak)))
    assert "ABOVE THE RESISTANCE" in words(figure)


def test_peak_labels_do_not_overlap(outcome: Outcome):
    figure = deck_use(outcome)
    figure.canvas.draw()
    labels = [t for t in figure.axes[0].texts if t.get_text().startswith("strip ")]
    written = [Text.get_window_extent(t) for t in labels]
    assert len(written) >= 3
    assert not [1 for a, b in combinations(written, 2) if overlap(a, b)]


def test_a_day_on_which_nothing_was_placed_is_drawn_and_says_so(library: Scenario, tmp_path: Path):
    scenario = small(library)
    mix = dataclasses.replace(scenario.mix, reject_share=1.0)
    site = dataclasses.replace(scenario.site, test_every=1)  # a load that is not tested is placed
    nothing = day_of(dataclasses.replace(scenario, mix=mix, site=site))
    assert len(save_figures(nothing, tmp_path)) == 4
    assert "NOT FINISHED" in words(time_line(nothing))
    assert "No concrete placed" in words(time_line(nothing))
    assert "not reached" in words(deck_use(nothing))
    assert "not placed" in words(plan_of(scenario, when=nothing)[0])


@pytest.mark.parametrize("change", [lambda s: s, small, hall])
def test_everything_written_stays_on_the_sheet(library: Scenario, change):
    when = day_of(change(library))
    figures = [draw(when) for draw in (time_line, volume, deck_use)]
    for figure in [*figures, plan_of(change(library), when=when)[0]]:
        assert stays_on_the_sheet(figure)


def test_nobody_is_sent_under_the_deck(outcome: Outcome):
    written = words(deck_use(outcome))
    assert "Stop and look" in written
    assert "under" not in written
