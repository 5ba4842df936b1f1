"""The progress bars of long work: on a terminal's error stream, never in a pipe."""

from __future__ import annotations

import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from time import monotonic

from rich.console import Console
from rich.progress import (
    BarColumn,
    MofNCompleteColumn,
    Progress,
    ProgressColumn,
    TaskProgressColumn,
    TextColumn,
    TimeRemainingColumn,
)

from pourday.scenario.base.signals import answered, leave

SHORT = 0.5
"""Work that is done within so long (s) shows no bar of its share: it would only flicker."""


def _bar(words: str, amount: ProgressColumn) -> Progress:
    """A bar with the time left; it clears itself, and is silent where there is no terminal."""
    console = Console(stderr=True, markup=False)
    silent = not sys.stderr.isatty() or console.is_dumb_terminal
    long = max(4, min(40, console.width - 40))
    columns = (TextColumn(words), BarColumn(long), amount, TimeRemainingColumn())
    return Progress(*columns, console=console, transient=True, disable=silent)


@contextmanager
def day_bar(total: int | None, words: str = "playing days") -> Iterator[Callable[[int], None]]:
    """A bar over so many days (None: not known), on the error stream; silent if no terminal."""
    with _bar(words, MofNCompleteColumn()) as bar:
        task = bar.add_task("days", total=total)
        yield lambda days: bar.advance(task, days)


@contextmanager
def share_bar(words: str) -> Iterator[Callable[[float], None]]:
    """A bar that hears what share (0 to 1) of the work is done; none where that takes no time."""
    bar = _bar(words, TaskProgressColumn())
    task = bar.add_task(words, total=1.0)
    begun = monotonic()

    def _told(share: float) -> None:
        if monotonic() >= begun + SHORT:
            bar.start()  # again and again does no harm
        bar.update(task, completed=share)

    # A bar hides the cursor: whoever asks the program to end gets it back all the same.
    ends = not bar.disable and signal.getsignal(signal.SIGTERM) is signal.SIG_DFL
    with answered(leave, signal.SIGTERM) if ends else nullcontext():
        try:
            yield _told
        finally:
            bar.stop()
