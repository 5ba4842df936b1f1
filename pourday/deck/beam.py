"""A sheet run as a continuous beam: what one unit of load on each cell does everywhere.

Lay a metre-wide sheet over its beams, put one pascal on one cell and look: that is one column
of an :class:`Influence`. Every load state of a day is then a sum of columns.

One Euler-Bernoulli element spans from support to support (cubic Hermite shapes, direct
stiffness). Loads enter as exact fixed-end forces and come back inside the span as the exact
initial-parameter (Macaulay) solution, so nothing is interpolated between nodes and a cell of a
millimetre costs no accuracy.

Units: m, N, Pa, per metre width of deck. Deflection and load are positive downward, reactions
upward, moments sagging.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

# Lengths closer than this share of the run are the same place: it absorbs rounding of input.
SAME_PLACE = 1e-9
STATIONS = 40
"""Even steps in a span between the places where moment and deflection are worked out."""


@dataclass(frozen=True, eq=False)
class Influence:
    """Response of a sheet run to unit loads, per metre width; arrays are read-only.

    Columns are C unit uniform pressures (1 Pa, one a cell), then P unit line loads (1 N/m).
    """

    supports: Floats
    """(n+1,) m, x of the supports, increasing."""
    cells: Floats
    """(C, 2) m, start and end of each uniformly loaded cell."""
    points: Floats
    """(P,) m, x of the line loads."""
    stations: Floats
    """(S,) m, x where moment and deflection are known."""
    moment: Floats
    """(S, C+P) N m/m, sagging positive."""
    deflection: Floats
    """(S, C+P) m, downward positive."""
    reaction: Floats
    """(n+1, C+P) N/m, upward positive; negative is uplift."""
    support_moment: Floats
    """(n+1, C+P) N m/m over each support, hogging negative."""
    mean_deflection: Floats
    """(C, C+P) m, exact mean of the deflection over cell i; the first C columns are square."""


def influence(
    supports: ArrayLike,
    stiffness: ArrayLike,
    cells: ArrayLike,
    points: ArrayLike = (),
    stations: ArrayLike | int = STATIONS,
    springs: ArrayLike | None = None,
) -> Influence:
    """Solve a sheet run once for a unit load on every cell and every point.

    Parameters
    ----------
    supports : (n+1,) m, increasing, at least two.
    stiffness : EI, N m² per metre width: one value, or (n,) one a span.
    cells : (C, 2) m; inside the run, not overlapping; may cross supports, need not cover the run.
    points : (P,) m, places of line loads across the run.
    stations : (S,) m; or how many even steps in each span, both ends included, with every cell
        boundary and point added.
    springs : (n+1,) N/m per metre width, support stiffness; np.inf is rigid. None: all rigid.

    Raises
    ------
    ValueError
        Supports out of order, a cell, point or station outside the run, overlapping cells,
        stiffness or spring not positive, a wrong number of values.

    Source: direct stiffness method with Hermite elements, any textbook of structural analysis.
    """
    run = _supports(supports)
    slack = SAME_PLACE * float(run[-1] - run[0])
    lengths = np.diff(run)
    rigidity = _rigidity(stiffness, len(lengths))
    patches = _cells(cells, run, slack)
    places = _inside(points, run, slack, "line load")
    if isinstance(stations, int):
        at = _even_stations(run, patches, places, stations, slack)
    else:
        at = _inside(stations, run, slack, "station")
    springy = _springs(springs, len(run))

    loads = _SpanLoads.on(run, patches, places)
    move, end_force, reaction = _solve(lengths, rigidity, loads, springy)

    moment = np.empty((len(at), loads.columns))
    deflection = np.empty_like(moment)
    support_moment = np.empty((len(run), loads.columns))
    area = np.zeros((len(patches), loads.columns))
    home = _span_of(at, run)
    for s, length in enumerate(lengths):
        field = _SpanField(loads, s, move[2 * s : 2 * s + 2], end_force[s], float(rigidity[s]))
        here = home == s
        x = at[here] - run[s]
        moment[here] = field.moment(x)
        deflection[here] = field.deflection(x)
        support_moment[s : s + 2] = field.moment(np.array([0.0, length]))
        area += field.area(loads.end[s]) - field.area(loads.start[s])
    mean = area / np.diff(patches, axis=1)

    arrays = (run, patches, places, at, moment, deflection, reaction, support_moment, mean)
    for array in arrays:
        array.setflags(write=False)
    return Influence(*arrays)


@dataclass(frozen=True, eq=False)
class _SpanLoads:
    """Unit loads cut to spans, in each span's own x."""

    start: Floats  # (n, C), start == end where the cell does not touch the span
    end: Floats  # (n, C)
    point: Floats  # (P,)
    point_span: NDArray[np.intp]  # (P,)
    columns: int

    @staticmethod
    def on(run: Floats, cells: Floats, points: Floats) -> _SpanLoads:
        """Cells (C, 2) and points (P,), cut at the supports of the run."""
        left, right = run[:-1, None], run[1:, None]
        start = np.clip(cells[None, :, 0], left, right) - left
        end = np.clip(cells[None, :, 1], left, right) - left
        span = _span_of(points, run)
        return _SpanLoads(start, end, points - run[span], span, len(cells) + len(points))

    def fixed_end(self, span: int, length: float) -> Floats:
        """(4, C+P) loads equivalent to those on a clamped span: the Hermite shapes integrated."""
        out = np.zeros((4, self.columns))
        cells = self.start.shape[1]
        out[:, :cells] = hermite_area(self.end[span], length)
        out[:, :cells] -= hermite_area(self.start[span], length)
        here = np.flatnonzero(self.point_span == span)
        out[:, cells + here] = hermite(self.point[here], length)
        return out

    def bracket(self, span: int, x: Floats, power: int) -> Floats:
        """(len(x), C+P) load integrated `power` times from the left support to x (Macaulay)."""
        out = np.zeros((len(x), self.columns))
        cells = self.start.shape[1]
        out[:, :cells] = _ramp(x, self.start[span], power) - _ramp(x, self.end[span], power)
        here = np.flatnonzero(self.point_span == span)
        out[:, cells + here] = _ramp(x, self.point[here], power - 1)
        return out


