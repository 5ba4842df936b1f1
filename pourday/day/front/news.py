"""Who is told: the one who calls concrete for a front waits for news of one kind at a time."""

from __future__ import annotations

import simpy

NEED, TRUCK, ROOM, STOP = "need", "truck", "room", "stop"
"""What there may be news of: what the front needs, trucks in a yard, room on the site, a stop."""


class News:
    """News for the one who calls concrete for a front. ``awaited`` is the kind he waits for."""

    __slots__ = ("_changed", "_env", "awaited")

    def __init__(self, env: simpy.Environment) -> None:
        self._env = env
        self._changed: simpy.Event | None = None
        self.awaited = ""

    def tell(self, *kinds: str) -> None:
        """Wake him where he waits for one of ``kinds``."""
        if self._changed is not None and self.awaited in kinds:
            changed, self._changed = self._changed, None
            changed.succeed()

    def wait(self, kind: str) -> simpy.Event:
        """What he waits on until there is news of that kind."""
        self.awaited = kind
        self._changed = self._env.event()
        return self._changed
