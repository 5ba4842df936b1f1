"""What is printed on a frosty day, at 80 columns: the shout first, the measures, never cooler."""

from __future__ import annotations

import io

from builders.made_days import TWO, WHOLE, measured_day, pour_with
from builders.pours import measured, pour
from rich.console import Console

from pourday.report.records.day import day_record
from pourday.report.text.cold import delivered_words
from pourday.report.text.day import day_report
from pourday.report.words import cold_words

PIECES = (0, 0, 100, 0, 1, -20), (1, 120, 220, 0, 1, 100)


def played(*hours, **changes):
    rows = [{"at": at, "air_C": warm, "humidity": 0.8, "wind_km_h": 6} for at, warm in hours]
    scenario = pour_with(
        floor=TWO, plan=WHOLE, slab={"depth_mm": 110}, mix={"delivered_C": 12},
        weather={"hours": rows}, **changes,
    )  # fmt: skip
    return measured_day(scenario, *PIECES)


def printed(outcome):
    out = io.StringIO()
    day_report(Console(file=out, width=80), outcome)
    return out.getvalue()


NIGHT = ("00:00", -2), ("06:00", 1), ("14:00", 4), ("18:00", 0), ("22:00", -5), ("30:00", -5)


def test_frost_is_shouted_in_the_first_lines_and_in_look_out():
    text = printed(played(*NIGHT))
    head, after = text.split("Strips", 1)
    assert "FROST" in head
    assert "60 of 60 m² freeze" in head
    assert "ICE" in head
    look = after.split("Look out", 1)[1].split("Cold and frost", 1)[0]
    assert "FROST from" in look
    assert "COLD from" in look
    assert "deck free of ice" in look
    assert "enclosure" in look


def test_the_section_names_its_sources_and_no_cooler_concrete():
    text = " ".join(printed(played(*NIGHT)).split())
    for source in ("DIN 1045-3", "EN 13670", "ACI 306R", "betontechnische-daten.de"):
        assert source in text
    assert "°C cooler as delivered" not in text
    assert "cooler concrete is none of them" in text
    assert "keeps frost out" in text


def test_an_ordinary_day_has_one_line_of_it():
    outcome = played(("06:00", 14))
    text = printed(outcome)
    assert "FROST" not in text
    assert "no face of fresh concrete falls below 5 °C" in text
    assert "Measures against frost" not in text
    assert cold_words(outcome.cold) == ""


def test_no_line_is_wider_than_the_screen():
    assert max(map(len, printed(played(*NIGHT)).splitlines())) <= 80


def test_the_record_has_the_cold_and_every_load():
    record = day_record(played(*NIGHT))
    assert record["cold"]["level"] == "FROST"
    assert record["cold"]["area_below_0_m2"] == 60.0
    assert len(record["cold"]["strips"]) == 2
    assert record["cold"]["measures"][0]["measure"] == "none"
    mild = day_record(played(("06:00", 14)))
    assert mild["cold"]["level"] is None
    assert (mild["cold"]["strips"], mild["cold"]["measures"]) == ([], [])
    assert mild["cold"]["lowest_C"] is None


def test_loads_outside_their_rule_are_counted():
    frozen = {"hours": [{"at": "06:00", "air_C": -4, "humidity": 0.8, "wind_km_h": 6}]}
    mix = {"delivered_C": 9, "delivery_rule": "din_1045_3"}
    said = delivered_words(measured(pour(mix=mix, weather=frozen)))
    assert "2 loads are outside" in said
    assert "10 in air below -3" in said
    assert "none outside" in delivered_words(measured(pour()))
