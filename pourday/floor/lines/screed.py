"""Where the screed stands while the hose goes on: in bands it follows some way behind.

Along strips the crew strikes what it has placed as it goes, and the deck beneath is loaded all
along the strip alike. Across the spans it is not: what the hose places in the next span has lifted
or lowered the one being struck.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Group:
    """Cells of a strip at one step; ``in_band`` where its front runs along x, ``up`` which way."""

    cells: list[int]
    in_band: bool
    up: bool


def following(
    groups: Sequence[Group], spots: Floats, lag: float
) -> tuple[list[list[int]], list[list[int]] | None]:
    """Cells placed at each step, and cells struck for good then; None where they are the same.

    In a band the cells of a strip are placed one place after another along x, and each is struck
    at the step that leaves the hose nearest to ``lag`` (m) beyond the middle of the cell. Where the
    next strip does not go on at the end of the last one, the screed catches up first.
    ``spots`` (C, 2) m are the places of the cells along x.
    """
    if not lag or not any(group.in_band for group in groups):
        return [group.cells for group in groups], None
    placed: list[list[int]] = []
    struck: list[list[int]] = []
    for band in _bands(groups, spots):
        if not band[0].in_band:
            placed += [group.cells for group in band]
            struck += [group.cells for group in band]
            continue
        steps = [cells for group in band for cells in _along(group, spots)]
        # Both are counted along the way of the hose.
        low, high = spots[[cells[0] for cells in steps]].T * (1 if band[0].up else -1)
        hose, middle = np.maximum(low, high), (low + high) / 2
        when: list[list[int]] = [[] for _ in steps]
        for k, cells in enumerate(steps):
            when[k + int(np.argmin(np.abs(hose[k:] - middle[k] - lag)))] += cells
        placed += steps
        struck += when
    return placed, struck


def _along(group: Group, spots: Floats) -> list[list[int]]:
    """Cells of a group by their place along x, in the order the hose comes to them."""

    def _low(cell: int) -> float:
        return round(float(spots[cell, 0]), 6)

    found = [list(cells) for _, cells in groupby(sorted(group.cells, key=_low), key=_low)]
    return found if group.up else found[::-1]


def _bands(groups: Sequence[Group], spots: Floats) -> list[list[Group]]:
    """Groups that one hose places on and on in one band; each other group by itself."""
    out: list[list[Group]] = []
    for group in groups:
        last = out[-1][-1] if out else None
        if last is not None and _goes_on(last, group, spots):
            out[-1].append(group)
        else:
            out.append([group])
    return out


def _goes_on(last: Group, group: Group, spots: Floats) -> bool:
    if not (last.in_band and group.in_band and last.up == group.up):
        return False
    mine, before = spots[group.cells], spots[last.cells]
    gap = (
        mine[:, 0].min() - before[:, 1].max() if group.up else before[:, 0].min() - mine[:, 1].max()
    )
    return bool(abs(gap) < 1e-6)
