"""Figures of days with two pumps, set-up places and upsets: what is drawn against the log."""

from __future__ import annotations

import dataclasses
import math
from itertools import combinations

import numpy as np
import pytest
from builders.drawn import bars, named, stays_on_the_sheet
from builders.shipped import day_of, shipped
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Circle
from matplotlib.text import Text

from pourday.day.log import FrontLog, Stop
from pourday.floor.layout import lay_out
from pourday.outcome.measure import Outcome, PumpTimes, pump_times
from pourday.report.figures.concrete.drying import surface
from pourday.report.figures.day.upsets import marked
from pourday.report.figures.page import breaks
from pourday.report.figures.save import strip_plan, time_line, volume
from pourday.report.words import hours
from pourday.scenario.base.distribution import Distribution, fixed
from pourday.scenario.base.upsets import Upset, parse_upset, upset_text
from pourday.scenario.model.scenario import Scenario, SetUp, Stage

KINDS = [field.name for field in dataclasses.fields(PumpTimes)]
ALWAYS = ["placing", "no truck", "changing", "moving", "down", "break", "rain"]
UPSETS = (
    "05:00 crew short 1",
    "08:00 pump 2 down 45 min",
    "08:05 plant Dock Street plant stopped 40 min",
    "09:30 load rejected",
    "23:30 rain 10 min",
)


def minutes(number: float) -> Distribution:
    return fixed(number * 60.0)


@pytest.fixture(scope="module")
def depot() -> Scenario:
    """The depot with the places, reach, stages and starts that these tests count on."""
    scenario = shipped("depot_two_pumps")
    spots = (("south yard", 14, -6), ("south gate", 42, -6), ("north yard", 14, 66))
    places = tuple(SetUp(*each, None) for each in (*spots, ("north gate", 42, 66)))
    names = [place.name for place in places]
    site = dataclasses.replace(scenario.site, set_ups=places)
    boom = dataclasses.replace(scenario.pumps["boom"], reach=40.0)
    two, one = scenario.plans
    fronts = tuple(
        dataclasses.replace(front, set_ups=tuple(set_ups), start=start * 3600.0)
        for front, set_ups, start in zip(
            two.fronts, (names[:2], names[2:]), (6.5, 6.75), strict=True
        )
    )
    stages = tuple(Stage(s, minutes(m)) for s, m in ((0.1, 20), (0.9, 17), (1.0, 20)))
    two = dataclasses.replace(two, fronts=fronts, stages=stages, load=8.0)
    far = dataclasses.replace(one.fronts[0], pump="boom", set_ups=tuple(names))
    one = dataclasses.replace(one, fronts=(far,))
    return dataclasses.replace(
        scenario, site=site, pumps=scenario.pumps | {"boom": boom}, plans=(two, one)
    )


@pytest.fixture(scope="module")
def two(depot: Scenario) -> Outcome:
    """Two pumps, upsets at given times."""
    return day_of(depot, upsets=tuple(parse_upset(line) for line in UPSETS))


@pytest.fixture(scope="module")
def line(two: Outcome) -> Figure:
    return time_line(two)


def pixels(figure: Figure, found: list[Text]) -> list:
    figure.canvas.draw()
    return [Text.get_window_extent(text) for text in found]


@pytest.mark.parametrize("front", [0, 1])
@pytest.mark.parametrize("kind", KINDS)
def test_bars_of_each_pump_add_up_to_its_times(two: Outcome, line: Figure, front: int, kind: str):
    drawn = sum(bar.get_width() for bar in bars(line, f"{kind} {front + 1}"))
    spent = getattr(pump_times(two.log, front), kind)
    # A stop that runs beyond the front's last concrete counts to there only; none does here.
    assert drawn == pytest.approx(spent, abs=1e-6)
    written = [t.get_text() for t in named(line, Text, f"sum {kind} {front + 1}")]
    shown = bool(written)
    assert shown or spent == 0
    assert written == ([hours(spent)] if shown else [])


