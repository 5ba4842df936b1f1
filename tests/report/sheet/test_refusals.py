"""A plan that is not to be poured says so on its paper before anything else."""

from __future__ import annotations

import dataclasses
from types import SimpleNamespace

import pytest

from pourday.report.refusals import refusals
from pourday.report.units import SI, US


@dataclasses.dataclass
class Told:
    deck_share: float = 0.9
    frozen: float = 0.0


@pytest.mark.parametrize(
    ("told", "heads"),
    [
        (Told(), []),
        (Told(deck_share=float("nan")), []),
        (Told(deck_share=1.01), ["DO NOT POUR SO"]),
        (Told(frozen=666.0), ["FROST"]),
        (Told(deck_share=1.63, frozen=1.0), ["DO NOT POUR SO", "FROST"]),
    ],
)
def test_a_deck_past_its_resistance_and_frost_are_refused(told, heads):
    assert [each.partition(":")[0] for each in refusals(told, SI)] == heads


def test_the_area_is_in_the_reader_s_unit():
    said = refusals(SimpleNamespace(deck_share=0.5, frozen=100.0), US)[0]
    assert "1076 ft²" in said
    assert "m²" not in said
