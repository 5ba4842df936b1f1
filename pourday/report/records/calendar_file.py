"""The calendar after a pour as a file that calendar programs read (RFC 5545)."""

from __future__ import annotations

import hashlib
import re
from datetime import date
from pathlib import Path

from pourday.outcome.concrete.calendar import CalendarLine
from pourday.report.words import NO_PERMISSION
from pourday.scenario.base.written import replaced

_LONGEST = 75  # octets of a line without its end, RFC 5545 3.1


def calendar_text(lines: tuple[CalendarLine, ...], title: str, pour: date) -> str:
    """The calendar as iCalendar text.

    Times are floating (local wherever it is read); stamps are midnight of the pour date and
    identifiers follow from title and event, so that a calendar read in again after planning anew
    moves its dates and keeps none of the old.
    Source of the format: RFC 5545.
    """
    out = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//pourday//calendar of a pour//EN"]
    for line in lines:
        # The same event of the same floor keeps its name when the day is planned anew.
        key = f"{title}|{line.what}"
        note = f"{line.detail}. Source: {line.source}. {NO_PERMISSION}"
        out += [
            "BEGIN:VEVENT",
            f"UID:{hashlib.sha256(key.encode()).hexdigest()[:32]}@pourday",
            f"DTSTAMP:{pour:%Y%m%d}T000000Z",
            f"DTSTART:{line.when:%Y%m%dT%H%M%S}",
            f"SUMMARY:{escaped(f'{title}: {line.what}')}",
            f"DESCRIPTION:{escaped(note)}",
            "TRANSP:TRANSPARENT",
            "END:VEVENT",
        ]
    out.append("END:VCALENDAR")
    return "".join(folded(line) + "\r\n" for line in out)


def save_calendar(lines: tuple[CalendarLine, ...], title: str, pour: date, path: Path) -> None:
    """Write the calendar as an .ics file, UTF-8.

    Raises:
        OSError: where the file cannot be written.
        ValueError: where there is no line (RFC 5545 asks for at least one event).
    """
    if not lines:
        raise ValueError("a calendar file needs at least one line: nothing was placed")
    text = calendar_text(lines, title, pour).encode("utf-8")
    with replaced(path) as file:
        file.write(text)


def escaped(text: str) -> str:
    """Text as an iCalendar TEXT value (RFC 5545 3.3.11); control characters are left out."""
    out = text.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")
    out = out.replace("\r\n", "\n").replace("\r", "\n").replace("\n", "\\n")
    return re.sub(r"[\x00-\x08\x0b-\x1f\x7f]", "", out)


def folded(line: str) -> str:
    """A content line cut into lines of at most 75 octets, never inside a character.

    Each further line begins with a space, which counts (RFC 5545 3.1).
    """
    parts, size = [""], 0
    for character in line:
        octets = len(character.encode("utf-8"))
        if size + octets > _LONGEST:
            parts.append("")
            size = 1
        parts[-1] += character
        size += octets
    return "\r\n ".join(parts)
