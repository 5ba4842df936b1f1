"""``pourday.play``: the JSON of the command, and its lists as arrays."""

from __future__ import annotations

import json
from dataclasses import FrozenInstanceError, fields

import numpy as np
import pytest
from builders.commands import as_written, called, json_written
from builders.places import SCENARIOS

import pourday

CLINIC, DEPOT = SCENARIOS / "clinic_level_1.toml", SCENARIOS / "depot_two_pumps.toml"
UPSETS = ("10:15 pump 2 down 75 min", "8:30 load rejected")


@pytest.fixture(scope="module")
def clinic() -> pourday.Scenario:
    return pourday.read(CLINIC)


@pytest.fixture(scope="module")
def day(clinic) -> pourday.Day:
    return pourday.play(clinic, "line, 27 min", seed=3)


@pytest.fixture(scope="module")
def upset_day() -> pourday.Day:
    return pourday.play(pourday.read(DEPOT), seed=2, upsets=UPSETS)


def test_a_day_says_letter_by_letter_what_the_command_writes(day, tmp_path):
    plain = ("day", CLINIC, "--plan", "line, 27 min", "--seed", 3)
    written = json_written(tmp_path / "day.json", *plain)
    assert as_written(day.to_dict()) == written
    # No tuple hides in it: what a program gets is what it would read from the file.
    assert day.to_dict() == json.loads(written)


def test_so_does_a_day_on_which_things_go_wrong(upset_day, tmp_path):
    upsets = [word for line in UPSETS for word in ("--upset", line)]
    written = json_written(tmp_path / "day.json", "day", DEPOT, "--seed", 2, *upsets)
    assert as_written(upset_day.to_dict()) == written
    assert upset_day.to_dict() == json.loads(written)


@pytest.mark.parametrize("which", ["day", "upset_day"])
@pytest.mark.parametrize("columns", ["trucks", "strips", "edge_pairs"])
def test_columns_are_the_lists_of_the_json_under_the_same_names(which, columns, request):
    day = request.getfixturevalue(which)
    rows, table = day.to_dict()[columns], getattr(day, columns)
    assert rows
    for column in fields(table):
        found = getattr(table, column.name)
        asked = [row[column.name] for row in rows]
        assert found.shape == (len(rows),), column.name
        if found.dtype == np.float64:
            # The JSON rounds to six decimals and writes null for what never came.
            given = np.array(asked, dtype=float)
            np.testing.assert_allclose(found, given, rtol=0, atol=5.1e-7, equal_nan=True)
        else:
            assert found.tolist() == asked, column.name


def test_columns_leave_out_only_what_is_a_list_itself(day):
    lists = {"trucks": {"placed_by_front"}, "strips": {"places"}, "edge_pairs": set()}
    for columns, left_out in lists.items():
        names = {column.name for column in fields(getattr(day, columns))}
        assert set(day.to_dict()[columns][0]) - names == left_out


def test_loads_that_never_came_to_the_pump_are_nan_not_a_number(upset_day):
    trucks = upset_day.trucks
    turned_away = np.isin(trucks.outcome, ("rejected: test", "rejected: age", "returned"))
    assert turned_away.any()
    assert np.isnan(trucks.discharge_start_h[trucks.outcome == "rejected: test"]).all()
    assert np.isfinite(trucks.batched_h).all()


def test_the_deck_s_use_peaks_where_the_day_says(day):
    where = day.to_dict()["deck"]["where"]["use"]
    worst = int(np.argmax(day.deck_use.use))
    assert day.deck_use.use[worst] == pytest.approx(day.outcome.deck.use.value, abs=1e-12)
    assert day.deck_use.at_h[worst] == pytest.approx(where["from_h"], abs=1e-6)
    assert day.deck_use.strip[worst] == where["strip"]
    assert (np.diff(day.deck_use.at_h) >= 0).all()


