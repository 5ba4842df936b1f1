"""`pourday explain`: every row is explained, in less than a screen, as docs/methods.md has it."""

from __future__ import annotations

import pytest
from builders.commands import called
from builders.places import ROOT

from pourday.outcome.price.items import ITEMS
from pourday.report.text import compare
from pourday.report.text.explain import explained, figures
from pourday.scenario.reference import key_lines

METHODS = " ".join((ROOT / "docs" / "methods.md").read_text("utf-8").split())
KEYS = {f"{line.table}.{line.key}" for line in key_lines()}
ROWS = [row[0].strip() for row in (*compare._ROWS, *compare._CHANCES, *compare._DIFFERENCES)]


@pytest.mark.parametrize("figure", figures(), ids=lambda figure: figure.names[0])
def test_what_is_said_stands_on_the_methods_page_and_its_keys_are_there(figure):
    assert figure.says in METHODS
    assert {*figure.keys} <= KEYS


@pytest.mark.parametrize("label", [*ROWS, *(item.label for item in ITEMS.values())])
def test_every_row_of_the_comparison_and_of_a_price_is_explained(label):
    assert explained(label).what


@pytest.mark.parametrize("name", [figure.names[0] for figure in figures()])
def test_an_answer_takes_less_than_a_screen(name, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    lines = called("explain", name).output.splitlines()
    assert 4 <= len(lines) < 24
    assert max(map(len, lines)) <= 80


def test_a_slip_is_told_what_was_meant():
    done = called("explain", "pump withuot truck")
    assert done.exit_code == 2
    assert "pump without truck" in done.stderr


def test_without_a_word_all_are_listed():
    assert "longest truck wait" in called("explain").output
