"""What is learned from days of a site that is not what the file says.

`POURDAY_LEARN_SITES=40 pytest tests/study/learn/test_learn.py` looks at forty sites of ten pours
(two minutes); CI at two.
"""

from __future__ import annotations

import os
from dataclasses import replace

import pytest
from builders.poured import TRUTH, as_it_is, as_the_file_has_it, table_of, told_of
from builders.told import Slips
from scipy import stats

from pourday.study.learn.found import Learned, Row
from pourday.study.learn.learn import learn
from pourday.study.learn.pours import LEVEL, Value
from pourday.study.learn.seen import Length
from pourday.study.learn.shape import UNLIKELY
from pourday.study.learn.trips import fit_short
from pourday.study.learn.written import sure_enough
from pourday.tickets.read import parse_tickets

SITES = int(os.environ.get("POURDAY_LEARN_SITES", "2"))
POURS = 10
# A right program fails this once in a hundred sets of seeds; these are fixed.
CONFIDENCE = 0.99


def learned_at(site: int, pours: int = POURS, slips: Slips | None = None) -> Learned:
    """What ten pours teach; they begin at another day on every site."""
    told = {} if slips is None else {"slips": slips}
    texts = [told_of(100 * site + day, **told) for day in range(pours)]
    files = [(f"pour_{day}.txt", parse_tickets(text)) for day, text in enumerate(texts)]
    return learn(as_the_file_has_it(), files)


@pytest.fixture(scope="module")
def sites() -> list[Learned]:
    return [learned_at(site) for site in range(SITES)]


def row_of(found: Learned, key: str) -> Row:
    return next(row for row in found.rows if row.key == key)


def values(found: Learned) -> dict[str, tuple[float, float, float]]:
    """Every number with its interval, named as in the truth."""
    out = {}
    for row in found.learned:
        for name, value in ((row.key, row.mean), (f"{row.key} sd", row.sd)):
            if value is not None:
                out[name] = (value.low, value.about, value.high)
    return out


def test_five_hundred_loads_of_ten_pours_tell_the_numbers_of_the_site_within_their_intervals(sites):
    """Nine of ten intervals hold the truth, by the binomial distribution at 99 % confidence."""
    held = []
    for found in sites:
        assert found.pours == POURS
        assert 480 <= found.loads <= 540
        told = values(found)
        assert set(told) >= set(TRUTH) - {"discharge_min", "discharge_min sd"}
        held += [told[name][0] <= TRUTH[name] <= told[name][2] for name in TRUTH if name in told]
    least = stats.binom(len(held), LEVEL).ppf(1.0 - CONFIDENCE)
    assert sum(held) >= least, f"{sum(held)} of {len(held)}"
    print(f"{sum(held)} of {len(held)} intervals hold the truth")


def test_the_numbers_are_those_of_the_site_and_not_those_of_the_file(sites):
    """Means within 15 %, where the file is 20 to 100 % off."""
    for found in sites:
        for name in ("travel_min", "move_min", "change_min", "discharge_min"):
            if name in values(found):
                assert values(found)[name][1] == pytest.approx(TRUTH[name], rel=0.15)


def test_forms_that_are_the_true_ones_are_told_to_fit(sites):
    """The test is wrong on one in a hundred, by the binomial distribution at 99 % confidence."""
    worse = [row.worse for found in sites for row in found.learned if row.worse is not None]
    wrong = sum(each < UNLIKELY for each in worse)
    print(f"{wrong} of {len(worse)} true forms are told not to fit")
    assert wrong <= stats.binom(len(worse), UNLIKELY).ppf(CONFIDENCE)


def test_fifteen_loads_are_too_few(sites):
    """One pour of fifteen loads: every row stays, and says why."""
    text = "\n".join(
        line
        for line in told_of(0, None).splitlines()
        if not line[:1].isdigit() or int(line.split()[0]) <= 15
    )
    found = learn(as_the_file_has_it(), [("one.txt", parse_tickets(text))])
    assert found.loads == 15
    assert not found.learned
    assert all("too few" in row.why for row in found.rows)
    assert row_of(found, "travel_min").why == "too few: 15 of 1 pours, 30 of 3 wanted"


def test_two_long_pours_are_too_few_as_well():
    found = learned_at(0, pours=2)
    assert found.loads > 90
    assert not found.learned


def test_a_pour_is_a_witness_and_a_load_is_not(sites):
    """The mean trip is no surer than ten days let it: 15 % from day to day, over root ten."""
    low, about, high = values(sites[0])["travel_min"]
    assert (high - low) / about > 2 * 1.8 * 0.5 * TRUTH["travel_sd"] / POURS**0.5


def test_waiting_is_never_fitted(sites):
    """Trucks that stand longer change no number: every "in" an hour earlier moves trips alone."""
    keys = {row.key for row in sites[0].rows}
    assert not any("wait" in key or "gate" in key for key in keys)
    assert any(said.startswith("waiting") for said in sites[0].untold)


def test_a_plant_s_tables_alone_teach_trips_and_say_that_moves_are_not_told():
    """Five pours as tables and as typed: the same trips but for the plant's seconds."""
    days = range(5)
    tables = [(str(day), parse_tickets(table_of(day))) for day in days]
    typed = [(str(day), parse_tickets(told_of(day, None))) for day in days]
    assert not any(tickets.remarks for _, tickets in tables)
    of_tables, of_lines = (learn(as_the_file_has_it(), each) for each in (tables, typed))
    for name in ("travel_min", "travel_min sd", "reject_share"):
        assert values(of_tables)[name][1] == pytest.approx(values(of_lines)[name][1], rel=0.02)
    assert "5 pours tell no strips" in row_of(of_tables, "discharge_min").note
    assert not row_of(of_lines, "discharge_min").note
    assert "too few" in row_of(of_tables, "move_min").why


def test_one_place_at_the_pump_hides_the_change_in_the_backing_up():
    basis = as_the_file_has_it()
    site = replace(basis.scenario.site, positions=1)
    basis = replace(basis, scenario=replace(basis.scenario, site=site))
    row = row_of(learn(basis, [("one", parse_tickets(told_of(0)))]), "change_min")
    assert row.new is None
    assert "one place at the pump" in row.why


def test_odd_lengths_do_not_carry_a_fit_away():
    """Two typed hours among eighty changes of a minute or two."""
    plain = [Length(n % 4, 60.0 * (1 + n % 2), (60.0, 60.0)) for n in range(80)]
    odd = [Length(0, 900.0, (60.0, 60.0)), Length(1, 840.0, (60.0, 60.0))]
    clean, with_odd = fit_short(plain, "lognormal"), fit_short(plain + odd, "lognormal")
    assert with_odd.mean.about == pytest.approx(clean.mean.about, rel=0.05)


def test_what_the_pours_tell_within_no_useful_bounds_stays():
    row = Row("[site]", "change_min", "change of truck", "min", 1.0, new=2.0, mean=Value(2, 1, 4))
    assert sure_enough(row).new is None
    assert "1.00 to 4.00" in sure_enough(row).why
    assert sure_enough(replace(row, mean=Value(2.0, 1.5, 3.0))).new == 2.0
    days = replace(row, unit="sd", mean=Value(0.1, 0.0, 0.7))
    assert sure_enough(days).new is None
    assert sure_enough(replace(days, mean=Value(0.1, 0.0, 0.3))).new == 2.0
    assert sure_enough(replace(row, mean=Value(2.0, 0.0, float("nan")))).new is None


def test_the_truth_itself_is_another_plan_than_the_file():
    assert as_it_is().scenario.site.change != as_the_file_has_it().scenario.site.change
