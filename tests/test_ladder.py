"""The ladder of imports (design section 3): nothing imports upward, and modules stay small."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import pourday

ROOT = Path(pourday.__file__).parent
# Lowest first; a rung may import itself and what stands lower, but for the two that know nothing.
RUNGS = ("deck", "concrete", "scenario", "floor", "day", "outcome", "study", "report", "cli")
ALONE = ("deck", "concrete")
LONGEST = 420
MODULES = sorted(ROOT.rglob("*.py"))


def rung(path: Path) -> str:
    return path.relative_to(ROOT).parts[0].removesuffix(".py")


def imported_rungs(source: str, path: Path) -> set[str]:
    """Rungs of pourday that a module imports, at its top or inside a function."""
    found: set[str] = set()
    package = ("pourday", *path.relative_to(ROOT).parent.parts)
    for node in ast.walk(ast.parse(source)):
        names: list[str] = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else ()
            origin = ".".join([*base, *([node.module] if node.module else [])])
            names = [origin, *(f"{origin}.{alias.name}" for alias in node.names)]
        for name in names:
            parts = name.split(".")
            if parts[0] == "pourday" and len(parts) > 1 and parts[1] in RUNGS:
                found.add(parts[1])
    return found


def allowed(own: str) -> set[str]:
    if own in ALONE:
        return {own}
    return set(RUNGS[: RUNGS.index(own) + 1])


def test_every_folder_of_the_package_stands_on_the_ladder():
    others = {rung(path) for path in MODULES} - set(RUNGS)
    assert others <= {"__init__", "__main__"}
    assert {"deck", "concrete", "scenario", "floor", "day", "outcome"} <= {*map(rung, MODULES)}


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_a_module_imports_nothing_that_stands_above_it(path):
    own = rung(path)
    if own in RUNGS:
        above = imported_rungs(path.read_text("utf-8"), path) - allowed(own)
        assert not above, f"{own} imports {', '.join(sorted(above))}"


@pytest.mark.parametrize(
    ("source", "rungs"),
    [
        ("import pourday.day.play", {"day"}),
        ("from pourday.report import check", {"report"}),
        ("from pourday import study", {"study"}),
        ("def f():\n    from pourday.outcome.cost import Cost", {"outcome"}),
        ("from ..day.play import play", {"day"}),
        ("from . import layout", {"floor"}),
        ("import numpy, simpy", set()),
    ],
)
def test_imports_are_seen_wherever_they_stand(source, rungs):
    assert imported_rungs(source, ROOT / "floor" / "made_up.py") == rungs


def test_deck_and_concrete_know_nothing_of_simpy():
    for path in MODULES:
        if rung(path) in ALONE:
            assert "simpy" not in path.read_text("utf-8")


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_a_module_is_short_enough_to_be_one_idea(path):
    assert len(path.read_text("utf-8").splitlines()) <= LONGEST
