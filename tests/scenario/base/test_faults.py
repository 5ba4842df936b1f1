"""One line a fault: key path, value found, the whole range allowed, the unit in words."""

from __future__ import annotations

import pytest
from builders.scenario_text import VALID, changed

from pourday.scenario.base.faults import Fault, ScenarioError, nearest, show
from pourday.scenario.read import parse_scenario
from pourday.scenario.tables.prices import PricesTable


def lines_of(text: str) -> list[str]:
    with pytest.raises(ScenarioError) as caught:
        parse_scenario(text)
    assert all(fault.severity == "fault" for fault in caught.value.faults)
    return [fault.text for fault in caught.value.faults]


ONE_EACH = [
    # a range with both limits, the unit in words
    ("depth_mm = 140", "depth_mm = 20",
     "slab.depth_mm: found 20; allowed: a number from 60 to 500, in mm"),
    ("depth_mm = 140", "depth_mm = 20.5e3",
     "slab.depth_mm: found 20500; allowed: a number from 60 to 500, in mm"),
    ("length_y_m = 18.0", "length_y_m = 0.5",
     "floor.length_y_m: found 0.5; allowed: a number, more than 0.5 and up to 300, in m"),
    ("bending_stiffness_kNm2_per_m = 210", "bending_stiffness_kNm2_per_m = -1",
     "deck.bending_stiffness_kNm2_per_m: found -1; allowed: a number, more than 1 and up to 5000, "
     "in kN m² per m"),
    ("humidity = 0.8", "humidity = 80",
     "weather.hours[1].humidity: found 80; allowed: a number from 0 to 1"),
    ("concrete_per_m3 = 130", "concrete_per_m3 = -130",
     "prices.concrete_per_m3: found -130; allowed: a number from 0 to 1e+09, "
     "in money per m³"),
    ("strip_width_m = 1.5", "strip_width_m = 0.1",
     'plan[2].strip_width_m (plan "late"): found 0.1; allowed: a number, more than 0.2 and '
     "up to 12, in m"),
    # a missing key says what it is for
    ("length_y_m = 18.0\n", "",
     "floor.length_y_m: missing; allowed: a number, more than 0.5 and up to 300, in m"),
    ('start = "06:30"\n', "",
     'plan[1].start (plan "early"): missing; allowed: a clock time such as "06:30" '
     '(24 h; "25:00" is 1 am)'),
    # an unknown key, with and without a near one
    ("self_weight_kN_m2", "self_wieght_kN_m2",
     'deck.self_wieght_kN_m2: no key of that name; did you mean "self_weight_kN_m2"?'),
    ("lines_x_m = [1.5]", "zebra = 1",
     "props.zebra: no key of that name; the keys are: lines_x_m, stiffness_kN_m2, "
     "capacity_kN_per_m, prop_capacity_kN, prop_spacing_m"),
    ("[prices]", "[price]",
     'price: no key or table of that name; did you mean "prices"?'),
    ("humidity = 0.8", "humidity = 0.8, humidty = 1",
     'weather.hours[1].humidty: no key of that name; did you mean "humidity"?'),
    # the wrong kind of value
    ("depth_mm = 140", 'depth_mm = "140"',
     'slab.depth_mm: found "140"; allowed: a number from 60 to 500, in mm; '
     "write the number without quotes"),
    ("depth_mm = 140", "depth_mm = true",
     "slab.depth_mm: found true; allowed: a number from 60 to 500, in mm"),
    ("depth_mm = 140", "depth_mm = nan",
     "slab.depth_mm: found nan; allowed: a number from 60 to 500, in mm"),
    ("trucks = 6", "trucks = 6.5",
     "supply.plants[1].trucks: found 6.5; allowed: a whole number from 1 to 200; "
     "write it without a decimal point"),
    ("spans_m = [3.0, 3.0, 3.0, 3.0]", "spans_m = [3.0, 3.0, 30, 3.0]",
     "floor.spans_m[3]: found 30; allowed: a number, more than 0.3 and up to 12, in m"),
    ("x_m = [3.5, 5.5]", "x_m = [3.5]",
     "floor.openings[1].x_m: found a list of 1; allowed: a list of 2, each a number from -1000 to "
     "1000, in m"),
    ("sheet_runs = [2, 2]", "sheet_runs = 4",
     "floor.sheet_runs: found 4; allowed: a list of 1 or more, each a whole number from 1 to 8"),
    ('name = "early"', 'name = ""',
     'plan[1].name: found ""; allowed: text in quotes, 1 to 24 letters long'),
    ('order = "spread"', 'order = "spread"\nalternate = 1',
     'plan[2].alternate (plan "late"): found 1; allowed: true or false'),
    ("title = ", "title = 3 # ", "title: found 3; allowed: text in quotes"),
    # words to choose from
    ('strike = "datum"', 'strike = "datums"',
     'slab.strike: found "datums"; allowed: "datum", "pins", "guides" or "thickness"; '
     'did you mean "datum"?'),
    ('strike = "datum"', "strike = 5",
     'slab.strike: found 5; allowed: "datum", "pins", "guides" or "thickness"'),
    # clock times
    ('curfew = "20:00"', 'curfew = "20.00"',
     'site.curfew: found "20.00"; allowed: a clock time such as "06:30" (24 h; "25:00" is 1 am)'),
    ('curfew = "20:00"', "curfew = 20:00:00",
     "site.curfew: found 20:00:00 (a date or time); allowed: a clock time such as "
     '"06:30" (24 h; "25:00" is 1 am)'),
    ('curfew = "20:00"', 'curfew = "48:00"',
     'site.curfew: found "48:00"; allowed: a clock time such as "06:30" (24 h; "25:00" is 1 am)'),
    # quantities
    ("spacing_min = 12", "spacing_min = 700",
     'plan[1].spacing_min (plan "early"): found 700; allowed: a number from 0 to 240, or a '
     "distribution that stays within it, in min"),
    ("low = 15, high = 25", "low = 15, high = 250",
     'plan[2].spacing_min (plan "late"): found a table with dist, low, high; allowed: a number '
     "from 0 to 240, or a distribution that stays within it, in min"),
    ("mean = 25, sd = 6", "mean = 25",
     "supply.plants[1].travel_min: found a table with dist, mean; allowed: a number from 0 to 600, "
     "or a distribution that stays within it, in min; lognormal takes mean, sd"),
    ("travel_min = 35", 'travel_min = "35"',
     'supply.plants[2].travel_min: found "35"; allowed: a number from 0 to 600, or a distribution '
     "that stays within it, in min; write the number without quotes"),
    # presets
    ('preset = "truck_boom"', 'preset = "truck_bom"',
     'pumps.boom.preset: found "truck_bom"; allowed: the name of a ready value for pumps; '
     'did you mean "truck_boom"?'),
    ('preset = "crew_medium"', 'preset = "zzz"',
     'crews.six.preset: found "zzz"; allowed: the name of a ready value for crews; '
     "the presets are: crew_small, crew_medium, crew_large"),
    ('preset = "ordinary_c30"', "preset = 30",
     "mix.preset: found 30; allowed: text in quotes; the name of a preset, such as "
     'preset = "..."'),
    # tables of the wrong kind
    ("[prices]", "[[prices]]",
     "prices: found a list of 1; allowed: a table [prices] with the keys currency, "
     f"concrete_per_m3, {', '.join(list(PricesTable.model_fields)[2:])}; "
     "write it with single brackets"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "line"), ONE_EACH)
