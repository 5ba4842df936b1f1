"""The calendar after a pour: what comes when, what is known of it, and from which source."""

from __future__ import annotations

from rich.console import Console
from rich.text import Text

from pourday.outcome.concrete.calendar import CalendarLine
from pourday.report.screen import units_of
from pourday.report.words import NO_PERMISSION, heading, marked, table


def calendar_section(console: Console, lines: tuple[CalendarLine, ...]) -> None:
    """Print the calendar: date, what, what is known of it, source."""
    heading(console, "Calendar")
    if not lines:
        console.print("nothing was placed: no dates")
        return
    units = units_of(console)
    rows = table("when", "what")
    rows.columns[0].no_wrap = True
    for line in lines:
        text = Text(units.said(line.what), style="bold")
        text.append(f": {units.said(line.detail)}", style="not bold")
        text.append(f" ({units.said(line.source)})", style="dim not bold")
        rows.add_row(f"{line.when:%a %d %b %Y %H:%M}", text)
    console.print(rows, highlight=False)
    console.print(marked((NO_PERMISSION, "bold")))
