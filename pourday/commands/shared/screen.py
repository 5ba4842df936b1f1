"""The screen: reports on standard output, complaints on standard error."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import Console


def console() -> Console:
    """The console that reports go to; it colours nothing that was not marked."""
    from rich.console import Console

    return Console(highlight=False)


def warn(console: Console, warnings: list[str]) -> None:
    """Print the warnings of a scenario, a line each."""
    for text in warnings:
        console.print(f"[bold]warning:[/bold] {text}")


def complain(text: str) -> None:
    """One line on standard error."""
    print(text, file=sys.stderr)
