"""`pourday explain`: every row and heading of the reports, in a screen at most, as docs/ has it."""

from __future__ import annotations

import itertools
import re

import pytest
from builders.commands import called
from builders.labels import headings_in_code, rows_recorded
from builders.places import ROOT, SCENARIOS

from pourday.outcome.price.items import ITEMS
from pourday.report.text import compare
from pourday.report.text.explain import explained, figures, figures_markdown
from pourday.scenario.reference import key_lines

PAGES = {
    figure.page: " ".join((ROOT / figure.page).read_text("utf-8").split()) for figure in figures()
}
KEYS = {f"{line.table}.{line.key}" for line in key_lines()}
ROWS = [row[0].strip() for row in (*compare._ROWS, *compare._CHANCES, *compare._DIFFERENCES)]
# Headings that are plain words, boxes to fill in by hand, or columns of `pourday keys`.
NOT_FIGURES = {
    *(
        "at",
        "from",
        "to",
        "with",
        "then",
        "do",
        "or",
        "no.",
        "strips no.",
        "front",
        "where",
        "now",
        "beside",
    ),
    *("work", "done", "ticket", "off", "as the front enters", "what to see", "post", "name"),
    *("in / out", "real", "ring", "name, telephone", "pages"),
    *("key", "what it is for, and what it takes"),
}
HEADINGS = {text: at for text, at in headings_in_code().items() if not text[0].isdigit()}
NAMES = [name for figure in figures() for name in (*figure.names, *figure.also)]


@pytest.mark.parametrize("figure", figures(), ids=lambda figure: figure.names[0])
def test_an_entry_is_whole_and_what_it_says_stands_on_its_page(figure):
    assert figure.what
    assert figure.formula
    assert figure.source
    assert figure.says in PAGES[figure.page]
    assert figure.keys
    assert {*figure.keys} <= KEYS


@pytest.mark.parametrize("figure", figures(), ids=lambda figure: figure.names[0])
def test_what_is_explained_says_no_word_of_the_machine(figure):
    said = " ".join((*figure.names, figure.what, figure.formula, figure.source, figure.says))
    assert not re.search(r"(?i)starv|\bhogs?\b|\bhogging\b|\bP[1-9]0\b|\bsafe\b", said)


@pytest.mark.parametrize("label", [*ROWS, *(item.label for item in ITEMS.values())])
def test_every_row_of_the_comparison_and_of_a_price_is_explained(label):
    assert explained(label).what


def test_the_code_of_the_reports_has_headings_at_all():
    assert len(HEADINGS) > 150
    assert {*HEADINGS} >= {"age", "in use", "call at", "finished", "days with"}


@pytest.mark.parametrize("heading", sorted({*HEADINGS} - NOT_FIGURES))
def test_every_heading_of_reports_and_sheets_is_explained(heading):
    assert explained(heading).what


def test_every_row_that_a_day_and_a_price_print_is_explained():
    with rows_recorded() as rows:
        for command, *options in (("day",), ("price", "--days", 2, "--workers", 1)):
            done = called(command, SCENARIOS / "frost_night.toml", "--full", *options)
            assert done.exit_code == 0, done.output
    assert {"pump washed out", "highest use", "disposal"} <= rows
    for row in rows:
        assert explained(row).what


def test_a_name_is_of_one_figure():
    names = [name.casefold() for name in NAMES]
    assert sorted({*names}) == sorted(names)


@pytest.mark.parametrize("name", [figure.names[0] for figure in figures()])
def test_an_answer_takes_less_than_a_screen(name, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    lines = called("explain", name).output.splitlines()
    assert 5 <= len(lines) <= 24
    assert max(map(len, lines)) <= 80
    assert sum(line.startswith("Formula  ") for line in lines) == 1
    assert sum(line.startswith("Source  ") for line in lines) == 1


@pytest.mark.parametrize(
    ("printed", "name"),
    [
        ("pour, hours", "first concrete"),
        ("labour, overtime hours after 9 h", "overtime"),
        ("pump, standing (7 days)", "standby"),
        ("EUR average", "cost in all"),
        ("mats 0.5 m²K/W after last pass", "measures"),
        ("Deck Used", "deck share"),
        ("last concrete", "last concrete"),
        ("KN", "decided"),
    ],
)
def test_a_name_is_found_as_it_is_printed(printed, name):
    assert explained(printed).names[0] == name


@pytest.mark.parametrize("word", ["line, 21 min", "1/joint with gap 2", "12 (1b joint)", ",", ""])
def test_names_of_plans_and_strips_are_no_words(word):
    done = called("explain", word)
    assert done.exit_code == 2
    assert "is not explained" in done.stderr


def test_a_slip_is_told_what_was_meant():
    done = called("explain", "evaporatoin")
    assert done.exit_code == 2
    assert "did you mean evaporation or" in done.stderr


def test_without_a_word_all_are_listed_under_their_questions(monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    said = " ".join(called("explain").output.split())
    for name in itertools.chain.from_iterable(figure.names for figure in figures()):
        assert name in said
    assert all(figure.question in said for figure in figures())


def test_the_page_of_figures_is_as_printed():
    assert (ROOT / "docs" / "figures.md").read_text("utf-8") == figures_markdown()
