"""``import pourday``: what it offers, what it costs, what type checkers see."""

from __future__ import annotations

import ast
import inspect
import os
import subprocess
import sys
from importlib import import_module
from pathlib import Path
from types import ModuleType

import pytest

import pourday

HOME = Path(pourday.__file__).parent
HEAVY = {"numpy", "matplotlib", "rich", "simpy", "networkx", "pydantic", "typer", "scipy"}
DOORS = ("choose", "compare", "deck_peaks", "play", "price", "read", "sheet", "split")


def python(code: str) -> str:
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return done.stdout.strip()


def named_for_type_checkers() -> dict[str, str]:
    """Name -> module, as the ``if TYPE_CHECKING`` block of the opening imports them."""
    tree = ast.parse((HOME / "__init__.py").read_text(encoding="utf-8"))
    block = next(
        node
        for node in tree.body
        if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING"
    )
    imports = [node for node in block.body if isinstance(node, ast.ImportFrom)]
    return {alias.name: str(node.module) for node in imports for alias in node.names}


def test_importing_the_package_alone_imports_nothing_heavy_and_no_other_module_of_its_own():
    said = python(
        "import sys, pourday\n"
        f"print(sorted({HEAVY!r} & set(sys.modules)))\n"
        "print([name for name in sys.modules if name.startswith('pourday.')])"
    )
    assert said.splitlines() == ["[]", "[]"]


def test_reading_a_scenario_imports_neither_the_day_nor_a_report():
    file = Path(__file__).parents[2] / "scenarios" / "clinic_level_1.toml"
    said = python(
        f"import sys, pourday\npourday.read({str(file)!r})\n"
        "print(sorted({'simpy', 'matplotlib', 'rich', 'typer'} & set(sys.modules)))"
    )
    assert said == "[]"


@pytest.mark.parametrize("name", sorted(set(pourday.__all__) - {"__version__"}))
def test_every_name_offered_is_the_thing_of_its_home(name):
    home = import_module(named_for_type_checkers()[name])
    assert getattr(pourday, name) is getattr(home, name)
    assert inspect.getdoc(getattr(pourday, name))


def test_names_for_type_checkers_for_python_and_in_all_are_the_same():
    lazy = {name: home for home, names in pourday._HOMES.items() for name in names}
    assert named_for_type_checkers() == lazy
    assert {*lazy, "__version__"} == set(pourday.__all__)
    assert set(DOORS) <= set(lazy)


def test_dir_shows_what_is_offered_before_anything_is_loaded():
    said = python(f"import pourday\nprint({set(DOORS)!r} <= set(dir(pourday)))")
    assert said == "True"


def test_a_name_that_is_not_there_is_an_attribute_error():
    with pytest.raises(AttributeError, match="module 'pourday' has no attribute 'plya'"):
        pourday.plya  # noqa: B018


def test_no_name_hides_a_room_of_the_package():
    rooms = {path.stem for path in HOME.iterdir()} - {"__init__"}
    assert not rooms & set(pourday.__all__)
    # With everything loaded, the rooms are still rooms.
    for name in ("deck", "day", "scenario", "study", "report"):
        assert isinstance(import_module(f"pourday.{name}"), ModuleType)
        assert isinstance(getattr(pourday, name), ModuleType)


USER = """\
from typing import Any, assert_type

import numpy as np
from numpy.typing import NDArray

import pourday

clinic = pourday.read("clinic.toml")
assert_type(clinic, pourday.Scenario)
day = pourday.play(clinic, "line", seed=3)
assert_type(day, pourday.Day)
assert_type(day.trucks.wait_min, NDArray[np.float64])
assert_type(day.to_dict(), dict[str, Any])
found = pourday.compare(clinic, days=20, plans=["line"], workers=1)
assert_type(found.plans["line"].mean_wait_min, NDArray[np.float64])
assert_type(pourday.deck_peaks(clinic).use, NDArray[np.float64])
"""
MISSPELT = ("pourday.plya(clinic)", "day.trucks.wait", 'found.plans["line"].mean_wait_h')


def test_a_user_s_program_passes_a_strict_type_check_and_a_misspelt_name_does_not(tmp_path):
    pytest.importorskip("mypy", reason="mypy comes with the dev extra")
    assert (HOME / "py.typed").is_file()
    file = tmp_path / "user.py"
    file.write_text(USER + "".join(f"{line}\n" for line in MISSPELT))
    command = [sys.executable, "-m", "mypy", "--strict", "--cache-dir", tmp_path / "cache", file]
    # Installed packages are found by themselves; a checkout has to be named.
    named = {} if HOME.parent.name == "site-packages" else {"MYPYPATH": str(HOME.parent)}
    done = subprocess.run(
        command, capture_output=True, text=True, check=False, env=os.environ | named, cwd=tmp_path
    )
    errors = [line for line in done.stdout.splitlines() if ": error: " in line]
    first = USER.count("\n") + 1
    assert [int(line.split(":")[1]) for line in errors] == [first, first + 1, first + 2]
    assert all("has no attribute" in line for line in errors), done.stdout
