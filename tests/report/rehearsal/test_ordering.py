"""Orders in a rehearsal: given, taken back, tried out, and what the page of a stop answers."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from builders.pours import basis_of, pour, text
from builders.rehearsing import PLAN, TWO, after, lines_of, row, typed
from builders.shipped import first_basis, shipped
from builders.terminal import Terminal
from builders.units import differing, left_over

from pourday.day.orders.line import parse_order
from pourday.outcome.events import events, moments
from pourday.outcome.scene import scene
from pourday.report.rehearsal.answers import stop_page
from pourday.report.rehearsal.lines import sheet_lines
from pourday.report.rehearsal.ordering import NO_ORDERS, tried
from pourday.report.rehearsal.rehearse import opening, page_of, press, upset_reader
from pourday.report.rehearsal.stand import Replay
from pourday.report.rehearsal.view import Page
from pourday.report.units import SI, US
from pourday.scenario.model.scenario import Standby
from pourday.study.choices.rehearsed import Rehearsed, moment_of
from pourday.study.days import blind_day

SMALL = Standby("small pump", output=18 / 3600.0, ready=600.0, reach=None, call_out=400.0)


@pytest.fixture(scope="module")
def basis():
    made = basis_of(pour(floor=TWO, plan=PLAN))
    return replace(made, scenario=replace(made.scenario, standbys=(SMALL,)))


@pytest.fixture(scope="module")
def replay(basis):
    rehearsed = Rehearsed(basis, 0, rests=4)
    return Replay(upset_reader(basis), lambda upsets: blind_day(basis, 0, upsets), rehearsed)


@pytest.fixture(scope="module")
def stopped(basis, replay):
    """At 07:34, the pump down since 07:24."""
    stand = after(opening(blind_day(basis, 0)), "mmmmm", replay)
    return press(typed(stand, "pump down 2 h", replay), "m", replay)


def order(stand, line, replay, key="o"):
    return after(stand, (key, *line, "enter"), replay)


def page(stand, width=80, height=24):
    return lines_of(page_of(stand), width, height)


def test_an_order_changes_the_rest_of_the_day_and_is_told_on_the_page(stopped, replay):
    ended = order(stopped, "End  Here", replay)
    assert ended.typing is None
    assert ended.outcome.log.left_out > 5.0
    shown = page(ended)
    assert row(shown, "Ordered") == "07:34 end here"
    assert row(shown, "Left out").endswith("by order: stop end formed")
    assert any(line.startswith("07:34  ORDER: end here") for line in shown)
    assert "ordered at 07:34: end here; x takes it back" in shown
    assert ended.outcome.log.end < stopped.time


def test_an_order_taken_back_leaves_the_day_as_it_was(stopped, replay):
    held = order(stopped, "hold", replay)
    both = order(held, "stand-by", replay)
    assert [o.kind for o in both.outcome.log.orders] == ["hold", "stand-by"]
    one = press(both, "x", replay)
    assert repr(one.outcome.log) == repr(held.outcome.log)
    assert one.message == "taken back: 07:34 stand-by"
    none = press(one, "x", replay)
    assert repr(none.outcome.log) == repr(stopped.outcome.log)
    assert [u.kind for u in press(none, "x", replay).outcome.log.upsets] == []


def test_an_order_that_cannot_be_obeyed_says_why_and_changes_nothing(stopped, replay):
    for line, why in (
        ("away 40", "truck 40 is neither on the road nor on the site"),
        ("hurry", 'found "hurry"; orders: hold'),
        ("end after 9", "strip 9 is none"),
        ("end after 2", "nothing is left out by that"),
    ):
        refused = order(stopped, line, replay)
        assert why in refused.message
        assert refused.typing == ""  # the next one is written from its start
        assert refused.outcome is stopped.outcome


def test_a_pour_ended_with_its_pump_broken_down_is_not_washed_out_yet(stopped, replay):
    ended = order(stopped, "end here", replay)
    assert row(page(ended), "Pump 1").endswith("the pump is broken down still")
    works = replace(ended, time=ended.time + 3 * 3600.0)
    assert "broken down" not in row(page(works), "Pump 1")


def test_an_upset_after_an_order_leaves_the_order_in_force(stopped, replay):
    held = order(stopped, "hold", replay)
    worse = typed(held, "07:50 road closed 30 min", replay)
    assert [o.kind for o in worse.outcome.log.orders] == ["hold"]
    assert [type(each).__name__ for each in worse.added] == ["Upset", "Order", "Upset"]


def test_two_choices_stand_side_by_side_and_the_same_seed_gives_the_same_screen(stopped, replay):
    asked = order(stopped, "end here or stand-by and hold", replay, key="c")
    assert "plays 4 rests" in asked.message
    screens = [page(tried(asked, replay)) for _ in range(2)]
    assert screens[0] == screens[1]
    table = "\n".join(screens[0])
    assert re.search(r"^choice +end here +stand-by and hold$", table, re.MULTILINE)
    for label in ("last concrete", "edges lost", "money", "concrete wasted", "not poured today"):
        assert label in table
    shown = tried(asked, replay)
    assert shown.outcome is stopped.outcome  # nothing is ordered by trying
    assert press(shown, " ", replay).sheet == ()
    one = order(stopped, "hold", replay, key="c")
    assert [choice.words for choice in one.pending] == ["go on as it is", "hold"]
    many = order(stopped, "hold or send or break", replay, key="c")
    assert many.message.startswith("two choices stand side by side")


def test_a_rehearsal_without_a_day_to_order_takes_no_orders(stopped, replay):
    plain = replace(replay, rehearsed=None)
    assert press(stopped, "o", plain).message == NO_ORDERS


def test_answers_name_edges_concrete_ways_to_end_and_whom_to_call(stopped, replay):
    shown = page(press(stopped, "a", replay), 80, 40)
    text = "\n".join(shown)
    assert "Pump 1 stands since 07:24: broken down" in text
    assert "small pump" in text
    assert "end here: at the front" in text
    assert "decide by" in text
    assert "Mill Road ________; pump ________; engineer ________" in text
    assert max(map(len, shown)) <= 80
    assert shown[-1] == "any key: back to the page"


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (40, 12)])
def test_sheets_and_pages_with_orders_fit_their_terminal(stopped, replay, size):
    held = order(stopped, "hold", replay)
    for stand in (held, *(press(held, key, replay) for key in "aoc")):
        lines = page(stand, *size)
        assert len(lines) <= size[1]
        assert max(map(len, lines)) <= size[0]


def test_answers_choices_and_orders_are_in_the_readers_units(stopped, replay):
    said = []
    for units in (SI, US):
        own = replace(replay, units=units)
        asked = order(stopped, "end here or stand-by and hold", own, key="c")
        pages = [press(stopped, "a", own), tried(asked, own), order(stopped, "end here", own)]
        lines = [line for each in pages for line in lines_of(page_of(each, units), 400, 80)]
        said.append("\n".join(lines))
    assert differing(*said) == []
    assert left_over(said[1]) == []
    assert len(left_over(said[0])) > 8


def test_forty_columns_say_all_that_a_wide_terminal_says_of_answers_and_choices(stopped, replay):
    asked = order(stopped, "end here or stand-by and hold", replay, key="c")
    for stand in (press(stopped, "a", replay), tried(asked, replay)):
        wide = " ".join(page(stand, 200, 80)).split()
        narrow = page(stand, 40, 120)
        assert max(map(len, narrow)) <= 40
        told = re.sub("[:;]", "", " ".join(narrow)).split()
        headings = {"choice", "order", "what", "happens", "where", "it", "could"}
        assert {re.sub("[:;]", "", word) for word in wide} - {*told} <= headings


def test_a_table_of_a_sheet_is_set_in_columns_shrunk_and_told():
    rows = ["way\tm³\tdecide by", "end here\t0.3\t12:04 by the small pump", "hold\t-\tnever"]
    assert sheet_lines(rows, 80) == [
        "way        m³  decide by",
        "end here  0.3  12:04 by the small pump",
        "hold        -  never",
    ]
    narrow = sheet_lines(rows, 60)
    assert narrow == sheet_lines(rows, 80)
    assert sheet_lines(rows, 40) == [
        "end here: m³: 0.3; decide by: 12:04 by",
        "  the small pump",
        "hold: m³: -; decide by: never",
    ]
    long = ["order\twhat happens", f"hold\t{'no more loads ' * 6}"]
    assert sheet_lines(long, 60)[1:] == [
        "hold   no more loads no more loads no more loads no more",
        "         loads no more loads no more loads",
    ]


@pytest.mark.parametrize("name", ["library_level_2", "depot_two_pumps"])
def test_no_answer_depends_on_how_long_the_stop_lasts(name):
    basis = first_basis(shipped(name))
    read = upset_reader(basis)
    days = [blind_day(basis, 2, (read(f"10:30 pump down {n}"),)) for n in ("40 min", "3 h")]
    for minute in (10, 25):
        at = 10.5 * 3600.0 + minute * 60.0
        short, long = (stop_page(day, scene(day, at)) for day in days)
        assert short == long
        assert any("nothing to place with" in line for line in short)


def test_orders_in_a_real_terminal(tmp_path):
    path = tmp_path / "plain.toml"
    extra = '\n[[standby]]\nname = "small pump"\noutput_m3_h = 18\nready_min = 10\n'
    path.write_text(text(floor=TWO, plan=PLAN) + extra, encoding="utf-8")
    screen = Terminal(path)
    try:
        screen.wait_for("q leave")
        screen.press("mmmmmupump down 2 h\r", "the rest of the day has changed: pump")
        screen.press("m", "07:34   placed")
        screen.press("a", "any key: back to the page")
        screen.press(" ", "07:34   placed")
        screen.press("oaway 99\r", "truck 99 is neither on the road nor on the site")
        screen.press("\x15stand-by\r", "ordered at 07:34: stand-by; x takes it back")
        assert "Ordered  07:34 stand-by" in screen.page_with("x takes it back")
        screen.press("cend here or hold\r", "not poured today")
        screen.press(" ", "07:34   placed")
        screen.press("x", "taken back: 07:34 stand-by")
        screen.press("q", "Planning aid only")
        assert screen.ended() == 0
    finally:
        screen.close()


@pytest.mark.parametrize("name", ["clinic_level_1", "depot_two_pumps"])
def test_no_page_after_an_order_depends_on_how_long_the_stop_lasts(name):
    basis = first_basis(shipped(name))
    basis = replace(basis, scenario=replace(basis.scenario, standbys=(SMALL,)))
    read, rehearsed = upset_reader(basis), Rehearsed(basis, 2)
    at = moment_of(10.5 * 3600.0 + 600.0)
    for line in ("hold", "stand-by", "end bay"):
        orders = (parse_order(line, at, 1),)
        days = [
            rehearsed.day((read(f"10:30 pump 1 down {length}"),), orders)[0]
            for length in ("50 min", "3 h")
        ]
        for minute in (11, 18, 27, 45):
            time = 10.5 * 3600.0 + minute * 60.0
            short, long = (
                lines_of(Page(day, scene(day, time), _happened(day, time)), 100, 50) for day in days
            )
            assert short == long
            now = scene(days[0], time)
            accounted = now.placed + now.in_line + now.on_trucks + now.carted_off
            assert now.batched == pytest.approx(accounted)


def _happened(day, time):
    return moments(tuple(event for event in events(day) if event.time <= time))
