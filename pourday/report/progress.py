"""The progress bar of a study."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn


@contextmanager
def day_bar(total: int | None) -> Iterator[Callable[[int], None]]:
    """A bar over so many days (None: not known), on the error stream; silent if no terminal."""
    console = Console(stderr=True)
    columns = (
        TextColumn("playing days"),
        BarColumn(),
        MofNCompleteColumn(),
        TimeRemainingColumn(),
    )
    with Progress(
        *columns, console=console, transient=True, disable=not sys.stderr.isatty()
    ) as bar:
        task = bar.add_task("days", total=total)
        yield lambda days: bar.advance(task, days)
