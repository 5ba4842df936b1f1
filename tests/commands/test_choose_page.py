"""docs/choose.md: its command runs on the file it describes, and prints what the page says."""

from __future__ import annotations

import re

from builders.pages import blocks, page, prints
from builders.places import SCENARIOS

PAGE = page("choose.md")


def test_the_page_prints_what_the_command_prints(tmp_path, monkeypatch):
    clinic = (SCENARIOS / "clinic_level_1.toml").read_text("utf-8")
    (search,) = re.findall(r"^```toml\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL)
    ((command, printed),) = blocks(PAGE)
    first = clinic.index("[[plan]]")
    (tmp_path / "clinic_search.toml").write_text(
        clinic[:first] + search + "\n" + clinic[first:], encoding="utf-8"
    )
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    prints(command, printed)
