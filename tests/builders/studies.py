"""Commands run as programs that are stopped, and small studies for the engines."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterable
from pathlib import Path

from builders.places import ROOT

# Ctrl-C is often ignored by whoever runs the tests (nohup, a shell in the background), and a child
# inherits that: so the program takes it up again, as it would at a prompt. It says on
# standard error how many days are complete, and with HOLD_UNTIL waits there for a file.
PROGRAM = """
import functools, os, signal, sys, time

signal.signal(signal.SIGINT, signal.default_int_handler)
signal.signal(signal.SIGTERM, signal.SIG_DFL)

if __name__ == "__main__":
    from pourday.cli import main
    from pourday.study.engine import ledger, run

    enter = ledger.Ledger.enter

    def entered(self, job, rows):
        enter(self, job, rows)
        print("complete days:", self.complete_days, file=sys.stderr, flush=True)
        hold = os.environ.get("HOLD_UNTIL")
        while hold and self.complete_days and not os.path.exists(hold):
            time.sleep(0.02)

    ledger.Ledger.enter = entered
    run.Processes = functools.partial(run.Processes, method=os.environ.get("START_METHOD"))
    main()
"""
PATIENCE = 60.0


def program(folder: Path, *arguments: object, **environment: str) -> subprocess.Popen[str]:
    """The command line as a program of its own, at the head of a session of its own."""
    script = folder / "program.py"
    script.write_text(PROGRAM, encoding="utf-8")
    return subprocess.Popen(
        [sys.executable, str(script), *(str(each) for each in arguments)],
        env=os.environ | {"PYTHONPATH": str(ROOT), "COLUMNS": "100"} | environment,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )


def days_came(process: subprocess.Popen[str]) -> None:
    """Read what a program says until it says that days are complete."""
    assert process.stderr is not None
    for line in process.stderr:
        if line.startswith("complete days:") and int(line.split()[-1]) > 0:
            return
    raise AssertionError(f"the program ended with {process.wait()} before any day came in")


def until(holds: Callable[[], object], what: str, patience: float = PATIENCE) -> None:
    """Wait until something holds; machines are slow, and nothing here is timed."""
    end = time.monotonic() + patience
    while not holds():
        assert time.monotonic() < end, what
        time.sleep(0.02)


def session_of(process: subprocess.Popen[str]) -> set[int]:
    """The processes alive in the session of a program: itself and whatever it started."""
    return {pid for pid in _all() if _session(pid) == process.pid}


def workers_of(process: subprocess.Popen[str]) -> set[int]:
    """Processes that a program has started and that live, with theirs."""
    return session_of(process) - {process.pid}


def gone(pids: Iterable[int]) -> bool:
    """Whether none of these processes is alive."""
    return not any(_session(pid) for pid in pids)


def _all() -> list[int]:
    return [int(name) for name in os.listdir("/proc") if name.isdigit()]


def _session(pid: int) -> int:
    """The session of a process that is alive, 0 for none (a zombie is not)."""
    try:
        stat = Path(f"/proc/{pid}/stat").read_text("utf-8", errors="replace")
    except OSError:
        return 0
    state, _, _, session = stat.rpartition(")")[2].split()[:4]
    return 0 if state in "ZX" else int(session)
