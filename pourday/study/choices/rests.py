"""The rest of a day played many times for each of a few choices: with the same draws for all."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pourday.day.chance.streams import DaySeed
from pourday.day.log import Order
from pourday.day.orders.obey import Given, obey
from pourday.day.play import play_ready
from pourday.day.state import DayState
from pourday.outcome.base.basis import Basis
from pourday.outcome.base.tables import totals
from pourday.outcome.days import DaysOutcome, measure_days
from pourday.study.choices.unknown import rest_of

Floats = NDArray[np.float64]
RESTS = 100
# No rehearsed day has a number as large, so no rest is the very day that is rehearsed.
_FIRST = 1_000_000_000
_AT_ONCE = 25


@dataclass(frozen=True)
class Choice:
    """Something that could be done now: orders, none for going on as it is."""

    words: str
    orders: tuple[Order, ...]


@dataclass(frozen=True, eq=False)
class Figures:
    """What becomes of a choice, one figure for every rest, (rests,).

    ``finish`` is the last concrete (s), ``lost`` how many edges and stopped fronts are covered too
    late, ``money`` what the day costs, ``wasted`` what is rejected or returned (m³), ``left_out``
    what is not poured that day, by order or for want of loads (m³).
    """

    choice: Choice
    finish: Floats
    lost: Floats
    money: Floats
    wasted: Floats
    left_out: Floats


def play_choices(
    basis: Basis,
    given: Given,
    state: DayState,
    choices: Sequence[Choice],
    rests: int = RESTS,
    told: Callable[[int], None] = lambda rests: None,
) -> tuple[Figures, ...]:
    """Play so many rests of the day for every choice; rest k is the same day for all of them.

    Args:
        basis: the plan's basis.
        given: the plan made ready, the number of the rehearsed day and its upsets.
        state: how the day stands when the choice is made.
        choices: what could be done; an order that cannot be obeyed raises ``OrderError``.
        rests: how many rests.
        told: called with the number of rests just played (for a progress bar).
    """
    for choice in choices:
        _obeyed(given, state, choice)
    rows: list[list[Floats]] = [[] for _ in choices]
    for first in range(0, rests, _AT_ONCE):
        seeds = [_FIRST + k for k in range(first, min(first + _AT_ONCE, rests))]
        begun = [rest_of(given, state, DaySeed(seed)) for seed in seeds]
        for number, choice in enumerate(choices):
            logs = [
                play_ready(own.plan, own.seed, own.upsets, _obeyed(own, at, choice))
                for own, at in begun
            ]
            rows[number].append(_figures(measure_days(basis, logs)))
        told(len(seeds))
    return tuple(
        Figures(choice, *np.concatenate(found).T)
        for choice, found in zip(choices, rows, strict=True)
    )


def _obeyed(given: Given, state: DayState, choice: Choice) -> DayState:
    for order in choice.orders:
        state = obey(given, state, order)
    return state


def _figures(o: DaysOutcome) -> Floats:
    """One row for each day."""
    days = o.basis.days
    pairs = (o.by_pair(o.edges.ratio) > 1.0).sum(axis=1)
    cold = np.asarray(o.edges.stop_ratio > 1.0, dtype=np.float64)
    stops = totals(days, o.basis.day_of(o.edges.stop_strip), cold)
    wasted = totals(days, o.visits.day, o.visits.rejected + o.visits.returned)
    return np.column_stack(
        [
            [log.end for log in o.logs],
            pairs + stops,
            [cost.total for cost in o.cost],
            wasted,
            [log.left_out + log.unfinished for log in o.logs],
        ]
    ).astype(float)
