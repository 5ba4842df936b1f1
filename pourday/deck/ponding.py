"""How thick the slab becomes when the deck sags while it is struck off.

A cell is struck once, with the sag of that moment: what stands, its own weight, the crew on it.
What is placed later moves a surface that is already struck, and nobody comes back to level it.
So concrete used and level lost depend on the order, and both come out of one forward pass.

Level is measured downward from the datum: surface level = theory + sag - thickness.
Units: m, Pa, N/m³, per metre width of deck.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
How = Literal["datum", "pins", "guides", "thickness"]
HOWS: tuple[How, ...] = ("datum", "pins", "guides", "thickness")

# Up to this many cells all eigenvalues are worked out; beyond, only the largest.
_SMALL = 200
# A slab this many times its theory is no slab: the pour was stopped long before.
RUNAWAY = 10.0


class DeckTooSoftError(ValueError):
    """Levelling this deck never ends: it sags under its fill by more than the fill adds."""


@dataclass(frozen=True, eq=False)
class Struck:
    """What each of the C cells holds when the floor is full and the crew has gone; all (C,) m."""

    thickness: Floats
    """Struck thickness."""
    extra: Floats
    """Thickness above theory."""
    sag_when_struck: Floats
    """Mean sag of the cell at the moment it was struck, bare deck and crew included."""
    final_sag: Floats
    """Mean sag at the end, all cells placed, crew gone."""
    later_movement: Floats
    """Movement of the struck surface after it was struck, downward positive."""
    struck_in: NDArray[np.intp]
    """(C,) the step in which each cell was struck."""
    load_then: Floats
    """(K, C) Pa on every cell at the moment of striking in each step, crew included, the deck's own
    weight not."""


@dataclass(frozen=True, eq=False)
class SaggingDeck:
    """A deck of C cells that sags under the concrete it is to carry; see :func:`sagging_deck`."""

    mean_deflection: Floats
    """(C, C) m per Pa, mean sag of cell i under unit pressure on cell j."""
    unit_weight: float
    """N/m³ of the wet concrete."""
    theory: Floats
    """(C,) m, thickness where the deck does not sag."""
    bare_sag: Floats
    """(C,) m, sag of the bare deck under its own weight."""
    later: Floats | None = None
    """(C, C) m per Pa, the part of ``mean_deflection`` that a step's own weight brings about only
    after the step is struck. None: nothing."""
    pins: Floats | None = None
    """(C, C) m per Pa, how far pins on the beams go down, over cell i for pressure on cell j; None
    where nothing under them does."""


def sagging_deck(
    mean_deflection: ArrayLike,
    unit_weight: float,
    theory: ArrayLike,
    bare_sag: ArrayLike = 0.0,
    pins: Floats | None = None,
) -> SaggingDeck:
    """Cells to be levelled, with what they carry; ``theory`` and ``bare_sag`` may be one value.

    Raises:
        ValueError: shapes do not fit, or a thickness or the unit weight is not above 0.
    """
    a = np.asarray(mean_deflection, dtype=float)
    if a.ndim != 2 or a.shape[0] != a.shape[1] or not len(a):
        raise ValueError(
            f"mean_deflection is {a.shape}; it must be square, a row and column a cell"
        )
    h0 = np.broadcast_to(np.asarray(theory, dtype=float), (len(a),))
    bare = np.broadcast_to(np.asarray(bare_sag, dtype=float), (len(a),))
    if not np.all(h0 > 0):
        raise ValueError("the theoretical thickness must be above 0 m in every cell")
    if not unit_weight > 0:
        raise ValueError(f"unit weight is {unit_weight:g} N/m³; it must be above 0")
    return SaggingDeck(a, unit_weight, h0, bare, pins=pins)


def strike(
    deck: SaggingDeck,
    steps: Sequence[Sequence[int]],
    *,
    how: How = "datum",
    neighbours: Sequence[Sequence[int]] | None = None,
    crew: ArrayLike | None = None,
    again: Sequence[Sequence[int]] | None = None,
) -> Struck:
    """Place and strike every cell in order.

    Parameters
    ----------
    deck : its C cells, and what they carry.
    steps : groups of cells placed and struck together, in order; every cell exactly once.
    how : "datum", struck at a fixed level, the sag is filled; "pins", struck at the level of pins
        that stood at the datum on the bare deck's beams and have gone down with them since;
        "guides", struck level with the mean present surface of the neighbours that stand already,
        with the datum where none does; "thickness", struck to theory, the surface follows the sag.
    neighbours : C lists of cells whose surface carries the screed; needed for "guides".
    crew : (K, C) Pa on every cell while step k is struck; gone afterwards.
    again : K groups of cells placed by then, struck for good when step k is placed: the screed
        follows behind the front. Every cell exactly once; until then it lies as raked, level as
        it was placed. Left out, each step is struck as it is placed.

    Raises
    ------
    DeckTooSoftError
        Levelling diverges, or a thickness comes out negative or beyond any slab.
    ValueError
        Shapes do not fit, a cell is left out or placed twice, unknown `how`.
    """
    a, unit_weight, h0 = deck.mean_deflection, deck.unit_weight, deck.theory
    cells = len(h0)
    _each_once(steps, cells)
    on_top = np.zeros((len(steps), cells)) if crew is None else np.asarray(crew, dtype=float)
    if on_top.shape != (len(steps), cells):
        raise ValueError(f"crew is {on_top.shape}; it must be (steps, cells), {len(steps), cells}")
    if how not in HOWS:
        raise ValueError(f'how is {how!r}; it must be "datum", "pins", "guides" or "thickness"')
    if how == "guides" and (neighbours is None or len(neighbours) != cells):
        raise ValueError(f'"guides" needs the neighbours of each of the {cells} cells')
    if again is not None:
        _each_once(again, cells)
    if how != "thickness":
        _must_settle(unit_weight * a, np.arange(cells))
    placing = _Placing(deck, how, neighbours or ())
    struck_sag, struck_in = np.zeros(cells), np.zeros(cells, dtype=np.intp)
    load_then = np.zeros_like(on_top)
    for k, (group, load) in enumerate(zip(steps, on_top, strict=True)):
        g = np.asarray(group, dtype=np.intp)
        if again is not None:
            placing.level(g, np.zeros(cells), False)
            g = np.asarray(again[k], dtype=np.intp)
        on_it = placing.level(g, load, again is not None)
        placing.stands[g] = True
        struck_sag[g], struck_in[g] = (placing.sag + on_it)[g], k
        if deck.later is not None and again is None:
            struck_sag[g] -= unit_weight * (deck.later[np.ix_(g, g)] @ placing.h[g])
        load_then[k] = unit_weight * placing.h + load
    h, end = placing.h, placing.sag
    return Struck(h, h - h0, struck_sag, end, end - struck_sag, struck_in, load_then)


class _Placing:
    """The deck as it fills: ``h`` (C,) m placed, ``sag`` (C,) m of bare deck and concrete, and
    which cells ``stands`` (struck for good)."""

    def __init__(self, deck: SaggingDeck, how: How, neighbours: Sequence[Sequence[int]]) -> None:
        self.deck, self.how, self.neighbours = deck, how, neighbours
        self.h = np.zeros(len(deck.theory))
        self.stands = np.zeros(len(deck.theory), dtype=bool)
        self.sag = np.array(deck.bare_sag)
        self.pins_down = np.zeros(len(deck.theory))

    def level(self, g: NDArray[np.intp], load: Floats, behind: bool) -> Floats:
        """Level the cells g under a passing load (C,) Pa, and say how far that bends the deck.

        ``behind`` the front: all of the weight of g is on the deck by then.
        """
        deck, pins = self.deck, self.deck.pins
        loaded = np.flatnonzero(load)
        on_it = np.asarray(deck.mean_deflection[:, loaded] @ load[loaded])
        if not len(g):
            return on_it
        own = self._own(g, behind)
        self._place(g, -self.h[g])
        if self.how == "thickness":
            thick = deck.theory[g]
        elif self.how == "pins" and pins is not None:
            down = self.pins_down[g] + pins[np.ix_(g, loaded)] @ load[loaded]
            # Of what a step's own weight does to the beams half is still to come; so it is of pins.
            moved = pins[np.ix_(g, g)] * (1.0 if behind or deck.later is None else 0.5)
            fill = deck.theory[g] + (self.sag + on_it)[g] - down
            thick = _solved((own[g] - moved) * deck.unit_weight, fill, g)
        else:
            guide = np.zeros((len(g), len(self.h)))
            if self.how == "guides":
                guide = _guide_weights(g, self.neighbours, self.stands)
            thick = _thickness_of((deck, own), g, guide, self.h, self.sag + on_it)
        self._place(g, thick)
        _must_be_slab(self.h, deck.theory, g)
        return on_it

    def _own(self, g: NDArray[np.intp], behind: bool) -> Floats:
        """(C, len(g)) m per Pa on g: how far the deck goes down by its own weight until struck."""
        a, later = self.deck.mean_deflection[:, g], self.deck.later
        return a if behind or later is None else a - later[:, g]

    def _place(self, g: NDArray[np.intp], more: Floats) -> None:
        if not more.any():
            return
        self.h[g] += more
        self.sag += self.deck.unit_weight * (self.deck.mean_deflection[:, g] @ more)
        if self.how == "pins" and self.deck.pins is not None:
            self.pins_down += self.deck.unit_weight * (self.deck.pins[:, g] @ more)


def all_at_once(deck: SaggingDeck) -> Floats:
    """Thickness (C,) m if the whole run were levelled at once: (I - A w) h = theory + bare sag.

    The upper reference for a pour to datum, never what an order of placing gives. Errors as in
    :func:`strike`.
    """
    h0, feedback = deck.theory, deck.unit_weight * deck.mean_deflection
    _must_settle(feedback, np.arange(len(h0)))
    h = np.asarray(np.linalg.solve(np.eye(len(h0)) - feedback, h0 + deck.bare_sag), dtype=float)
    _must_be_slab(h, h0, np.arange(len(h0)))
    return h


def placed_pressures(
    thickness: ArrayLike,
    steps: Sequence[Sequence[int]],
    unit_weight: float,
    crew: ArrayLike | None = None,
) -> Floats:
    """Pressure (K, C) Pa on every cell at the moment each step is struck, crew included.

    `thickness` (C,) m as struck, `steps` and `crew` as in :func:`strike`.
    """
    h = np.asarray(thickness, dtype=float)
    out = np.zeros((len(steps), len(h)))
    for k, group in enumerate(steps):
        out[k:, list(group)] = unit_weight * h[list(group)]
    return out if crew is None else out + np.asarray(crew, dtype=float)


def mean_extra(struck: Struck, areas: ArrayLike) -> float:
    """Concrete above theory as a mean thickness, m; `areas` (C,) m² or lengths of the cells."""
    return float(np.average(struck.extra, weights=np.asarray(areas, dtype=float)))


def _thickness_of(
    of: tuple[SaggingDeck, Floats],
    g: NDArray[np.intp],
    guide: Floats,
    h: Floats,
    sag: Floats,
) -> Floats:
    """Thickness of group g, whose own weight bends it while it is struck.

    `of` are the deck and what the group's own weight does until then, (C, len(g)) m per Pa; `h`
    (C,) is the thickness of what stands, `sag` (C,) that of all cells before the group's own
    weight, crew included.
    """
    (deck, own), h0 = of, of[0].theory
    # The screed's level is the mean level of its guides, which the group's weight moves too.
    moved = guide @ own if guide.any() else 0.0
    level = guide @ (h0 + sag - h) if guide.any() else 0.0
    return _solved(deck.unit_weight * (own[g] - moved), h0[g] + sag[g] - level, g)


def _solved(feedback: Floats, fill: Floats, g: NDArray[np.intp]) -> Floats:
    """Thickness of group g: (I - feedback) h = fill.

    Raises DeckTooSoftError where that never ends.
    """
    _must_settle(feedback, g)
    return np.asarray(np.linalg.solve(np.eye(len(g)) - feedback, fill))


def _guide_weights(
    g: NDArray[np.intp], neighbours: Sequence[Sequence[int]], stands: NDArray[np.bool_]
) -> Floats:
    """(len(g), C) weights that take the mean over the neighbours that stand; zero where none."""
    out = np.zeros((len(g), len(stands)))
    for row, cell in enumerate(g):
        ready = [n for n in neighbours[cell] if stands[n]]
        out[row, ready] = 1.0 / max(len(ready), 1)
    return out


def _must_settle(feedback: Floats, names: NDArray[np.intp]) -> None:
    """Raise where filling the sag makes more sag than it fills."""
    radius, worst = _largest_feedback(feedback)
    if radius < 1.0:
        return
    raise DeckTooSoftError(
        f"deck too soft to level: each metre of fill makes it sag {radius:.2f} m more, worst in "
        f"cell {int(names[worst])}, so filling the sag never ends; prop it, stiffen it or shorten "
        "the span"
    )


def _largest_feedback(feedback: Floats) -> tuple[float, int]:
    """Spectral radius, and the cell that takes the greatest part in it."""
    if len(feedback) <= _SMALL:
        values, vectors = np.linalg.eig(feedback)
        most = int(np.argmax(np.abs(values)))
        return float(np.abs(values[most])), int(np.argmax(np.abs(vectors[:, most])))
    # A whole floor: power iteration in pairs of steps, so that an eigenvalue -r beside r, or one
    # of a sign that flips, is found all the same.
    vector = np.linspace(1.0, 2.0, len(feedback))
    radius = 0.0
    for _ in range(200):
        vector = feedback @ (feedback @ vector)
        size = float(np.linalg.norm(vector))
        if size == 0.0:
            return 0.0, 0
        vector /= size
        if abs(np.sqrt(size) - radius) <= 1e-9 * radius:
            break
        radius = float(np.sqrt(size))
    return radius, int(np.argmax(np.abs(vector)))


def _must_be_slab(h: Floats, h0: Floats, g: NDArray[np.intp]) -> None:
    for cell in g:
        if h[cell] < 0:
            raise DeckTooSoftError(
                f"no concrete left: cell {cell} lies above the level to be struck "
                f"({h[cell]:.3f} m of concrete); less precamber, another order, or strike to "
                "thickness"
            )
        if h[cell] > RUNAWAY * h0[cell]:
            raise DeckTooSoftError(
                f"deck too soft to level: cell {cell} takes {h[cell]:.2f} m of concrete where "
                f"{h0[cell]:.3f} m was meant, because its fill makes it sag nearly as much again"
            )


def _each_once(steps: Sequence[Sequence[int]], cells: int) -> None:
    order = [cell for group in steps for cell in group]
    if sorted(order) != list(range(cells)):
        raise ValueError(f"steps must place each of the cells 0 to {cells - 1} once, found {order}")
