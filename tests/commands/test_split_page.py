"""docs/split.md: its commands run, and print what the page says they print."""

from __future__ import annotations

import re

import pytest
from builders.pages import blocks, page, prints
from builders.places import SCENARIOS

PAGE = page("split.md")
BLOCKS = blocks(PAGE)
(POURS,) = re.findall(r"^```toml\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL)


def market():
    text = (SCENARIOS / "market_hall.toml").read_text("utf-8")
    changed, count = re.subn(r'(?m)^curfew = "24:30"', 'curfew = "15:30"', text)
    assert count == 1
    return changed


def clinic():
    text = (SCENARIOS / "clinic_level_1.toml").read_text("utf-8")
    assert "[prices]\n" in text
    return text.replace("[prices]\n", "[prices]\nstop_end_per_m = 35\n") + "\n" + POURS


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """The copies that the page tells its reader to make."""
    (tmp_path / "market_1530.toml").write_text(market(), encoding="utf-8")
    (tmp_path / "clinic_parts.toml").write_text(clinic(), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")


def test_the_page_has_a_day_too_long_and_pours_of_ones_own():
    assert [command.split()[1] for command, _ in BLOCKS] == [
        "market_1530.toml",
        "clinic_parts.toml",
    ]


@pytest.mark.parametrize(("command", "printed"), BLOCKS)
def test_a_command_of_the_page_prints_what_stands_below_it(folder, command, printed):
    prints(command, printed)
