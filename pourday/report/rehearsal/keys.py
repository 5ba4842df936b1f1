"""Single keys from a terminal, and the terminal left as it was found."""

from __future__ import annotations

import codecs
import os
import re
import select
import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress

from pourday.scenario.base.signals import answered, leave

if sys.platform != "win32":
    import termios
    import tty

ENTER, ESCAPE, BACK, CLEAR, OVER = "enter", "escape", "backspace", "clear", "over"
ReadKey = Callable[[float], str | None]
"""Wait so many seconds for a key: the key, or ``None`` where none came."""

_NAMES = {
    "\r": ENTER,
    "\n": ENTER,
    "\x1b": ESCAPE,
    "\x7f": BACK,
    "\x08": BACK,
    "\x15": CLEAR,
    "\x04": OVER,
}
_SEQUENCE = re.compile(r"\x1b(?:\[[0-?]*[ -/]*[@-~]|O.|[^\[O])")
# The rest of an arrow key's sequence follows its first byte at once; a bare Esc has no rest.
_REST = 0.03


def can_read_keys() -> bool:
    """Whether standard input is a terminal that gives single keys (POSIX)."""
    return sys.platform != "win32" and sys.stdin is not None and sys.stdin.isatty()


@contextmanager
def keys() -> Iterator[ReadKey]:
    """Take single keys from standard input, unseen; restores the terminal whatever happens.

    A key is its character, or "enter", "escape", "backspace", "clear" (Ctrl-U) or "over" (Ctrl-D,
    or the terminal is gone); an arrow or function key is its whole sequence. Ctrl-C interrupts as
    always, Ctrl-Z does nothing: it would leave the page on the screen of the shell.
    """
    terminal = sys.stdin.fileno()
    before = termios.tcgetattr(terminal)
    with answered(leave, signal.SIGTERM, signal.SIGHUP):
        try:
            tty.setcbreak(terminal)
            now = termios.tcgetattr(terminal)
            now[6][termios.VSUSP] = os.fpathconf(terminal, "PC_VDISABLE").to_bytes(1, "big")
            termios.tcsetattr(terminal, termios.TCSANOW, now)
            yield _reader(terminal)
        finally:
            # A terminal that is gone cannot be restored, and need not be.
            with suppress(termios.error):
                # Keys not read yet were meant for the page, not for the shell.
                termios.tcsetattr(terminal, termios.TCSAFLUSH, before)


def _reader(terminal: int) -> ReadKey:
    decoder = codecs.getincrementaldecoder("utf-8")("replace")
    waiting = ""

    def _more(seconds: float) -> bool:
        nonlocal waiting
        if not select.select([terminal], [], [], seconds)[0]:
            return False
        try:
            found = os.read(terminal, 1024)
        except OSError:
            found = b""
        waiting += decoder.decode(found) if found else "\x04"
        return True

    def _read(seconds: float) -> str | None:
        nonlocal waiting
        if not waiting and not (_more(seconds) and waiting):
            return None
        while waiting.startswith("\x1b") and not _SEQUENCE.match(waiting) and _more(_REST):
            pass
        match = _SEQUENCE.match(waiting)
        key = match[0] if match else waiting[0]
        waiting = waiting[len(key) :]
        return _NAMES.get(key, key)

    return _read
