"""The copies of scenarios that pages of docs/ tell their readers to make."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

from builders.places import SCENARIOS

HEAT, MATS = "heated_below_C = 16", "mats_m2K_W = 0.5"


def write_files(page: str, text: str, folder: Path) -> None:
    """Write the shipped scenarios, and what a page asks for, into a folder."""
    shutil.copytree(SCENARIOS, folder / "scenarios")
    made = {
        "docs/hot_and_cold.md": _hot_and_cold,
        "docs/split.md": _split,
        "docs/describe.md": _describe,
        "docs/check.md": _check,
        "docs/choose.md": _choose,
    }.get(page)
    for name, copy in (made(text) if made else {}).items():
        (folder / name).write_text(copy, encoding="utf-8")


def begun_with(text: str, *lines: str) -> str:
    """The text with the mark taken off the lines that begin so."""
    for line in lines:
        assert f"\n# {line}" in text
        text = text.replace(f"\n# {line}", f"\n{line}")
    return text


def _hot_and_cold(page: str) -> dict[str, str]:
    frost = _shipped("frost_night")
    return {
        "heated.toml": begun_with(frost, "[measures]", HEAT),
        "kept.toml": begun_with(frost, "[measures]", HEAT, MATS),
        "hot_20.toml": _changed(_shipped("hot_roof"), "delivered_C = .*", "delivered_C = 20"),
    }


def _split(page: str) -> dict[str, str]:
    market = _changed(_shipped("market_hall"), 'curfew = "24:30"', 'curfew = "15:30"')
    clinic = _changed(_shipped("clinic_level_1"), r"\[prices\]", "[prices]\nstop_end_per_m = 35")
    (pours,) = _toml(page)
    return {"market_1530.toml": market, "clinic_parts.toml": f"{clinic}\n{pours}"}


def _choose(page: str) -> dict[str, str]:
    clinic = _shipped("clinic_level_1")
    (search,) = _toml(page)
    first = clinic.index("[[plan]]")
    return {"clinic_search.toml": f"{clinic[:first]}{search}\n{clinic[first:]}"}


def _shipped(name: str) -> str:
    return (SCENARIOS / f"{name}.toml").read_text(encoding="utf-8")


def _changed(text: str, line: str, into: str) -> str:
    changed, count = re.subn(rf"(?m)^{line}", into, text)
    assert count == 1, line
    return changed


def _toml(page: str) -> list[str]:
    return re.findall(r"^```toml\n(.*?)^```$", page, re.MULTILINE | re.DOTALL)


def _describe(page: str) -> dict[str, str]:
    (first,) = _toml(page)
    return {"first.toml": first}


def _check(page: str) -> dict[str, str]:
    text = _shipped("clinic_level_1")
    slipped = _changed(text, "spacing_min = 21", "spacing_min = -21")
    return {"slipped.toml": _changed(slipped, "curfew = ", "curfews = ")}