def test_both_pumps_place_at_the_same_time_and_their_bars_lie_apart(two: Outcome, line: Figure):
    first, second = (bars(line, f"placing {front}") for front in (1, 2))
    assert len(first) + len(second) == len(two.log.stretches)
    rows = [
        {round(bar.get_y() + bar.get_height() / 2, 6) for bar in each} for each in (first, second)
    ]
    assert rows == [{-0.25}, {0.25}]
    at_once = [
        1
        for a in first
        for b in second
        if a.get_x() < b.get_x() + b.get_width() and b.get_x() < a.get_x() + a.get_width()
    ]
    assert at_once


def test_rare_states_have_a_row_only_on_days_that_know_them(depot: Scenario, two: Outcome):
    def states(outcome: Outcome) -> list[str]:
        return [t.get_text() for t in time_line(outcome).axes[0].get_yticklabels()]

    kinds = {stop.kind for stop in two.log.stops}
    assert "setting_up" in kinds
    words = {"setting_up": "setting up", "held": "held", "short": "short", "lent": "lent"}
    assert set(states(two)) == {*ALWAYS, *(w for kind, w in words.items() if kind in kinds)}
    calm = dataclasses.replace(
        two.log, stops=tuple(s for s in two.log.stops if s.kind not in words)
    )
    assert states(dataclasses.replace(two, log=calm)) == ALWAYS
    tower = shipped("tower_level_9")
    assert "lent" in states(day_of(tower, upsets=()))


def test_strips_stand_on_the_levels_of_their_front_and_no_two_overlap(two: Outcome, line: Figure):
    lane = line.axes[1]
    front_of = two.basis.layout.front_of
    levels = (lane.get_ylim()[0] + 0.5) / 2
    boxes = []
    for i, front in enumerate(front_of):
        (bar,) = bars(line, f"bar {i + 1}")
        row = bar.get_y() + bar.get_height() / 2
        assert int((row + 0.5) / levels) == front
        assert bar.get_x() == pytest.approx(two.strip_start[i])
        assert bar.get_width() == pytest.approx(two.strip_end[i] - two.strip_start[i])
        boxes.append((row, bar.get_x(), bar.get_x() + bar.get_width()))
    for (row, a, b), (other, c, d) in combinations(boxes, 2):
        assert row != other or min(b, d) - max(a, c) < 1e-6


def test_trucks_show_the_pump_they_discharged_into(two: Outcome, line: Figure):
    for front in (0, 1):
        rows = {
            round(b.get_y() + 0.4) for b in bars(line, f"discharge {front + 1}") if b.get_width()
        }
        mine = {v.number + 1 for v in two.log.visits if v.front == front and v.placed > 0}
        assert rows == mine


def test_upsets_are_numbered_bars_at_their_time_with_their_words(two: Outcome, line: Figure):
    shown = two.log.upsets[:-1]  # the last comes when everybody has gone
    low, high = line.axes[0].get_xlim()
    for n, upset in enumerate(shown, start=1):
        (bar,) = bars(line, f"upset bar {n}")
        begin, end = max(low, upset.at), min(high, upset.at + upset.length)
        assert bar.get_x() == pytest.approx(begin)
        assert bar.get_width() == pytest.approx(end - begin)
        (words,) = (t for t in named(line, Text, "upset words") if t.get_text()[0] == str(n))
        assert words.get_text() == f"{n}  {upset_text(upset)}"
    assert not bars(line, f"upset bar {len(shown) + 1}")
    assert "and 1 outside these hours" in [t.get_text() for t in named(line, Text, "upset words")]


