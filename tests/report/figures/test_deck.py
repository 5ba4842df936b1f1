"""Figures of the deck: what is written on them, that it is true, and that it can be read."""

from __future__ import annotations

import dataclasses
import subprocess
import sys
from itertools import combinations, pairwise
from pathlib import Path

import numpy as np
import pytest
from builders.drawn import boxes, is_a_page, overlap, stays_on_the_sheet, texts, words
from builders.places import SCENARIOS
from builders.shipped import first_basis, on_another_floor, shipped
from matplotlib.figure import Figure

from pourday.deck.history import Peaks
from pourday.outcome.base.basis import Basis
from pourday.outcome.deck.peaks import (
    bounds_of,
    group_peaks,
    heap_factors,
    response_of,
    use_of_lines,
)
from pourday.outcome.deck.surface import straightedge_gap, surfaces
from pourday.outcome.deck.values import (
    cell_levels,
    cell_uses,
    drawn_lines,
    envelope,
    span_shares,
)
from pourday.report.figures.deck.floor_map import free_part
from pourday.report.figures.deck.save import (
    deflected_shape,
    level_survey,
    moment_envelope,
    save_deck_figures,
    use_plan,
)
from pourday.report.figures.deck.shades import DEEP, DOWN, LEVEL, LIGHT, UP, lightness, shades
from pourday.report.figures.deck.use import _band
from pourday.report.figures.page import FOOT
from pourday.scenario.model.scenario import Opening, Scenario
from pourday.scenario.read import parse_scenario

LIBRARY = SCENARIOS / "library_level_2.toml"
NAMES = ["deck_moments.png", "deck_shape.png", "deck_plan.png", "level_survey.png"]
BEAMS = """
[beams]
columns_x_m = [0.0, 10.8, 21.6, 32.4, 43.2, 54.0]
[beams.secondary]
I_cm4 = 120000
precamber_mm = 45
[beams.primary]
I_cm4 = 200000
precamber_mm = 10

[mix]"""
MINUS = "\u2212"


def plain() -> Scenario:
    return shipped("library_level_2")


def weak() -> Scenario:
    scenario = plain()
    deck = dataclasses.replace(scenario.deck, sag_moment_resistance=5500.0)
    return dataclasses.replace(scenario, deck=deck)


MAKE = {
    "library": plain,
    "beams": lambda: parse_scenario(LIBRARY.read_text().replace("[mix]", BEAMS, 1))[0],
    "hall": lambda: shipped("market_hall"),
    "weak": weak,
    "turned": lambda: on_another_floor(plain(), [3.0] * 4, [4], [0.0, 70.0]),
    "single": lambda: on_another_floor(plain(), [3.2, 3.0, 3.6, 2.9], [1, 1, 1, 1], [0.0, 12.0]),
}


@dataclasses.dataclass(frozen=True)
class Deck:
    """A floor ready to draw, and its figures drawn so far."""

    basis: Basis
    by_group: tuple[Peaks, ...]
    drawn: dict[str, Figure] = dataclasses.field(default_factory=dict)

    def figure(self, what: str) -> Figure:
        if what not in self.drawn:
            self.drawn[what] = {
                "moments": lambda: moment_envelope(self.basis, self.by_group, 0),
                "shape": lambda: deflected_shape(self.basis, 0),
                "use": lambda: use_plan(self.basis, self.by_group, 0),
                "level": lambda: level_survey(self.basis),
            }[what]()
        return self.drawn[what]


_DECKS: dict[str, Deck] = {}


def deck_of(name: str) -> Deck:
    if name not in _DECKS:
        basis = first_basis(MAKE[name]())
        _DECKS[name] = Deck(basis, group_peaks(basis, 0))
    return _DECKS[name]


@pytest.fixture(params=list(MAKE))
def deck(request: pytest.FixtureRequest) -> Deck:
    return deck_of(request.param)


ALL = ["moments", "shape", "use", "level"]


