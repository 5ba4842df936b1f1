"""What was learned, as frozen values: a row a quantity, with what stands behind it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pourday.outcome.base.basis import Basis
from pourday.study.learn.pace import Paced
from pourday.study.learn.pours import Value
from pourday.study.learn.trips import Fitted
from pourday.tickets.line import Remark

LEAST_LOADS, LEAST_POURS = 30, 3
"""Under so many of either nothing is learned: the preset stays."""
MINUTES, RATE, SHARE, DAY = "min", "m³/h", "share", "sd"

Written = float | dict[str, Any] | Any
"""A quantity as a scenario file writes it."""


@dataclass(frozen=True, eq=False)
class Row:
    """A quantity of the file: ``table`` and ``key`` say where it stands, ``what`` it is in words.

    ``old`` is what the file has, ``new`` what the tickets say (None: the file's stays, and ``why``
    says why), both in the unit of the key. ``mean`` and ``sd`` are in that unit, with their
    intervals. ``count`` lengths of ``pours`` pours stand behind it. ``worse`` is the chance of a
    worse fit where the form is true; ``fitted`` is what a figure draws.
    """

    table: str
    key: str
    what: str
    unit: str
    old: Written
    new: Written | None = None
    mean: Value | None = None
    sd: Value | None = None
    count: int = 0
    pours: int = 0
    why: str = ""
    note: str = ""
    worse: float | None = None
    fitted: Fitted | Paced | None = None


@dataclass(frozen=True, eq=False)
class Learned:
    """What the tickets of ``pours`` pours with ``loads`` loads teach about a plan.

    ``rows`` in the order of the file's tables; ``untold`` is what tickets do not tell, and why;
    ``left_out`` counts what was not used; ``remarks`` are those on the lines of each file.
    """

    basis: Basis
    pours: int
    loads: int
    rows: tuple[Row, ...]
    untold: tuple[str, ...]
    left_out: Mapping[str, int]
    remarks: tuple[tuple[str, tuple[Remark, ...]], ...]

    @property
    def learned(self) -> tuple[Row, ...]:
        """The rows with something to paste."""
        return tuple(row for row in self.rows if row.new is not None)
