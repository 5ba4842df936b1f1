"""`pourday sheet`: the same file from the same call, its date, and what the command refuses."""

from __future__ import annotations

import shutil

import pytest
from builders.commands import called
from builders.places import SCENARIOS
from pypdf import PdfReader


@pytest.fixture
def folder(tmp_path, monkeypatch):
    shutil.copytree(SCENARIOS, tmp_path / "scenarios")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    return tmp_path


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
