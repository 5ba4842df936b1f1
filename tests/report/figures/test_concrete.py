"""Figures of drying and finishing: what is written on them, that it is true and legible."""

from __future__ import annotations

import dataclasses
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from builders import drawn
from builders.drawn import bars, is_a_page
from builders.shipped import day_of, shipped
from matplotlib.figure import Figure
from matplotlib.text import Text

from pourday.concrete.cooling import slab_relaxation
from pourday.concrete.temperature import Air
from pourday.day.log import Stop
from pourday.outcome.measure import Outcome
from pourday.report.figures.concrete.drying import periods, surface
from pourday.report.figures.concrete.save import (
    finishing_bars,
    save_concrete_figures,
    weather_and_drying,
)
from pourday.report.figures.page import FOOT
from pourday.report.words import clock, hours, strip_words
from pourday.scenario.model.scenario import Scenario


def crewed(scenario: Scenario, finishers: int) -> Scenario:
    crews = {
        name: dataclasses.replace(crew, finishers=finishers)
        for name, crew in scenario.crews.items()
    }
    return dataclasses.replace(scenario, crews=crews)


def late() -> Outcome:
    """A day with too few finishers, an end of the shift, two showers and a break beside one."""
    scenario = crewed(shipped("library_level_2"), 3)
    rules = dataclasses.replace(scenario.finishing, shift_end=19 * 3600.0)
    site = dataclasses.replace(scenario.site, curfew=19.5 * 3600.0)
    outcome = day_of(dataclasses.replace(scenario, finishing=rules, site=site))
    rain = (Stop("rain", 9.2 * 3600, 9.5 * 3600), Stop("rain", 15 * 3600.0, 16 * 3600.0))
    log = dataclasses.replace(outcome.log, stops=(*outcome.log.stops, *rain))
    return dataclasses.replace(outcome, log=log)


MAKE = {
    "clinic": lambda: day_of(shipped("clinic_level_1")),
    "hall": lambda: day_of(shipped("market_hall")),
    "late": late,
    "nobody": lambda: day_of(crewed(shipped("clinic_level_1"), 0)),
}
DRAW = {"drying": weather_and_drying, "finishing": finishing_bars}
_DAYS: dict[str, Outcome] = {}
_DRAWN: dict[tuple[str, str], Figure] = {}


def of(name: str) -> Outcome:
    if name not in _DAYS:
        _DAYS[name] = MAKE[name]()
    return _DAYS[name]


def figure_of(name: str, what: str) -> Figure:
    if (name, what) not in _DRAWN:
        figure = DRAW[what](of(name))
        figure.canvas.draw()
        _DRAWN[name, what] = figure
    return _DRAWN[name, what]


def texts(figure: Figure, which: str = "") -> list[Text]:
    """What is written, without the labels of ticks beyond the end of their axis."""
    hidden = {
        id(tick.label1)
        for ax in figure.axes
        for axis in (ax.xaxis, ax.yaxis)
        for tick in axis.get_major_ticks()
        if not min(axis.get_view_interval()) <= tick.get_loc() <= max(axis.get_view_interval())
    }
    return [t for t in drawn.texts(figure, which) if id(t) not in hidden]


def words(figure: Figure) -> str:
    return "\n".join(t.get_text() for t in texts(figure))


def on_a_hot_day(outcome: Outcome) -> Outcome:
    """The same day in air 14 °C warmer, much drier and six times as windy."""
    basis, rows = outcome.basis, outcome.basis.air
    air = Air(rows.times, rows.temperature + 14.0, rows.humidity * 0.6, rows.wind * 6.0)
    relax = slab_relaxation(air, basis.slab)
    hot = dataclasses.replace(basis, air=air, relax=relax)
    return dataclasses.replace(outcome, basis=hot)


BOTH = pytest.mark.parametrize("what", list(DRAW))
ALL = pytest.mark.parametrize("name", list(MAKE))


