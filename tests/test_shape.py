"""The shape of functions: how long, how many arguments, what is said of them (issue 9, point 7).

Counted over the whole package, nested functions and methods too. simpy, counted in the same way,
has 0.8 % of bodies over 50 lines, no function with more than six arguments, 88 % of its public
docstrings.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

import pourday

ROOT = Path(pourday.__file__).parent
LONGEST_BODY, MOST_ARGUMENTS = 50, 6
LONG_SHARE, ARGUMENTS_SHARE = 0.008, 0.005


@dataclass(frozen=True)
class Shape:
    """A function or a class: lines of its body without the docstring, arguments without self."""

    name: str
    lines: int
    arguments: int
    function: bool
    public: bool
    told: bool


def shapes(source: str, where: str = "") -> Iterator[Shape]:
    """Every function and class of a module, nested ones too.

    Public is whatever has no underscore before its own name: a helper inside a function that needs
    no sentence says so by its underscore.
    """
    for node in ast.walk(ast.parse(source)):
        if not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            continue
        told = ast.get_docstring(node) is not None
        body = node.body[1:] if told else node.body
        lines = (node.end_lineno or 0) - body[0].lineno + 1 if body else 0
        function = not isinstance(node, ast.ClassDef)
        count = arguments_of(node.args) if not isinstance(node, ast.ClassDef) else 0
        public = not node.name.startswith("_")
        yield Shape(f"{where}:{node.name}", lines, count, function, public, told)


def arguments_of(args: ast.arguments) -> int:
    """How many arguments a caller may give; ``*`` and ``**`` count once each."""
    plain = [*args.posonlyargs, *args.args]
    if plain and plain[0].arg in ("self", "cls"):
        plain = plain[1:]
    return len(plain) + len(args.kwonlyargs) + bool(args.vararg) + bool(args.kwarg)


EVERY = [
    shape
    for path in sorted(ROOT.rglob("*.py"))
    for shape in shapes(path.read_text("utf-8"), str(path.relative_to(ROOT)))
]
FUNCTIONS = [shape for shape in EVERY if shape.function]


def test_the_package_is_counted():
    assert len(FUNCTIONS) > 900
    assert any(shape.name == "floor/layout.py:lay_out" for shape in FUNCTIONS)


def test_hardly_any_body_is_longer_than_a_page():
    long = {shape.name: shape.lines for shape in FUNCTIONS if shape.lines > LONGEST_BODY}
    assert len(long) / len(FUNCTIONS) < LONG_SHARE, long


def test_hardly_any_function_has_more_arguments_than_one_can_keep_in_mind():
    many = {shape.name: shape.arguments for shape in FUNCTIONS if shape.arguments > MOST_ARGUMENTS}
    assert len(many) / len(FUNCTIONS) < ARGUMENTS_SHARE, many


def test_only_commands_have_more_as_their_options_are_their_arguments():
    many = {shape.name for shape in FUNCTIONS if shape.arguments > MOST_ARGUMENTS}
    assert {name.split("/")[0] for name in many} <= {"commands"}


def test_everything_public_says_what_it_is():
    assert not [shape.name for shape in EVERY if shape.public and not shape.told]


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ('def f():\n    """One.\n\n    Two.\n    """\n    a = 1\n    return a', (2, 0, True, True)),
        ("def f(a, /, b, *c, d, **e):\n    pass", (1, 5, True, False)),
        ("class A:\n    def _f(self, a):\n        return (\n            a\n        )",
         (3, 1, False, False)),
        ('async def f(a): "Only said."', (0, 1, True, True)),
        ("def _f():\n    def g():\n        pass\n    g()", (1, 0, True, False)),
    ],
)  # fmt: skip
def test_what_is_counted_by_hand(source, found):
    last = [shape for shape in shapes(source) if shape.function][-1]
    assert (last.lines, last.arguments, last.public, last.told) == found
