"""The price as it is read: a column that adds up, shares of days in words, nothing said twice."""

from __future__ import annotations

import csv
import io
import json
import re
from types import SimpleNamespace

import pytest
from builders.commands import as_written, called, json_written
from builders.pours import text
from hypothesis import given
from hypothesis import strategies as st

import pourday
from pourday.report.text.price import _cells, added_up, how_often
from pourday.report.words import percent
from pourday.study.price import PriceLine, price_rows

PRICES = {
    "concrete_per_m3": 101.37,
    "labour_per_person_h": 41.3,
    "waiting_per_min": 1.7,
    "free_wait_min": 5,
    "returned_per_m3": 57,
    "curing_per_m2": 0.47,
}


@given(st.lists(st.floats(0, 1e7), max_size=30))
def test_whole_amounts_add_up_to_the_whole_sum_and_none_is_off_by_a_unit(amounts):
    whole = added_up(amounts)
    assert sum(whole) == round(sum(amounts))
    assert all(abs(a - b) < 1.0 + 1e-6 for a, b in zip(whole, amounts, strict=True))


def test_what_seldom_comes_up_is_not_printed_as_nothing():
    found = SimpleNamespace(days=200)
    cells = _cells(PriceLine("finished_late", 0.004, 0.02, 1), 0, found)
    assert cells == ("  finished too late (1 day)", "<0.1", "m²", "5.00", "<1")


def test_one_day_in_two_hundred_is_not_nothing():
    assert percent(1 / 200) == "<1 %"
    assert percent(0.0) == "0 %"
    assert percent(2 / 200) == "1 %"
    assert how_often(1, 200) == "1 of 200 days"
    assert how_often(200, 200) == "every day"


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "plain.toml"
    path.write_text(text(prices=PRICES, supply={"margin_m3": 0.5}), encoding="utf-8")
    return path


@pytest.mark.parametrize("width", ["80", "120"])
def test_the_printed_column_adds_up(file, monkeypatch, width):
    monkeypatch.setenv("COLUMNS", width)
    done = called("price", file, "--days", 25, "--workers", 1, "--full")
    assert done.exit_code == 0, done.stderr
    assert max(map(len, done.output.splitlines())) <= int(width)
    block = done.output.split("which add up\n")[1].split("IN ALL")
    rows = [line for line in block[0].splitlines() if line.startswith("  ")][1:]
    amounts = [int(re.split(r"\s{2,}", row.rstrip())[-1].replace(" ", "")) for row in rows]
    total = int(block[1].splitlines()[0].replace(" ", ""))
    assert sum(amounts) == total
    for label in ("labour, plain hours", "trucks beyond free minutes", "concrete placed"):
        assert label in done.output
    assert "concrete sent away" in done.output
    assert "disposal" in done.output
    assert "Not priced: mesh, deck, props, edge forms" in done.output
    assert "safe" not in done.output


def test_json_is_what_the_door_gives_and_csv_has_the_lines(file, tmp_path):
    json_path, csv_path = tmp_path / "price.json", tmp_path / "price.csv"
    days = ("price", file, "--days", 3, "--seed", 4, "--workers", 1)
    written = json_written(json_path, *days, "--csv", csv_path)
    found = pourday.price(pourday.read(file), days=3, seed=4, workers=1)
    assert written == as_written(found.to_dict())
    record = json.loads(written)
    assert record["schema"] == "pourday.price/1"
    rows = list(csv.DictReader(io.StringIO(csv_path.read_text(encoding="utf-8"))))
    lines = [row for row in rows if row["group"] != "total"]
    assert [row["line"] for row in lines] == [line["label"] for line in record["lines"]]
    mean = next(row for row in rows if row["line"] == "mean")
    total = sum(float(row["amount_EUR"]) for row in lines)
    assert float(mean["amount_EUR"]) == pytest.approx(total, abs=0.01) == found.mean
    assert found.p50 <= found.p80 <= found.p90
    assert len(found.totals) == 3


def test_the_door_refuses_what_the_command_refuses(file):
    scenario = pourday.read(file)
    with pytest.raises(ValueError, match="days"):
        pourday.price(scenario, days=0)
    with pytest.raises(KeyError, match="plain"):
        pourday.price(scenario, "other", days=1)
    done = called("price", file, "--csv", file)
    assert done.exit_code == 2
    assert "would be lost" in done.stderr


def test_a_study_of_prices_is_taken_up_again_and_one_of_plans_is_not(file, tmp_path):
    kept = tmp_path / "kept.npz"
    ask = ("price", file, "--days", 3, "--workers", 1)
    assert called(*ask, "--resume", kept).exit_code == 0
    again = called(*ask, "--resume", kept)
    assert "3 of 3 days were played before" in again.stderr
    assert again.stdout == called(*ask).stdout
    refused = called("compare", "--full", file, "--days", 3, "--workers", 1, "--resume", kept)
    assert refused.exit_code == 2
    assert price_rows.__qualname__ == "price_rows"  # by which the file knows whose rows they are


def test_bands_that_go_backwards_are_a_fault(tmp_path):
    path = tmp_path / "bands.toml"
    bands = [{"after_h": 9, "factor": 1.5}, {"after_h": 8, "factor": 2}]
    path.write_text(text(prices={"overtime": bands}), encoding="utf-8")
    done = called("price", path)
    assert done.exit_code == 2
    assert "prices.overtime: found after_h 9, 8; allowed: each band after" in done.stderr
