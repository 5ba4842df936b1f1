"""Signals answered for a while, so that whatever has been begun is also ended."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType
from typing import NoReturn

Answer = Callable[[int, FrameType | None], None]


def leave(number: int, _: FrameType | None) -> NoReturn:
    """End the program through every ``finally``, with the exit code that a shell gives a signal."""
    raise SystemExit(128 + number)


@contextmanager
def answered(answer: Answer, *numbers: int) -> Iterator[None]:
    """Answer these signals so, then as before; outside the main thread nothing changes."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = [signal.signal(number, answer) for number in numbers]
    try:
        yield
    finally:
        for number, handler in zip(numbers, before, strict=True):
            signal.signal(number, handler)
