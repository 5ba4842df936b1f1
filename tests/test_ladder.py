"""The ladder of imports (design section 3): nothing imports upward, inside the rooms neither."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path

import networkx as nx
import pytest

import pourday

ROOT = Path(pourday.__file__).parent
# Lowest first; a rung may import itself and what stands lower, but for the two that know nothing.
RUNGS = (
    "deck", "concrete", "scenario", "tickets", "floor", "day", "outcome", "study", "report",
    "api", "commands", "cli",
)  # fmt: skip
ALONE = ("deck", "concrete")
# Two ways in stand side by side: what Python calls, and what the command line calls.
BESIDE = {"commands": "api", "cli": "api", "floor": "tickets"}
# Inside a rung: each step may import itself and the steps before it, never a sister of its own
# step. A bare name is a room or a module of the rung; "*" is whatever stands at its top.
ROOMS: dict[str, tuple[tuple[str, ...], ...]] = {
    "scenario": (
        ("base", "presets"),
        ("tables", "model"),
        ("materials",),
        ("clashes",),
        ("*",),
    ),
    "floor": (("cut",), ("strips",), ("edges", "access", "lines"), ("order",), ("*",)),
    "floor.access": (("reach", "zones", "means"), ("parts", "set_ups")),
    "floor.lines": (
        ("frame", "working", "judging", "screed"),
        ("lines",),
        ("local", "stacks"),
        ("ponding", "bounds"),
        ("rows", "arrangements"),
        ("states",),
    ),
    "floor.order": (("graph", "directions"), ("changes",), ("shares",)),
    "day": (
        ("log", "clock", "windows"),
        ("chance",),
        ("supply", "site"),
        ("front",),
        ("*",),
        ("orders",),
    ),
    "outcome": (("base",), ("edges", "deck", "concrete"), ("price",), ("*",)),
    "outcome.price": (
        ("items", "people", "hours"),
        ("labour", "plant", "supply", "risk"),
        ("lines",),
    ),
    "study": (
        ("told",),
        ("statistics", "metrics", "prepare"),
        ("engine",),
        ("forecast", "orders", "*"),
        ("sheet", "choices"),
    ),
    "study.engine": (("jobs",), ("here", "processes", "cluster", "ledger"), ("run", "resume")),
    "report": (
        ("units", "narrow"),
        ("words", "progress", "screen"),
        ("basis", "moves", "refusals"),
        ("text", "figures", "records", "rehearsal"),
        ("sheet", "page"),
    ),
    "report.page": (
        ("html", "numbers"),
        ("verdict", "drawn"),
        ("plans", "edges", "cost", "whole"),
        ("*",),
    ),
    "report.sheet": (
        ("letters", "amounts"),
        ("paper",),
        ("words",),
        ("strip_plan",),
        ("*",),
        ("save",),
    ),
    "report.figures": (
        ("png", "style"),
        ("page",),
        ("half",),
        ("axis",),
        ("floor", "*"),
        ("day", "concrete", "deck"),
        ("save",),
        ("many",),
    ),
    "api": (
        ("base",),
        ("columns",),
        ("read", "day", "compare", "deck", "choose", "price", "sheet", "split"),
    ),
    "commands": (("shared",), ("*",)),
}
LONGEST = 400
MODULES = sorted(ROOT.rglob("*.py"))
NAMED = pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))


def dotted(path: Path) -> str:
    """``outcome.deck.peaks``; a package is named by its folder."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


EVERY = {dotted(path): path for path in MODULES}
OPENING = ""  # pourday/__init__.py: it offers the doors of the api, so nothing below may ask it


def imported(source: str, path: Path) -> set[str]:
    """Modules of pourday that a module imports: at its top, in a function, for types only."""
    found: set[str] = set()
    package = ("pourday", *path.relative_to(ROOT).parent.parts)
    for node in ast.walk(ast.parse(source)):
        names: list[str] = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else ()
            origin = ".".join([*base, *([node.module] if node.module else [])])
            for alias in node.names:
                inner = f"{origin}.{alias.name}"
                module = inner.removeprefix("pourday.") in EVERY and inner.startswith("pourday.")
                names.append(inner if module else origin)
        found |= {name.removeprefix("pourday.") for name in names if name.startswith("pourday.")}
        found |= {OPENING for name in names if name == "pourday"}
    return found


@cache
def imports_of(path: Path) -> frozenset[str]:
    return frozenset(imported(path.read_text("utf-8"), path))


def rung(name: str) -> str:
    return name.split(".")[0]


def allowed(own: str) -> set[str]:
    if own in ALONE:
        return {own}
    return set(RUNGS[: RUNGS.index(own) + 1]) - {BESIDE.get(own)}


def step(rooms: tuple[tuple[str, ...], ...], room: str) -> int:
    """On which step of a rung a room stands; what is not named stands where the star is."""
    for n, names in enumerate(rooms):
        if room in names:
            return n
    return next(n for n, names in enumerate(rooms) if "*" in names)


