"""Pages with commands in them: README.md and docs/*.md. Do they print what the page shows?

A block of code whose first line is ``$ pourday ...`` is run; what stands below it is what it
prints, at 80 columns. A line "..." stands for lines that the page leaves out. A block that cannot
be run has a remark above it that says why: ``<!-- not run: it asks in a terminal -->``. One above a
block that takes its time makes the test a slow one: ``<!-- slow: nineteen starts -->``. One that is
refused says so too: ``<!-- exit 2: faults in the file -->``.

``tests/builders/repaste.py`` writes what the commands print now into the pages.
"""

from __future__ import annotations

import os
import re
import shlex
import tempfile
from collections.abc import Iterator
from contextlib import chdir, contextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from builders.commands import called
from builders.page_files import write_files
from builders.places import ROOT

LEFT_OUT = "..."
_FENCE = re.compile(
    r"(?:^<!-- (?P<kind>not run|slow|exit 2): (?P<why>[^\n]*?) -->\n\n?)?"
    r"^```(?P<language>\w*)\n(?P<body>.*?)^```$",
    re.MULTILINE | re.DOTALL,
)
_RUN = re.compile(r"\A\$ pourday (?P<command>[^\n]*)\n(?P<printed>.*)\Z", re.DOTALL)
_CALL = re.compile(r"^(?:\$ |.*/)?pourday [a-z]", re.MULTILINE)
_MANY_DAYS = {"compare", "choose", "price", "sheet", "split", "starts"}


@dataclass(frozen=True)
class Block:
    """A command of a page (without its first word), what stands below it, and where that stands.

    ``begins`` and ``ends`` are places of ``command`` and ``printed`` in the text of the page.
    """

    command: str
    printed: str
    slow: bool
    exit_code: int
    begins: int
    ends: int


def pages() -> list[str]:
    """README.md and the pages of docs/, as paths from the root."""
    return ["README.md", *sorted(f"docs/{path.name}" for path in (ROOT / "docs").glob("*.md"))]


def text_of(page: str) -> str:
    """The text of a page, by its path from the root."""
    return (ROOT / page).read_text(encoding="utf-8")


def blocks(text: str) -> list[Block]:
    """The commands of a page that are run, in order."""
    out = []
    for fence in _FENCE.finditer(text):
        run = _RUN.match(fence["body"])
        if run and fence["kind"] != "not run":
            at = fence.start("body")
            begins, ends = at + run.start("command"), at + run.end("printed")
            slow, exit_code = fence["kind"] == "slow", 2 if fence["kind"] == "exit 2" else 0
            out.append(Block(run["command"], run["printed"], slow, exit_code, begins, ends))
    return out


def not_run(text: str) -> list[tuple[str, str]]:
    """Blocks with commands that are not run, each with the reason on the page ("": none)."""
    out = []
    for fence in _FENCE.finditer(text):
        calls = len(_CALL.findall(fence["body"]))
        run = _RUN.match(fence["body"])
        if calls and (fence["kind"] == "not run" or not run or calls > 1):
            out.append((fence["body"], fence["why"] if fence["kind"] == "not run" else ""))
    return out


def outside_blocks(text: str) -> list[str]:
    """Commands that stand on a line of their own and in no fence: nobody would run them."""
    return re.findall(r"^ {4,}.*\bpourday [a-z].*$", _FENCE.sub("", text), re.MULTILINE)


@contextmanager
def folder_of(page: str) -> Iterator[Path]:
    """Inside a folder with the scenarios and the copies that a page tells its reader to make."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write_files(page, text_of(page), folder)
        before = os.environ.get("COLUMNS")
        os.environ["COLUMNS"] = "80"
        try:
            with chdir(folder):
                yield folder
        finally:
            os.environ.pop("COLUMNS")
            if before is not None:
                os.environ["COLUMNS"] = before


def printed_by(command: str, exit_code: int = 0) -> list[str]:
    """The lines that a command prints. Fails where its exit code is another."""
    words = shlex.split(command)
    # One process: the days are the same to the last bit, and no others have to be started.
    one = ["--workers", "1"] if words[0] in _MANY_DAYS and "--workers" not in words else []
    done = called(*words, *one)
    assert done.exit_code == exit_code, f"pourday {command}: {done.output}"
    return [line.rstrip() for line in done.output.splitlines()]


def run_all(page: str, slow: bool) -> Iterator[tuple[Block, list[str]]]:
    """Every command of a page, the slow ones or all others, and its lines; each is run once."""
    once = cache(printed_by)
    with folder_of(page):
        for block in blocks(text_of(page)):
            if block.slow == slow:
                yield block, once(block.command, block.exit_code)


def parts(printed: str) -> list[list[str]]:
    """What a page shows, in parts, between the lines that it leaves out."""
    return [part.splitlines() for part in re.split(r"^\.\.\.$\n?", printed, flags=re.MULTILINE)]


def missing(printed: str, found: list[str]) -> list[str] | None:
    """The first part that a page shows and a command does not print; None where all is printed.

    What is shown above the first "..." begins the output, what is shown below the last one ends it.
    """
    first, *rest = parts(printed)
    if not rest:
        return None if first == found else first
    if found[: len(first)] != first:
        return first
    *middle, last = rest
    at = len(first)
    for lines in middle:
        places = range(at, len(found) - len(lines) + 1)
        place = next((n for n in places if found[n : n + len(lines)] == lines), None)
        if place is None:
            return lines
        at = place + len(lines)
    end = len(found) - len(last)
    return None if end >= at and found[end:] == last else last