def test_words_of_upsets_overlap_nothing(line: Figure):
    line.canvas.draw()
    found = [t for t in line.findobj(Text) if t.get_text() and t.get_visible()]
    mine = [t for t in found if (t.get_gid() or "").startswith("upset")]
    # Labels of ticks outside the axis are there, but not drawn.
    ticks = {
        t for ax in line.axes for axis in (ax.xaxis, ax.yaxis)
        for tick in [*axis.get_major_ticks(), *axis.get_minor_ticks()]
        for t in (tick.label1, tick.label2)
    }  # fmt: skip
    others = [t for t in found if t not in mine and t not in ticks]
    for a in mine:
        for b in [*(t for t in mine if t is not a), *others]:
            one, other = Text.get_window_extent(a), Text.get_window_extent(b)
            wide = min(one.x1, other.x1) - max(one.x0, other.x0)
            high = min(one.y1, other.y1) - max(one.y0, other.y0)
            assert wide <= 0.5 or high <= 0.5, (a.get_text(), b.get_text())


def test_upsets_at_the_same_time_take_levels_of_their_own():
    hour = 3600.0
    upsets = [Upset(h * hour, "truck broken", 1800.0) for h in (8.0, 8.1, 8.2, 9.0)]
    found = marked(upsets, 6 * hour, 16 * hour, 600.0)
    assert [mark.level for mark in found] == [0, 1, 2, 0]
    assert [mark.number for mark in found] == [1, 2, 3, 4]


def test_day_without_upsets_has_no_lane_for_them(depot: Scenario):
    figure = time_line(day_of(depot, upsets=()))
    assert len(figure.axes) == 3
    assert not named(figure, Text, "upset")


@pytest.mark.parametrize("draw", [time_line, volume])
def test_everything_stays_on_the_sheet_with_two_pumps(two: Outcome, draw):
    figure = draw(two)
    assert stays_on_the_sheet(figure)


def test_three_pumps_get_a_sheet_on_which_trucks_have_room(depot: Scenario):
    plan = depot.plans[0]
    own = [[f"{n}a" for n in range(1, 7)], ["1b", "2b", "3b"], ["4b", "5b", "6b"]]
    fronts = (*plan.fronts, plan.fronts[1])
    fronts = tuple(dataclasses.replace(f, bays=tuple(b)) for f, b in zip(fronts, own, strict=True))
    several = dataclasses.replace(depot, plans=(dataclasses.replace(plan, fronts=fronts),))
    three = day_of(several, upsets=())
    figure = time_line(three)
    trucks = figure.axes[2]
    assert trucks.get_position().height * figure.get_size_inches()[1] * 72 >= 200
    for front in (1, 2, 3):
        drawn = sum(bar.get_width() for bar in bars(figure, f"placing {front}"))
        assert drawn == pytest.approx(pump_times(three.log, front - 1).placing)


# Breaks: grey only where all stand who have work.

WORK = (7 * 3600.0, 16 * 3600.0)


def breaks_of(two: Outcome, stops: tuple[Stop, ...], ends: tuple[float, float] = (16.0, 16.0)):
    fronts = tuple(FrontLog(WORK[0], WORK[0], h * 3600, h * 3600 + 600, 0.0, 0.0) for h in ends)
    log = dataclasses.replace(two.log, stops=stops, fronts=fronts)
    return [(a / 3600, b / 3600) for a, b in breaks(log)]


def idle(a: float, b: float, front: int) -> Stop:
    return Stop("idle", a * 3600, b * 3600, front)


def test_break_of_both_crews_is_shaded_once_and_that_of_one_not_at_all(two: Outcome):
    assert breaks_of(two, (idle(9, 9.5, 0), idle(9, 9.5, 1))) == [(9.0, 9.5)]
    assert breaks_of(two, (idle(9, 9.5, 0), idle(9.25, 9.75, 1))) == [(9.25, 9.5)]
    assert breaks_of(two, (idle(9, 9.5, 1),)) == []


def test_break_of_the_last_crew_at_work_is_shaded(two: Outcome):
    assert breaks_of(two, (idle(12, 12.5, 1),), ends=(11.0, 16.0)) == [(12.0, 12.5)]
    assert breaks_of(two, (idle(12, 12.5, 1),), ends=(12.25, 16.0)) == [(12.25, 12.5)]


# Volume.


