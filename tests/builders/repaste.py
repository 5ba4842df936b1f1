"""Write what the commands of README.md and docs/ print now into the pages.

    PYTHONPATH=. python tests/builders/repaste.py                          # all pages
    PYTHONPATH=. python tests/builders/repaste.py README.md docs/price.md  # these

A block that shows the whole output gets the whole new one; so does one that shows how an output
begins, where that fits on one screen by now. Of others with "..." the parts are looked for in the
new output by their first and last lines, whatever the numbers in them; where a part is no longer
there, ``--full`` is tried; else the block is left, named, and the exit code is 1.
Look at ``git diff docs README.md`` afterwards: the words around a number may say the old one.
"""

from __future__ import annotations

import re
import sys
from difflib import SequenceMatcher
from pathlib import Path

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from builders.pages import (
    LEFT_OUT,
    blocks,
    folder_of,
    pages,
    parts,
    printed_by,
    text_of,
)
from builders.places import ROOT

_SCREEN = 30  # lines that a page may show whole: a screen, and what was said above it
_ALIKE = 0.7  # how like each other two lines are that are taken for the same one


def pasted(printed: str, found: list[str] | None) -> str | None:
    """What a page shows of a new output: as much as of the old one. None where a part is lost."""
    shown = parts(printed)
    if found is None:
        return None
    beginning_only = len(shown) == 2 and shown[0] and not shown[1]
    if len(shown) == 1 or (beginning_only and len(found) <= _SCREEN):
        return _text(found)
    out: list[str] = []
    at = 0
    for number, lines in enumerate(shown):
        if number:
            out.append(LEFT_OUT)
        if not lines:
            continue
        begin = 0 if number == 0 else _place(lines[:2], found, at)
        if begin is None:
            return None
        last = len(found) - 1 if number == len(shown) - 1 else _end(lines, found, begin)
        if last is None:
            return None
        out += found[begin : last + 1]
        at = last + 1
    return _text(out)


def _place(lines: list[str], found: list[str], at: int) -> int | None:
    """Where the first of ``lines`` stands at or below a line of an output."""
    scores = {
        n: _alike(lines[0], found[n]) + 0.1 * _alike(lines[-1], found[min(n + 1, len(found) - 1)])
        for n in range(at, len(found))
        if _alike(lines[0], found[n]) >= _ALIKE
    }
    return max(scores, key=lambda n: scores[n], default=None)


def _end(lines: list[str], found: list[str], begin: int) -> int | None:
    """Where the last of ``lines`` stands; of lines that are as like it, as far down as it was."""
    expected = begin + len(lines) - 1
    scores = {
        n: _alike(lines[-1], found[n]) - 0.005 * abs(n - expected)
        for n in range(begin, len(found))
        if _alike(lines[-1], found[n]) >= _ALIKE
    }
    return max(scores, key=lambda n: scores[n], default=None)


def _alike(one: str, other: str) -> float:
    """How like each other two lines are, whatever the numbers in them."""
    bare, there = (" ".join(re.sub(r"\d+", "0", line).split()) for line in (one, other))
    return SequenceMatcher(None, bare, there, autojunk=False).ratio()


def _text(lines: list[str]) -> str:
    return "".join(f"{line}\n" for line in lines)


def repasted(page: str) -> tuple[str, list[str]]:
    """The new text of a page, and the commands of which a part was not found again."""
    text, lost, moved = text_of(page), [], 0
    with folder_of(page):
        for block in blocks(text):
            command = block.command
            new = pasted(block.printed, _printed(command, block.exit_code))
            if new is None and "--full" not in command:
                command = f"{command} --full"
                new = pasted(block.printed, _printed(command, block.exit_code))
            if new is None:
                lost.append(block.command)
                continue
            into = f"{command}\n{new}"
            text = text[: block.begins + moved] + into + text[block.ends + moved :]
            moved += len(into) - (block.ends - block.begins)
    return text, lost


def _printed(command: str, exit_code: int) -> list[str] | None:
    """The lines that a command prints; None where it fails, and then it says why."""
    try:
        return printed_by(command, exit_code)
    except AssertionError as error:
        print(error)
        return None


def main(chosen: list[str]) -> int:
    """Write the pages anew; 1 where something has to be looked at by hand."""
    failed = 0
    for page in chosen or pages():
        new, lost = repasted(page)
        changed = new != text_of(page)
        (ROOT / page).write_text(new, encoding="utf-8")
        if blocks(new):
            print(f"{page}: {len(blocks(new))} blocks, {'changed' if changed else 'as it was'}")
        for command in lost:
            print(f"  LEFT AS IT IS, a part is no longer printed: pourday {command}")
            failed = 1
    return failed


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
