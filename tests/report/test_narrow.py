"""Tables on screens too narrow for them: no word cut, no figure lost, no line over the width."""

from __future__ import annotations

import io

import pytest
from rich.cells import cell_len
from rich.text import Text

from pourday.report.narrow import NARROW
from pourday.report.screen import Screen
from pourday.report.words import table


def printed(what, width: int) -> list[str]:
    out = io.StringIO()
    Screen(out, width, coloured=False).print(what)
    lines = out.getvalue().splitlines()
    assert max(map(cell_len, lines)) <= width
    return [line.rstrip() for line in lines]


def strips():
    out = table("strip", "from>", "to>", "m³>", "", "direction", title="Strips")
    out.add_row("12 (1b joint)", "07:02", "07:38", "1 234.5", "", "low to high y")
    out.add_row("13 (1b beam 1 with gap 1)", "07:40", "08:10", "7.6", "late", "")
    return out


def test_a_table_that_fits_stays_one():
    lines = printed(strips(), 90)
    assert lines[1].split() == ["strip", "from", "to", "m³", "direction"]
    assert len(lines) == 4


def test_a_table_that_does_not_fit_is_told_row_by_row():
    assert printed(strips(), 40) == [
        "Strips",
        "12 (1b joint)  from: 07:02  to: 07:38",
        "  m³: 1 234.5  direction: low to high y",
        "13 (1b beam 1 with gap 1)  from: 07:40",
        "  to: 08:10  m³: 7.6 late",
    ]


def test_a_bare_number_that_opens_a_row_keeps_its_heading():
    rows = table("load>", "call\nabout>", "says")
    rows.add_row("3", "07:20", "a sentence that is longer than what is left of any line here")
    assert printed(rows, 40) == [
        "load 3  call about: 07:20",
        "  says: a sentence that is longer than",
        "  what is left of any line here",
    ]


def test_a_table_of_two_columns_says_its_second_without_its_heading():
    rows = table("", "")
    rows.add_row("slump", "130 mm as ordered, 30 mm more or less")
    rows.add_row("a list", "first\nsecond line of it")
    assert printed(rows, 30) == [
        "slump  130 mm as ordered, 30",
        "  mm more or less",
        "a list  first",
        "  second line of it",
    ]


def test_a_number_with_blanks_between_its_thousands_is_broken_nowhere():
    rows = table("", "amount>", "sum>")
    rows.add_row("labour, plain hours and overtime", "12 345 678", "123 456")
    for width in range(20, 40):
        text = "\n".join(printed(rows, width))
        assert "12 345 678" in text
        assert "123 456" in text


@pytest.mark.parametrize("width", range(24, 100, 5))
def test_no_word_is_cut_at_any_width(width):
    words = [word for column in strips().columns for cell in column.cells for word in cell.split()]
    text = " ".join(printed(strips(), width))
    assert "…" not in text
    assert [word for word in words if word not in text] == []


def test_a_column_is_not_narrowed_below_its_longest_word():
    rows = table("", "share")
    rows.add_row("one two three four five six seven eight nine ten", "undecided-yet" + "-more" * 7)
    assert "undecided-yet" + "-more" * 7 in " ".join(printed(rows, NARROW))


def test_styles_go_with_the_words():
    out = io.StringIO()
    screen = Screen(out, 30)
    rows = table("who", "what", "when")
    rows.add_row(Text("pump"), Text("LATE", style="bold red"), "a sentence of some length")
    spans = [span for line in screen.render_lines(rows, pad=False) for span in line]
    assert [s.text for s in spans if s.style and s.style.color] == ["LATE"]
