"""Names and titles are text wherever they are shown, whatever stands in them and wherever to."""

from __future__ import annotations

import ast
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from builders.forked import forked, warm
from builders.places import ROOT
from rich.table import Table
from rich.text import Text

import pourday
from pourday.commands.shared.screen import typed
from pourday.report.screen import Screen
from pourday.scenario.base.text import printable

SOURCE = Path(pourday.__file__).parent
MODULES = sorted(SOURCE.rglob("*.py"))
DEPOT = ROOT / "scenarios" / "depot_two_pumps.toml"
# As TOML; markup of rich, mathematics of matplotlib, a code for the screen, ends of lines, a word
# that turns round what follows, a picture in words.
TITLE = r"[/red] $\\frac{$ \u001b[31m\n\u202e [bold]é :truck: >"
SHOWN = r"[/red] $\frac{$ \x1b[31m\n\u202e [bold]é :truck: >"
NAME = r"[/b]$\\f{$\u0007"


@pytest.fixture
def hostile(tmp_path):
    """A floor with two pumps, on which everything that has a name has a bad one."""
    text = re.sub(r"(?m)^title = .*", lambda _: f'title = "{TITLE}"', DEPOT.read_text("utf-8"))
    names = re.compile(r'(?m)^name = "(.{1,8}).*"')
    assert len(names.findall(text)) >= 5
    text = names.sub(lambda match: f'name = "{NAME}{match[1]}"', text)
    # Whatever names one of them has to say the same.
    listed = re.compile(r"(?m)^(plants|set_ups) = \[.*\]\n")
    text = listed.sub("", text)
    path = tmp_path / "hostile.toml"
    path.write_text(text, encoding="utf-8")
    return path


COMMANDS = (
    ["check", "--draw", "a.png"],
    ["day", "--full", "--json", "a.json", "--figures", "f", "--series", "s", "--calendar", "a.ics"],
    ["deck", "--json", "a.json"],
    ["compare", "--full", "--days", "2", "--workers", "1", "--figures", "f"],
    ["starts", "--days", "1", "--from", "6", "--to", "6"],
    ["rehearse"],
)  # fmt: skip


@pytest.mark.parametrize("command", COMMANDS, ids=lambda command: command[0])
def test_every_report_and_figure_shows_bad_names_as_they_are(tmp_path, hostile, command):
    warm()
    inside = [tmp_path / each if re.match(r"a\.|[fs]$", each) else each for each in command]
    ended = forked(tmp_path, inside[0], hostile, *inside[1:])
    assert (ended.code, ended.complained) == (0, "")
    assert set(ended.said) >= set("[/b]$")
    flat = "".join(ended.said.split())
    assert "".join(SHOWN.split()) in flat or command[0] == "rehearse"
    assert r"[/b]$\f{$\x07" in flat.replace(r"\\", "\\")
    assert not [c for c in ended.said if c != "\n" and (c < " " or c in "\x7f\u202e")]
    assert "🚚" not in ended.said


def calls(name: str) -> dict[str, int]:
    """How often a function of this name is called, by module."""
    found: dict[str, int] = {}
    for path in MODULES:
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call):
                called = getattr(node.func, "attr", getattr(node.func, "id", ""))
                if called == name:
                    where = str(path.relative_to(SOURCE))
                    found[where] = found.get(where, 0) + 1
    return found


