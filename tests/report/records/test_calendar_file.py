"""The calendar as a file: folded, escaped, read back; and the sections on the concrete."""

from __future__ import annotations

import io
import re
from datetime import date, datetime

import pytest
from builders.pours import measured, pour, text
from rich.console import Console

from pourday.outcome.concrete.calendar import CalendarLine
from pourday.report.records.calendar_file import calendar_text, escaped, folded, save_calendar
from pourday.report.text.calendar import calendar_section
from pourday.report.text.concrete import concrete_report
from pourday.report.words import NO_PERMISSION
from pourday.scenario.read import parse_scenario

POUR = date(2027, 3, 1)
LINES = (
    CalendarLine(datetime(2027, 3, 1, 14, 40), "curing starts", "a; b, c\\d\nnext", "practice"),
    CalendarLine(datetime(2027, 3, 8, 14, 40), "damp", "überall 20 °C, " * 12, "no source"),
)
TITLE = "Höhe 2; Küche, Süd"


def read(text: str) -> list[dict[str, str]]:
    """Events of iCalendar text: unfolded (RFC 5545 3.1), then split at the first colon."""
    assert text.endswith("\r\n")
    assert not re.search(r"(?<!\r)\n|\r(?!\n)", text)
    lines = text.replace("\r\n ", "").rstrip("\r\n").split("\r\n")
    assert lines[0] == "BEGIN:VCALENDAR"
    assert lines[-1] == "END:VCALENDAR"
    events: list[dict[str, str]] = []
    for line in lines[1:-1]:
        name, value = line.split(":", 1)
        if line == "BEGIN:VEVENT":
            events.append({})
        elif events:
            events[-1][name] = value
    return events


def plain(value: str) -> str:
    """A TEXT value without its escapes (RFC 5545 3.3.11)."""
    return re.sub(r"\\(.)", lambda m: "\n" if m[1] in "nN" else m[1], value)


def test_events_are_read_back_as_they_were():
    events = read(calendar_text(LINES, TITLE, POUR))
    assert len(events) == 2
    assert events[0]["DTSTART"] == "20270301T144000"
    assert events[0]["DTSTAMP"] == "20270301T000000Z"
    assert plain(events[0]["SUMMARY"]) == f"{TITLE}: curing starts"
    assert plain(events[0]["DESCRIPTION"]).startswith("a; b, c\\d\nnext. Source: practice.")
    assert plain(events[1]["DESCRIPTION"]).startswith("überall 20 °C, " * 12)
    assert all(NO_PERMISSION in plain(event["DESCRIPTION"]) for event in events)


def test_no_line_is_longer_than_75_octets_and_every_character_stays_whole():
    written = calendar_text(LINES, TITLE * 5, POUR)
    for line in written.encode("utf-8").split(b"\r\n"):
        assert len(line) <= 75
        line.decode("utf-8")


@pytest.mark.parametrize("length", [0, 1, 74, 75, 76, 149, 150, 400])
@pytest.mark.parametrize("character", ["a", "°", "€", "😀"])
def test_folding_is_undone_by_unfolding(length, character):
    line = "X:" + character * length
    out = folded(line)
    assert out.replace("\r\n ", "") == line
    assert all(len(part.encode()) <= 75 for part in out.split("\r\n"))


def test_the_same_pour_gives_the_same_text_and_no_two_events_one_name():
    text = calendar_text(LINES, TITLE, POUR)
    assert text == calendar_text(LINES, TITLE, POUR)
    names = [event["UID"] for event in read(text)]
    assert len(set(names)) == 2
    other = read(calendar_text(LINES, "Another floor", POUR))
    assert not {event["UID"] for event in other} & set(names)


def test_escapes_by_hand():
    assert escaped("a,b;c\\d\r\ne\x07") == "a\\,b\\;c\\\\d\\ne"


def test_the_file_is_written_as_it_stands(tmp_path):
    path = tmp_path / "pour.ics"
    save_calendar(LINES, TITLE, POUR, path)
    assert path.read_bytes().decode("utf-8") == calendar_text(LINES, TITLE, POUR)
    with pytest.raises(ValueError, match="nothing was placed"):
        save_calendar((), TITLE, POUR, tmp_path / "none.ics")
    assert not (tmp_path / "none.ics").exists()


def printed(**changes) -> str:
    out = io.StringIO()
    console = Console(file=out, width=180)
    outcome = measured(parse_scenario(text(**changes))[0])
    concrete_report(console, outcome)
    return out.getvalue()


def test_a_real_day_has_a_calendar_that_is_read_back():
    outcome = measured(pour())
    events = read(calendar_text(outcome.calendar, "Plain", outcome.basis.scenario.date))
    assert len(events) == len(outcome.calendar)
    assert [e["DTSTART"] for e in events] == sorted(e["DTSTART"] for e in events)


def test_the_sections_say_what_they_must_and_promise_nothing():
    windy = {"hours": [{"at": "06:00", "air_C": 28, "humidity": 0.2, "wind_km_h": 30}]}
    for changes in (
        {},
        {"weather": windy, "finishing": {"power_float_m2_h": 5, "shift_end": "12:00"}},
        {"crews": {"crew": {"finishers": 0}}},
        {"finishing": {"passes": 0}},
    ):
        text = printed(**changes)
        for title in ("Drying", "Measures", "Finishing", "Calendar"):
            assert title in text
        assert "No line of this calendar permits anything" in text
        assert "safe" not in text.lower()
        assert "add water" not in text.lower()


def test_late_areas_and_overtime_are_printed():
    text = printed(
        finishing={"power_float_m2_h": 5, "shift_end": "12:00"}, site={"curfew": "13:00"}
    )
    assert "LATE" in text
    assert "overtime" in text
    assert "PAST THE CURFEW" in text
    assert "Water is never added" in text


def test_a_day_without_concrete_says_so():
    out = io.StringIO()
    calendar_section(Console(file=out, width=120), ())
    assert "nothing was placed" in out.getvalue()
