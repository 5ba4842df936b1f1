"""DEVELOPERS.md against the project: its paths are there, and no room or dependency is missing."""

from __future__ import annotations

import re
import tomllib

import pytest
from builders.places import ROOT

PAGE = (ROOT / "DEVELOPERS.md").read_text("utf-8")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
ENDINGS = (".md", ".py", ".toml")


def paths_in(page: str) -> list[str]:
    """What stands in backticks, outside blocks of code, and looks like a path: it has a slash or
    the ending of a file, and no space."""
    text = re.sub(r"^```.*?^```", "", page, flags=re.MULTILINE | re.DOTALL)
    words = re.findall(r"`([^`\n]+)`", text)
    return [w for w in words if " " not in w and ("/" in w or w.endswith(ENDINGS))]


# These stand for a file of that name in every room.
IN_EVERY_ROOM = {"__init__.py", "save.py"}
PATHS = sorted({*paths_in(PAGE)} - IN_EVERY_ROOM)
ROOMS = sorted(
    f"{path.parent.relative_to(ROOT)}/"
    for path in (ROOT / "pourday").rglob("__init__.py")
    if path.parent != ROOT / "pourday"
)


def names(requirements: list[str]) -> list[str]:
    return [re.split(r"[<>=~!\[; ]", requirement)[0] for requirement in requirements]


@pytest.mark.parametrize(
    ("page", "paths"),
    [
        ("see `pourday/day/truck.py`, `tests/`", ["pourday/day/truck.py", "tests/"]),
        ("`README.md` and `spacing_min`, `Plan.fronts`", ["README.md"]),
        ("`.ci/run`, `mypy --strict pourday/`", [".ci/run"]),
        ("```\n`a/b.py`\n```\n`c/d.py`", ["c/d.py"]),
        ("a/b.py without backticks", []),
    ],
)
def test_a_path_is_told_from_other_words(page, paths):
    assert paths_in(page) == paths


def test_the_page_names_paths_at_all():
    assert len(PATHS) > 100


@pytest.mark.parametrize("path", PATHS)
def test_a_path_that_the_page_names_is_there(path):
    found = ROOT / path
    assert found.is_dir() if path.endswith("/") else found.is_file()


@pytest.mark.parametrize("room", ROOMS)
def test_every_room_has_its_line_on_the_map(room):
    assert re.search(rf"^\| `{re.escape(room)}` \| .+ \| `{re.escape(room)}", PAGE, re.MULTILINE)


@pytest.mark.parametrize(
    "name",
    [
        *names(PROJECT["dependencies"]),
        *names(PROJECT["optional-dependencies"]["test"]),
    ],
)
def test_every_dependency_has_its_reason(name):
    assert re.search(rf"^\| `{re.escape(name)}` \| .+ \|", PAGE, re.MULTILINE)