def test_there_is_one_door_to_each_output():
    assert set(calls("Console")) == {"report/progress.py"}  # it prints no name
    # A sheet is a PDF of pages; both doors take mathematics and the user's settings out.
    assert set(calls("savefig")) == {"report/figures/png.py", "report/sheet/save.py"}
    assert not calls("write_text") | calls("write_bytes")
    # The others open terminal and scenario, and the tickets that a line is added to; see there.
    assert set(calls("open")) <= {
        "scenario/base/written.py", "scenario/base/disk.py", "tickets/note.py",
    }  # fmt: skip


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(SOURCE)))
def test_no_report_marks_words_by_tags_inside_a_text(path):
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            assert not re.search(r"\[/?(bold|dim|italic|underline|red|green)\]", node.value)


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("plain, é 10 h 🚚", "plain, é 10 h 🚚"),
        ("10\u00a0h", "10\u00a0h"),  # a blank that keeps words together is a letter like others
        ("a\x1b[2J\x9b\x7f", "a\\x1b[2J\\x9b\\x7f"),
        ("a\tb\r\nc\0", "a\\tb\\r\\nc\\x00"),
        ("a\u2028b\u202ec\u2066", "a\\u2028b\\u202ec\\u2066"),
        ("\ud800", "\\ud800"),
        (
            "\u05d0\u05d1 \u200d",
            "\u05d0\u05d1 \u200d",
        ),  # other scripts, and their joints
    ],
)
def test_what_would_steer_a_screen_stands_as_its_escape(text, shown):
    assert printable(text) == shown


def test_a_plan_is_named_on_the_command_line_as_it_is_shown_or_as_it_is_written():
    assert typed("a\x07") == typed(printable("a\x07"))
    assert typed(b"caf\xc3\xa9".decode("ascii", "surrogateescape")) == "café"


NUMBERS = "It costs 1 234 567 in all, 12 345 of it for waiting and -1 000 000 000 for the rest."


@pytest.mark.parametrize("width", range(14, 90, 3))
def test_a_number_is_never_broken_across_lines(tmp_path, width):
    path = tmp_path / "out.txt"
    with path.open("w", encoding="utf-8") as file:
        screen = Screen(file, width)
        screen.print(NUMBERS)
        screen.print(Text(NUMBERS, style="bold"))
        table = Table(box=None)
        table.add_column("what")
        table.add_column("how much")
        table.add_row("all of it, waiting included", NUMBERS)
        screen.print(table)
    lines = path.read_text("utf-8").splitlines()
    for number in ("1 234 567", "12 345", "-1 000 000 000"):
        times = 3 if width >= 40 else 2  # below it no room is left for the longest in the table
        assert sum(line.count(number) for line in lines) >= times
    assert max(map(len, lines)) <= width
    assert "\u2800" not in "".join(lines)


def spoken(*arguments: object, **environment: str) -> subprocess.CompletedProcess[bytes]:
    """A command as a program of its own, with this environment."""
    command = [sys.executable, "-m", "pourday", *map(str, arguments)]
    changed = {**os.environ, "COLUMNS": "80", "PYTHONPATH": str(ROOT), **environment}
    return subprocess.run(command, capture_output=True, env=changed, check=False)


@pytest.mark.parametrize(
    "environment",
    [
        {"PYTHONIOENCODING": "ascii", "MPLBACKEND": "no such thing"},
        {"PYTHONIOENCODING": "cp437:strict"},
        {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
    ],
    ids=["ascii", "cp437", "C"],
)
def test_an_output_that_lacks_a_letter_gets_another(tmp_path, hostile, environment):
    done = spoken("check", hostile, "--draw", tmp_path / "strips.png", **environment)
    assert (done.returncode, done.stderr) == (0, b"")
    said = done.stdout.decode("cp437" if "cp437" in str(environment) else "ascii")
    assert ("m³" in said) or (" m3" in said)
    assert "kg/m" not in said or "m?" not in said
    assert (tmp_path / "strips.png").read_bytes().endswith(b"IEND\xaeB`\x82")


def test_a_fault_is_told_in_ascii_too(tmp_path):
    path = tmp_path / "é.toml"
    path.write_text('title = "é"\n', encoding="utf-8")
    plain = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}
    done = spoken("check", path, **plain)
    assert done.returncode == 2
    assert b"Traceback" not in done.stderr
    assert b"faults" in done.stderr
    assert done.stderr.isascii()
