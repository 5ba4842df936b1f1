"""A line of tickets: what it says, and what is refused with a word on what to write."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pourday.tickets.grammar import FORMS, parse_line, stamped
from pourday.tickets.line import FOOT, YARD3, Line
from pourday.tickets.tokens import LineError

HOUR = 3600.0


def read(text: str) -> Line:
    line = parse_line(text)
    assert line is not None
    return line


@pytest.mark.parametrize("form", FORMS)
def test_every_example_of_a_line_is_read(form):
    assert parse_line(form) is not None


def test_a_delivery_ticket_is_read_with_all_it_says():
    line = read("7 in 8:38 loaded 8:18 7.5m3 from East Plant")
    assert (line.kind, line.load, line.time, line.loaded) == ("in", "7", 31080.0, 29880.0)
    assert (line.volume, line.plant) == (7.5, "east plant")


@pytest.mark.parametrize(
    ("text", "time"),
    [
        ("7 on 8:48", 8.8),
        ("7 on 8.48", 8.8),
        ("7 on 848", 8.8),
        ("7 on 0848", 8.8),
        ("7 on at 8:48", 8.8),
        ("7 ON 8:48  # by hand", 8.8),
        ("7 on 8:48:36", 8.81),
        ("stop 1030 blocked", 10.5),
        ("strip 12 full 9:30", 9.5),
    ],
)
def test_times_are_read_as_people_write_them(text, time):
    assert read(text).time == pytest.approx(time * HOUR)


@pytest.mark.parametrize(
    ("text", "volume"),
    [
        ("7 in 8:38 7.5m3", 7.5),
        ("7 in 8:38 7,5 m3", 7.5),
        ("7 in 8:38 7.5 m³", 7.5),
        ("7 in 8:38 10yd3", 10 * 27 * 0.3048**3),
        ("call 6m3 for 11:40", 6.0),
    ],
)
def test_volumes_carry_their_unit(text, volume):
    assert read(text).volume == pytest.approx(volume)


def test_a_cubic_yard_is_27_cubic_feet_and_a_foot_0_3048_m():
    # International yard and foot of 1959: exact.
    assert pytest.approx(27 * FOOT**3) == YARD3
    assert read("strip 12 at 30ft 10:30").at == pytest.approx(9.144)


def test_off_7_5_is_refused_with_both_readings():
    with pytest.raises(LineError) as refused:
        parse_line("7 off 7.5")
    said = str(refused.value)
    assert "time 7:05 or 7:50" in said
    assert "volume 7.5m3" in said


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("7 off 7,5", "volume 7,5m3"),
        ("7 off 7.75", "volume 7.75m3"),
        ("7 off 7", "7m3"),
        ("7 off 9:05 back 2", "a volume with m3 or yd3"),
        ("7 on 25:10", "no time of a clock"),
        ("7 on 8:61", "no time of a clock"),
        ("7 gone 9:00", "in, on, off, away or left"),
        ("strip full 9:26", "number of the strip"),
        ("strip 12 half 9:26", "start, full, or at"),
        ("call 6m3", "for when"),
        ("guess", "the time at which it goes on"),
        ("pump 0 7 on 8:48", "count from 1"),
        ("lorry 7 came", "lines are such as"),
        ("7 on 8:48 9:05", "One thing a line"),
        ("7 in 8:38 back 1m3", "goes back when the load is off"),
        ("7 in " + "x" * 300, "letters"),
    ],
)
def test_what_cannot_be_read_says_what_to_write(text, said):
    with pytest.raises(LineError, match=said):
        parse_line(text)


def test_a_line_with_a_remark_alone_says_nothing():
    assert parse_line("  # rain ahead") is None
    assert parse_line("") is None


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("7 in", "7 in 10:31"),
        ("7 in loaded 10:02 7.5 m3", "7 in 10:31 loaded 10:02 7.5 m3"),
        ("pump 2 7 on", "pump 2 7 on 10:31"),
        ("7 off back 1.5m3", "7 off 10:31 back 1.5m3"),
        ("7 away too old", "7 away 10:31 too old"),
        ("strip 12 full", "strip 12 full 10:31"),
        ("strip 12 at 9.5m", "strip 12 at 9.5m 10:31"),
        ("stop blocked", "stop 10:31 blocked"),
        ("stop end 12 at 9.5m", "stop end 12 at 9.5m 10:31"),
        ("people 7", "people 7 10:31"),
        ("moved to B", "moved to B 10:31"),
        ("break", "break 10:31"),
        ("7 on 8:48", "7 on 8:48"),
        ("wrong 3", "wrong 3"),
    ],
)
def test_a_line_is_stamped_where_it_says_no_time(text, written):
    assert stamped(text, 10 * HOUR + 31 * 60 + 40) == written
    line = read(written)
    assert line.kind == "wrong" or not math.isnan(line.time)


def test_a_guess_is_never_stamped_since_only_its_writer_knows_it():
    with pytest.raises(LineError):
        stamped("guess", 0.0)


@given(st.text(max_size=60))
@settings(max_examples=300, deadline=None)
def test_whatever_is_typed_is_read_or_refused_in_words(text):
    try:
        parse_line(text)
        said = "it is read"
    except LineError as refused:
        said = str(refused)
    assert len(said) >= 10


WORDS = sorted(
    {word for form in FORMS for word in form.split()} | {"7.5", "8:61", "m3", "-3", "ft"}
)


@given(st.lists(st.sampled_from(WORDS), max_size=7))
@settings(max_examples=500, deadline=None)
def test_any_words_of_the_grammar_in_any_order_are_read_or_refused(words):
    text = " ".join(words)
    try:
        line = parse_line(text)
    except LineError:
        return
    assert line is None or line.kind
    if line is not None:
        try:
            again = parse_line(stamped(text, 12345.0))
        except LineError:
            assert line.kind in ("guess", "call") or math.isnan(line.time)
            return
        assert again is not None
        assert again.kind == line.kind
