"""In the hut: the clock there, tickets read or complained of, and a page that follows a file."""

from __future__ import annotations

import os
import select
import sys
import time
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from pourday.commands.shared.screen import complain

if TYPE_CHECKING:
    from pourday.tickets.read import Tickets

# The clock of the hut is believed where it is no more than so long after the last line (s).
_STALE = 3 * 3600.0
# Before the first line all of the plan is to come, its first calls too (s).
_BEFORE = 3 * 3600.0
# So much of a file is before the clock where the clock is that of the pour.
_MOST = 0.8
_LOOK_S, _REPAINT_S = 0.3, 60.0
_HALF_DAY = 12 * 3600.0


def clock_now() -> float:
    """The clock, s since midnight."""
    now = datetime.now()
    return now.hour * 3600.0 + now.minute * 60.0 + now.second


def noted(path: Path, line: str) -> str:
    """Append a line, stamped with the clock; what was written."""
    from pourday.tickets.note import note

    return note(path, line, clock_now())


def tickets_at(path: Path) -> Tickets:
    """The tickets in a file; leave with exit code 2 where it cannot be read."""
    from pourday.scenario.base.disk import NoFileError
    from pourday.tickets.read import read_tickets

    try:
        return read_tickets(path)
    except NoFileError as error:
        complain(f"{path}: cannot be read ({error})")
    raise typer.Exit(2)


def moment(tickets: Tickets, asked: str | None, start: float, now: float) -> float:
    """Which moment a forecast is for (s): as asked, else by the clock, else that of the last line.

    The clock counts where it is within three hours after what was told: a file of another day is
    looked at as it ends. A line or two with a time still to come are a slip, and no clock.
    """
    from pourday.tickets.line import AHEAD, DAY

    known = sorted(line.when for line in tickets.lines if line.kind not in AHEAD)
    last = known[-1] if known else start
    if asked is not None:
        return _asked(asked, last)
    if not known:
        return start - _BEFORE
    today = now + DAY * round((known[len(known) // 2] - now) / DAY)
    told = [time for time in known if time <= today + 60.0]
    live = len(told) >= _MOST * len(known) and today <= max(told, default=-DAY) + _STALE
    return today if live else last


def _asked(text: str, last: float) -> float:
    """The moment that somebody typed, on the day that is nearest to the last line."""
    from pourday.tickets.line import DAY
    from pourday.tickets.tokens import TIME, LineError, tokens

    try:
        words = tokens(f"at {text}")
    except LineError as error:
        complain(f"--at: {error}")
        raise typer.Exit(2) from None
    if len(words) != 2 or words[1].kind != TIME:
        complain(f'--at: a clock time such as 10:30, not "{text}"')
        raise typer.Exit(2)
    time_of_day = words[1].value
    return time_of_day + (DAY if last > DAY and time_of_day < last - _HALF_DAY else 0.0)


def follow(path: Path, paint: Callable[[str], None]) -> None:
    """Paint now, and again whenever the file changes, a minute has passed, or a line is typed.

    A typed line is stamped and written into the file; ``q`` leaves, and so does Ctrl-C. ``paint``
    is told what became of it.
    """
    from pourday.tickets.tokens import LineError

    typed, said = _Typed(), ""
    try:
        while True:
            before, painted = _stamp(path), time.monotonic()
            paint(said)
            said = ""
            while _stamp(path) == before and time.monotonic() < painted + _REPAINT_S:
                line = typed.line(_LOOK_S)
                if line is None:
                    continue
                if line in ("q", "quit"):
                    return
                if not line:
                    break
                try:
                    said = _written(path, noted(path, line))
                except LineError as error:
                    said = f"NOT written: {error}"
                except OSError as error:
                    said = f"NOT written: {error.strerror}"
                break
    except KeyboardInterrupt:
        return


class _Typed:
    """Lines of standard input as they come; where that ends the page goes on by itself.

    Read from the descriptor, and never by a thread: one that waits in ``sys.stdin`` holds its lock,
    and a worker process that is forked meanwhile waits for that lock for ever.
    """

    def __init__(self) -> None:
        self._read, self._over = b"", False

    def line(self, patience: float) -> str | None:
        """The next line without its end, None where none comes within so long (s)."""
        if b"\n" not in self._read and not self._more(patience):
            return None
        line, found, self._read = self._read.partition(b"\n")
        return line.decode("utf-8", "replace").strip() if found else None

    def _more(self, patience: float) -> bool:
        if self._over:
            time.sleep(patience)
            return False
        try:
            if not select.select([sys.stdin], [], [], patience)[0]:
                return False
            came = os.read(sys.stdin.fileno(), 4096)
        except (OSError, ValueError):
            came = b""
        self._over = not came
        # The last line of a pipe may lack its end.
        self._read += came or b"\n" * bool(self._read)
        return bool(self._read)


def _written(path: Path, line: str) -> str:
    """What became of a line that was written, and what is odd about it."""
    from pourday.scenario.base.disk import NoFileError
    from pourday.tickets.note import doubts

    try:
        odd = doubts(path, line)
    except NoFileError:
        odd = []
    return "; ".join([f"written: {line}", *odd])


def _stamp(path: Path) -> tuple[int, int]:
    try:
        there = path.stat()
    except OSError:
        return 0, 0
    return there.st_mtime_ns, there.st_size