def test_metrics_are_those_of_the_day(day):
    record = day.to_dict()
    for name in ("duration_h", "end_h", "placed_m3", "ordered_m3", "rejected_m3"):
        assert day.metrics[name] == pytest.approx(record["pour"][name], abs=1e-6)
    assert day.metrics["mean_wait_min"] == pytest.approx(day.trucks.wait_min.mean(), abs=1e-9)
    assert day.metrics["cost_total"] == pytest.approx(record["cost"]["total"], abs=1e-6)
    assert day.metrics["loads"] == len(day.trucks.id)


def test_another_day_of_the_plan_is_that_day_played_anew(clinic, day):
    other = day.another(7)
    assert (other.plan, other.seed) == ("line, 27 min", 7)
    assert other.to_dict() == pourday.play(clinic, "line, 27 min", seed=7).to_dict()
    assert other.to_dict() != day.to_dict()


def test_another_day_keeps_what_goes_wrong(upset_day):
    anew = pourday.play(pourday.read(DEPOT), seed=5, upsets=UPSETS)
    assert upset_day.another(5).to_dict() == anew.to_dict()


def test_the_first_plan_and_day_0_are_played_unless_told(clinic):
    day = pourday.play(clinic)
    assert (day.title, day.plan, day.seed) == ("Clinic, level 1", "line, 21 min", 0)
    assert repr(day) == "Day(title='Clinic, level 1', plan='line, 21 min', seed=0)"


def test_a_day_is_a_value_that_nobody_can_bend(day):
    with pytest.raises(FrozenInstanceError):
        day.seed = 4  # type: ignore[misc]
    before = day.trucks.wait_min.copy()
    with pytest.raises(ValueError, match="read-only"):
        day.trucks.wait_min[0] = 99.0
    with pytest.raises(ValueError, match="read-only"):
        day.strips.start_h += 1.0
    np.testing.assert_array_equal(day.trucks.wait_min, before)


def test_a_plan_that_is_not_there_is_a_key_error_in_the_words_of_the_command(clinic):
    with pytest.raises(KeyError) as caught:
        pourday.play(clinic, "nobody")
    done = called("day", CLINIC, "--plan", "nobody")
    assert caught.value.args[0] == done.stderr.strip()
    assert "the plans are: line, 21 min" in done.stderr


def test_lines_that_are_no_upsets_are_all_told_at_once(clinic):
    with pytest.raises(pourday.ScenarioError) as caught:
        pourday.play(clinic, upsets=("10:15 pomp down 1 h", "10:15 pump 3 down 1 h"))
    first, second = str(caught.value).splitlines()
    assert first.startswith('upset "10:15 pomp down 1 h": found "pomp"')
    assert "no front 3" in second


def test_one_upset_may_be_given_as_it_is(clinic):
    # After the break from 09:30 to 09:50, which would hide the beginning.
    one = pourday.play(clinic, upsets="10:30 pump down 1 h")
    assert [upset.kind for upset in one.outcome.log.upsets] == ["pump down"]
    assert one.metrics["down_h"] >= 1 - 1e-9


def test_an_order_that_does_not_work_is_told_when_the_day_is_laid_out(tmp_path):
    file = tmp_path / "listed.toml"
    across = 'order = "across"\npour_width_m = 26\nband_m = 3'
    listed = 'order = "listed"\nsequence = ["1/beam 1", "9/gap"]'
    file.write_text(CLINIC.read_text(encoding="utf-8").replace(across, listed), encoding="utf-8")
    scenario = pourday.read(file)
    with pytest.raises(pourday.ScenarioError, match=r"plan\[4\]\.sequence .*9/gap"):
        pourday.play(scenario, "line, across")


@pytest.mark.parametrize(("seed", "error"), [(-1, ValueError), (1.5, TypeError)])
def test_a_seed_is_a_whole_number_from_0(clinic, seed, error):
    with pytest.raises(error, match=r"seed: found .*; allowed: .*0 or more"):
        pourday.play(clinic, seed=seed)


def test_numpy_s_whole_numbers_are_seeds_too(day):
    assert day.another(np.int64(7)).to_dict() == day.another(7).to_dict()
    assert json.dumps(day.another(np.int64(7)).to_dict())