def test_a_fault_is_this_line_and_stands_alone(old, new, line):
    assert lines_of(changed((old, new))) == [line]


def test_keys_straight_under_pumps_ask_for_a_name():
    text = VALID.replace("[pumps.boom]", "[pumps]").replace("[pumps.own_line]", "[crews.x]")
    assert any("such as [pumps.first]" in line for line in lines_of(text))


def test_a_plan_in_single_brackets_asks_for_double_ones():
    head, _, _ = VALID.partition("[[plan]]")
    lines = lines_of(head + '[plan]\nname = "a"\n')
    assert lines == [
        "plan: found a table with name; allowed: at least one table [[plan]]; "
        "write it with double brackets"
    ]


def test_a_file_without_plans_has_one_fault():
    (line,) = lines_of(VALID.partition("[[plan]]")[0])
    assert line == "plan: missing, no plan at all; allowed: at least one table [[plan]]"


MANY = [
    ("depth_mm = 140", "depth_mm = 20", "slab.depth_mm"),
    ("self_weight_kN_m2", "self_wieght_kN_m2", "deck.self_wieght_kN_m2"),
    ("sheet_runs = [2, 2]", "sheet_runs = [2, 3]", "floor.sheet_runs"),
    ('preset = "truck_boom"', 'preset = "truck_bom"', "pumps.boom.preset"),
    ('crew = "four"', 'crew = "foour"', 'plan[2].crew (plan "late")'),
    ("humidity = 0.8", "humidity = 80", "weather.hours[1].humidity"),
    ("mean = 25, sd = 6", "mean = 25", "supply.plants[1].travel_min"),
    ("trucks = 6", "trucks = 6.5", "supply.plants[1].trucks"),
    ("retarder_min = 30", "retarder_min = -30", "mix.retarder_min"),
    ("spacing_min = 12", "spacing_min = 700", 'plan[1].spacing_min (plan "early")'),
    ("date = 2026-05-04", "date = 5", "date"),
]