def wrong_rooms(own: str, others: frozenset[str] | set[str]) -> list[str]:
    """Imports that go up, or sideways, inside a rung whose rooms have an order."""
    wrong = []
    for home, rooms in ROOMS.items():
        if not own.startswith(f"{home}."):
            continue
        here = own.removeprefix(f"{home}.").split(".")[0]
        named = {name for names in rooms for name in names}
        for other in others:
            if not other.startswith(f"{home}."):
                continue
            there = other.removeprefix(f"{home}.").split(".")[0]
            if there == here:
                continue
            mine, its = step(rooms, here), step(rooms, there)
            gathered = mine == its and here not in named and there not in named
            starred = mine == its and "*" in rooms[mine] and (here not in named)
            if its > mine or (its == mine and not (gathered or starred)):
                wrong.append(other)
    return wrong


def test_every_folder_of_the_package_stands_on_the_ladder():
    others = {rung(name) for name in EVERY if name} - set(RUNGS)
    assert others <= {"__main__"}
    assert {"deck", "concrete", "scenario", "floor", "day", "outcome"} <= {*map(rung, EVERY)}


def test_every_room_that_the_ladder_names_is_there():
    for home, rooms in ROOMS.items():
        for room in {name for names in rooms for name in names} - {"*"}:
            assert f"{home}.{room}" in EVERY, f"{home} has no {room}"


@NAMED
def test_a_module_imports_nothing_that_stands_above_it(path):
    own = dotted(path)
    if rung(own) in RUNGS:
        above = {rung(name) for name in imports_of(path)} & set(RUNGS) - allowed(rung(own))
        assert not above, f"{own} imports {', '.join(sorted(above))}"


def test_python_and_the_command_line_know_nothing_of_each_other():
    assert "report" in allowed("api") & allowed("commands") & allowed("cli")
    assert "api" not in allowed("commands") | allowed("cli")
    assert not {"commands", "cli"} & allowed("api")


@NAMED
def test_rooms_know_nothing_of_their_sisters_nor_of_what_gathers_them(path):
    assert not wrong_rooms(dotted(path), imports_of(path))


@pytest.mark.parametrize(
    ("own", "other", "wrong"),
    [
        ("scenario.base.units", "scenario.tables.file", True),
        ("scenario.model.site", "scenario.tables.file", True),
        ("scenario.build", "scenario.presets", False),
        ("outcome.deck.level", "outcome.edges.edge_pairs", True),
        ("outcome.edges.stop_end", "outcome.measure", True),
        ("outcome.measure", "outcome.edges.edge_pairs", False),
        ("report.records.day", "report.text.day", True),
        ("report.text.day", "report.words", False),
        ("report.figures.day.time_line", "report.figures.deck.rows", True),
        ("floor.access.zones", "floor.order.graph", True),
        ("floor.cut", "floor.strips", True),
        ("floor.lines.frame", "floor.lines.lines", True),
        ("floor.lines.states", "floor.lines.stacks", False),
        ("outcome.deck.level", "outcome.deck.peaks", False),
    ],
)
def test_the_ladder_inside_a_rung_tells_up_from_down(own, other, wrong):
    assert bool(wrong_rooms(own, {other})) is wrong


def test_no_import_runs_in_a_circle_for_types_neither():
    graph = nx.DiGraph(
        (dotted(path), other)
        for path in MODULES
        for other in imports_of(path)
        if other in EVERY and other != dotted(path)
    )
    circles = [sorted(c) for c in nx.strongly_connected_components(graph) if len(c) > 1]
    assert not circles


@pytest.mark.parametrize(
    ("source", "modules"),
    [
        ("import pourday.day.play", {"day.play"}),
        ("from pourday.report import text", {"report.text"}),
        ("from pourday import study", {"study"}),
        ("from pourday import read, day", {"", "day"}),
        ("import pourday", {""}),
        ("def f():\n    from pourday.outcome.cost import Cost", {"outcome.cost"}),
        ("if TYPE_CHECKING:\n    from pourday.day.log import DayLog", {"day.log"}),
        ("from ..day.play import play", {"day.play"}),
        ("from . import layout", {"floor.layout"}),
        ("import numpy, simpy", set()),
    ],
)
def test_imports_are_seen_wherever_they_stand(source, modules):
    assert imported(source, ROOT / "floor" / "made_up.py") == modules


def test_the_opening_of_the_package_leads_to_the_api_and_nothing_leads_back():
    # The test of circles sees the lazy names of the opening through its TYPE_CHECKING block.
    assert {"api.read"} <= imports_of(EVERY[OPENING])
    assert not [name for name, path in EVERY.items() if OPENING in imports_of(path)]


def test_deck_and_concrete_know_nothing_of_simpy():
    for path in MODULES:
        if rung(dotted(path)) in ALONE:
            assert "simpy" not in path.read_text("utf-8")


@NAMED
def test_a_module_is_short_enough_to_be_one_idea(path):
    assert len(path.read_text("utf-8").splitlines()) <= LONGEST


@pytest.mark.parametrize(
    "path", [p for p in MODULES if p.name == "__init__.py"], ids=lambda p: str(p.relative_to(ROOT))
)
def test_an_opening_says_what_the_room_is_for_in_at_most_ten_lines(path):
    said = ast.get_docstring(ast.parse(path.read_text("utf-8")))
    assert said
    assert len(said.splitlines()) <= 10