def test_the_report_package_leaves_matplotlib_alone():
    code = "import sys, pourday.report; sys.exit('matplotlib' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_nothing_is_drawn_and_no_global_state_touched_on_import():
    code = (
        "import sys, gc, pourday.report.figures.deck.save; from matplotlib.figure import Figure;"
        "sys.exit('matplotlib.pyplot' in sys.modules"
        " or any(isinstance(o, Figure) for o in gc.get_objects()))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_values_need_no_drawing():
    code = "import sys, pourday.outcome.deck.values; sys.exit('matplotlib' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_four_files_are_written_as_png_of_a_printable_size(tmp_path: Path):
    files = save_deck_figures(deck_of("library").basis, 0, tmp_path / "new" / "folder")
    assert [file.name for file in files] == NAMES
    for file in files:
        assert is_a_page(file)
        assert file.stat().st_size > 30_000


@pytest.mark.parametrize("what", ALL)
def test_heading_names_scenario_and_plan_and_the_foot_says_whose_job_it_is(deck: Deck, what: str):
    written = words(deck.figure(what))
    for part in (deck.basis.scenario.title, deck.basis.plan.name, FOOT):
        assert part in written
    assert ("day 0" in written) == (what != "level")


@pytest.mark.parametrize("what", ALL)
def test_nothing_is_called_safe_and_nobody_is_sent_below_the_deck(deck: Deck, what: str):
    written = words(deck.figure(what)).lower()
    for word in ("safe", "under the deck", "below the deck", "beneath", "soffit"):
        assert word not in written


@pytest.mark.parametrize("what", ALL)
def test_everything_written_stays_on_the_sheet(deck: Deck, what: str):
    assert stays_on_the_sheet(deck.figure(what))


def test_use_by_span_has_the_same_greatest_as_the_peaks_in_every_state(deck: Deck):
    known = use_of_lines(deck.basis, deck.by_group)
    factors = heap_factors(deck.basis, 0)
    for line, use in zip(deck.basis.layout.lines, known, strict=True):
        mine = span_shares(line, bounds_of(line, factors)[1]).max(axis=1)
        assert np.allclose(mine, use, atol=1e-9)


def test_numbers_in_the_use_plan_are_those_of_the_peaks(deck: Deck):
    of_lines = use_of_lines(deck.basis, deck.by_group)
    # A line beside a primary beam is drawn as one with its neighbour, the worse of the two.
    drawn = drawn_lines(deck.basis.layout.lines)
    known = {n: np.concatenate([of_lines[m] for m in members]) for n, members, _, _ in drawn}
    printed: dict[int, list[int]] = {}
    for text in texts(deck.figure("use"), "use "):
        line = int((text.get_gid() or "").split()[1])
        printed.setdefault(line, []).append(int(text.get_text().lstrip("! ")))
    whole = {n for n, m in ((n, len(v)) for n, v in printed.items()) if m == spans(deck, n)}
    assert len(whole) >= 0.9 * len(known)
    for n in whole:
        peak = 100 * known[n].max()
        assert max(printed[n]) == (round(peak) if peak <= 100 else int(np.ceil(peak - 1e-9)))


def spans(deck: Deck, line: int) -> int:
    return len(deck.basis.layout.lines[line].supports) - 1


def test_every_cell_clear_of_openings_has_its_number_where_it_lies(deck: Deck):
    found = {t.get_gid(): t for t in texts(deck.figure("use"), "use ")}
    turned = deck.figure("use").axes[0].get_xlabel().startswith("y")
    openings = deck.basis.scenario.floor.openings
    for cell in cell_uses(deck.basis, 0):
        if free_part(cell.box, openings) != cell.box:
            continue
        at = found[f"use {cell.line} {cell.span}"].get_position()
        x, y = at[::-1] if turned else at
        assert cell.box[0] < x < cell.box[1]
        assert cell.box[2] < y < cell.box[3]


def test_the_strip_printed_below_a_number_is_one_that_crosses_the_line(deck: Deck):
    causes = texts(deck.figure("use"), "cause ")
    # On beams nine lines between two primary beams leave room for the numbers alone.
    assert causes or deck.basis.layout.frame is not None
    for text in causes:
        line = int((text.get_gid() or "").split()[1])
        assert int(text.get_text().split()[1]) - 1 in deck.basis.layout.lines[line].strips


def test_use_above_the_resistance_is_marked_in_print_and_said_in_words():
    deck = deck_of("weak")
    over = [c for c in cell_uses(deck.basis, 0) if c.use > 1.0]
    marked = [t for t in texts(deck.figure("use"), "use ") if t.get_text().startswith("! ")]
    assert len(marked) == len(over) > 0
    assert all(int(t.get_text()[2:]) > 100 for t in marked)
    assert "ABOVE THE RESISTANCE" in words(deck.figure("use"))
    assert "too much" in words(deck.figure("use"))
    assert "ABOVE THE RESISTANCE" not in words(deck_of("library").figure("use"))


def test_two_cells_with_the_same_number_have_the_same_shade():
    assert _band(0.8960) == _band(0.9040) == _band(0.9)
    assert _band(0.9060) == _band(1.0)
    assert _band(1.0001) > _band(1.0)


@pytest.mark.parametrize(("what", "which"), [("use", ("use ", "cause ")), ("level", ("level ",))])
def test_no_two_numbers_of_a_map_overlap(deck: Deck, what: str, which: tuple[str, ...]):
    figure = deck.figure(what)
    assert boxes(figure, *which)
    # A line of type is taller than its digits, by about a fifth on either side.
    high = max(t.get_fontsize() for name in which for t in texts(figure, name))
    near = 0.4 * high * figure.dpi / 72
    for a, b in combinations(boxes(figure, *which), 2):
        assert not overlap(a, b, near)


@pytest.mark.parametrize(("what", "least"), [("use", 4.5), ("level", 5.5)])
def test_numbers_of_a_map_are_large_enough_to_read(deck: Deck, what: str, least: float):
    sizes = [t.get_fontsize() for t in texts(deck.figure(what), f"{what} ")]
    assert min(sizes) >= least
    assert np.median(sizes) >= 6.5


def test_maps_have_a_scale_bar_and_numbers_stay_clear_of_openings():
    deck = deck_of("beams")
    hole: Opening = deck.basis.scenario.floor.openings[0]
    for what in ("use", "level"):
        (bar,) = texts(deck.figure(what), "scale")
        assert bar.get_text() == "5 m"
        for text in texts(deck.figure(what), f"{what} "):
            x, y = text.get_position()
            assert not (hole.x[0] < x < hole.x[1] and hole.y[0] < y < hole.y[1])


def test_level_numbers_carry_their_sign_and_are_the_level_of_the_cell(deck: Deck):
    cells = cell_levels(deck.basis)
    found = texts(deck.figure("level"), "level ")
    assert len(found) >= 0.9 * len(cells)
    for text in found:
        # A cell's way is below the datum; what is printed is its level.
        move = -1e3 * cells[int((text.get_gid() or "").split()[1])].movement
        printed = text.get_text().replace(MINUS, "-")
        assert int(printed) == round(move)
        assert printed[0] == ("+" if round(move) > 0 else "-" if round(move) < 0 else "0")


def test_level_facts_tell_range_and_shares_of_the_survey_in_points(deck: Deck):
    written = words(deck.figure("level"))
    points = surfaces(deck.basis)
    top, area = (np.concatenate([getattr(p, name) for p in points]) for name in ("top", "area"))
    for bound in (5, 10, 15):
        inside = area[np.abs(top) <= bound / 1e3].sum() / area.sum()
        assert f"±{bound} mm: {int(100 * inside + 1e-9)} %" in written
    assert f"{abs(1e3 * top[area > 0].max()):.1f}" in written
    assert f"{1e3 * max(straightedge_gap(each) for each in points):.0f} mm" in written


def test_the_level_map_counts_the_whole_floor_once(deck: Deck):
    scenario = deck.basis.scenario.floor
    area = sum((c.box[1] - c.box[0]) * (c.box[3] - c.box[2]) for c in cell_levels(deck.basis))
    assert area == pytest.approx((scenario.supports[-1] - scenario.supports[0]) * scenario.length_y)


def test_resistances_are_written_at_their_lines(deck: Deck):
    limit = deck.basis.layout.lines[0].resistance
    written = [t.get_text() for t in texts(deck.figure("moments"), "resistance")]
    rows = min(3, len(deck.basis.groups))
    assert written.count(f"resistance in sag {limit.sag_moment / 1e3:.2f} kNm/m") == rows
    assert written.count(f"resistance over the beam {limit.hog_moment / 1e3:.2f} kNm/m") == rows
    assert written.count(f"reaction resistance {limit.reaction / 1e3:.1f} kN/m") == rows


def test_bounds_of_moments_meet_the_peaks_of_the_day(deck: Deck):
    for group, peaks in zip(deck.basis.groups, deck.by_group, strict=True):
        bounds = envelope(deck.basis, group, 0)
        assert bounds.most.max() == pytest.approx(peaks.factored.sag_moment.value)
        assert bounds.least.min() == pytest.approx(peaks.factored.hog_moment.value)
        assert bounds.reaction_most.max() == pytest.approx(peaks.factored.reaction.value)
        # Without uplift the peaks say 0, the bounds the least that still presses down.
        lift = min(0.0, peaks.factored.uplift.value)
        assert min(0.0, bounds.reaction_least.min()) == pytest.approx(lift)


def test_moments_name_the_greatest_sag_and_hog_and_their_strips():
    deck = deck_of("library")
    beside = "\n".join(t.get_text() for t in texts(deck.figure("moments"), "beside"))
    for group, peaks in zip(deck.basis.groups, deck.by_group, strict=True):
        assert f"A  sag moment {peaks.factored.sag_moment.value / 1e3:.2f} kNm/m" in beside
        assert (
            f"B  bending over the beam {-peaks.factored.hog_moment.value / 1e3:.2f} kNm/m" in beside
        )
        strip = group.strips.ravel()[peaks.factored.sag_moment.state] + 1
        assert f"strip {strip} being placed" in beside


def test_every_support_has_its_greatest_and_least_reaction():
    deck = deck_of("library")
    found = [t.get_text() for t in texts(deck.figure("moments"), "reaction")]
    for group in deck.basis.groups:
        bounds = envelope(deck.basis, group, 0)
        for most in bounds.reaction_most:
            assert f"{most / 1e3:.1f}" in found
    assert len(found) == 2 * sum(len(g.model.supports) for g in deck.basis.groups)


def test_uplift_is_named_with_its_size():
    scenario = on_another_floor(plain(), [4.0, 2.0], [2], [0.0, 20.0])
    plan = dataclasses.replace(scenario.plans[0], order="spread")
    basis = first_basis(dataclasses.replace(scenario, plans=(plan,)))
    by_group = group_peaks(basis, 0)
    lift = by_group[0].factored.uplift.value
    assert lift < -100.0
    written = words(moment_envelope(basis, by_group, 0))
    assert f"UPLIFT {-lift / 1e3:.2f} kN/m" in written
    assert "No support lifts" not in written


def test_with_more_than_three_sheet_runs_the_most_used_are_drawn_and_named():
    deck = deck_of("single")
    assert len(deck.basis.groups) == 4
    use = [peak.use.max() for peak in deck.by_group]
    left_out = deck.basis.groups[int(np.argmin(use))].model.bay.name
    written = words(deck.figure("moments"))
    assert "4 different sheet runs; drawn are the 3" in written
    assert f"bay {left_out} ·" not in written
    assert written.count("HIGHEST USE") == 3


def test_shape_shows_start_thirds_worst_and_full_in_order_of_time(deck: Deck):
    heads = [
        t.get_text()
        for t in texts(deck.figure("shape"), "beside")
        if t.get_text().split()[0] in ("BEFORE", "AFTER", "WORST", "FULL:")
    ]
    assert heads[0] == "BEFORE THE FIRST STRIP"
    assert heads[-1] == "FULL: all strips placed"
    assert heads.count("WORST") == 1
    assert 3 <= len(heads) <= 5
    counts = [
        int(t.get_text().split()[0])
        for t in texts(deck.figure("shape"), "beside")
        if "strips on this line placed" in t.get_text()
    ]
    assert all(a <= b for a, b in pairwise(counts))


def test_shape_states_how_much_larger_than_life_it_is_drawn(deck: Deck):
    figure = deck.figure("shape")
    ax = figure.axes[0]
    a, b = ax.transData.transform([(0.0, 0.0), (1.0, 1.0)])
    times = 1000 * abs(b[1] - a[1]) / abs(b[0] - a[0])
    (fact,) = (t.get_text() for t in texts(figure) if "larger than life" in t.get_text())
    stated = float(fact.split("about ")[1].split()[0])
    assert stated == pytest.approx(times, rel=0.11)


def test_shape_counts_the_beams_only_where_there_are_any():
    assert "beams included" in words(deck_of("beams").figure("shape"))
    assert "beam" not in words(deck_of("library").figure("shape")).lower()


def test_worst_sag_is_that_of_the_deck_as_it_lies_and_no_more_than_the_peak(deck: Deck):
    # Drawn is one load state, zone and heap in the middle of the strip: at the worst place and
    # with people away where they relieve, the peak is a little more.
    factors = heap_factors(deck.basis, 0)
    drawn = max(
        1e3 * response_of(line, factors).deflection.max() for line in deck.basis.layout.lines
    )
    most = max(1e3 * peak.deflection.value for peak in deck.by_group)
    assert f"deck sags {drawn:.1f} mm" in words(deck.figure("shape"))
    assert 0.85 * most < drawn <= most + 1e-6


@pytest.mark.parametrize("what", ["moments", "shape"])
def test_words_beside_the_rows_do_not_overlap(deck: Deck, what: str):
    found = boxes(deck.figure(what), "beside")
    for a, b in combinations(found, 2):
        assert not overlap(a, b, 2.0)


@pytest.mark.parametrize(("first_shade", "last"), [(LIGHT, DEEP), (LEVEL, UP), (LEVEL, DOWN)])
def test_shades_darken_in_even_steps(first_shade: str, last: str):
    light = [lightness(shade) for shade in shades(first_shade, last, 7)]
    steps = np.diff(light)
    assert (steps < 0).all()
    assert np.ptp(steps) < 0.01
    assert shades(first_shade, last, 7)[0] == first_shade
    assert shades(first_shade, last, 7)[-1] == last


def test_both_ends_of_the_level_map_are_about_as_dark():
    assert lightness(UP) == pytest.approx(lightness(DOWN), abs=0.03)
