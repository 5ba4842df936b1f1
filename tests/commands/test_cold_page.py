"""docs/hot_and_cold.md: its commands are of both days, and what it says of a clear night is so."""

from __future__ import annotations

from builders.commands import called
from builders.page_files import HEAT, MATS, begun_with
from builders.pages import blocks, text_of
from builders.places import SCENARIOS

PAGE = text_of("docs/hot_and_cold.md")


def test_the_page_has_commands_for_both_days():
    commands = [block.command for block in blocks(PAGE)]
    assert {command.split()[0] for command in commands} == {"check", "day", "starts", "compare"}
    assert sum("frost" in command for command in commands) >= 3


def test_a_clear_night_is_as_cold_as_the_page_says(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    kept = begun_with((SCENARIOS / "frost_night.toml").read_text("utf-8"), "[measures]", HEAT, MATS)
    with open("clear.toml", "w", encoding="utf-8") as file:
        file.write(begun_with(kept, "sky_loss_W_m2 = 60"))
    said = " ".join(called("day", "clear.toml", "--full").output.split())
    assert "COLD: below 0 °C 0 m², below 5 °C 693 m², of 693 m²; down to 2.0 °C" in said
    assert "brings that same floor, heated and matted, down to 2.0 °C" in " ".join(PAGE.split())
