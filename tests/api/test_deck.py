"""``pourday.deck_peaks``: the JSON of the command, and the peaks of every order as arrays."""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest
from builders.commands import as_written, called, json_written
from builders.places import SCENARIOS

import pourday
from pourday.report.records.parts import PEAK_NAMES

CLINIC = SCENARIOS / "clinic_level_1.toml"


@pytest.fixture(scope="module")
def clinic() -> pourday.Scenario:
    return pourday.read(CLINIC)


@pytest.fixture(scope="module")
def deck(clinic) -> pourday.DeckPeaks:
    return pourday.deck_peaks(clinic)


@pytest.fixture(scope="module")
def record(deck) -> dict[str, Any]:
    return deck.to_dict()


def test_a_deck_says_letter_by_letter_what_the_command_writes(record, tmp_path):
    written = json_written(tmp_path / "deck.json", "deck", CLINIC)
    assert as_written(record) == written
    assert record == json.loads(written)


def test_so_does_the_deck_of_one_plan_and_one_bay_with_the_props_missing(tmp_path):
    propped = tmp_path / "propped.toml"
    text = CLINIC.read_text(encoding="utf-8")
    propped.write_text(f"{text}\n[props]\nlines_x_m = [1.6, 4.8]\n", encoding="utf-8")
    told = ("deck", propped, "--plan", "line, across", "--bay", "2", "--without-props")
    written = json_written(tmp_path / "deck.json", *told)
    scenario = pourday.read(propped)
    bare = pourday.deck_peaks(scenario, "line, across", props_missing=True)
    assert as_written(bare.to_dict(bay="2")) == written
    # The props stand under the run that sags most: without them the deck sags more.
    assert pourday.deck_peaks(scenario, "line, across").deflection_mm[0] < bare.deflection_mm[0]


def test_peaks_are_those_of_the_json_order_by_order(deck, record):
    rows = record["plans"]
    assert [list(names) for names in deck.plans] == [row["plans"] for row in rows]
    for name, _ in PEAK_NAMES.values():
        found = getattr(deck, name)
        assert found.shape == (len(rows),)
        np.testing.assert_allclose(found, [row["peaks"][name] for row in rows], atol=5.1e-7)
        with pytest.raises(ValueError, match="read-only"):
            found[0] = 0.0
    # The concrete in the sag, beside that of a day of the same plan.
    first = pourday.play(deck.scenario, deck.plans[0][0]).metrics["ponding_m3"]
    assert deck.ponding_m3[0] == pytest.approx(first, rel=1e-12)


def test_a_bay_that_is_not_there_is_a_key_error_in_the_words_of_the_command(deck):
    with pytest.raises(KeyError) as caught:
        deck.orders("nine")
    assert caught.value.args[0] == called("deck", CLINIC, "--bay", "nine").stderr.strip()


def test_a_plan_that_is_not_there_is_a_key_error(clinic):
    with pytest.raises(KeyError, match="no plan 'nobody'; the plans are: line, 21 min"):
        pourday.deck_peaks(clinic, "nobody")


def test_props_that_are_not_there_cannot_be_left_out(clinic):
    with pytest.raises(pourday.ScenarioError, match="no prop line there to leave out"):
        pourday.deck_peaks(clinic, props_missing=True)


def test_orders_by_ways_of_striking_are_those_of_the_file_the_command_writes(deck, record):
    found = deck.floor_orders()
    rows = record["floor_orders"]["rows"]
    assert [(row["order"], row["strike"]) for row in rows] == [
        (row.order, row.strike) for row in found.rows
    ]
    thirds = next(row for row in rows if (row["order"], row["strike"]) == ("thirds", "datum"))
    assert thirds["with_heap"]["use"] > thirds["without_heap"]["use"] > 0.5
    assert thirds["level"]["extra_m3"] == pytest.approx(found.rows[0].level.extra, abs=1e-6)
    refused = next(row for row in rows if (row["order"], row["strike"]) == ("across", "guides"))
    assert refused["refused"] == "struck 36 mm off the datum over supports"
    pins = next(row for row in rows if row["strike"] == "pins")
    assert (pins["same_as"], pins["refused"], pins["level"]) == ("datum", None, None)