def test_the_report_package_leaves_matplotlib_alone_and_pyplot_is_never_imported():
    code = (
        "import sys, pourday.report, pourday.report.text.concrete;"
        "early = 'matplotlib' in sys.modules;"
        "import pourday.report.figures.concrete.save;"
        "sys.exit(early or 'matplotlib.pyplot' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_two_files_are_written_on_a4_landscape(tmp_path: Path):
    files = save_concrete_figures(of("clinic"), tmp_path / "new" / "folder")
    assert [file.name for file in files] == ["drying.png", "finishing.png"]
    assert all(map(is_a_page, files))


@ALL
@BOTH
def test_all_writing_is_on_the_sheet_large_enough_and_not_over_other_writing(name: str, what: str):
    outcome, figure = of(name), figure_of(name, what)
    shown = texts(figure)
    written = "\n".join(t.get_text() for t in shown)
    for part in (outcome.basis.scenario.title, outcome.basis.plan.name, "day 0", FOOT):
        assert part in written
    for word in ("safe", "water", "video", "record"):
        assert word not in written.lower()
    assert min(t.get_size() for t in shown) >= 6.5
    inside = [Text.get_window_extent(t) for t in shown]
    for text, box in zip(shown, inside, strict=True):
        assert box.x0 >= 0.01 * figure.bbox.width, text
        assert box.x1 <= 0.99 * figure.bbox.width, text
    low, high = (np.array([getattr(b, side) for b in inside]) for side in ("p0", "p1"))
    lap = np.minimum(high[:, None], high) - np.maximum(low[:, None], low)
    over = np.argwhere(np.triu((lap[..., 0] > 2.0) & (lap[..., 1] > 4.0), 1))
    assert not len(over), [(shown[a].get_text(), shown[b].get_text()) for a, b in over]


@pytest.mark.parametrize("name", ["clinic", "hall", "late"])
def test_drying_figure_names_peak_and_the_area_over_each_line(name: str):
    outcome = of(name)
    found, written = outcome.drying, words(figure_of(name, "drying"))
    assert f"Highest evaporation: {found.peak:.2f} kg/m²/h at {clock(found.peak_time)}" in written
    assert {t.get_text() for t in texts(figure_of(name, "drying"), "limit")} == {
        "watch\n0.5",
        "act\n1.0",
    }
    for kind, limit, area in (
        ("watch", "0.5", found.area_watch),
        ("act", "1.0", found.area_act),
    ):
        named = periods(found.strips, kind)
        assert sum(a for _, _, a in named) == pytest.approx(area)
        if named:
            begin, end, first = named[0]
            period = f"Over {limit} ({kind}): {clock(begin)} to {clock(end)}, {first:.0f} m²"
            assert period in written
        else:
            assert f"Over {limit} ({kind}): never." in written


@pytest.mark.parametrize("name", ["clinic", "hall"])
def test_the_curve_peaks_where_the_report_says_and_the_front_lies_in_the_range(name: str):
    outcome = of(name)
    wet, found = surface(outcome), outcome.drying
    assert np.nanmax(wet.most) == pytest.approx(found.peak, rel=0.01)
    at_front = np.searchsorted(wet.times, wet.screeded)
    assert np.all(wet.fresh <= wet.most[at_front] + 1e-9)
    assert np.all(wet.fresh >= wet.least[at_front] - 1e-9)


def test_every_strip_has_its_bar_below_the_weather_and_each_lane_its_numbers():
    figure = figure_of("clinic", "drying")
    numbers = {t.get_text() for t in texts(figure, "strip ")}
    assert numbers == {str(n + 1) for n in range(len(of("clinic").basis.layout.strips))}
    lanes = {t.get_text() for t in texts(figure, "lane")}
    assert lanes == {"air\n°C", "humidity\n%", "wind\nkm/h", "strips\nplaced"}
    for lane in ("air", "humidity", "wind"):
        assert len(texts(figure, f"number {lane}")) >= 5


def test_rain_is_named_above_the_lanes():
    figure = figure_of("late", "drying")
    assert len(texts(figure, "rain")) == 2
    assert "rain, under cover" in words(figure)
    assert not texts(figure_of("clinic", "drying"), "rain")


def test_the_air_of_the_day_is_the_air_that_is_drawn():
    outcome = on_a_hot_day(of("clinic"))
    air = outcome.basis.air
    figure = weather_and_drying(outcome)
    assert "Over 1.0 (act): never." not in words(figure)
    numbers = [float(t.get_text()) for t in texts(figure, "number air")]
    assert max(numbers) == pytest.approx(air.temperature.max(), abs=1.5)


def test_weather_beyond_its_rows_is_said_to_be_unchanged():
    # The hall's finishers stay beyond the last row of its weather.
    written = words(figure_of("hall", "drying"))
    air = of("hall").basis.air
    assert f"{clock(air.times[0])} to {clock(air.times[-1])}; dashed" in written


@pytest.mark.parametrize("name", ["clinic", "hall", "late", "nobody"])
def test_every_strip_or_bay_has_its_row_and_every_part_its_window(name: str):
    outcome, figure = of(name), figure_of(name, "finishing")
    strips, work = outcome.basis.layout.strips, outcome.finishing
    bays = len(strips) > 45
    names = (
        dict.fromkeys(f"bay {strip.bay}" for strip in strips)
        if bays
        else [strip_words(n, strip.name) for n, strip in enumerate(strips, start=1)]
    )
    # The name of a strip where there is space, its number alone where there is none.
    said = [t.get_text() for t in figure.axes[0].get_yticklabels()]
    assert said in (list(names), [name.partition(" (")[0] for name in names])
    parts = set(zip(work.strip.tolist(), work.low.tolist(), strict=True))
    windows = bars(figure, "window")
    assert len(windows) == (len(parts) or len(strips))
    rows = {round(float(b.get_y() + b.get_height() / 2)) for b in windows}
    assert rows == set(range(len(names)))
    assert (
        len(bars(figure, "pass"))
        <= len(work.strip)
        <= len(bars(figure, "pass")) + len(bars(figure, "late"))
    )


def test_late_area_is_hatched_and_its_square_metres_stand_beside_the_row():
    outcome, figure = of("late"), figure_of("late", "finishing")
    work = outcome.finishing
    assert len(bars(figure, "late")) == int((work.work_end - np.maximum(
        work.start, work.closes) > 1.0).sum()) > 0  # fmt: skip
    assert all(bar.get_hatch() for bar in bars(figure, "late"))
    beside = [t.get_text() for t in texts(figure, "area") if "late" in t.get_text()]
    total = sum(float(words.split("late ")[1]) for words in beside)
    assert total == pytest.approx(work.missed_area, abs=0.5 * len(outcome.basis.layout.strips))
    assert f"{work.missed_area:.0f} of " in words(figure)
    assert f"{hours(work.overtime)} of overtime" in words(figure)


def test_end_shift_and_curfew_are_lines_with_their_clock():
    outcome, figure = of("late"), figure_of("late", "finishing")
    curfew = outcome.basis.scenario.site.curfew or 0.0
    assert {t.get_text() for t in texts(figure, "line")} == {
        f"end of finishing {clock(outcome.finishing.end)}",
        "shift end 19:00",
        f"curfew {clock(curfew)}",
    }
    assert f"PAST THE CURFEW of {clock(curfew)}" in words(figure)


def test_a_day_without_late_work_says_so():
    figure = figure_of("clinic", "finishing")
    assert "Missed area: none of" in words(figure)
    assert not bars(figure, "late")


def test_without_finishers_the_windows_stand_alone():
    figure = figure_of("nobody", "finishing")
    assert "The crew has no finishers: no finishing to plan." in words(figure)
    assert not bars(figure, "pass")


def test_a_day_without_concrete_still_has_its_sheets():
    outcome = of("clinic")
    none = np.full(len(outcome.strip_start), np.nan)
    log = dataclasses.replace(outcome.log, stretches=())
    empty = np.zeros(0)
    gone = dataclasses.replace(
        outcome.fronts, strip=np.zeros(0, dtype=np.intp), low=empty, high=empty, time_low=empty,
        time_high=empty, batched=empty, temperature=empty, first=0 * outcome.fronts.first,
    )  # fmt: skip
    columns = ("low", "high", "area", "edge", "opens", "closes", "ready", "start", "work_end",
               "late_area")  # fmt: skip
    nobody = dataclasses.replace(
        outcome.finishing, strip=gone.strip, pass_no=gone.strip, end=np.nan, covered=none,
        **dict.fromkeys(columns, empty),
    )  # fmt: skip
    bare = dataclasses.replace(
        outcome, log=log, fronts=gone, finishing=nobody, strip_start=none, strip_end=none
    )
    assert "Nothing was placed: nothing dries." in words(weather_and_drying(bare))
    assert "Nothing was placed: no finishing to plan." in words(finishing_bars(bare))
    assert "not placed" in words(finishing_bars(bare))
