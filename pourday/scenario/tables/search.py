"""The table [search] as the user writes it: which plans are tried, varied in which keys."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field

from pourday.scenario.base.quantities import Table

MOST_VALUES = 200
"""Values of one key: more than anybody would read; a range of a wrong step has thousands."""

MOST_CANDIDATES = 2000
"""Combinations of all values that one search may ask for."""

Bound = Annotated[float, Field(ge=-1e6, le=1e6)]


class VaryTable(Table):
    """One key of the file, and the values that it is given in turn."""

    key: Annotated[str, Field(min_length=1, max_length=120)]
    values: Annotated[list[Any], Field(min_length=1, max_length=MOST_VALUES)] | None = None
    least: Bound | None = None
    most: Bound | None = None
    step: Annotated[float, Field(gt=0, le=1e6)] = 1.0


class SearchTable(Table):
    """What `pourday choose` tries: every combination of the values of all keys, for each plan."""

    plans: list[str] = []
    vary: list[VaryTable] = []


def values_of(vary: VaryTable) -> list[Any]:
    """The values of a key in order; whole numbers of a range without a decimal point."""
    if vary.values is not None:
        return vary.values
    least, most = vary.least or 0.0, vary.most or 0.0
    count = int((most - least) / vary.step + 1e-9) + 1
    steps = [round(least + n * vary.step, 9) for n in range(max(0, count))]
    return [int(value) if value == int(value) else value for value in steps]