def test_discharged_line_is_the_sum_of_both_fronts_at_every_moment(two: Outcome):
    ax = volume(two).axes[0]
    (drawn,) = (each for each in ax.get_lines() if each.get_label() == "discharged")
    times, level = drawn.get_xdata(), drawn.get_ydata()
    for at in np.linspace(two.log.start, two.log.end, 97):
        inside = math.fsum(
            (s.volume_end - s.volume_start) * min(1.0, max(0.0, (at - s.start) / (s.end - s.start)))
            for s in two.log.stretches
        )
        assert np.interp(at, times, level) == pytest.approx(inside, abs=1e-6)
    assert level[-1] == pytest.approx(two.log.placed + two.log.held)
    assert min(np.diff(level)) >= -1e-9


def test_concrete_on_trucks_is_never_negative_with_two_pumps(two: Outcome):
    heights = volume(two).axes[1].get_lines()[0].get_ydata()
    assert min(heights) > -1e-6
    assert heights[-1] == pytest.approx(0.0, abs=1e-6)


def test_planned_arrivals_are_those_of_both_fronts(two: Outcome):
    ax = volume(two).axes[0]
    (drawn,) = (each for each in ax.get_lines() if each.get_label() == "arrivals as planned")
    times, total = np.asarray(drawn.get_xdata()), np.asarray(drawn.get_ydata())
    layout, plan = two.basis.layout, two.basis.plan
    need = layout.volume.sum() + sum(access.line_volume for access in layout.access)
    assert total[-1] == pytest.approx(need)
    # By hand: 8 m³ a load, 20 min apart for the first and the last tenth, else 17.
    expected = []
    for number, front in enumerate(plan.fronts):
        mine = layout.volume[np.array(layout.front_of) == number].sum()
        mine += layout.access[number].line_volume
        at, called = front.start, 0.0
        while called < mine:
            expected.append(at)
            called += 8.0
            at += (17 if 0.1 <= called / mine < 0.9 else 20) * 60.0
    assert times[1:] == pytest.approx(sorted(expected))
    assert times[0] == pytest.approx(min(front.start for front in plan.fronts))


# Strip plan.


@pytest.mark.parametrize(
    ("name", "which"),
    [("depot", 0), ("depot", 1), ("tower_level_9", 0), ("tower_level_9", 1)],
)
def test_set_up_places_stand_at_their_places_and_on_the_sheet(
    depot: Scenario, name: str, which: int
):
    scenario = depot if name == "depot" else shipped(name)
    plan = scenario.plans[which]
    layout = lay_out(scenario, plan)
    figure = strip_plan(scenario, plan, layout)
    ax = figure.axes[0]
    wanted = {place.name: (place.x, place.y) for each in layout.access for place in each.places}
    marks = named(figure, Line2D, "place ")
    assert len(marks) == len(wanted)
    for mark in marks:
        at = (mark.get_xdata()[0], mark.get_ydata()[0])
        assert at == pytest.approx(wanted[mark.get_gid().removeprefix("place ")])
        assert ax.get_xlim()[0] < at[0] < ax.get_xlim()[1]
        assert ax.get_ylim()[0] < at[1] < ax.get_ylim()[1]
    names = named(figure, Text, "set-up ")
    assert len(names) == len(wanted)
    others = named(figure, Text, "order ") + named(figure, Text, "bay ")
    for a in pixels(figure, names):
        for b in pixels(figure, others):
            assert not a.overlaps(b)
    assert stays_on_the_sheet(figure)


def test_reach_is_a_circle_round_each_place_of_a_boom_and_tags_lie_inside(depot: Scenario):
    plan = depot.plans[0]
    layout = lay_out(depot, plan)
    figure = strip_plan(depot, plan, layout)
    circles = {c.get_gid(): c for c in named(figure, Circle, "reach ")}
    assert len(circles) == 4
    tags = {t.get_text().split()[0]: t.get_gid() for t in named(figure, Text, "set-up ")}
    found = named(figure, Text, "from ")
    assert len(found) == len(layout.strips)
    for text in found:
        strip = layout.strips[int(text.get_gid().removeprefix("from ")) - 1]
        circle = circles[tags[text.get_text()].replace("set-up", "reach")]
        assert circle.radius == depot.pumps["boom"].reach
        corners = [(x, y) for x in (strip.x0, strip.x1) for y in (strip.y0, strip.y1)]
        assert all(math.dist(circle.center, corner) <= circle.radius + 1e-3 for corner in corners)


