"""docs/python.md: its code runs as it stands, and prints what the page says it prints."""

from __future__ import annotations

import io
import re
import shutil
import warnings
from collections.abc import Iterator
from contextlib import redirect_stdout
from pathlib import Path
from typing import NamedTuple

import pytest
from builders.places import ROOT, SCENARIOS

PAGE = ROOT / "docs" / "python.md"
_FENCE = re.compile(r"^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
_PICTURE = re.compile(r"\]\(pictures/(.*?)\)")


class Section(NamedTuple):
    """Its code in order, each with the output shown below it, and the pictures it shows."""

    blocks: list[tuple[str, str]]
    pictures: list[str]


def sections(text: str) -> dict[str, Section]:
    """The sections of a page that have code, by title; output is empty where none is shown."""
    out: dict[str, Section] = {}
    for part in re.split(r"^## ", text, flags=re.MULTILINE)[1:]:
        title, _, body = part.partition("\n")
        blocks: list[tuple[str, str]] = []
        for kind, inside in _FENCE.findall(body):
            if kind == "python":
                blocks.append((inside, ""))
            elif kind == "text" and blocks and not blocks[-1][1]:
                blocks[-1] = (blocks[-1][0], inside)
            else:
                raise AssertionError(f"{title}: a block of kind {kind!r} that no code printed")
        if blocks:
            out[title] = Section(blocks, _PICTURE.findall(body))
    return out


def run(blocks: list[tuple[str, str]]) -> list[str]:
    """What each piece of code prints; the pieces of a section share their names."""
    import matplotlib

    matplotlib.use("Agg")
    names: dict[str, object] = {"__name__": "page"}
    printed = []
    for code, _ in blocks:
        with redirect_stdout(io.StringIO()) as out:
            exec(compile(code, str(PAGE), "exec"), names)
        printed.append(out.getvalue())
    return printed


PAGES = sections(PAGE.read_text(encoding="utf-8"))


@pytest.fixture
def folder(tmp_path, monkeypatch) -> Iterator[Path]:
    """A folder with the scenarios in it, as the page asks for; the code runs there."""
    import matplotlib.pyplot as plt

    shutil.copytree(SCENARIOS, tmp_path / "scenarios")
    monkeypatch.chdir(tmp_path)
    yield tmp_path
    plt.close("all")


@pytest.mark.parametrize("title", PAGES)
def test_the_code_of_the_page_prints_and_draws_what_the_page_shows(title, folder):
    blocks, pictures = PAGES[title]
    with warnings.catch_warnings():
        assert run(blocks) == [shown for _, shown in blocks]
    for picture in pictures:
        assert (folder / picture).read_bytes().startswith(b"\x89PNG")
        assert (ROOT / "docs" / "pictures" / picture).is_file()


def test_the_two_worked_pages_are_there_and_the_readme_leads_to_them():
    spacing, waiting = "Choose a spacing", "Plot the waiting of the trucks over 100 days"
    assert all(shown for _, shown in PAGES[spacing].blocks)
    assert PAGES[waiting].pictures == ["truck_waiting.png"]
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert "[docs/python.md](docs/python.md)" in readme


def test_a_page_that_shows_another_output_is_found_out():
    page = "# t\n\n## one\n\n```python\nprint(1 + 1)\n```\n\n```text\n3\n```\n"
    blocks, _ = sections(page)["one"]
    assert blocks == [("print(1 + 1)\n", "3\n")]
    assert run(blocks) == ["2\n"]


def test_output_that_no_code_printed_is_found_out():
    with pytest.raises(AssertionError, match="one: a block of kind 'text'"):
        sections("## one\n\n```text\n3\n```\n")
