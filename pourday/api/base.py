"""What all doors share: whole numbers checked, plans by name made ready, arrays nobody can bend."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from operator import index
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pourday.outcome.base.basis import Basis
from pourday.report.units import Units, units_named
from pourday.scenario.model.scenario import Scenario
from pourday.study.prepare import prepare, with_upsets

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Texts = NDArray[np.str_]


def prepared(
    scenario: Scenario, names: Sequence[str] | None, upsets: Sequence[str]
) -> tuple[Scenario, tuple[Basis, ...]]:
    """The scenario with these upsets too, and the plans of these names laid out (None: all).

    Raises:
        KeyError: for a name that is no plan's, naming the plans there are.
        ValueError: where ``names`` is empty or has a name twice.
        ScenarioError: with every upset that says nothing or fits no plan; then with every plan
            whose order, reach or deck does not work.
    """
    names = (names,) if isinstance(names, str) else names
    upsets = (upsets,) if isinstance(upsets, str) else upsets
    plans = scenario.plans
    if names is not None:
        plans = tuple(scenario.plan(name) for name in names)
        if not names or len(set(names)) < len(names):
            found = f"{list(names)}" if names else "none"
            raise ValueError(f"plans: found {found}; allowed: one name or more, each once")
    scenario = with_upsets(scenario, upsets, plans, said="upset")
    return scenario, prepare(scenario, plans)


def one_plan(scenario: Scenario, plan: str | None, upsets: Sequence[str]) -> Basis:
    """The plan of that name laid out, with these upsets too; the first plan where none is told.

    Raises: as :func:`prepared`.
    """
    name = scenario.plans[0].name if plan is None else plan
    _, (basis,) = prepared(scenario, (name,), upsets)
    return basis


def whole(name: str, value: int, least: int) -> int:
    """A whole number of at least ``least``.

    Raises:
        ValueError: where it is less.
        TypeError: where it is no whole number.
    """
    try:
        number = index(value)  # numpy's own whole numbers too, which JSON does not take
    except TypeError:
        rule = f"a whole number, {least} or more"
        raise TypeError(f"{name}: found {value!r}; allowed: {rule}") from None
    if number < least:
        raise ValueError(f"{name}: found {number}; allowed: {least} or more")
    return number


def units_of(name: str) -> Units:
    """The units of that name for what people read.

    Raises:
        ValueError: where it is neither "si" nor "us".
    """
    if name not in ("si", "us"):
        raise ValueError(f"units: found {name!r}; allowed: 'si' or 'us'")
    return units_named(name)


def floats(values: Iterable[float], unit: float = 1.0) -> Floats:
    """Values from SI in another unit, so many times as large; what never came is nan."""
    return fixed(np.array([*values], dtype=np.float64) / unit)


def ints(values: Iterable[int]) -> Ints:
    """Whole numbers."""
    return fixed(np.array([*values], dtype=np.int64))


def bools(values: Iterable[object]) -> Bools:
    """Truth values, ready to pick from the arrays beside them."""
    return fixed(np.array([*values], dtype=np.bool_))


def texts(values: Iterable[str]) -> Texts:
    """Names."""
    return fixed(np.array([*values], dtype=np.str_))


def fixed(array: NDArray[Any]) -> NDArray[Any]:
    """The array, closed: a result is a value, and its JSON has to go on saying the same."""
    array.setflags(write=False)
    return array