def test_numbers_say_without_colour_which_pump_places_a_strip(two: Outcome):
    layout = two.basis.layout
    figure = strip_plan(two.basis.scenario, two.basis.plan, layout, two)
    orders = {int(t.get_text()) - 1: t for t in named(figure, Text, "order ")}
    assert len(orders) == len(layout.strips)
    looks = [
        {
            orders[i].get_bbox_patch().get_facecolor()
            for i, f in enumerate(layout.front_of)
            if f == n
        }
        for n in (0, 1)
    ]
    assert [len(look) for look in looks] == [1, 1]
    (light,), (dark,) = looks
    assert light[:3] == (1.0, 1.0, 1.0)
    assert max(dark[:3]) < 0.2
    for text in named(figure, Text, "bay "):
        bay = text.get_gid().removeprefix("bay ")
        front = {f for s, f in zip(layout.strips, layout.front_of, strict=True) if s.bay == bay}
        assert [text.get_text().rsplit(" ", 1)[1]] == [str(f + 1) for f in front]
    written = [t.get_text() for t in figure.findobj(Text)]
    assert {"BEGIN 1", "BEGIN 2"} <= set(written)


def test_change_of_place_inside_a_strip_is_drawn_where_the_boom_ends(depot: Scenario):
    plan = depot.plans[1]
    floor = dataclasses.replace(depot.floor, primary_beams_y=(0.0, 60.0))
    scenario = dataclasses.replace(depot, floor=floor)
    layout = lay_out(scenario, plan)
    figure = strip_plan(scenario, plan, layout)
    legs = layout.access[0].legs
    wanted = {(i, leg.begin) for i, each in enumerate(legs) for leg in each[1:]}
    assert len(wanted) >= 10
    marks = named(figure, Line2D, "change ")
    drawn = {(int(m.get_gid().removeprefix("change ")) - 1, m.get_ydata()[0]) for m in marks}
    assert drawn == wanted
    for mark in marks:
        strip = layout.strips[int(mark.get_gid().removeprefix("change ")) - 1]
        assert tuple(mark.get_xdata()) == (strip.x0, strip.x1)
    numbers = {int(t.get_text()) - 1: box for t, box in zip(
        named(figure, Text, "order "), pixels(figure, named(figure, Text, "order ")), strict=True
    )}  # fmt: skip
    for i, y in wanted:
        height = figure.axes[0].transData.transform((0.0, y))[1]
        assert not numbers[i].y0 < height < numbers[i].y1


def test_place_far_away_is_named_with_its_distance_and_leaves_the_floor_room(depot: Scenario):
    places = tuple(
        dataclasses.replace(p, y=-500.0) if p.name == "south gate" else p
        for p in depot.site.set_ups
    )
    site = dataclasses.replace(depot.site, set_ups=places)
    pumps = {name: dataclasses.replace(p, reach=None) for name, p in depot.pumps.items()}
    scenario = dataclasses.replace(depot, site=site, pumps=pumps)
    figure = strip_plan(scenario, scenario.plans[0], lay_out(scenario, scenario.plans[0]))
    assert figure.axes[0].get_ylim()[0] > -depot.floor.length_y
    (text,) = named(figure, Text, "set-up south gate")
    assert "y -500 m" in text.get_text()
    assert not named(figure, Circle, "reach ")


def test_fresh_evaporation_is_that_of_each_front(two: Outcome):
    wet = surface(two)
    assert set(wet.front.tolist()) == {0, 1}
    for front in (0, 1):
        mine = wet.screeded[wet.front == front]
        times = [s for s in two.log.stretches if s.front == front and s.strip >= 0]
        assert times[0].start <= mine.min()
        assert mine.max() <= times[-1].end