@dataclass(frozen=True, eq=False)
class _SpanField:
    """Moment and deflection anywhere in one span, from the values at its left end."""

    loads: _SpanLoads
    span: int
    left: Floats  # (2, C+P) deflection and slope at the left support
    end: Floats  # (2, C+P) shear and moment just right of the left support
    rigidity: float

    def moment(self, x: Floats) -> Floats:
        """(len(x), C+P) N m/m, sagging positive."""
        shear, moment = self.end
        return np.asarray(
            _rise(x, 0, moment) + _rise(x, 1, shear) - self.loads.bracket(self.span, x, 2)
        )

    def deflection(self, x: Floats) -> Floats:
        """(len(x), C+P) m, downward positive."""
        return self._integral(x, 4)

    def area(self, x: Floats) -> Floats:
        """Deflection integrated from the left support to x."""
        return self._integral(x, 5)

    def _integral(self, x: Floats, power: int) -> Floats:
        # EI w'''' = q, integrated from the left end; power 4 is w itself, 5 its area.
        shear, moment = self.end
        low = power - 4
        sag, slope = self.left
        bent = (
            -_rise(x, power - 2, moment)
            - _rise(x, power - 1, shear)
            + self.loads.bracket(self.span, x, power)
        )
        return np.asarray(_rise(x, low, sag) + _rise(x, low + 1, slope) + bent / self.rigidity)


def _solve(
    lengths: Floats, rigidity: Floats, loads: _SpanLoads, springs: Floats
) -> tuple[Floats, Floats, Floats]:
    """Nodal movements (2(n+1), L), left-end shear and moment (n, 2, L), reactions (n+1, L)."""
    nodes = len(lengths) + 1
    stiff = np.zeros((2 * nodes, 2 * nodes))
    force = np.zeros((2 * nodes, loads.columns))
    elements = []
    for s, (length, ei) in enumerate(zip(lengths, rigidity, strict=True)):
        at = slice(2 * s, 2 * s + 4)
        element = beam_element(float(length), float(ei))
        fixed = loads.fixed_end(s, float(length))
        stiff[at, at] += element
        force[at] += fixed
        elements.append((at, element, fixed))

    held = np.zeros(2 * nodes, dtype=bool)
    held[::2] = np.isinf(springs)
    sprung = stiff.copy()
    sprung[np.arange(0, 2 * nodes, 2), np.arange(0, 2 * nodes, 2)] += np.where(
        held[::2], 0.0, springs
    )
    free = np.flatnonzero(~held)
    move = np.zeros_like(force)
    move[free] = np.linalg.solve(sprung[np.ix_(free, free)], force[free])

    end_force = np.empty((len(elements), 2, loads.columns))
    for s, (at, element, fixed) in enumerate(elements):
        end = (element @ move[at] - fixed)[:2]
        # The element's end force is EI w''' and -EI w''; shear is dM/dx = -EI w'''.
        end_force[s] = -end[0], end[1]
    reaction = (force - stiff @ move)[::2]
    return move, end_force, reaction


def beam_element(length: float, ei: float) -> Floats:
    """(4, 4) stiffness of a beam element for (w, dw/dx) at both ends."""
    a, b = 12.0 / length**3, 6.0 / length**2
    c, d = 4.0 / length, 2.0 / length
    return ei * np.array([[a, b, -a, b], [b, c, -b, d], [-a, -b, a, -b], [b, d, -b, c]])


def hermite(x: Floats, length: float) -> Floats:
    """(4, len(x)) Hermite shapes."""
    r = x / length
    return np.array(
        [
            1 - 3 * r**2 + 2 * r**3,
            length * (r - 2 * r**2 + r**3),
            3 * r**2 - 2 * r**3,
            length * (r**3 - r**2),
        ]
    )


