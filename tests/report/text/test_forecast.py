"""The screen of a forecast: one screen whatever was told, and every word of it text."""

from __future__ import annotations

import io
import json
from datetime import UTC, datetime
from functools import cache

import pytest
from builders.places import SCENARIOS
from builders.told import Slips, ticket_text
from builders.under_way import moment_of, small_pour, true_day
from builders.units import differing, left_over
from hypothesis import given, settings
from hypothesis import strategies as st

from pourday.day.front.ready import ready
from pourday.day.log import DayLog
from pourday.day.play import play_ready
from pourday.outcome.base.basis import Basis
from pourday.report.records.forecast import forecast_record
from pourday.report.screen import Screen
from pourday.report.text.forecast import forecast_report
from pourday.report.text.forecast_page import forecast_page
from pourday.report.units import SI, US, Units
from pourday.scenario.read import read_scenario
from pourday.study.forecast.forecast import Forecast, forecast
from pourday.study.prepare import prepare
from pourday.tickets.read import parse_tickets


def shown(found: Forecast, width: int = 80, everything: bool = False, units: Units = SI) -> str:
    out = io.StringIO()
    forecast_report(Screen(out, width, coloured=False, units=units), found, everything)
    return out.getvalue()


def clock(at: float, later_min: int = 0) -> str:
    return "{}:{:02d}".format(*divmod(int(at // 60) + later_min, 60))


def found_after(text: str, share: float = 0.5, rests: int = 4) -> Forecast:
    basis, log = small_pour(), true_day(3)
    at = moment_of(log, share)
    told = ticket_text(log, basis, at) + text.format(now=clock(at), later=clock(at, 45))
    return forecast(basis, parse_tickets(told), at, rests, workers=1)


EXTRA = [
    "stop {now} blocked\n",
    "stop {now} blocked\nguess {later}\n",
    "stop {now} rain\n",
    "stop {now} pump broken\n",
    "break {now}\n",
    "people 2 {now}\n",
    "people 99 {now}\n",
    "moved to Mars {now}\n",
    "hold {now}\n",
    "hold {now}\nsend {now}\n",
    "call 2m3 for {later}\n",
    "stop end 2 at 1m {now}\n",
    "strip 4 full {now}\n",
    "strip 0 full {now}\n",
    "strip 2 at 99m {now}\n",
    "99 in {now}\n98 in {now}\n97 in {now}\n96 in {now}\n95 in {now}\n",
    "99 left {now}\n99 away {now} too old\n",
    "go {now}\n",
    "99 on {now}\n98 on {now}\n",
]


@pytest.mark.parametrize("extra", EXTRA)
def test_whatever_is_told_gives_one_screen(extra):
    found = found_after(extra)
    for width in (80, 120):
        lines = shown(found, width).splitlines()
        assert len(lines) <= 24
        assert all(len(line) <= width for line in lines)
    assert "How this was worked out" in shown(found, everything=True)
    json.dumps(forecast_record(found), allow_nan=False)
    assert found.finish.low >= found.at or found.finished


def test_what_is_urgent_stands_first():
    lines = shown(found_after("stop {now} blocked\nguess {later}\n")).splitlines()
    assert lines[1].startswith("STOPPED")
    assert "guessed till" in lines[1]


def test_us_units_say_the_same_on_screen_and_page():
    for found in (found_after("strip 2 at 99m {now}\n"), shipped_forecast()):
        for everything in (False, True):
            ours, theirs = (shown(found, 400, everything, units) for units in (SI, US))
            assert differing(ours, theirs) == []
            assert left_over(theirs) == []
            assert len(left_over(ours)) > 3
        assert len(shown(found, units=US).splitlines()) <= 24
        page = forecast_page(found, datetime(2027, 4, 20, 10, 0, tzinfo=UTC), US)
        assert left_over(page.partition("<pre>")[2].partition("</pre>")[0]) == []


@pytest.mark.parametrize("everything", [False, True])
def test_forty_columns_cut_nothing(everything):
    found = shipped_forecast()
    text = shown(found, 40, everything)
    assert max(map(len, text.splitlines())) <= 40
    assert "..." not in text
    assert "…" not in text
    for word in ("last concrete about", "Call", "Look", "EUR", "trips take", "crew pace"):
        assert word in text


def test_a_line_that_is_shortened_says_where_the_rest_is():
    many = "".join(f"{99 - k} in {{now}} and many more words of somebody\n" for k in range(9))
    lines = shown(found_after(many), 62).splitlines()
    short = [line.rstrip() for line in lines if line.startswith("TICKETS")]
    assert any(line.endswith("(more: --full)") for line in short), short


def test_names_are_text_whatever_is_in_them():
    text = shown(found_after("stop {now} [bold]<b>blocked</b>\n"))
    assert "[bold]<b>blocked</b>" in text


def test_lines_to_look_at_are_named_with_their_number():
    text = shown(found_after("7 off 7.5\n"), everything=True)
    assert "7:05 or 7:50" in text
    assert "TICKETS" in text


@cache
def shipped_forecast() -> Forecast:
    basis, log = depot()
    at = moment_of(log, 0.5)
    return forecast(basis, parse_tickets(ticket_text(log, basis, at)), at, 3, workers=1)


@cache
def depot() -> tuple[Basis, DayLog]:
    basis = prepare(read_scenario(SCENARIOS / "depot_two_pumps.toml")[0])[0]
    return basis, play_ready(ready(basis.scenario, basis.plan, basis.layout), 2)


@given(
    st.builds(
        Slips, gaps=st.floats(0, 0.5), typos=st.floats(0, 0.4), late=st.floats(0, 0.4),
        seed=st.integers(0, 999),
    ),
    st.floats(0.0, 1.1),
    st.lists(st.sampled_from(EXTRA), max_size=3),
)  # fmt: skip
@settings(max_examples=25, deadline=None)
def test_any_file_gives_a_report_and_a_record(slips, share, extra):
    basis, log = small_pour(), true_day(slips.seed % 7)
    at = moment_of(log, share)
    text = ticket_text(log, basis, at, slips=slips)
    text += "".join(extra).format(now=clock(at), later=clock(at, 45))
    found = forecast(basis, parse_tickets(text), at, 2, workers=1)
    assert "Planning aid" in shown(found, everything=True)
    json.dumps(forecast_record(found), allow_nan=False)


@given(st.floats(0.0, 1.05), st.integers(0, 999))
@settings(max_examples=5, deadline=None)
def test_two_pumps_are_forecast_together(share, seed):
    basis, log = depot()
    at = moment_of(log, share)
    slips = Slips(gaps=0.1, typos=0.05, late=0.05, seed=seed)
    found = forecast(basis, parse_tickets(ticket_text(log, basis, at, slips=slips)), at, 2,
                     workers=1)  # fmt: skip
    assert len(shown(found).splitlines()) <= 24
