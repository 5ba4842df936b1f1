"""What [search] cannot ask for is told with the file's other faults."""

from __future__ import annotations

import pytest
from builders.scenario_text import VALID
from builders.two_readers import faults_of


def told(search: str) -> list[str]:
    return [fault.text for fault in faults_of(f"{VALID}\n[search]\n{search}\n")]


def test_a_search_that_fits_is_no_fault():
    assert not told(
        'plans = ["late"]\nvary = [{ key = "plan.spacing_min", least = 10, most = 20, step = 2 },'
        '{ key = "plan.pump", values = ["boom", "own_line"] },'
        '{ key = "supply.plants[1].trucks", values = [4, 6] },'
        '{ key = "crews.four.placers", values = [4, 5] },'
        '{ key = "plan.spacing_min.mean", values = [12] }]'
    )


@pytest.mark.parametrize(
    ("search", "said"),
    [
        ('plans = ["lat"]', 'search.plans[1]: found "lat"; allowed: the name of a [[plan]]'),
        ('plans = ["late", "late"]', "search.plans[2]: found \"late\"; allowed: each plan once"),
        ('vary = [{ key = "plan.spacin_min", values = [1] }]', 'did you mean "spacing_min"?'),
        ('vary = [{ key = "plan. x", values = [1] }]', "allowed: no path of a key"),
        ('vary = [{ key = "suply.load_m3", values = [1] }]', 'did you mean "supply"?'),
        ('vary = [{ key = "supply", values = [1] }]', "name a key of [supply]"),
        ('vary = [{ key = "plan.name", values = ["a"] }]', "a key that a candidate may change"),
        ('vary = [{ key = "limits.deck_use", values = [1] }]', "a key that a candidate may change"),
        ('vary = [{ key = "pumps.bom.reach_m", values = [1] }]', 'did you mean "boom"?'),
        ('vary = [{ key = "supply.plants[7].trucks", values = [1] }]', "no item 7; the list has"),
        ('vary = [{ key = "plan.trucks" }]', "search.vary[1]: neither given"),
        ('vary = [{ key = "plan.trucks", values = [1], most = 3 }]', "search.vary[1]: both given"),
        ('vary = [{ key = "plan.trucks", least = 4, most = 3 }]', "search.vary[1].most: found 3"),
        ('vary = [{ key = "plan.trucks", least = 1, most = 999 }]', "at most 200 values"),
        (
            'vary = [{ key = "plan.trucks", values = [1] }, { key = "plan.trucks", values = [2] }]',
            "each key once",
        ),
        (
            'vary = [{ key = "plan.trucks", least = 1, most = 100 },'
            '{ key = "plan.spacing_min", least = 1, most = 100 }]',
            "found 10,000 candidates; allowed: at most 2,000",
        ),
    ],
)  # fmt: skip
def test_what_cannot_be_tried_is_named(search, said):
    assert any(said in text for text in told(search)), told(search)
