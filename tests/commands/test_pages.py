"""docs/{hot_and_cold,price,begin,page}.md: commands print what the page says they print."""

from __future__ import annotations

import re
import shutil

import pytest
from builders.commands import called
from builders.pages import blocks, page, prints
from builders.places import SCENARIOS

PAGE, PRICE, HTML, BEGIN = map(page, ("hot_and_cold.md", "price.md", "page.md", "begin.md"))
BLOCKS = blocks(PAGE)
HEAT, MATS = "heated_below_C = 16", "mats_m2K_W = 0.5"


def begun_with(text, *lines):
    """The text with the mark taken off the lines that begin so."""
    for line in lines:
        assert f"\n# {line}" in text
        text = text.replace(f"\n# {line}", f"\n{line}")
    return text


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """The scenarios, and beside them the copies that the page tells its reader to make."""
    shutil.copytree(SCENARIOS, tmp_path / "scenarios")
    frost = (SCENARIOS / "frost_night.toml").read_text("utf-8")
    hot = (SCENARIOS / "hot_roof.toml").read_text("utf-8")
    cooled = re.sub(r"^delivered_C = .*$", "delivered_C = 20", hot, flags=re.MULTILINE)
    for name, text in (
        ("heated.toml", begun_with(frost, "[measures]", HEAT)),
        ("kept.toml", begun_with(frost, "[measures]", HEAT, MATS)),
        ("hot_20.toml", cooled),
    ):
        (tmp_path / name).write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")


def as_case(block):
    # Nineteen starts of forty days take their time.
    slow = [pytest.mark.slow] if "hot_roof.toml --from" in block[0] else []
    return pytest.param(*block, marks=slow)


def test_the_page_has_commands_for_both_days():
    commands = {command.split()[0] for command, _ in BLOCKS}
    assert commands == {"check", "day", "starts", "compare"}
    assert sum("frost" in command for command, _ in BLOCKS) >= 3


@pytest.mark.parametrize(
    ("command", "printed"), [as_case(each) for each in blocks(PAGE + PRICE + BEGIN + HTML)]
)
def test_a_command_of_the_page_prints_what_stands_below_it(folder, command, printed):
    prints(command, printed)


def test_a_clear_night_is_as_cold_as_the_page_says(folder):
    kept = begun_with((SCENARIOS / "frost_night.toml").read_text("utf-8"), "[measures]", HEAT, MATS)
    with open("clear.toml", "w", encoding="utf-8") as file:
        file.write(begun_with(kept, "sky_loss_W_m2 = 60"))
    said = " ".join(called("day", "clear.toml", "--full").output.split())
    assert "COLD: below 0 °C 0 m², below 5 °C 693 m², of 693 m²; down to 2.0 °C" in said
    assert "brings that same floor, heated and matted, down to 2.0 °C" in " ".join(PAGE.split())
