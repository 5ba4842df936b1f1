"""The real ``pourday rehearse`` in a real pseudo-terminal."""

from __future__ import annotations

import codecs
import contextlib
import os
import re
import select
import signal
import struct
import subprocess
import sys
import time

import pytest

from pourday.report.rehearsal.view import KEYS, TYPING

pty = pytest.importorskip("pty", reason="pseudo-terminals are POSIX")
fcntl, termios = pytest.importorskip("fcntl"), pytest.importorskip("termios")

ESCAPE = re.compile(r"\x1b(?:\[[0-?]*[ -/]*[@-~]|[^\[])")
COLOUR = re.compile(r"\x1b\[(?:[0-9;]*;)?(?:3[0-8]|4[0-8]|9[0-7]|10[0-7])(?:;[0-9;]*)?m")


def hears_signals() -> None:
    """Signals as they are by themselves: started under nohup or in a script, they are ignored."""
    for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        signal.signal(number, signal.SIG_DFL)


class Terminal:
    """The command in a pseudo-terminal of 80 by 24; reads until a text comes, never sleeps."""

    def __init__(self, *arguments: object, **environment: str) -> None:
        self.master, self.slave = pty.openpty()
        fcntl.ioctl(self.slave, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        self.modes = termios.tcgetattr(self.slave)
        self.raw = ""
        self.letters = codecs.getincrementaldecoder("utf-8")()  # a letter may come in two reads
        self.seen = 0
        clean = {k: v for k, v in os.environ.items()
                 if k not in ("COLUMNS", "LINES", "NO_COLOR", "FORCE_COLOR", "TERM")}  # fmt: skip
        self.process = subprocess.Popen(
            [sys.executable, "-m", "pourday", "rehearse", *map(str, arguments)],
            stdin=self.slave,
            stdout=self.slave,
            stderr=self.slave,
            env=clean | {"TERM": "xterm", "PYTHONUTF8": "1"} | environment,
            start_new_session=True,
            preexec_fn=hears_signals,
        )

    def read(self, until: float) -> bool:
        ready = select.select([self.master], [], [], max(0.0, until - time.monotonic()))[0]
        if ready:
            self.raw += self.letters.decode(os.read(self.master, 65536))
        return bool(ready)

    def wait_for(self, wanted: str, seconds: float = 60.0) -> str:
        """The text since the last key, once it holds ``wanted``."""
        until = time.monotonic() + seconds
        while wanted not in (shown := plain(self.raw[self.seen :])):
            assert self.read(until), f"{wanted!r} did not come; the screen says:\n{shown}"
        return shown

    def wait_for_more(self, seconds: float = 60.0) -> None:
        """Whatever comes next."""
        assert self.read(time.monotonic() + seconds), "nothing came any more"

    def last_page(self) -> str:
        """The last page that is there from its title to its last line."""
        raw = plain(self.raw)
        whole = max((raw.rpartition(foot)[0] for foot in (KEYS, TYPING)), key=len)
        return whole.rpartition("Plain   plan")[2]

    def page_with(self, wanted: str, seconds: float = 60.0) -> str:
        """The last page, once it is there whole with ``wanted`` on it; it may come in parts."""
        until = time.monotonic() + seconds
        while wanted not in (page := self.last_page()):
            assert self.read(until), f"no whole page with {wanted!r} came; the last says:\n{page}"
        return page

    def press(self, keys: str, wanted: str) -> str:
        self.seen = len(self.raw)
        os.write(self.master, keys.encode())
        return self.wait_for(wanted)

    def ended(self, seconds: float = 60.0) -> int:
        """The exit code, once the command has ended; what it still writes is read."""
        until = time.monotonic() + seconds
        while self.process.poll() is None:
            assert time.monotonic() < until, "the command did not end"
            self.read(min(until, time.monotonic() + 0.05))
        while self.read(time.monotonic()):
            pass
        return self.process.returncode

    def close(self) -> None:
        if self.process.poll() is None:
            self.process.kill()
            self.process.wait()
        for end in (self.master, self.slave):
            with contextlib.suppress(OSError):
                os.close(end)


def plain(raw: str) -> str:
    """The text without escapes; the marks that a page's lines are padded with are left."""
    return ESCAPE.sub("", raw).replace("\r", "")
