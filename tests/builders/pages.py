"""Pages of docs/ whose commands are run: do they print what the page shows?"""

from __future__ import annotations

import re
import shlex
from itertools import count

from builders.commands import called
from builders.places import ROOT

_BLOCK = re.compile(r"^```\n\$ pourday (.*?)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def page(name: str) -> str:
    """The text of a page."""
    return (ROOT / "docs" / name).read_text(encoding="utf-8")


def blocks(text: str) -> list[tuple[str, str]]:
    """The commands of a page, without their first word, and what stands below each."""
    return [(command, printed) for command, printed in _BLOCK.findall(text)]


def prints(command: str, printed: str) -> None:
    """Run a command and find all that the page shows in its output, in order.

    A line "..." on the page stands for lines that it leaves out.
    """
    done = called(*shlex.split(command))
    assert done.exit_code == 0, done.stderr
    found = [line.rstrip() for line in done.output.splitlines()]
    at = 0
    for part in re.split(r"^\.\.\.\n", printed, flags=re.MULTILINE):
        lines = part.splitlines()
        places = (n for n in count(at) if found[n : n + len(lines)] == lines or n > len(found))
        at = next(places) + len(lines)
        assert at <= len(found), part
