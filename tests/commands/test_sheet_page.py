"""docs/sheet.md: its command runs, and prints what the page says; what the command refuses."""

from __future__ import annotations

import shlex
import shutil

import pytest
from builders.commands import called
from builders.pages import blocks, page
from builders.places import SCENARIOS
from pypdf import PdfReader

BLOCKS = blocks(page("sheet.md"))


@pytest.fixture
def folder(tmp_path, monkeypatch):
    shutil.copytree(SCENARIOS, tmp_path / "scenarios")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    return tmp_path


@pytest.mark.parametrize(("command", "printed"), BLOCKS)
def test_the_command_of_the_page_prints_what_stands_below_it(folder, command, printed):
    done = called(*shlex.split(command), "--workers", 1)
    assert done.exit_code == 0, done.stderr
    found = done.output.splitlines()
    for line in printed.splitlines():
        assert line == "..." or line in found
    assert len(PdfReader(folder / "clinic.pdf").pages) == 7
    assert "licensed engineer" in " ".join(done.output.split())


def test_the_page_has_a_command():
    assert len(BLOCKS) == 1


def test_a_page_is_made_on_the_day_that_is_told(folder):
    file = "scenarios/tower_level_9.toml"
    told = ("--days", 2, "--made-on", "2027-04-01", "--paper", "letter", "--workers", 1)
    assert called("sheet", file, "--pdf", "a.pdf", *told).exit_code == 0
    assert called("sheet", file, "--pdf", "b.pdf", *told).exit_code == 0
    assert (folder / "a.pdf").read_bytes() == (folder / "b.pdf").read_bytes()
    assert "made on Thu 1 Apr 2027" in PdfReader(folder / "a.pdf").pages[0].extract_text()


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--pdf", "a.png"), "ends in .pdf"),
        (("--pdf", "a.pdf", "--plan", "none"), "no plan 'none'"),
        (("--pdf", "nowhere/a.pdf"), "cannot be written"),
        (("--pdf", "a.pdf", "--paper", "a3"), "a3"),
    ],
)
def test_what_cannot_be_done_is_refused_with_a_reason(folder, arguments, said):
    done = called("sheet", "scenarios/tower_level_9.toml", *arguments)
    assert done.exit_code == 2
    assert said in done.stderr
