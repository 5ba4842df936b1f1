"""Temperature of loads at discharge against the rule of the mix, and the rule of the file."""

from __future__ import annotations

import pytest
from builders.pours import measured, pour, text

from pourday.scenario.base.faults import ScenarioError
from pourday.scenario.read import parse_scenario


def warnings_of(**changes):
    return [str(fault) for fault in parse_scenario(text(**changes))[1]]


def hours(air):
    return {"hours": [{"at": "06:00", "air_C": air, "humidity": 0.6, "wind_km_h": 10}]}


def test_a_load_is_judged_as_warm_as_it_is_at_discharge():
    # 5.5 °C when batched, half an hour in air of -2 °C: below the 5 °C of EN 206.
    loads = measured(pour(mix={"delivered_C": 5.5}, weather=hours(-2))).delivered
    assert all(load.outside for load in loads)
    assert all(4.0 < load.temperature < 5.0 for load in loads)
    assert all((load.least, load.most) == (5, 35) for load in loads)
    warm = measured(pour(mix={"delivered_C": 12}, weather=hours(-2))).delivered
    assert not any(load.outside for load in warm)


@pytest.mark.parametrize(("air", "least"), [(4.0, 5), (-3.0, 5), (-3.1, 10)])
def test_din_1045_3_asks_for_more_in_harder_frost(air, least):
    mix = {"delivered_C": 12, "delivery_rule": "din_1045_3"}
    for load in measured(pour(mix=mix, weather=hours(air))).delivered:
        assert (load.least, load.most) == (least, 30)


@pytest.mark.parametrize(
    ("warm", "rule", "said"),
    [
        (4.0, "en_206", "at least 5"), (31.0, "din_1045_3", "at most 30"),
        (12.0, "aci", "at least 13"), (36.0, "aci", "at most 35"),
        (20.0, "en_206", ""), (29.0, "din_1045_3", ""), (14.0, "aci", ""),
    ],
)  # fmt: skip
def test_a_mix_outside_its_rule_is_a_warning_or_a_fault_by_the_file(warm, rule, said):
    mix = {"delivered_C": warm, "delivery_rule": rule}
    found = [each for each in warnings_of(mix=mix) if "delivered_C" in each]
    assert bool(found) is bool(said)
    if not said:
        parse_scenario(text(mix=mix | {"outside_delivery": "fault"}))
        return
    assert said in found[0]
    with pytest.raises(ScenarioError, match=r"mix\.delivered_C"):
        parse_scenario(text(mix=mix | {"outside_delivery": "fault"}))


def test_numbers_of_the_file_stand_in_for_those_of_the_rule():
    mix = {"delivered_C": 12, "least_delivered_C": 14, "delivery_rule": "din_1045_3"}
    rule = pour(mix=mix).mix.delivery
    assert (rule.least, rule.most, rule.least_at(-10.0)) == (14, 30, 14)
    own = pour(mix={"least_delivered_C": 8, "most_delivered_C": 28}).mix.delivery
    assert (own.name, own.least, own.most) == ("the file's own", 8, 28)
    with pytest.raises(ScenarioError, match="least_delivered_C"):
        parse_scenario(text(mix={"least_delivered_C": 36}))


def test_measures_count_in_what_is_delivered():
    mix = {"delivered_C": 4}
    assert any("delivered_C" in each for each in warnings_of(mix=mix))
    more = text(mix=mix) + "\n[measures]\nwarmer_C = 4"
    assert not [each for each in parse_scenario(more)[1] if "delivered_C" in str(each)]
