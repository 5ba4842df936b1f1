"""The bar of long work: seen with the time left and cleared in a terminal, no byte in a pipe."""

from __future__ import annotations

import os
import pty
import re
import subprocess
import sys

import pytest
from builders.places import ROOT

from pourday.study.told import counted, within

PROGRAM = """
import sys, time
from pourday.report.progress import day_bar, share_bar
with share_bar("judging orders") as told:
    for k in range(8):
        time.sleep(0.12)
        told(k / 8)
with day_bar(40) as bar:
    for k in range(4):
        time.sleep(0.12)
        bar(10)
print("the report")
"""
ESCAPES = re.compile(r"\x1b\[[0-9;?]*[A-Za-z]")


def environment(**more: str) -> dict[str, str]:
    kept = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "FORCE_COLOR", "TERM")}
    return kept | {"PYTHONPATH": str(ROOT), "TERM": "xterm", "COLUMNS": "40"} | more


def complained_in_terminal(program: str, **more: str) -> tuple[str, str]:
    """Standard output of a program whose error stream is a terminal, and all that came there."""
    ours, theirs = pty.openpty()
    child = subprocess.Popen(
        [sys.executable, "-c", program], stdout=subprocess.PIPE, stderr=theirs,
        env=environment(**more),
    )  # fmt: skip
    os.close(theirs)
    came = b""
    while True:
        try:
            part = os.read(ours, 4096)
        except OSError:  # how Linux says that nobody holds the other end any more
            break
        if not part:
            break
        came += part
    os.close(ours)
    out, _ = child.communicate(timeout=60)
    assert child.returncode == 0, came
    return out.decode(), came.decode()


def test_a_terminal_sees_the_time_left_and_then_nothing_of_it():
    out, came = complained_in_terminal(PROGRAM)
    assert out == "the report\n"
    shown = [ESCAPES.sub("", part).strip() for part in re.split("[\r\n]+", came)]
    assert any(re.fullmatch(r"judging orders \S+ +\d+% 0:00:0\d", each) for each in shown), shown
    assert any(each.startswith("playing days") and "/40" in each for each in shown)
    assert max(map(len, shown)) <= 40
    assert "…" not in came
    # The cursor is there again, and the last thing to happen is a line wiped.
    assert came.count("\x1b[?25h") == came.count("\x1b[?25l") == 2
    assert ESCAPES.sub("", came[came.rindex("\x1b[2K") :]).strip() == ""


def test_a_pipe_gets_no_byte_of_it_nor_does_a_terminal_that_knows_no_codes():
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM], capture_output=True, env=environment(), check=True
    )
    assert (done.stdout, done.stderr) == (b"the report\n", b"")
    again = PROGRAM.replace("0.12", "0.08")
    assert complained_in_terminal(again, TERM="dumb") == ("the report\n", "")


def test_parts_of_a_work_tell_their_share_of_the_whole():
    heard: list[float] = []
    for _ in counted("abcd", within(heard.append, 0.5, 1.0)):
        pass
    assert heard == pytest.approx([0.625, 0.75, 0.875, 1.0])