def hermite_bend(x: Floats, length: float) -> Floats:
    """(4, len(x)) second derivatives of the Hermite shapes."""
    r = x / length
    return (
        np.array([12 * r - 6, length * (6 * r - 4), 6 - 12 * r, length * (6 * r - 2)]) / length**2
    )


def hermite_area(x: Floats, length: float) -> Floats:
    """(4, len(x)) Hermite shapes integrated from the left end to x."""
    r = x / length
    return length * np.array(
        [
            r - r**3 + r**4 / 2,
            length * (r**2 / 2 - 2 * r**3 / 3 + r**4 / 4),
            r**3 - r**4 / 2,
            length * (r**4 / 4 - r**3 / 3),
        ]
    )


_FACTORIAL = (1.0, 1.0, 2.0, 6.0, 24.0, 120.0)


def _rise(x: Floats, power: int, start: Floats) -> Floats:
    """x^power/power! outer start."""
    return np.multiply.outer(x**power / _FACTORIAL[power], start)


def _ramp(x: Floats, start: Floats, power: int) -> Floats:
    """Macaulay bracket <x - start>^power/power!, shape (len(x), len(start))."""
    return np.maximum(np.subtract.outer(x, start), 0.0) ** power / _FACTORIAL[power]


def _span_of(x: Floats, run: Floats) -> NDArray[np.intp]:
    return np.clip(np.searchsorted(run, x, side="right") - 1, 0, len(run) - 2)


def _even_stations(run: Floats, cells: Floats, points: Floats, steps: int, slack: float) -> Floats:
    if steps < 1:
        raise ValueError(f"{steps} stations in a span; at least 1 is needed")
    even = [np.linspace(a, b, steps + 1) for a, b in pairwise(run)]
    extra = np.sort(np.concatenate([*even, cells.ravel(), points]))
    # Of several names for one place keep the support's own, so that a support stays exact.
    near = np.abs(np.subtract.outer(extra, run)).min(axis=1) <= slack
    rest = extra[~near]
    apart = np.diff(rest, prepend=-np.inf) > slack
    return np.asarray(np.sort(np.concatenate([run, rest[apart]])))


def _supports(supports: ArrayLike) -> Floats:
    run = np.array(supports, dtype=float)
    if run.ndim != 1 or len(run) < 2:
        raise ValueError("a sheet run needs at least two supports, given as one list of x in m")
    if not np.all(np.isfinite(run)):
        raise ValueError("a support position is not a finite number")
    for i in np.flatnonzero(np.diff(run) <= 0):
        raise ValueError(
            f"supports out of order: x = {run[i + 1]:g} m follows x = {run[i]:g} m; "
            "each must lie beyond the one before"
        )
    return run


def _rigidity(stiffness: ArrayLike, spans: int) -> Floats:
    ei = np.array(stiffness, dtype=float)
    if ei.ndim > 1 or (ei.ndim == 1 and len(ei) != spans):
        raise ValueError(f"stiffness: {ei.size} values for {spans} spans; give one, or one a span")
    if not np.all(np.isfinite(ei) & (ei > 0)):
        raise ValueError("stiffness (EI) must be a finite number above 0 N m² per metre width")
    return np.array(np.broadcast_to(ei, (spans,)))


def _springs(springs: ArrayLike | None, supports: int) -> Floats:
    if springs is None:
        return np.full(supports, np.inf)
    k = np.array(springs, dtype=float)
    if k.shape != (supports,):
        raise ValueError(f"springs: {k.size} values for {supports} supports; give one a support")
    if not np.all(k > 0):
        raise ValueError("a support spring must be above 0 N/m per metre width (inf is rigid)")
    return k


def _inside(places: ArrayLike, run: Floats, slack: float, what: str) -> Floats:
    x = np.array(places, dtype=float).reshape(-1)
    for value in x[~((x >= run[0] - slack) & (x <= run[-1] + slack))]:
        raise ValueError(
            f"{what} at x = {value:g} m is outside the run, {run[0]:g} to {run[-1]:g} m"
        )
    return np.asarray(np.clip(x, run[0], run[-1]))


def _cells(cells: ArrayLike, run: Floats, slack: float) -> Floats:
    given = np.array(cells, dtype=float)
    if given.size == 0:
        return np.zeros((0, 2))
    if given.ndim != 2 or given.shape[1] != 2:
        raise ValueError("cells must be pairs of x: where each starts and where it ends, in m")
    for i, (start, end) in enumerate(given):
        if not (start >= run[0] - slack and end <= run[-1] + slack):
            raise ValueError(
                f"cell {i}, {start:g} to {end:g} m, is outside the run, {run[0]:g} to {run[-1]:g} m"
            )
        if not end - start > slack:
            raise ValueError(f"cell {i} has no length: {start:g} to {end:g} m")
    order = np.argsort(given[:, 0])
    for i, j in pairwise(order):
        if given[j, 0] < given[i, 1] - slack:
            raise ValueError(f"cells {i} and {j} overlap between x = {given[j, 0]:g} m and beyond")
    return np.asarray(np.clip(given, run[0], run[-1]))
