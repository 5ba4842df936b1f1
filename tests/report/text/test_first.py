"""First screens: 24 lines at 80 columns, the answer on top, the caution within, nothing cut."""

from __future__ import annotations

from types import SimpleNamespace

import pytest
from builders.commands import called
from builders.places import SCENARIOS

from pourday.report.text.verdict import left_open
from pourday.study.verdict.evidence import NOT_DECIDED

FILES = sorted(SCENARIOS.glob("*.toml"))
COMPARE = ("--days", 10, "--fresh", 0, "--workers", 1)
STOP_RULE = "sag or concrete use: stop, clear the deck, prop, ask the engineer."


def screen(monkeypatch, columns, *command):
    monkeypatch.setenv("COLUMNS", str(columns))
    done = called(*command)
    assert done.exit_code == 0, done.output
    return [line.rstrip() for line in done.stdout.splitlines()]


@pytest.mark.parametrize("file", FILES, ids=lambda path: path.stem)
@pytest.mark.parametrize("command", ["check", "day", "compare"])
def test_the_answer_of_a_shipped_scenario_is_one_screen(monkeypatch, file, command):
    lines = screen(monkeypatch, 80, command, file, *(COMPARE if command == "compare" else ()))
    # So few days decide no limit, which is said before they are played.
    lines = lines[next(n for n, line in enumerate(lines) if "   " in line) :]
    assert len(lines) <= 24
    assert max(map(len, lines)) <= 80
    assert lines[-1] == STOP_RULE
    assert "local code decide" in lines[-2]
    top = " ".join(lines[:4])
    words = {"compare": ("PREFER", "LIKELY", "NO PLAN"), "check": ("can be played",)}
    expected = words.get(command, ("Last concrete", "NOTHING"))
    assert any(word in top for word in expected)
    assert (command == "day") is ("ONE day of many, not a forecast" in " ".join(lines[:2]))


@pytest.mark.parametrize("file", FILES[::3], ids=lambda path: path.stem)
def test_so_is_that_of_its_deck_and_of_its_price(monkeypatch, file):
    for command, days in (("deck", ()), ("price", ("--days", 2, "--workers", 1))):
        lines = screen(monkeypatch, 80, command, file, *days)
        assert len(lines) <= 24
        assert max(map(len, lines)) <= 80
        assert lines[-1] == STOP_RULE
        words = {"deck": ("HIGHEST", "TOO MUCH", "NOT JUDGED"), "price": ("PRICE", "NO PRICES")}
        assert any(line.startswith(words[command]) for line in lines[:4])


@pytest.mark.parametrize("units", ["si", "us"])
def test_so_are_starts(monkeypatch, units):
    few = ("--from", 6, "--to", 8, "--days", 2, "--workers", 1)
    lines = screen(monkeypatch, 80, "starts", FILES[-1], *few, "--units", units)
    assert len(lines) <= 24 + 3  # so few days decide no limit, which is said first
    assert max(map(len, lines)) <= 80
    assert lines[-1] == STOP_RULE
    assert ("lb/ft²/h" in " ".join(lines)) is (units == "us")


@pytest.mark.parametrize("command", ["check", "day", "compare"])
def test_a_wide_console_shows_the_same_and_a_narrow_one_cuts_nothing(monkeypatch, command):
    asked = (command, FILES[0], *(COMPARE if command == "compare" else ()))
    at_80 = screen(monkeypatch, 80, *asked)
    assert screen(monkeypatch, 120, *asked)[-12:] == at_80[-12:]
    narrow = screen(monkeypatch, 40, *asked)
    assert max(map(len, narrow)) <= 40
    said, every = " ".join(narrow), " ".join(at_80)
    assert "…" not in said
    assert "%" in every
    assert STOP_RULE.split()[-1] in narrow[-1]


@pytest.mark.parametrize("command", ["check", "day", "compare"])
def test_no_report_says_a_word_of_the_machine(monkeypatch, command):
    days = ("--days", 20, "--fresh", 0, "--workers", 1) if command == "compare" else ()
    for full in ((), ("--full",)):
        said = " ".join(screen(monkeypatch, 120, command, FILES[0], *days, *full)).lower()
        for word in ("starved", " hog ", "p50", "p90"):
            assert word not in said


def test_a_cheaper_plan_that_is_not_decided_is_never_called_no_matter():
    plans = [SimpleNamespace(plan=name, standing=NOT_DECIDED) for name in ("named", "less", "more")]
    choice = SimpleNamespace(
        plan="taken",
        not_decided=SimpleNamespace(plan="named"),
        verdict=SimpleNamespace(plans=[*plans, SimpleNamespace(plan="taken", standing="within")]),
    )
    costs = {"named": 1.0, "less": 2.0, "more": 4.0, "taken": 3.0}
    summaries = {
        name: SimpleNamespace(figures={"cost_total": SimpleNamespace(mean=cost)})
        for name, cost in costs.items()
    }
    assert left_open(choice, summaries) == (["less"], ["more"])
