"""One vocabulary in whatever people read: no word of the machine, one name for a strip."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest
from builders.places import ROOT

REPORT = ROOT / "pourday" / "report"
# Records are JSON for programs; its names (with units in them) are the schema's.
READ_BY_PEOPLE = sorted(
    path
    for folder in (REPORT, ROOT / "pourday" / "commands")
    for path in folder.rglob("*.py")
    if "records" not in path.parts
)
FORBIDDEN = re.compile(r"starv|\bhogs?\b|\bhogging\b|\bP[1-9]0\b|\bsafe\b", re.IGNORECASE)
KEY = re.compile(r"[a-z_0-9]*_[a-z_0-9]*")  # a name of a figure or a key, never shown as it is


def said(path: Path) -> list[str]:
    """Every text of a module that is not a docstring or a name by itself."""
    tree = ast.parse(path.read_text("utf-8"))
    silent = {
        id(node.value) for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }  # fmt: skip
    keys = {
        id(key) for node in ast.walk(tree) if isinstance(node, ast.Dict) for key in node.keys
    } | {id(node.slice) for node in ast.walk(tree) if isinstance(node, ast.Subscript)}
    texts = [
        node.value for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
        and id(node) not in silent | keys
    ]  # fmt: skip
    return [text for text in texts if not KEY.fullmatch(text)]


@pytest.mark.parametrize("path", READ_BY_PEOPLE, ids=lambda path: path.stem)
def test_no_text_says_a_word_of_the_machine(path):
    assert [text for text in said(path) if FORBIDDEN.search(text)] == []


def test_the_rule_finds_what_it_is_for():
    for text in ("pump starved 3 min", "hog moment", "hogging", "by P90", "this is safe"):
        assert FORBIDDEN.search(text), text
    for text in ("no truck", "bending over the beam", "by, on 9 days in 10"):
        assert not FORBIDDEN.search(text), text
