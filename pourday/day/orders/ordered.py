"""A day on which orders are given: played from one to the next, each at its moment."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from pourday.day.bound import run_out
from pourday.day.log import DayLog, Order
from pourday.day.orders.obey import Given, OrderError, obey
from pourday.day.play import day_log, open_ready
from pourday.day.state import DayState
from pourday.day.take_up import snapshot


@dataclass(frozen=True, eq=False)
class Ordered:
    """A day that was played with orders; those that came to nothing, each with the reason."""

    log: DayLog
    refused: tuple[tuple[Order, str], ...]


def after(time: float) -> float:
    """The moment right after everything that happens at ``time`` (s)."""
    return math.nextafter(time, math.inf)


def play_ordered(
    given: Given, orders: Sequence[Order], begin: DayState | None = None, blind: bool = True
) -> Ordered:
    """The day with its orders, in order of time; without any it is the plain day, bit for bit.

    Args:
        given: the plan made ready, the number of the day, what goes wrong.
        orders: what is ordered; one that cannot be obeyed any more changes nothing.
        begin: how the day stands when it is taken up; its morning unless told.
        blind: nobody knows how long a stop lasts before it is over.
    """
    state, refused = begin, list[tuple[Order, str]]()
    for order in sorted(orders, key=lambda each: each.at):
        state = state_at(given, order.at, state, blind)
        try:
            state = obey(given, state, order)
        except OrderError as error:
            refused.append((order, str(error)))
    day = open_ready(given.plan, given.seed, given.upsets, state)
    day.blind = day.blind or blind
    run_out(day)
    return Ordered(day_log(day), tuple(refused))


def state_at(
    given: Given, time: float, begin: DayState | None = None, blind: bool = True
) -> DayState:
    """How the day stands at ``time`` (s): what comes then has not happened yet."""
    day = open_ready(given.plan, given.seed, given.upsets, begin)
    day.blind = day.blind or blind
    if time > day.env.now:
        day.env.run(until=time)
    return snapshot(day)
