"""Ground that two crews could share: a front enters where no other front is too near."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import simpy

from pourday.floor.access.zones import Shared, too_near
from pourday.scenario.model.scenario import Site


class Ground:
    """Shared ground; who finds it taken waits his turn.

    A front that does not place steps out, so that nobody waits for somebody who waits for him.
    """

    __slots__ = ("_env", "_held", "_queue", "_site")

    def __init__(
        self,
        env: simpy.Environment,
        site: Site,
        held: Mapping[int, Shared] | None = None,
        queue: Sequence[tuple[int, Shared]] = (),
    ) -> None:
        """``held`` says who stands where, ``queue`` who waits for which ground, in order."""
        self._env = env
        self._site = site
        self._held: dict[int, Shared] = dict(held or {})
        self._queue: list[tuple[int, Shared, simpy.Event]] = [
            (front, ground, env.event()) for front, ground in queue
        ]

    def enter(self, front: int, ground: Shared) -> simpy.Event | None:
        """Enter: ``None`` where the ground is free, else the event to wait for."""
        if self._held.get(front) is ground:
            return None
        self.leave(front)
        if self._free(front, ground):
            self._held[front] = ground
            return None
        turn = self._env.event()
        self._queue.append((front, ground, turn))
        return turn

    def turn_of(self, front: int) -> simpy.Event:
        """What a front that waits for ground waits for."""
        return next(turn for other, _, turn in self._queue if other == front)

    def leave(self, front: int) -> None:
        """Step out; whoever can enter now does, in the order in which they came."""
        if self._held.pop(front, None) is None:
            return
        waiting, self._queue = self._queue, []
        for other, ground, turn in waiting:
            if self._free(other, ground):
                self._held[other] = ground
                turn.succeed()
            else:
                self._queue.append((other, ground, turn))

    def give_up(self, front: int) -> None:
        """A front no longer waits for any ground."""
        self._queue = [each for each in self._queue if each[0] != front]

    @property
    def empty(self) -> bool:
        """Whether nobody is in shared ground, nor waits to enter any."""
        return not self._held and not self._queue

    @property
    def held(self) -> dict[int, Shared]:
        """Who stands in which ground."""
        return dict(self._held)

    @property
    def queue(self) -> tuple[tuple[int, Shared], ...]:
        """Who waits for which ground, in order."""
        return tuple((front, ground) for front, ground, _ in self._queue)

    def _free(self, front: int, ground: Shared) -> bool:
        return not any(
            too_near(ground, other, self._site)
            for holder, other in self._held.items()
            if holder != front
        )
