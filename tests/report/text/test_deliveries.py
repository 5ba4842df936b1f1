"""What the day says of deliveries: the age limit of warm air, the rule of water, the samples."""

from __future__ import annotations

import io
import json
from dataclasses import replace

from builders.pours import measured, pour
from rich.console import Console

from pourday.report.records.day import day_record
from pourday.report.text.day import day_report
from pourday.scenario.model.call_off import AgeRule

WARM = {"hours": [{"at": "06:00", "air_C": 30, "humidity": 0.6, "wind_km_h": 10}]}


def said(scenario, width=80):
    outcome = measured(scenario)
    out = io.StringIO()
    day_report(Console(file=out, width=width), outcome)
    assert max(map(len, out.getvalue().splitlines())) <= width
    return " ".join(out.getvalue().split()), outcome


def test_every_delivery_list_has_the_rule_of_water():
    text, _ = said(pour())
    assert (
        "Water: only what was withheld and stands on the ticket, before discharge, and written "
        "down; none later (ASTM C94/C94M; the engineer's clearance)."
    ) in text


def test_the_limit_of_warm_air_is_printed_and_counted():
    # 60 min on the road, 55 to discharge: between the limits the count goes by the air.
    supply = {"discharge_min": 55, "finish_begun_min": 60}
    plants = [{"name": "A", "trucks": 6, "batch_m3_h": 60, "travel_min": 60, "back_min": 20}]
    text, outcome = said(_without_own_limit(pour(weather=WARM, supply=supply, plants=plants)))
    assert "at most 120 min, 90 in air of 25 °C or more (jass_5)" in text
    over = [v for v in outcome.log.visits if v.placed and v.discharge_end - v.batched > 90 * 60 + 1]
    assert over
    assert f"min past it: {len(over)} {'were' if len(over) > 1 else 'was'}." in text


def _without_own_limit(scenario):
    rule = AgeRule("jass_5", "discharge", 7200.0, 25.0, 5400.0)
    return replace(scenario, supply=replace(scenario.supply, age_rule=rule))


def test_samples_stand_by_load_and_clock_in_print_and_json():
    text, outcome = said(pour())
    assert "2 of 2 loads (5 wanted), by ACI 318-19 26.12.2.1" in text
    assert "slump 100 to 160 mm" in text
    record = json.loads(json.dumps(day_record(outcome)))["samples"]
    assert record["slump_mm"] == [100, 160]
    assert [each["id"] for each in record["loads"]] == [1, 2]
    assert record["loads"][0]["strip"].startswith("1/")
