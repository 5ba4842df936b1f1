"""What `pourday starts` says of starts that are out, of ties, and of the file's clock."""

from __future__ import annotations

import io

from builders.pours import pour
from rich.console import Console

from pourday.report.records.study import starts_record
from pourday.report.text.starts import starts_report
from pourday.study.start_times import hours_of_day, ranked, start_times

HOUR = 3600.0
WINDY = {
    "hours": [
        {"at": "06:00", "air_C": 20, "humidity": 0.6, "wind_km_h": 5},
        {"at": "12:00", "air_C": 20, "humidity": 0.6, "wind_km_h": 30},
    ]
}


def said(first, last, days=3, by="drying", width=80, **changes):
    scenario = pour(**changes)
    hours = hours_of_day(first * HOUR, last * HOUR)
    found = start_times(scenario, scenario.plans[0], hours, range(days), workers=1)
    ranking = ranked(found, by)
    out = io.StringIO()
    starts_report(Console(file=out, width=width), scenario, found, ranking)
    assert max(map(len, out.getvalue().splitlines())) <= width
    return " ".join(out.getvalue().split()), starts_record(scenario, found, ranking)


def test_the_best_start_is_named_with_how_far_the_next_is_behind():
    text, record = said(5, 9, weather=WINDY)
    # Three days show of no start that it keeps its limits: they are not out, and it says so.
    assert "Best: 05:00 (least drying, of the starts that are not out)." in text
    assert "not decided by 3 days: 05:00 to 09:00: whether a cold joint on more days than" in text
    assert "Next is 06:00:" in text
    assert "paired by day" in text
    assert record["best_h"] == [5.0]
    assert record["by"] == "drying"
    assert record["starts"][1]["behind_best"]["low"] > 0.05


def test_starts_that_nobody_could_tell_apart_are_a_tie():
    text, record = said(7, 9)
    assert "Tie: 07:00 to 09:00 (least drying" in text
    assert record["best_h"] == [7.0, 8.0, 9.0]


def test_where_every_start_is_out_the_report_says_so_and_what_to_change():
    text, record = said(7, 8, site={"curfew": "07:30"})
    assert "None of these starts. What to change:" in text
    assert "an earlier start, a later curfew, a larger crew, or fewer square metres" in text
    assert "past the curfew, at best 100 %; the limit is 10 %" in text
    assert "Best" not in text
    assert record["best_h"] == []
    assert record["starts"][0]["out"] == [{"kind": "curfew", "found": 1.0, "limit": 0.1}]


def test_unfinished_days_are_shown_and_put_a_start_out():
    text, _ = said(17, 20, plants=[
        {"name": "Mill Road", "trucks": 6, "batch_m3_h": 60, "travel_min": 20, "back_min": 20,
         "closes": "18:00"}
    ])  # fmt: skip
    assert "left unfinished: share of days" in text
    assert "out: 19:00 to 20:00: the floor is left unfinished on some days" in text
    assert "Tie: 17:00 to 18:00" in text


def test_what_the_file_leaves_open_for_the_night_is_said():
    text, _ = said(20, 1, weather=WINDY, site={"curfew": "23:30"})
    assert "The file does not say when the curfew ends (site.curfew_ends)" in text
    assert "The weather of the file ends at 12:00" in text
    wide, _ = said(7, 8, width=120)
    assert "cost" in wide


def test_a_best_hour_that_is_good_only_beside_the_others_is_doubted():
    gale = {"hours": [
        {"at": "06:00", "air_C": 30, "humidity": 0.2, "wind_km_h": 25},
        {"at": "12:00", "air_C": 36, "humidity": 0.2, "wind_km_h": 40},
    ]}  # fmt: skip
    text, _ = said(5, 9, weather=gale)
    assert "Best: 05:00" in text
    assert "Even so the floor sees" in text
    assert "try the night" in text
    assert "05:00 is at the end of the hours tried: a better one may lie beyond." in text
    text, _ = said(7, 9)
    assert "Even so" not in text
    assert "at the end of the hours tried" not in text


FROSTY = {
    "hours": [
        {"at": "06:00", "air_C": 2, "humidity": 0.8, "wind_km_h": 5},
        {"at": "14:00", "air_C": 4, "humidity": 0.7, "wind_km_h": 5},
        {"at": "20:00", "air_C": -5, "humidity": 0.8, "wind_km_h": 5},
    ]
}


def test_on_a_frosty_night_none_of_these_starts_and_what_to_change():
    text, _ = said(7, 8, weather=FROSTY, mix={"delivered_C": 14})
    assert "FROST when begun at 07:00 to 08:00: 100 % of days." in text
    assert "out: 07:00 to 08:00: concrete freezes on more days than its limit" in text
    assert "None of these starts. What to change:" in text
    assert "another day, heat below the deck, mats after the last pass" in text
    assert "Best" not in text


def test_cooler_concrete_is_no_cure_for_cold_joints_where_a_night_is_cold():
    # An edge that is cold whatever the concrete: it may be asked for in 20 °C, not beside frost.
    slow = {"mix": {"open_time_min": 20}, "floor": {"spans_m": [3.0, 3.0], "sheet_runs": [2]}}
    assert "cooler concrete" in said(7, 7, **slow)[0]
    text = said(7, 7, weather=FROSTY, **slow)[0]
    assert "a cold joint on more days" in text
    assert "cooler concrete" not in text
