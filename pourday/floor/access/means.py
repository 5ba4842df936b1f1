"""Placing with a line pump or with a crane and skip: lengths of pipe, output, one skip's cycle.

A line pump pushes through pipes laid over the deck; the front draws back, and pipe by pipe comes
off. A crane fetches skip by skip: fill, hoist and slew, empty, and back again.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain, pairwise

from pourday.floor.strips import Strip


def line_length(
    strip: Strip, upward: bool, entry: tuple[float, float], riser: float
) -> tuple[float, float]:
    """Length of the line (m) with the front at the strip's start and at its end.

    Pipes are laid square (common practice, no source): the riser, along x from ``entry`` (x and y
    where the line comes onto the floor, m), along y to the middle of the front. ``riser``
    is the length of pipe from the pump to the entry (m).

    Raises:
        ValueError: the riser is negative.
    """
    course = line_course(strip, upward, entry, riser)
    return course[0], course[-1]


def line_course(
    strip: Strip, upward: bool, entry: tuple[float, float], riser: float
) -> tuple[float, ...]:
    """Length of the line (m) at the strip's start, where the front passes the entry, at its end.

    As ``line_length``. The line is shortest where the front passes the entry; where that is not
    inside the strip there are two lengths only, and between neighbours the length is linear.

    Raises:
        ValueError: the riser is negative.
    """
    if riser < 0:
        raise ValueError(f"riser must be at least 0 m long, not {riser}")
    passed = entry[0] if strip.along == "x" else entry[1]
    turn = [passed] if strip.low < passed < strip.high else []
    fronts = [strip.at(place) for place in (strip.low, *turn, strip.high)]
    lengths = tuple(riser + abs(x - entry[0]) + abs(y - entry[1]) for x, y in fronts)
    return lengths if upward else lengths[::-1]


def pipes_changed(lengths: Sequence[Sequence[float]], pipe: float) -> tuple[int, ...]:
    """Pipes taken off or put on before and along each strip, one number a strip.

    Args:
        lengths: for each strip in placing order, lengths of the line (m) from its start to its
            end: those of ``line_length`` or, where a front may pass the entry, ``line_course``.
        pipe: length of one pipe (m).

    A line needs whole pipes. The change before a strip is from the end of the strip before it;
    before the first strip there is none, since laying the line belongs to setting up. Pipes that
    are only shifted sideways to the next strip are not counted.

    Raises:
        ValueError: the pipe has no length, or a strip no lengths.
    """
    return tuple(sum(map(abs, steps)) for steps in _steps(lengths, pipe))


def pipes_put_on(lengths: Sequence[Sequence[float]], pipe: float) -> tuple[int, ...]:
    """As :func:`pipes_changed`, but only pipes put on: they have to be filled."""
    return tuple(sum(step for step in steps if step > 0) for steps in _steps(lengths, pipe))


def pipes_in(length: float, pipe: float) -> int:
    """Whole pipes in a line of that length (both m)."""
    # A hair of rounding must not ask for one pipe more.
    return math.ceil(length / pipe - 1e-9)


def _steps(lengths: Sequence[Sequence[float]], pipe: float) -> list[list[int]]:
    """Changes in the number of pipes before and along each strip, + put on."""
    if not pipe > 0:
        raise ValueError(f"pipe must be longer than 0 m, not {pipe}")
    if not all(lengths):
        raise ValueError("every strip needs the length of its line")
    pipes = [[pipes_in(length, pipe) for length in course] for course in lengths]
    ends = [course[-1:] for course in pipes[:-1]]
    return [
        [b - a for a, b in pairwise(chain(before, course))]
        for before, course in zip([[], *ends], pipes, strict=False)
    ]


def output_share(
    length: float, rise: float, loss_per_100m: float, loss_per_10m_rise: float
) -> float:
    """Share of a line pump's rated output that is left at the end of its line, 0 to 1.

    Args:
        length: whole length of the line, riser included (m).
        rise: height of the floor over the pump (m); pumping down gains nothing.
        loss_per_100m: share lost for each 100 m of line.
        loss_per_10m_rise: share lost for each 10 m of rise, on top of the riser's own length.

    Linear, never below 0. If a metre of riser counts as n metres of level line,
    ``loss_per_10m_rise`` is (n - 1) / 10 of ``loss_per_100m``.

    Raises:
        ValueError: a length or a loss is below 0.
    """
    if min(length, loss_per_100m, loss_per_10m_rise) < 0:
        raise ValueError(
            f"length {length} m and losses {loss_per_100m} and {loss_per_10m_rise} "
            "must not be below 0"
        )
    lost = loss_per_100m * length / 100.0 + loss_per_10m_rise * max(rise, 0.0) / 10.0
    return max(0.0, 1.0 - lost)


@dataclass(frozen=True)
class CraneSpeeds:
    """Speeds of a crane: ``hoist`` m/s and ``slew`` rad/s.

    With ``overlap`` it hoists and slews at the same time, so the longer counts; else one after the
    other.
    """

    hoist: float
    slew: float
    overlap: bool = False


def hoist_cycle(
    crane: CraneSpeeds, height: float, angle: float, fill: float = 0.0, empty: float = 0.0
) -> float:
    """Time of one skip (s): filled, up and round, emptied, back round and down.

    Args:
        crane: how fast it hoists and slews.
        height: from the loading place to the floor (m), up or down.
        angle: of the slew (rad), as from ``slew_angle``.
        fill: time to fill the skip (s).
        empty: time to empty it (s).

    The trolley runs while the crane slews and adds nothing (common practice, no source).

    Raises:
        ValueError: a time or the angle is negative, or a speed is not above 0.
    """
    if min(fill, empty, angle) < 0:
        raise ValueError(f"fill {fill} s, empty {empty} s and angle {angle} must not be below 0")
    if not (crane.hoist > 0 and crane.slew > 0):
        raise ValueError(f"speeds must be above 0, not {crane.hoist} m/s and {crane.slew} rad/s")
    hoist, slew = abs(height) / crane.hoist, angle / crane.slew
    way = max(hoist, slew) if crane.overlap else hoist + slew
    return fill + way + empty + way


def slew_angle(
    crane: tuple[float, float], loading: tuple[float, float], target: tuple[float, float]
) -> float:
    """Angle (rad, 0 to pi) a crane turns from the loading place to the target, the shorter way.

    All are x and y in m. At the crane's foot there is no direction: the angle is 0.
    """
    ax, ay = loading[0] - crane[0], loading[1] - crane[1]
    bx, by = target[0] - crane[0], target[1] - crane[1]
    if ax == ay == 0 or bx == by == 0:
        return 0.0
    return math.atan2(abs(ax * by - ay * bx), ax * bx + ay * by)
