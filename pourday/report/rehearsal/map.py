"""The floor in characters: where concrete lies, which edges are open, where the fronts stand."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pourday.outcome.base.basis import Basis, Floats
from pourday.outcome.edges.open_edges import STIFF, OpenEdge
from pourday.outcome.scene import FINISHED, NOT_READY, WASHING, Scene

BARE, CONCRETE, IN_HAND, NO_FLOOR = ".", "#", ":", " "
OPEN, STIFF_EDGE, SOON, LOST = "o", "=", "!", "X"
SOON_BELOW = 1800.0
"""An edge with less time left (s) is drawn as soon lost; chosen here, no source."""

LEGEND = (
    f"{BARE} bare deck   {CONCRETE} concrete   {IN_HAND} rest of the strip in hand   "
    "1 2 3 placed here now",
    f"{OPEN} edge waits   {STIFF_EDGE} stiff   {SOON} less than {SOON_BELOW / 60:.0f} min left   "
    f"{LOST} too late: cold joint",
)
_MARGIN = 2
LEAST_ROWS = 4
"""Rows below which a map shows nothing of its floor."""
Cells = NDArray[np.str_]


def map_rows(basis: Basis, width: int, most: int) -> int:
    """Rows that show the floor in its own shape; a character is about twice as high as wide."""
    floor = basis.scenario.floor
    length = floor.supports[-1] - floor.supports[0]
    shape = round((width - _MARGIN) * floor.length_y / length / 2)
    return max(LEAST_ROWS, min(shape, most))


def floor_map(basis: Basis, scene: Scene, width: int, rows: int) -> list[str]:
    """The floor at one moment: a line with the bays' names, then ``rows`` lines from high y to low.

    x runs to the right. ``width`` is in characters, a margin for the names of lanes in it.
    """
    floor, strips = basis.scenario.floor, basis.layout.strips
    columns = width - _MARGIN
    x, y = _middles(floor.supports[0], floor.supports[-1], columns), _rows(floor.length_y, rows)
    cells: Cells = np.full((rows, columns), NO_FLOOR)
    for strip, state in zip(strips, scene.strips, strict=True):
        across = _between(x, strip.x0, strip.x1)
        along = _between(y, strip.y0, strip.y1)
        cells[np.ix_(along, across)] = BARE if np.isnan(state.low) else IN_HAND
        # A strip that is full is drawn full, whatever the last hair of its profile says.
        low, high = (strip.low, strip.high) if state.share >= 1.0 else (state.low, state.high)
        if strip.along == "x":
            cells[np.ix_(along, _between(x, low, high) & across)] = CONCRETE
        else:
            cells[np.ix_(_between(y, low, high) & along, across)] = CONCRETE
    for edge in reversed(scene.edges):  # the nearest to be lost last, so that it stays
        _draw_edge(cells, edge, basis, scene, x, y)
    for hole in floor.openings:
        cells[np.ix_(_at_least_one(y, *hole.y), _at_least_one(x, *hole.x))] = NO_FLOOR
    for front in scene.fronts:
        if front.strip >= 0 and front.doing not in (NOT_READY, WASHING, FINISHED):
            row = int(np.argmin(np.abs(y - front.y)))
            cells[row, int(np.argmin(np.abs(x - front.x)))] = str(front.number + 1)[-1]
    margin = _lane_names(basis, y)
    lines = [name + "".join(row) for name, row in zip(margin, cells.tolist(), strict=True)]
    return [_bay_names(basis, x), *lines]


def _draw_edge(
    cells: Cells, edge: OpenEdge, basis: Basis, scene: Scene, x: Floats, y: Floats
) -> None:
    if edge.older == edge.younger and edge.lost_at > scene.time:
        return  # the front itself stands there
    left = edge.lost_at - scene.time
    mark = STIFF_EDGE if edge.state(scene.time) == STIFF else OPEN
    mark = LOST if left <= 0 else SOON if left < SOON_BELOW else mark
    strip = basis.layout.strips[edge.older]
    across = np.flatnonzero(_between(x, strip.x0, strip.x1))
    along = np.flatnonzero(_between(y, strip.y0, strip.y1))
    if not len(across) or not len(along):
        return
    if edge.along == "y":
        column = across[-1] if edge.at > strip.middle else across[0]
        cells[np.flatnonzero(_between(y, edge.low, edge.high)), column] = mark
    else:
        row = along[int(np.argmin(np.abs(y[along] - edge.at)))]
        cells[row, across[_between(x[across], edge.low, edge.high)]] = mark


def _middles(low: float, high: float, count: int) -> Floats:
    step = (high - low) / count
    return np.asarray(low + step * (np.arange(count) + 0.5))


def _rows(length: float, count: int) -> Floats:
    return _middles(0.0, length, count)[::-1]


def _between(values: Floats, low: float, high: float) -> NDArray[np.bool_]:
    # A middle on the line between two strips or lanes belongs to the upper one.
    return np.asarray((values >= low) & (values < high))


def _at_least_one(values: Floats, low: float, high: float) -> NDArray[np.bool_]:
    """As :func:`_between`; the nearest middle where none lies between: no hole is drawn over."""
    found = _between(values, low, high)
    if not found.any():
        found[int(np.argmin(np.abs(values - (low + high) / 2)))] = True
    return found


def _lane_names(basis: Basis, y: Floats) -> list[str]:
    """The letter of each lane beside its middle row."""
    names = [" " * _MARGIN] * len(y)
    for strip in basis.layout.strips:
        letter = strip.bay.lstrip("0123456789")
        row = int(np.argmin(np.abs(y - (strip.y0 + strip.y1) / 2)))
        if letter:
            names[row] = letter.ljust(_MARGIN)[:_MARGIN]
    return names


def _bay_names(basis: Basis, x: Floats) -> str:
    """The number of each sheet run over its first column."""
    first: dict[str, float] = {}
    for strip in basis.layout.strips:
        number = strip.bay.rstrip("abcdefghijklmnopqrstuvwxyz")
        first[number] = min(first.get(number, np.inf), strip.x0)
    line = [" "] * (len(x) + _MARGIN)
    for number, low in first.items():
        at = _MARGIN + int(np.searchsorted(x, low))
        line[at : at + len(number)] = number
    return "".join(line)[: len(x) + _MARGIN].rstrip()
