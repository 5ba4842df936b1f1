"""One rehearsed day: played with what went wrong and what was ordered, and its rests tried out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from pourday.day.front.ready import Ready, ready
from pourday.day.log import Order
from pourday.day.orders.obey import Given, obey
from pourday.day.orders.ordered import after, play_ordered, state_at
from pourday.day.play import upsets_of_day
from pourday.day.state import DayState
from pourday.outcome.base.basis import Basis
from pourday.outcome.measure import Outcome, measure
from pourday.scenario.base.upsets import Upset
from pourday.study.choices.rests import RESTS, Choice, Figures, play_choices


@dataclass(frozen=True, eq=False)
class Rehearsed:
    """A plan's day that is stepped through, on which nobody knows how long a stop lasts."""

    basis: Basis
    seed: int
    rests: int = RESTS

    @cached_property
    def plan(self) -> Ready:
        """The plan made ready."""
        return ready(self.basis.scenario, self.basis.plan, self.basis.layout)

    def day(
        self, upsets: tuple[Upset, ...] | None = None, orders: Sequence[Order] = ()
    ) -> tuple[Outcome, tuple[tuple[Order, str], ...]]:
        """The day with these upsets and orders, measured; the orders that came to nothing, and why.

        Its own upsets unless told.
        """
        played = play_ordered(self._given(upsets), orders)
        return measure(self.basis, played.log), played.refused

    def check(
        self, upsets: tuple[Upset, ...], orders: Sequence[Order], asked: Sequence[Order]
    ) -> None:
        """Whether orders could be obeyed one after the other, given at one moment.

        Raises:
            OrderError: where one cannot, with the reason.
        """
        state = self._state(upsets, orders, asked[0].at)
        for order in asked:
            state = obey(self._given(upsets), state, order)

    def compare(
        self,
        upsets: tuple[Upset, ...],
        orders: Sequence[Order],
        at: float,
        choices: Sequence[Choice],
    ) -> tuple[Figures, ...]:
        """What becomes of each choice made at ``at`` (s), in many rests of the day.

        Raises:
            OrderError: where one cannot be obeyed, with the reason.
        """
        state = self._state(upsets, orders, at)
        return play_choices(self.basis, self._given(upsets), state, choices, self.rests)

    def _given(self, upsets: tuple[Upset, ...] | None) -> Given:
        if upsets is None:
            upsets = upsets_of_day(self.basis.scenario, self.basis.plan, self.seed)
        return Given(self.plan, self.seed, upsets)

    def _state(self, upsets: tuple[Upset, ...], orders: Sequence[Order], at: float) -> DayState:
        """How the day stands at ``at`` (s), the orders before it obeyed."""
        given, state = self._given(upsets), None
        for order in sorted(orders, key=lambda each: each.at):
            if order.at <= at:
                state = state_at(given, order.at, state)
                try:
                    state = obey(given, state, order)
                except ValueError:
                    continue
        return state_at(given, at, state)


def moment_of(time: float) -> float:
    """When an order is given on a page that shows ``time`` (s): right after what happens then."""
    return after(time)
