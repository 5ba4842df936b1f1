"""docs/choose.md: its command runs on the file it describes, and prints what the page says."""

from __future__ import annotations

import re
from itertools import count

from builders.commands import called
from builders.places import ROOT, SCENARIOS

PAGE = (ROOT / "docs" / "choose.md").read_text(encoding="utf-8")


def test_the_page_prints_what_the_command_prints(tmp_path, monkeypatch):
    clinic = (SCENARIOS / "clinic_level_1.toml").read_text("utf-8")
    (search,) = re.findall(r"^```toml\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL)
    ((command, printed),) = re.findall(
        r"^```\n\$ pourday (.*?)\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL
    )
    first = clinic.index("[[plan]]")
    (tmp_path / "clinic_search.toml").write_text(
        clinic[:first] + search + "\n" + clinic[first:], encoding="utf-8"
    )
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    done = called(*command.split())
    assert done.exit_code == 0, done.stderr
    found = [line.rstrip() for line in done.output.splitlines()]
    at = 0
    for part in re.split(r"^\.\.\.\n", printed, flags=re.MULTILINE):
        lines = part.splitlines()
        places = (n for n in count(at) if found[n : n + len(lines)] == lines or n > len(found))
        at = next(places) + len(lines)
        assert at <= len(found), part