def test_all_faults_of_a_file_come_at_once():
    with pytest.raises(ScenarioError) as caught:
        parse_scenario(changed(*((old, new) for old, new, _ in MANY)))
    paths = [fault.path for fault in caught.value.faults]
    assert sorted(paths) == sorted(path for _, _, path in MANY)
    assert str(caught.value).splitlines() == [fault.text for fault in caught.value.faults]


def test_a_fault_in_a_plan_hides_no_contradiction_in_the_next():
    lines = lines_of(changed(("spacing_min = 12", "spacing_min = 700"), ('"late"', '"early"'),
                             ("trucks = 7", "trucks = 1")))  # fmt: skip
    assert [line.split(":")[0] for line in lines] == [
        'plan[1].spacing_min (plan "early")',
        'plan[2].trucks (plan "early")',
    ]


def test_a_faulty_pump_is_still_a_pump_that_a_plan_may_name():
    lines = lines_of(changed(("line_length_m = 36", "line_length_m = 3600")))
    assert [line.split(":")[0] for line in lines] == ["pumps.boom.line_length_m"]


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (True, "true"),
        (12, "12"),
        (12.0, "12"),
        (0.1, "0.1"),
        (1e300, "1e+300"),
        (float("nan"), "nan"),
        (10**400, "a whole number of more than 15 digits"),
        ("a\nb", '"a\\nb"'),
        ("x" * 50, '"' + "x" * 37 + '..."'),
        ([], "an empty list"),
        ([1, 2], "a list of 2"),
        ({}, "a table with nothing in it"),
        ({"a b": 1, "c": 2}, 'a table with "a b", c'),
    ],
)
def test_a_value_is_shown_as_the_file_has_it(value, shown):
    assert show(value) == shown


def test_a_name_that_is_far_from_all_lists_what_there_is():
    assert nearest("lin_pump", ["truck_boom", "line_pump"], "there are") == (
        'did you mean "line_pump"?'
    )
    assert nearest("q", ["truck_boom", "line_pump"], "there are") == (
        "there are: truck_boom, line_pump"
    )


def test_a_warning_says_what_would_be_better():
    warning = Fault("mix.slump_mm", "130", "up to 100", "mm", "common practice", "warning")
    assert warning.text == ("mix.slump_mm: found 130; better: up to 100, in mm; common practice")


def test_odd_letters_in_keys_stay_on_one_line():
    (line,) = lines_of(VALID + '\n[pumps."a\\nb"]\noutput_m3_h = 0\n')
    assert "\n" not in line
    assert line.startswith('pumps."a\\nb".output_m3_h: found 0; allowed: a number from 0.5')
