"""Files that are read: plain files of a bounded size, or a word on why not."""

from __future__ import annotations

import os
import stat
from pathlib import Path

LONGEST_PATH = 1000
"""Letters of a path beyond which no file is looked for."""


class NoFileError(Exception):
    """Nothing that can be read; the text says what was found instead."""


def read_file(path: Path, most: int) -> bytes:
    """The bytes of a plain file of at most ``most`` bytes.

    A named pipe or a device could go on for ever, so neither is opened.

    Raises:
        NoFileError: where there is none, or it is of another kind, closed, or larger.
    """
    if len(str(path)) > LONGEST_PATH:
        raise NoFileError(f"a path of more than {LONGEST_PATH} letters")
    try:
        mode = path.stat().st_mode
        if stat.S_ISDIR(mode):
            raise NoFileError("a folder")
        if not stat.S_ISREG(mode):
            raise NoFileError("a pipe or a device, no file")
        # What stands there may be another file by now: a pipe is not waited for.
        with open(path, "rb", opener=_opener) as file:
            found = file.read(most + 1)
    except FileNotFoundError:
        raise NoFileError("no such file") from None
    except PermissionError:
        raise NoFileError("a file that may not be read") from None
    except (OSError, ValueError):
        raise NoFileError("nothing that can be read") from None
    if len(found) > most:
        raise NoFileError(f"more than {most} bytes")
    return found


def _opener(path: str, flags: int) -> int:
    return os.open(path, flags | getattr(os, "O_NONBLOCK", 0))
