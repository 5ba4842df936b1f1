"""How a file is written: whole or not at all, so that no old file is lost for half a new one."""

from __future__ import annotations

import errno
import os
import stat
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from itertools import count
from pathlib import Path
from typing import BinaryIO


@contextmanager
def replaced(path: Path) -> Iterator[BinaryIO]:
    """A stream whose bytes become the file at ``path`` once all of them are on the disk.

    They go to a file beside it, which takes its place at the end (mode and owner are kept, a link
    is followed). Where anything goes wrong on the way, the old file stays as it was and nothing is
    left beside it. What is no file (a pipe, a terminal, a device, this program's own output) is
    written through.

    Raises:
        OSError: where it cannot be written.
    """
    through = _through(path)
    if through is not None:
        with through:
            yield through
        return
    target = Path(os.path.realpath(path))
    if target.exists() and not os.access(target, os.W_OK):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))
    part, stream = _beside(target)
    try:
        with stream:
            yield stream
            stream.flush()
            _as_before(target, stream.fileno())
            os.fsync(stream.fileno())
        part.replace(target)
    except BaseException:
        with suppress(OSError):
            part.unlink()
        raise


def _through(path: Path) -> BinaryIO | None:
    """The open stream of what is no file, or of this program's own output; else nothing."""
    try:
        there = path.stat()
    except OSError:
        return None
    for number, own in ((1, sys.stdout), (2, sys.stderr)):
        with suppress(OSError):
            if os.path.samestat(there, os.fstat(number)):
                if own is not None:
                    own.flush()
                # The same place in the file as the report that follows: opened anew, one would be
                # written over the other.
                return os.fdopen(os.dup(number), "wb")
    return None if stat.S_ISREG(there.st_mode) else path.open("wb")


def _beside(target: Path) -> tuple[Path, BinaryIO]:
    """A new file in the folder of ``target``, under a name that nobody has."""
    for number in count():
        part = target.parent / f".pourday-{os.getpid()}-{number}.part"
        with suppress(FileExistsError):
            return part, part.open("xb")
    raise AssertionError("count() has no end")


def _as_before(target: Path, number: int) -> None:
    """Mode and owner of the file that is written anew, where there is one."""
    try:
        old = target.stat()
    except FileNotFoundError:
        return
    if hasattr(os, "fchown"):
        with suppress(OSError):  # only root may give files away
            os.fchown(number, old.st_uid, old.st_gid)
    if hasattr(os, "fchmod"):
        os.fchmod(number, stat.S_IMODE(old.st_mode))
