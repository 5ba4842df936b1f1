"""A line noted: stamped with the clock, and appended to the file, whole or not at all."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

from pourday.tickets.export import is_export
from pourday.tickets.grammar import stamped
from pourday.tickets.line import IN, OF_LOADS, OFF, ON, clock
from pourday.tickets.read import read_tickets
from pourday.tickets.tokens import LineError

_HEAD = 4096
# No truck on the road holds so much concrete (m³); common practice, no source.
_MOST = 15.0


def note(path: Path, text: str, now: float) -> str:
    """Append a line to the tickets at ``path``; what was written.

    A line without a time gets that of the clock, ``now`` (s since midnight). Two people may write
    at once: each line goes to the end of the file in one piece.

    Raises:
        LineError: where the line cannot be read, or a table stands there; nothing is written.
        OSError: where it cannot be written; the file is as it was.
    """
    line = stamped(text, now)
    flags = os.O_RDWR | os.O_CREAT | os.O_APPEND | getattr(os, "O_BINARY", 0)
    number = os.open(path, flags, 0o666)
    try:
        _lock(number)
        size = os.fstat(number).st_size
        if is_export(_begin(number).split("\n")):
            raise LineError("a plant's table stands in this file: lines want one of their own")
        begin = b"\n" if size and not _ends_a_line(number, size) else b""
        data = begin + line.encode("utf-8") + b"\n"
        try:
            if os.write(number, data) < len(data):
                raise OSError(28, os.strerror(28), str(path))
            os.fsync(number)
        except OSError:
            # Half a line would be read as another one.
            with suppress(OSError):
                os.ftruncate(number, size)
            raise
    finally:
        os.close(number)
    return line


def doubts(path: Path, line: str) -> list[str]:
    """What is odd about a line just noted, in words to look at; it stands in the file all the same.

    More m³ than any truck, and a load that is on or off before it is in.
    """
    told = read_tickets(path).lines
    mine = next((each for each in reversed(told) if each.text == line), None)
    if mine is None or mine.kind not in OF_LOADS:
        return []
    said = [
        f"{volume:.1f} m³ is more than a truck holds"
        for volume in (mine.volume, mine.back)
        if volume is not None and volume > _MOST
    ]
    came = next((n for n in told if n.kind == IN and n.load == mine.load and n.timed), None)
    if came is not None and mine.kind in (ON, OFF) and mine.when < came.when:
        now, then = clock(mine.when), clock(came.when)
        said.append(f"load {mine.load} is {mine.kind} {now}, before it is in {then}")
    return [
        f'{each}: if that is a slip, note "wrong {mine.row}" and the line anew' for each in said
    ]


def _begin(number: int) -> str:
    os.lseek(number, 0, os.SEEK_SET)
    return os.read(number, _HEAD).decode("utf-8", "replace")


def _ends_a_line(number: int, size: int) -> bool:
    os.lseek(number, size - 1, os.SEEK_SET)
    return os.read(number, 1) == b"\n"


def _lock(number: int) -> None:
    """Keep others who note out until the file is closed, where the system can."""
    with suppress(ImportError, OSError):
        import fcntl

        fcntl.flock(number, fcntl.LOCK_EX)
