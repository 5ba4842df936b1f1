"""Which set-up place of a boom serves which part of every strip.

Stand where the pump stands and draw a circle as far as the boom goes: what lies inside can be
placed from here. A strip is placed across its whole width at once, so both its sides must lie in
the circle. When the front leaves the circle, the boom is folded and the pump drives to another
place; the day is planned with as few of these moves as possible.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from pourday.floor.strips import Strip

# Nobody sets up a pump to the millimetre: shorter pieces of a strip are not told apart (m).
SLIVER = 1e-3


@dataclass(frozen=True)
class Leg:
    """Part of a strip served from one set-up place, in the direction of the front.

    ``place`` is the index of the set-up place; ``begin`` > ``end`` (m along the way of the front)
    where it runs from high to low.
    """

    place: int
    begin: float
    end: float


@dataclass(frozen=True)
class Legs:
    """Legs of every strip in placing order, the moves they take, and what nothing reaches.

    ``of[k]`` holds the legs of strip k, none where no place reaches it. ``moves`` counts changes
    of place over the whole day; setting up at the first place is no move. ``out_of_reach`` holds
    (strip name, from, to) in m, in the direction of the front.
    """

    of: tuple[tuple[Leg, ...], ...]
    moves: int
    out_of_reach: tuple[tuple[str, float, float], ...]


@dataclass(frozen=True)
class Piece:
    """Part of strip ``strip`` that the same set-up places reach from end to end."""

    strip: int
    begin: float
    end: float
    places: frozenset[int]


def reachable(
    strip: Strip, place: tuple[float, float], reach: float | None
) -> tuple[float, float] | None:
    """Part of a strip that a boom reaches across the whole width: low and high end (m), or None.

    Ends lie along the way of the strip's front, y or x.

    Args:
        strip: the strip; its openings are not looked at.
        place: x and y of the pump (m, those of the floor; may lie outside it).
        reach: horizontal reach at the level of the floor (m); infinite or None is no limit.

    Ends within 1 mm of the strip's end count as that end; less than 1 mm in all is None.

    Raises:
        ValueError: the reach is negative or no number.
    """
    if reach is None:
        return strip.low, strip.high
    if not reach >= 0:
        raise ValueError(f"reach of a boom must be at least 0 m, not {reach}")
    # Wherever the front stands the furthest point across is the side further from the pump.
    here, beside = place if strip.along == "x" else place[::-1]
    aside = max(abs(side - beside) for side in strip.sides)
    if aside > reach:
        return None
    # As a product it stays exact where the two are nearly the same.
    half = math.sqrt((reach - aside) * (reach + aside))
    low, high = max(strip.low, here - half), min(strip.high, here + half)
    if high - low < SLIVER:
        return None
    low = strip.low if low - strip.low < SLIVER else low
    high = strip.high if strip.high - high < SLIVER else high
    return low, high


def legs(
    strips: Sequence[Strip],
    upward: Sequence[bool],
    places: Sequence[tuple[float, float]],
    reach: float | None,
) -> Legs:
    """Set-up places for every part of every strip, with the fewest moves of the pump over the day.

    Args:
        strips: strips of one front in placing order.
        upward: for each strip, whether its front runs from low to high y.
        places: x and y of each set-up place (m).
        reach: horizontal reach of the boom (m); infinite or None is served from place 0.

    The fewest moves are exact. Among plans with equally few, the pump moves between strips rather
    than inside one, where a front would stand open; then as late as it can; then places named
    first are taken. What no place reaches is left out of the legs and reported; the pump stays
    where it is meanwhile.

    Raises:
        ValueError: directions do not match strips, or the reach is negative or no number.
    """
    limit = math.inf if reach is None else reach
    served: list[Piece] = []
    holes: list[tuple[str, float, float]] = []
    for k, (strip, up) in enumerate(zip(strips, upward, strict=True)):
        for piece in pieces(k, strip, up, places, limit):
            if piece.places:
                served.append(piece)
            else:
                holes.append((strip.name, piece.begin, piece.end))
    chosen = _fewest_moves(served)
    of: list[list[Leg]] = [[] for _ in strips]
    for piece, place in zip(served, chosen, strict=True):
        own = of[piece.strip]
        # A circle meets a strip in one part, so nothing out of reach lies between the two.
        if own and own[-1].place == place:
            own[-1] = Leg(place, own[-1].begin, piece.end)
        else:
            own.append(Leg(place, piece.begin, piece.end))
    moves = sum(a != b for a, b in pairwise(chosen))
    return Legs(tuple(tuple(own) for own in of), moves, tuple(holes))


def pieces(
    index: int, strip: Strip, up: bool, places: Sequence[tuple[float, float]], reach: float
) -> Iterator[Piece]:
    """A strip cut wherever its front enters or leaves the circle of a place, in placing order."""
    if reach == math.inf:
        ends = (strip.low, strip.high) if up else (strip.high, strip.low)
        yield Piece(index, *ends, frozenset({0}))
        return
    reached = [reachable(strip, place, reach) for place in places]
    cuts = [strip.low]
    for y in sorted(y for part in reached if part for y in part):
        if y - cuts[-1] >= SLIVER and strip.high - y >= SLIVER:
            cuts.append(y)
    cuts.append(strip.high)
    found = [
        Piece(
            index,
            a if up else b,
            b if up else a,
            frozenset(
                i
                for i, part in enumerate(reached)
                if part and part[0] < a + SLIVER and part[1] > b - SLIVER
            ),
        )
        for a, b in pairwise(cuts)
    ]
    yield from found if up else reversed(found)


def _fewest_moves(pieces: Sequence[Piece]) -> list[int]:
    """Place for each piece: dynamic programming from the last piece to the first.

    ``ahead[i][p]`` is (cost of the moves still to come, minus the pieces served before the next
    one) if p serves piece i. A move costs more than all pieces together, so that moves count
    first; a move inside a strip costs one more.
    """
    if not pieces:
        return []
    move = len(pieces) + 1
    ahead = [dict.fromkeys(pieces[-1].places, (0, -1))]
    for following, piece in pairwise(reversed(pieces)):
        later = ahead[-1]
        cost, _ = min(later.values())
        moved = (cost + move + (piece.strip == following.strip), -1)
        here = {}
        for place in piece.places:
            stay = later.get(place)
            here[place] = moved if stay is None else min(moved, (stay[0], stay[1] - 1))
        ahead.append(here)
    ahead.reverse()
    chosen: list[int] = []
    while len(chosen) < len(ahead):
        (_, minus_served), place = min((cost, p) for p, cost in ahead[len(chosen)].items())
        chosen += [place] * -minus_served
    return chosen
