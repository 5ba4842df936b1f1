"""Commands run in a child forked from this warm process: what they say, CPU time, memory, end."""

from __future__ import annotations

import contextlib
import os
import resource
import signal
import sys
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

_MOST = 4 * 2**30


@dataclass(frozen=True)
class Ended:
    """How a child ended: exit code (below 0: the signal), CPU (s), most memory (bytes).

    The memory is what it took beyond that of this process when it was forked: a worker of the suite
    may have grown large by then.
    """

    code: int
    cpu: float
    memory: int
    said: str
    complained: str


def warm() -> None:
    """Load all that the commands load, so that no child has to."""
    import pourday.api.compare
    import pourday.cli
    import pourday.outcome.edges.stop_end
    import pourday.report.figures.save
    import pourday.report.records.day
    import pourday.report.records.study
    import pourday.report.text.check
    import pourday.report.text.compare
    import pourday.report.text.day
    import pourday.report.text.deck
    import pourday.study.effects
    import pourday.study.orders.deck_study  # noqa: F401


@dataclass(frozen=True)
class Trouble:
    """What befalls a child: done in it before the command, or a signal after some time (s)."""

    before: Callable[[], None] = lambda: None
    signal: int | None = None
    after: float = 0.0


NONE = Trouble()


def forked(folder: Path, *arguments: object, trouble: Trouble = NONE, cpu: int = 30) -> Ended:
    """Run a command in a child of its own, which may take ``cpu`` seconds and 4 GB at the most."""
    out, err = folder / "out.txt", folder / "err.txt"
    sys.stdout.flush()
    sys.stderr.flush()
    grown = int(Path("/proc/self/statm").read_text("ascii").split()[1]) * resource.getpagesize()
    child = os.fork()
    if child == 0:
        code = 70
        try:
            code = _child(out, err, [str(each) for each in arguments], trouble, cpu)
        finally:
            os._exit(code)
    if trouble.signal is not None:
        time.sleep(trouble.after)
        os.kill(child, trouble.signal)  # not waited for yet: it is there, if only as a zombie
    _, status, use = os.wait4(child, 0)
    return Ended(
        os.waitstatus_to_exitcode(status),
        use.ru_utime + use.ru_stime,
        max(0, use.ru_maxrss * 1024 - grown),
        out.read_text("utf-8", "replace"),
        err.read_text("utf-8", "replace"),
    )


def _child(out: Path, err: Path, arguments: list[str], trouble: Trouble, cpu: int) -> int:
    for number, path in ((1, out), (2, err)):
        os.dup2(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), number)
    sys.stdout = os.fdopen(1, "w", encoding="utf-8")
    sys.stderr = os.fdopen(2, "w", encoding="utf-8", errors="backslashreplace")
    # Whatever this process was started with: under nohup an interrupt is ignored.
    signal.signal(signal.SIGINT, signal.default_int_handler)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    spent = time.process_time()  # a forked child begins at 0, but for rounding
    resource.setrlimit(resource.RLIMIT_CPU, (int(spent) + cpu, int(spent) + cpu + 1))
    resource.setrlimit(resource.RLIMIT_AS, (_MOST, _MOST))
    os.environ |= {"COLUMNS": "80", "NO_COLOR": "1"}
    sys.argv = ["pourday", *arguments]
    code = 1
    try:
        from pourday.cli import main

        trouble.before()
        main()
        code = 0
    except SystemExit as end:
        code = end.code if isinstance(end.code, int) else 0 if end.code is None else 1
    except BaseException:
        traceback.print_exc()
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(OSError):
            stream.flush()
    return code
