"""Forty columns: what a command prints is wrapped, never cut, and says all that a wide one says."""

from __future__ import annotations

import io
import re
from collections import Counter

import pytest
from builders.commands import called
from builders.places import SCENARIOS
from rich.cells import cell_len

from pourday.cli import _LISTED
from pourday.commands.shared import screen
from pourday.report.screen import Screen

CLINIC, DEPOT = (SCENARIOS / f"{name}.toml" for name in ("clinic_level_1", "depot_two_pumps"))
WIDE = 400
FEW = ("--days", 2, "--workers", 1)
UPSETS = ("--upset", "10:30 pump down 45 min")


def both(monkeypatch, *call: object) -> tuple[str, str]:
    """What a command prints in 40 columns, and the same pieces on a screen that has room."""
    monkeypatch.setenv("COLUMNS", "40")
    wide, prints = io.StringIO(), Screen.print

    def _print(self: Screen, *what: object, **how: object) -> None:
        prints(self, *what, **how)
        how.pop("width", None)
        prints(Screen(wide, WIDE, units=self.units), *what, **how)

    monkeypatch.setattr(Screen, "print", _print)
    done = called(*call)
    assert done.exit_code == 0, done.stderr
    return done.stdout, wide.getvalue()


def figures(text: str) -> Counter[str]:
    return Counter(re.findall(r"\d[\d.,:-]*\d|\d", text))


@pytest.mark.parametrize(
    "call",
    [
        ("check", DEPOT), ("day", CLINIC, "--full", *UPSETS), ("day", DEPOT),
        ("starts", CLINIC, "--from", 6, "--to", 7, *FEW), ("compare", CLINIC, *FEW),
        ("price", CLINIC, "--full", *FEW), ("split", CLINIC, "--parts", 2, *FEW),
        ("keys",), ("keys", "--presets"), ("explain",),
    ],
    ids=lambda call: "-".join(map(str, call[:1])),
)  # fmt: skip
def test_nothing_is_cut_or_lost_in_forty_columns(monkeypatch, call):
    narrow, wide = both(monkeypatch, *call)
    assert [line for line in narrow.splitlines() if cell_len(line) > 40] == []
    assert "…" not in narrow
    assert figures(wide) - figures(narrow) == Counter()


@pytest.mark.parametrize("width", [40, 80, 120])
def test_help_keeps_the_width(monkeypatch, width):
    monkeypatch.setenv("COLUMNS", str(width))
    for command in ("", *(each.__name__ for each in _LISTED)):
        said = called(*[command] if command else [], "--help")
        assert said.exit_code == 0
        assert max(map(len, said.stdout.splitlines())) <= width, command
        assert "--help" in said.stdout


def test_faults_are_wrapped_in_a_terminal_and_whole_lines_in_a_pipe(monkeypatch, capsys):
    text = "  plan[1].spacing_min: found 900; allowed: a number from 1 to 240, in minutes"
    screen.complain(text)
    assert capsys.readouterr().err == f"{text}\n"
    monkeypatch.setattr("sys.stderr", terminal := io.StringIO())
    terminal.isatty = lambda: True
    monkeypatch.setattr(screen, "columns", lambda: 40)
    screen.complain(text)
    assert terminal.getvalue().splitlines() == [
        "  plan[1].spacing_min: found 900;",
        "    allowed: a number from 1 to 240, in",
        "    minutes",
    ]
