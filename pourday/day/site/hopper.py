"""Trucks in position at a pump, in order; the crew takes the first or waits for one."""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence

import simpy

from pourday.day.site.load import Load


class Hopper:
    """The line of trucks that stand ready. ``over`` says that no truck will come any more."""

    __slots__ = ("_env", "_over", "_waiting", "_watched", "line")

    def __init__(self, env: simpy.Environment, line: Sequence[Load] = (), over: bool = False):
        self._env = env
        self._over = over
        self._waiting: simpy.Event | None = None
        self._watched: simpy.Event | None = None
        self.line: deque[Load] = deque(line)

    def back_up(self, load: Load) -> None:
        """A truck stands ready."""
        if self._waiting is None:
            self.line.append(load)
            if self._watched is not None:
                watched, self._watched = self._watched, None
                watched.succeed()
        else:
            waiting, self._waiting = self._waiting, None
            waiting.succeed(load)

    def watch(self) -> simpy.Event:
        """The next truck to stand ready, for a crew that does not take it yet."""
        self._watched = self._env.event()
        return self._watched

    def close(self) -> None:
        """No truck will come any more; a crew that waits for one hears it."""
        self._over = True
        if self._waiting is not None:
            waiting, self._waiting = self._waiting, None
            waiting.succeed(None)

    def reopen(self) -> None:
        """Another front sends a truck after all."""
        self._over = False

    @property
    def closed(self) -> bool:
        """Whether no truck will come any more."""
        return self._over

    @property
    def over(self) -> bool:
        """Whether no truck stands ready, and none will come."""
        return self._over and not self.line

    def wait(self) -> simpy.Event:
        """Wait for the next truck where none stands ready; its load, ``None`` for none any more."""
        self._waiting = self._env.event()
        return self._waiting
