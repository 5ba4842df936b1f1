"""The rehearsal: its page, its keys, and the real command in a real pseudo-terminal."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from dataclasses import replace
from io import StringIO

import pytest
from builders.pours import basis_of, measured, pour, text
from builders.rehearsing import PLAN, TWO, after, lines_of, row, shown, typed
from builders.shipped import first_basis, shipped
from builders.terminal import COLOUR, Terminal, termios
from builders.units import differing, left_over
from typer.testing import CliRunner

from pourday.cli import app
from pourday.day.front.ready import ready
from pourday.day.log import STOPS, DayFactors
from pourday.day.play import play_ready
from pourday.outcome.events import UPSET_BEGINS, events, moments
from pourday.outcome.measure import measure
from pourday.outcome.scene import scene
from pourday.report.rehearsal.map import floor_map
from pourday.report.rehearsal.rehearse import (
    Replay,
    in_order,
    opening,
    page_of,
    press,
    print_events,
    upset_reader,
)
from pourday.report.rehearsal.view import KEYS, Page, page_view
from pourday.report.rehearsal.words import change_words, event_words, left_lines, summary_lines
from pourday.report.screen import Screen
from pourday.report.units import SI, US
from pourday.report.words import strip_words
from pourday.scenario.base.upsets import parse_upset
from pourday.study.days import blind_day, one_day


@pytest.fixture(scope="module")
def basis():
    return basis_of(pour(floor=TWO, plan=PLAN))


@pytest.fixture(scope="module")
def day(basis):
    return one_day(basis, 0)


@pytest.fixture(scope="module")
def two_fronts():
    floor = {"spans_m": [3.0, 3.0, 3.0, 3.0], "sheet_runs": [2, 2], "length_y_m": 20.0}
    fronts = {"fronts": [{"pump": "pump", "crew": "crew"}]}
    return basis_of(pour(floor=floor, plan=PLAN | fronts))


@pytest.fixture(scope="module")
def hall():
    return first_basis(shipped("market_hall"))


@pytest.fixture(scope="module")
def replay(basis):
    return Replay(upset_reader(basis), lambda upsets: one_day(basis, 0, upsets))


# The page


@pytest.mark.parametrize(("width", "height"), [(80, 24), (120, 40), (200, 60), (40, 12)])
def test_every_page_of_a_day_fits_its_terminal(day, replay, width, height):
    stand = opening(day)
    for _ in stand.told:
        for each in (stand, replace(stand, typing="10:30 pump", message="x " * 60)):
            lines = lines_of(page_of(each), width, height)
            assert len(lines) <= height
            assert max(map(len, lines)) <= width
        stand = press(stand, " ", replay)


def words_of(lines):
    return " ".join(" ".join(lines).split())


def test_forty_columns_wrap_what_a_wide_terminal_says_in_a_line(basis, replay):
    stand = opening(with_upsets(basis, "07:24 pump down 45 min", "07:25 rain 20 min at 5 mm/h"))
    for _ in stand.told:
        page = page_of(stand)
        said = []
        for width in (40, 80):
            lines = lines_of(page, width, 300)
            assert max(map(len, lines)) <= width
            told = words_of(lines)
            said.append(told[told.index("Pump 1") :].partition(" Before ")[0])
            assert "..." not in said[-1]
        assert said[0] == said[1]
        low = lines_of(page, 40, 24)
        assert len(low) <= 24
        assert any(line.startswith("Pump 1") for line in low)
        assert any(line.startswith("Edges ") for line in low)
        stand = press(stand, " ", replay)
    typing = words_of(lines_of(page_of(replace(stand, typing="pump down " * 9)), 40, 24))
    assert typing.replace(" ", "").count("pumpdown") >= 9


def test_us_units_say_the_same_on_every_page_and_line(basis, replay):
    outcome = with_upsets(basis, "07:24 pump down 45 min", "07:25 rain 20 min at 5 mm/h")
    said = []
    for units in (SI, US):
        stand, out = opening(outcome), Screen(StringIO(), 400, coloured=False, units=units)
        for _ in stand.told:
            page = page_of(replace(stand, change="rain at 5 mm/h"), units)
            out.print(page_view(page, 400, 60))
            stand = press(stand, " ", replay)
        print_events(out, outcome)
        said.append(out.file.getvalue())
    assert differing(*said) == []
    assert left_over(said[1]) == []
    assert "rain at 0.20 in/h" in said[1]
    assert len(left_over(said[0])) > 50


def test_lines_for_a_pipe_are_broken_only_where_there_are_few_columns(day):
    for width, most in ((40, 40), (80, None)):
        out = Screen(StringIO(), width, coloured=False)
        print_events(out, day)
        lines = out.file.getvalue().splitlines()
        assert most is None or max(map(len, lines)) <= most
        told = [line for line in lines if re.match(r"\d\d:\d\d  ", line)]
        assert len(told) == len(events(day))


def test_a_frosty_night_has_a_line_on_the_page_and_in_the_summary(day):
    night = {"at": "20:00", "air_C": -5, "humidity": 0.8, "wind_km_h": 5}
    hours = [{"at": "06:00", "air_C": 3, "humidity": 0.8, "wind_km_h": 5}, night]
    frosty = measured(pour(weather={"hours": hours}, mix={"delivered_C": 12}))
    # It goes by when the last concrete comes, which nobody knows before.
    assert not [line for line in shown(frosty, "07:20") if line.startswith("FROST")]
    assert row(shown(frosty, "14:00"), "FROST").startswith("60 of 60 m² freeze before they can")
    assert row(shown(frosty, "14:00"), "FROST").endswith("on.")
    assert summary_lines(frosty)[0].startswith("FROST: 60 of 60 m²")
    assert not [line for line in shown(day, "07:20") if line.startswith(("FROST", "COLD"))]


def test_eighty_columns_show_what_a_foreman_asks_for(day, replay):
    stand = after(opening(day), "mmmmm", replay)
    page = "\n".join(lines_of(page_of(stand), 80, 24))
    assert KEYS in page
    for label in ("Pump 1", "Trucks", "Concrete", "People", "Deck", "Edges", "placed"):
        assert label in page
    assert "#" in page
    assert "m³/h" in page


def test_a_wide_terminal_lists_what_came_before(day, replay):
    stand = after(opening(day), "mmm", replay)
    tall = lines_of(page_of(stand), 120, 40)
    assert "Before" in tall
    said = event_words(day, stand.told[stand.at - 1][-1])
    assert any(said in line for line in tall)
    assert "Before" not in lines_of(page_of(stand), 80, 24)


def test_the_map_fills_with_the_floor(day, replay):
    stand = opening(day)
    areas = []
    while True:
        page = page_of(stand)
        cells = "".join(floor_map(day.basis, page.scene, 80, 10)[1:])
        shown = sum(cells.count(mark) for mark in "#o!X1")
        in_hand = page.scene.placed / page.scene.total
        assert shown / (78 * 10) == pytest.approx(in_hand, abs=0.06)  # a row of one strip is 5 %
        areas.append(shown)
        if stand.at == len(stand.told) - 1:
            break
        stand = press(stand, " ", replay)
    assert areas == sorted(areas)
    assert cells.count("#") == 78 * 10


def test_open_edges_are_drawn_on_the_side_that_waits(day):
    full = next(e for e in events(day) if e.kind == "strip full")
    stand = opening(day)
    at = next(n for n, moment in enumerate(stand.told) if full in moment)
    page = page_of(replace(stand, at=at, time=full.time))
    rows = floor_map(day.basis, page.scene, 80, 10)[1:]
    middle = [row[2:][38] for row in rows]  # the last column of the first of two equal strips
    assert middle == ["o"] * 10
    assert [row[2:][39] for row in rows] == [":"] * 10  # the second is in hand at that moment


def with_upsets(basis, *lines):
    return one_day(basis, 0, tuple(parse_upset(line) for line in lines))


TURNS = {"site": {"breaks": [{"at": "07:20", "length_min": 20}]}}
SEVEN = {"placers": 7, "finishers": 2}


def people_at(outcome, clock):
    return row(shown(outcome, clock), "People")


def test_people_says_how_many_place_now_where_some_are_missing(basis):
    outcome = with_upsets(basis, "07:20 crew short 2 for 20 min", "07:30 crew 1 short 1 for 20 min")
    for clock, told in (
        ("07:19", "6 place"),
        ("07:20", "4 of 6 place (2 missing)"),
        ("07:30", "3 of 6 place (3 missing)"),
        ("07:40", "5 of 6 place (1 missing)"),
        ("07:50", "6 place"),
    ):
        assert people_at(outcome, clock).split("; ")[0] == told


def test_people_says_who_is_on_a_break_in_turns():
    crew = {"crew": SEVEN | {"breaks_taken": "in_turn"}}
    site = {"breaks": [{"at": "07:20", "length_min": 10}]}
    basis = basis_of(pour(floor=TWO, plan=PLAN, crews=crew, site=site))
    whole, short = with_upsets(basis), with_upsets(basis, "07:10 crew short 2 for 2 h")
    # A third at a time, the odd ones first: of seven 3, 2 and 2, of five 2, 2 and 1.
    for clock, told, told_short in (
        ("07:19", "7 place", "5 of 7 place (2 missing)"),
        ("07:20", "4 of 7 place (3 on break)", "3 of 7 place (2 on break, 2 missing)"),
        ("07:30", "5 of 7 place (2 on break)", "3 of 7 place (2 on break, 2 missing)"),
        ("07:40", "5 of 7 place (2 on break)", "4 of 7 place (1 on break, 2 missing)"),
        ("07:50", "7 place", "5 of 7 place (2 missing)"),
    ):
        assert people_at(whole, clock).split("; ")[0] == told
        assert people_at(short, clock).split("; ")[0] == told_short


def test_people_says_that_all_are_on_their_break_and_that_they_have_gone():
    basis = basis_of(pour(floor=TWO, plan=PLAN, crews={"crew": SEVEN}, **TURNS))
    outcome = with_upsets(basis)
    (stop,) = (each for each in outcome.log.stops if each.kind == "idle")
    at = scene(outcome, stop.start + 60)
    page = lines_of(Page(outcome, at, ()), 80, 24)
    assert row(page, "People").startswith("0 of 7 place (7 on break)")
    end = outcome.log.wash_out_end
    assert row(lines_of(Page(outcome, scene(outcome, end - 1), ()), 80, 24), "People").startswith(
        "7 place"
    )
    gone = row(lines_of(Page(outcome, scene(outcome, end), ()), 80, 24), "People")
    assert gone.startswith("placers have gone")
    after = max(outcome.hours[0].finishers_until, end)
    last = row(lines_of(Page(outcome, scene(outcome, after), ()), 80, 24), "People")
    assert last == "placers have gone; finishers have gone"
    assert row(shown(outcome, "06:10"), "People").startswith("7 placers come 06:20")


def test_people_of_two_crews_are_shown_whole(two_fronts):
    crew = two_fronts.scenario.crews["crew"]
    crews = {"crew": replace(crew, placers=14, finishers=10)}
    large = replace(two_fronts, scenario=replace(two_fronts.scenario, crews=crews))
    outcome = one_day(large, 1, ())
    now = scene(outcome, 7.5 * 3600)
    people = replace(now.fronts[0].people, placing=4, away=5, missing=5)
    fronts = tuple(replace(front, people=people) for front in now.fronts)
    page = lines_of(Page(outcome, replace(now, fronts=fronts), ()), 80, 24)
    at = next(n for n, line in enumerate(page) if line.startswith("People"))
    told = " ".join(line[9:].strip() for line in page[at : at + 2])
    assert told == (
        "crew 1: 4 of 14 place (5 on break, 5 missing); "
        "crew 2: 4 of 14 place (5 on break, 5 missing); 2 bull-float, 18 to come"
    )


def test_each_crew_has_its_own_people(two_fronts):
    outcome = one_day(two_fronts, 1, (parse_upset("07:30 crew 2 short 1 for 1 h"),))
    told = people_at(outcome, "07:40")
    assert told.startswith("crew 1: 6 place; crew 2: 5 of 6 place (1 missing);")


def test_what_is_not_placed_is_never_cut(day):
    log = day.log
    front = replace(log.fronts[0], unfinished=121.0)
    lost = replace(day, log=replace(log, fronts=(front,)))
    for clock in ("07:10", "31:10"):
        for running in (False, True):
            now = scene(lost, int(clock[:2]) * 3600.0 + 600)
            line = lines_of(Page(lost, replace(now, total=1140.0), (), running), 80, 24)[1]
            # Known when everybody has gone, and not before.
            assert ("121 m³ NOT PLACED" in line) == (clock == "31:10")
            assert "..." not in line
            assert ("RUNNING" in line) == running
    line = shown(lost, "31:10", total=1140.0)[1]
    assert line.startswith("07:10+1d   121 m³ NOT PLACED   placed 18.0 of 1140.0 m³")
    assert "..." not in shown(day, "31:10", placed=1139.9, total=1140.0)[1]


def test_a_front_that_stands_says_first_how_long(day):
    now = scene(day, 7.5 * 3600)
    layout = day.basis.layout
    long = tuple(replace(strip, name="10b/gap 12") for strip in layout.strips)
    named = replace(day, basis=replace(day.basis, layout=replace(layout, strips=long)))
    for kind in STOPS:
        front = replace(
            now.fronts[0], doing=kind, since=now.time - 125 * 60, strip=0, share=1.0, rate=0.0
        )
        front = replace(front, stands_since=front.since)
        told = row(lines_of(Page(named, replace(now, fronts=(front,)), ()), 80, 24), "Pump 1")
        if kind != "moving":
            assert told.startswith("stands 125 min: ")
            assert ", at 1 (10b gap 12), 100 % in" in told
            assert "..." not in told
    # From its last concrete, whatever the reason has become since.
    down = replace(
        front, doing="down", why="broken", since=now.time - 60, stands_since=now.time - 25 * 60
    )
    told = row(lines_of(Page(day, replace(now, fronts=(down,)), ()), 80, 24), "Pump 1")
    named = strip_words(1, layout.strips[0].name)
    assert told.startswith(f"stands 25 min: broken down, at {named}, 100 % in, since 07:05")


def test_before_its_start_a_pump_says_when_it_will_be_ready(day):
    assert row(shown(day, "06:10"), "Pump 1").startswith("comes 06:20, set up and primed by 07:00")
    assert row(shown(day, "06:55"), "Pump 1").startswith("set up and primed by 07:00")
    assert "not set up" not in "".join(shown(day, "06:55"))


def test_every_upset_that_lasts_is_shown_whole(basis):
    outcome = with_upsets(
        basis, "07:10 pump down 45 min", "07:15 road from Mill Road closed 1 h 10 min",
        "07:18 crew short 2",
    )  # fmt: skip
    page = shown(outcome, "07:20")
    at = next(n for n, line in enumerate(page) if line.startswith("WRONG"))
    told = " ".join(line[9:].strip() for line in page[at : at + 2])
    assert told.startswith("07:10 pump down; 07:15 road from Mill Road closed; 07:18 crew short 2")


def test_what_the_user_lets_come_later_is_shown_before_it_comes(day, replay):
    stand = after(opening(day), "mmmmm", replay)
    assert not any(line.startswith("TO COME") for line in lines_of(page_of(stand), 80, 24))
    stand = typed(stand, "25:30 rain 20 min", replay)
    stand = typed(stand, "08:00 pump down 5 min", replay)
    page = lines_of(page_of(stand), 80, 24)
    assert row(page, "TO COME") == "08:00 pump down; 25:30 rain at 5 mm/h"
    assert row(shown(stand.outcome, "08:00"), "TO COME") == "25:30 rain at 5 mm/h"
    assert "pump down" in row(shown(stand.outcome, "08:00"), "WRONG")


def test_what_kind_of_day_it_will_be_is_not_told_beforehand(basis):
    # A slow crew, a slow plant and a slow road; and a day on which all is quick.
    made = ready(basis.scenario, basis.plan, basis.layout)
    slow, quick = (
        measure(basis, play_ready(made, 0, (), None, factors))
        for factors in (DayFactors(0.8, 0.7, 1.4), DayFactors(1.2, 1.3, 0.8))
    )
    pages = [" ".join(shown(outcome, "06:00")) for outcome in (slow, quick)]
    for words in ("usual", "slower", "quicker", "longer"):
        assert not any(words in page for page in pages)
        assert words not in " ".join(shown(slow, "12:00"))


def test_what_chance_will_bring_is_not_told_before_it_comes(basis):
    by_chance = replace(parse_upset("08:00 pump down 5 min"), drawn=True)
    outcome = one_day(basis, 0, (by_chance,))
    assert not any("pump down" in line for line in shown(outcome, "07:59"))
    assert "pump down" in row(shown(outcome, "08:00"), "WRONG")


# The keys


def test_next_and_back_meet_again(day, replay):
    first = opening(day)
    third = after(first, [" ", "enter", " "], replay)
    assert (third.at, third.time) == (3, third.told[3][0].time)
    assert after(third, "bbb", replay) == first
    assert press(first, "b", replay) == first


def test_ten_minutes_on_and_back_to_the_event_before(day, replay):
    stand = press(opening(day), "m", replay)
    assert stand.time == opening(day).time + 600
    assert stand.told[stand.at][0].time <= stand.time < stand.told[stand.at + 1][0].time
    back = press(stand, "b", replay)
    assert (back.at, back.time) == (stand.at, stand.told[stand.at][0].time)


def test_run_and_pause_and_unknown_keys(day, replay):
    stand = press(opening(day), "p", replay)
    assert stand.running
    assert not press(stand, "p", replay).running
    assert not press(stand, " ", replay).running
    lost = press(stand, "?", replay)
    assert "space or Enter: next event" in lost.message
    assert press(lost, "b", replay).message == ""
    assert press(lost, "q", replay).over
    assert press(lost, "\x1b[A", replay).message


def test_the_day_ends_with_a_word(day, replay):
    stand = opening(day)
    stand = replace(stand, at=len(stand.told) - 1, time=stand.told[-1][0].time, running=True)
    last = press(stand, " ", replay)
    assert "last thing of this day" in last.message
    assert (last.at, last.time, last.running) == (stand.at, stand.time, False)


def past(outcome, time):
    """Events before a time; a play with an upset may differ from one without in a last bit."""
    return [
        replace(e, time=round(e.time, 6), rate=round(e.rate, 9), volume=round(e.volume, 9))
        for e in events(outcome)
        if e.time < time
    ]


def test_an_upset_changes_the_rest_of_the_day_and_nothing_before_it(day, replay):
    stand = after(opening(day), "mmmmm", replay)
    new = typed(stand, "pump down 45 min", replay)
    assert new.typing is None
    assert new.time == stand.time
    (upset,) = new.outcome.log.upsets
    assert (upset.kind, upset.at, upset.length) == ("pump down", stand.time, 2700)
    assert len(past(day, stand.time)) > 10
    assert past(new.outcome, stand.time) == past(day, stand.time)
    assert new.outcome.log.end > day.log.end + 600
    assert new.change == change_words(upset)
    here = new.told[new.at]
    assert [e.upset for e in here if e.kind == UPSET_BEGINS] == [upset]
    page = "\n".join(lines_of(page_of(new), 80, 24))
    assert "the rest of the day has changed: pump down" in page
    assert "GOES WRONG" in page
    assert "WRONG" in page.replace("GOES WRONG", "")  # and while it lasts, in a line of its own


@pytest.mark.parametrize(
    "line",
    ["plant stopped 60 min", "plant Canal plant stopped 60 min", "truck broken 40 min",
     "road closed 50 min", "pump down 45 min", "load rejected", "rain 30 min", "crew short 4"],
)  # fmt: skip
def test_nothing_that_has_happened_on_a_large_floor_depends_on_what_comes(hall, line):
    read = upset_reader(hall)
    for seed in (0, 3):
        day = one_day(hall, seed)
        for clock in ("08:17", "11:31"):
            upset = read(f"{clock} {line}")
            new = one_day(hall, seed, in_order(day.log.upsets, (upset,)))
            assert past(new, upset.at) == past(day, upset.at)
            assert events(new) != events(day)


def test_a_truck_lost_to_an_upset_after_a_break_does_not_change_what_came_before_it():
    # Discharging until the break, sent away over age because the pump is down after it: at the
    # time of the break nobody can know that its last concrete has come already. It is given up
    # when it is too old: 81 min after its loading began at 06:34.
    scenario = pour(
        floor=TWO,
        plan=PLAN,
        supply={"age_limit_min": 81, "discharge_min": 30},
        site={"breaks": [{"at": "07:20", "length_min": 20}]},
    )
    basis = basis_of(scenario)
    day = one_day(basis, 0)
    replay = Replay(upset_reader(basis), lambda upsets: one_day(basis, 0, upsets))
    stand = after(opening(day), "mmmmm", replay)
    # Five times 10 min from the start of loading, 06:34: 6 m³ at 60 m³/h before 06:40.
    assert stand.time == 7 * 3600 + 24 * 60
    new = typed(stand, "pump down 60 min", replay)
    lost = [v for v in new.outcome.log.visits if v.outcome == "part rejected"]
    assert lost[0].discharge_end == 7 * 3600 + 55 * 60
    assert past(new.outcome, stand.time) == past(day, stand.time)


def test_a_second_upset_keeps_the_first(day, replay):
    stand = after(opening(day), "mmmmm", replay)
    one = typed(stand, "pump down 20 min", replay)
    two = typed(after(one, "mmm", replay), "road closed 10 min", replay)
    assert [u.kind for u in two.outcome.log.upsets] == ["pump down", "road closed"]
    assert two.outcome.log.upsets[0] == one.outcome.log.upsets[0]


def test_a_wrong_line_says_what_is_wrong_and_can_be_mended(day, replay):
    stand = after(opening(day), "mmmmm", replay)
    wrong = typed(stand, "pump dwn 45 min", replay)
    assert wrong.outcome is day
    assert wrong.typing == "pump dwn 45 min"
    assert "down" in wrong.message
    mended = after(wrong, [*["backspace"] * len("wn 45 min"), *"own 45 min", "enter"], replay)
    assert [u.kind for u in mended.outcome.log.upsets] == ["pump down"]


def test_the_past_is_refused_and_the_present_minute_is_not(day, replay):
    stand = after(opening(day), "mmmmm", replay)
    minute = round(stand.time / 60)
    now = f"{minute // 60:02d}:{minute % 60:02d}"
    past = typed(stand, f"{(minute - 1) // 60}:{(minute - 1) % 60:02d} pump down 5 min", replay)
    assert past.outcome is day
    assert past.message.startswith(f"it is {now} already;")
    present = typed(stand, f"{now} pump down 5 min", replay)
    assert present.outcome.log.upsets[0].at >= stand.time
    later = typed(stand, f"{minute // 60 + 1}:30 pump down 5 min", replay)
    assert later.outcome.log.upsets[0].at == (minute // 60 + 1) * 3600 + 1800


def test_a_mistaken_upset_is_taken_off_and_the_day_is_as_it_was(day, replay):
    stand = after(opening(day), "mmmmm", replay)
    wrong = typed(typed(stand, "pump down 45 min", replay), "road closed 10 min", replay)
    one = press(wrong, "x", replay)
    assert [u.kind for u in one.outcome.log.upsets] == ["pump down"]
    none = press(one, "x", replay)
    assert repr(none.outcome.log) == repr(day.log)
    assert (none.time, none.at) == (stand.time, stand.at)
    assert "taken off: 07:24 pump down" in none.message
    assert press(none, "x", replay).message.startswith("nothing was let go wrong here")


LENGTHS = [
    ("clinic_level_1", "pump down"),
    ("depot_two_pumps", "pump 1 down"),
    ("library_level_2", "pump down"),
    ("library_level_2", "plant stopped"),
    ("library_level_2", "road closed"),
    ("library_level_2", "rain"),
    ("tower_level_9", "crane lost"),
    ("frost_night", "pump down"),
]


@pytest.mark.parametrize(("name", "what"), LENGTHS)
def test_no_page_before_the_end_of_a_stop_depends_on_its_length(name, what):
    basis = first_basis(shipped(name))
    read = upset_reader(basis)
    short, long = (
        blind_day(basis, 2, (read(f"10:30 {what} {length}"),)) for length in ("40 min", "3 h")
    )
    for minute in range(10 * 60 + 20, 11 * 60 + 10, 5):
        pages = [
            lines_of(
                Page(
                    each,
                    scene(each, minute * 60.0),
                    moments(tuple(e for e in events(each) if e.time <= minute * 60.0)),
                ),
                100,
                50,
            )
            for each in (short, long)
        ]
        assert pages[0] == pages[1]
    assert short.log.end < long.log.end or what != "pump down"


def test_a_page_at_a_stop_says_which_edge_is_lost_when_and_how_it_could_end():
    basis = first_basis(shipped("clinic_level_1"))
    day = blind_day(basis, 3, (upset_reader(basis)("09:20 pump down 2 h"),))
    page = shown(day, "09:40")
    now = scene(day, 9 * 3600.0 + 2400.0)
    edge = now.edges[0]
    lost = f"{int(edge.lost_at // 3600):02d}:{round(edge.lost_at / 60) % 60:02d}"
    named = strip_words(edge.older + 1, basis.layout.strips[edge.older].name)
    assert row(page, "Oldest").startswith(f"{named} lost at {lost}")
    waiting = next(v for v in day.log.visits if v.number == 6)  # truck 7, 90 min from loading
    given_up = round((waiting.batched + 5400.0) / 60.0)
    gives_up = f"{given_up // 60:02d}:{given_up % 60:02d}"
    assert row(page, "Here") == f"6.0 m³; truck 7 gives up {gives_up}"
    told = f"nothing to place with: form the stop end at the front; decide by {lost}"
    assert row(page, "End it") == told
    assert not [line for line in shown(day, "09:21") if line.startswith("End it")]


def test_an_opening_is_on_every_map_however_small(hall):
    small = replace(hall.scenario.floor.openings[0], x=(20.0, 20.1), y=(10.0, 10.1))
    floor = replace(hall.scenario.floor, openings=(small,))
    drawn = replace(hall, scenario=replace(hall.scenario, floor=floor))
    now = scene(one_day(hall, 0), 10 * 3600.0)
    assert sum(row[2:].count(" ") for row in floor_map(drawn, now, 80, 6)[1:]) == 1


def test_what_does_not_fit_the_plan_is_refused(day, replay):
    for line in ("pump 2 down 5 min", "crane lost 5 min", "plant Nowhere stopped 5 min", "!"):
        wrong = typed(opening(day), line, replay)
        assert wrong.outcome is day
        assert wrong.message
        assert wrong.typing == line


def test_escape_and_an_empty_line_change_nothing(day, replay):
    stand = after(opening(day), "mm", replay)
    for keys in (["u", "x", "q", "escape"], ["u", "enter"], ["u", *"abc", "clear", "enter"]):
        assert after(stand, keys, replay) == stand


def test_a_day_left_in_a_stop_does_not_know_how_long_it_lasts(basis):
    days = [with_upsets(basis, f"07:24 pump down {length}") for length in ("45 min", "3 h")]
    assert summary_lines(days[0]) != summary_lines(days[1])
    for minute in (25, 30, 50):
        one, other = (left_lines(day, scene(day, (7 * 60 + minute) * 60.0)) for day in days)
        assert one == other
        assert one[0] == f"left at 07:{minute}, before the end of the day: so far"


def test_a_load_that_is_begun_gives_up_later_and_what_has_given_up_is_not_here():
    supply = {"age_limit_min": 90, "finish_begun_min": 15}
    day = with_upsets(basis_of(pour(supply=supply, floor=TWO, plan=PLAN)), "07:24 pump down 3 h")
    # Loading begins 06:46 and 06:58; the first of the two is begun, and so has until 08:31.
    shown_at = {at: shown(day, at, 120, 60) for at in ("08:00", "08:20", "08:29", "08:32")}
    here = {at: row(lines, "Here") for at, lines in shown_at.items() if at != "08:32"}
    for told in (here["08:00"], here["08:20"]):
        assert told.endswith("truck 3 gives up 08:28; truck 2 gives up 08:31")
    left = [float(told.split()[0]) for told in here.values()]
    assert left[0] == left[1] == pytest.approx(left[2] + 6.0)
    assert here["08:29"].endswith("m³; truck 2 gives up 08:31")
    assert "to be finished by 08:31" in row(shown_at["08:20"], "Concrete")
    assert "TOO OLD" not in " ".join(shown_at["08:20"])
    assert not any(line.startswith("Here") for line in shown_at["08:32"])


# A real terminal


@pytest.fixture
def scenario_file(tmp_path):
    path = tmp_path / "plain.toml"
    path.write_text(text(floor=TWO, plan=PLAN), encoding="utf-8")
    return path


@pytest.fixture
def terminal(scenario_file):
    opened = []

    def start(*arguments, **environment):
        opened.append(Terminal(scenario_file, *arguments, **environment))
        return opened[-1]

    yield start
    for each in opened:
        each.close()


def test_a_rehearsal_from_the_first_truck_to_the_door(terminal):
    screen = terminal()
    page = screen.wait_for("q leave")
    # Loading takes 6 min: it begins at 06:34, so that the first truck is there at 07:00.
    assert "06:34  truck 1 from Mill Road: loading begins, 6.0 m³" in page
    assert "placed 0.0 of 18.0 m³ (0 %)" in page
    screen.press(" ", "06:46  truck 2 from Mill Road")
    screen.press("b", "06:34  truck 1 from Mill Road")
    screen.press("z", "That key does nothing here")
    screen.press("m", "06:44   placed")
    # A moment at which nothing else happens: what goes wrong is told last then.
    screen.press(" ", "06:46  truck 2 from Mill Road")
    screen.press("mmm", "07:16   placed 6.0 of 18.0 m³")
    assert "discharge ends, 6.0 m³" in screen.page_with("07:16   placed 6.0 of 18.0 m³")
    screen.press("upump dwn 45 min\r", "did you mean")
    assert "What goes wrong? pump dwn 45 min" in screen.page_with("did you mean")
    screen.press("\x15" + "06:00 pump down 45 min\r", "it is 07:16 already")
    screen.press("\x15" + "pump down 45 min\r", "the rest of the day has changed: pump")
    changed = screen.page_with("the rest of the day has changed: pump")
    assert "GOES WRONG: pump down" in changed
    assert "07:16   placed" in changed
    screen.press("q", "Planning aid only")
    assert screen.ended() == 0
    assert termios.tcgetattr(screen.slave) == screen.modes
    assert screen.raw.count("\x1b[?1049h") == screen.raw.count("\x1b[?1049l") == 1
    assert screen.raw.rindex("\x1b[?25h") > screen.raw.rindex("\x1b[?25l")  # the cursor is back


def test_it_runs_by_itself_and_pauses(terminal):
    screen = terminal("--pace", "0.05")
    screen.wait_for("RUNNING")
    screen.wait_for("discharge begins")
    screen.press("p", KEYS)
    while "RUNNING" in screen.last_page():
        screen.wait_for_more()
    clock = screen.last_page().split("   placed")[0][-5:]
    screen.press("z", "That key does nothing here")
    page = screen.page_with("That key does nothing here")
    assert f"{clock}   placed" in page  # it has stood still meanwhile
    screen.press("p", "RUNNING")
    screen.wait_for("That was the last thing of this day")
    assert not COLOUR.search(screen.raw)  # nothing is told by colour
    screen.press("q", "Planning aid only")
    assert screen.ended() == 0


def test_an_interrupt_says_what_has_happened_so_far_of_the_day_on_the_page(terminal, basis, day):
    screen = terminal()
    screen.wait_for("q leave")
    screen.press("mmmmm", "07:24   placed")
    screen.press("upump down 45 min\r", "the rest of the day has changed: pump")
    screen.seen = len(screen.raw)
    screen.process.send_signal(signal.SIGINT)
    said = screen.wait_for("Planning aid only")
    assert "left at 07:24, before the end of the day: so far" in said
    assert "placed 10.5 of 18.0 m³; 3 loads batched" in said
    for late in ("last concrete", "cost", "deck:"):  # nobody knows them in the middle of a stop
        assert late not in said
    assert screen.ended() == 0


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_the_terminal_is_restored_when_it_is_interrupted(terminal, number):
    screen = terminal(NO_COLOR="1")
    screen.wait_for("q leave")
    assert termios.tcgetattr(screen.slave) != screen.modes  # keys come one by one
    if number == signal.SIGINT:
        screen.process.send_signal(number)
        screen.wait_for("Planning aid only")
        assert screen.ended() == 0
    else:
        screen.process.send_signal(number)
        assert screen.ended() == 128 + number
    assert termios.tcgetattr(screen.slave) == screen.modes
    assert screen.raw.rindex("\x1b[?1049l") > screen.raw.rindex("\x1b[?1049h")
    assert not COLOUR.search(screen.raw)


def test_a_dumb_terminal_gets_plain_lines(terminal):
    screen = terminal(TERM="dumb")
    screen.wait_for("Planning aid only")
    assert screen.ended() == 0
    assert "\x1b" not in screen.raw
    assert "07:00  pump is set up and ready" in screen.raw


def piped(path, *arguments):
    environment = os.environ | {"COLUMNS": "80", "PYTHONUTF8": "1"}
    command = [sys.executable, "-m", "pourday", "rehearse", str(path), *arguments]
    return subprocess.run(command, capture_output=True, text=True, env=environment,
                          stdin=subprocess.DEVNULL, check=False)  # fmt: skip


def test_no_terminal_gets_a_line_for_each_event_and_a_summary(scenario_file, day):
    done = piped(scenario_file)
    assert (done.returncode, done.stderr) == (0, "")
    assert "\x1b" not in done.stdout
    head, log = done.stdout.split("\n\n")[:2]
    assert head == "Plain   plan 'plain', day 0 (--seed 0)"
    lines = log.splitlines()
    told = events(day)
    assert len(lines) == len(told) > 20
    for line, event in zip(lines, told, strict=True):
        assert re.match(r"\d\d:\d\d(\+1d)?  \S", line)
        assert line.endswith(event_words(day, event))
    assert f"placed {day.log.placed:.1f} m³ from {len(day.log.visits)} loads" in done.stdout
    assert "Planning aid only" in done.stdout


def test_upsets_of_the_command_line_are_played(scenario_file):
    command = ["rehearse", str(scenario_file), "--upset"]
    done = CliRunner().invoke(app, [*command, "07:30 pump down 45 min"])
    assert done.exit_code == 0, done.output
    assert "07:30  GOES WRONG: pump down\n" in done.stdout
    assert "08:15  OVER: pump down, after 45 min" in done.stdout
    wrong = CliRunner().invoke(app, [*command, "07:30 pump dwn 45 min"])
    assert wrong.exit_code == 2
    assert wrong.stdout == ""
    assert '--upset "07:30 pump dwn 45 min": found "dwn"' in wrong.stderr
    assert "down" in wrong.stderr
