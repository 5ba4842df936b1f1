"""What prices cannot mean; and how they are read: SI inside, a rate for everybody and by job."""

from __future__ import annotations

import pytest
from builders.pours import pour, text

from pourday.scenario.base.faults import ScenarioError
from pourday.scenario.read import parse_scenario


def warned(**changes):
    return [each.text for each in parse_scenario(text(**changes))[1] if "prices" in each.path]


def test_a_charge_for_being_late_wants_to_know_when_that_is():
    assert warned(prices={"late_per_h": 5}) == [
        "prices.late_per_h: no finish is ever late: neither late_after nor site.curfew says when"
    ]
    assert warned(prices={"late_per_h": 5, "late_after": "18:00"}) == []
    assert warned(prices={"late_charge": 5}, site={"curfew": "18:00"}) == []


def test_a_price_of_retarder_wants_a_retarder():
    (line,) = warned(prices={"retarder_per_m3_h": 3})
    assert "the mix has no retarder" in line
    assert warned(prices={"retarder_per_m3_h": 3}, mix={"retarder_min": 60}) == []


def test_plans_that_differ_in_trucks_want_a_price_of_one():
    two = '\n[[plan]]\nname = "more"\npump = "pump"\ncrew = "crew"\nspacing_min = 12\n'
    two += 'start = "07:00"\ntrucks = 16\n'
    (line,) = [w.text for w in parse_scenario(text() + two)[1] if "truck_booked" in w.path]
    assert "plans keep 6 to 16 trucks, and more of them cost no more" in line
    assert not [
        w for w in parse_scenario(text(prices={"truck_per_h": 9}) + two)[1] if "prices" in w.path
    ]
    assert warned(plan={"trucks": 3}) == []  # one plan has nobody to be compared with


@pytest.mark.parametrize(
    ("prices", "says"),
    [
        ({"normal_from": "18:00", "normal_until": "06:00"}, "later than normal_from, 18:00"),
        ({"overtime": [{"after_h": 9, "factor": 2}] * 2}, "each band after the one before"),
        ({"shift_h": 12, "longest_shift_h": 10}, "at least the paid shift"),
    ],
)
def test_hours_that_run_backwards_are_faults(prices, says):
    with pytest.raises(ScenarioError) as error:
        pour(prices=prices)
    (fault,) = error.value.faults
    assert says in fault.text


def test_prices_are_read_in_si_and_a_job_without_a_rate_has_that_of_everybody():
    prices = pour(
        mix={"retarder_min": 60},
        prices={
            "labour_per_person_h": 36,
            "roles": {"foreman_per_h": 72},
            "retarder_per_m3_h": 3.6,
            "overtime": [{"after_h": 9, "factor": 1.25}],
            "curing_per_m2": 0.5,
            "truck_per_h": 18,
        },
    ).prices
    assert (prices.rate("hose"), prices.rate("placers"), prices.rate("foreman")) == (
        pytest.approx(0.01),
        pytest.approx(0.01),
        pytest.approx(0.02),
    )
    assert prices.retarder == pytest.approx(0.001)
    assert [(band.after, band.factor) for band in prices.bands] == [(9 * 3600, 1.25)]
    assert (prices.curing, prices.truck) == (0.5, pytest.approx(0.005))
    assert pour().prices.bands[0].after == 8 * 3600
