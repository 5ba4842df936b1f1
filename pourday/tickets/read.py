"""A file of tickets: its lines with their days and times, and a remark for all that is odd."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from pourday.scenario.base.disk import NoFileError, read_file
from pourday.scenario.base.text import printable
from pourday.tickets import line as say
from pourday.tickets.export import is_export, lines_of_export
from pourday.tickets.grammar import parse_line
from pourday.tickets.line import DAY, Line, Remark, clock
from pourday.tickets.merge import with_table
from pourday.tickets.tokens import LineError

MOST_BYTES = 2_000_000
"""Largest file of tickets: a thousand times what a day writes."""
OUT_OF_ORDER = "out of order"
"""How a remark on a line begins that comes after later ones."""
_HALF_DAY = DAY / 2
# A slip of the hour: so long (s) after the two lines before it and the three after it (chosen here;
# who writes up what he missed has not missed three hours).
_SLIP, _SLIP_AFTER, _SLIP_AROUND = 3 * 3600.0, 3, 5


@dataclass(frozen=True)
class Tickets:
    """The lines of a file in its order, those that are not true left out; ``units`` as it says.

    ``remarks`` are in order of their rows; a line that could not be read stands there.
    """

    lines: tuple[Line, ...] = ()
    remarks: tuple[Remark, ...] = ()
    units: str = "m3"

    @property
    def in_order(self) -> tuple[Line, ...]:
        """The lines by time; those of one time as they stand in the file."""
        return tuple(sorted(self.lines, key=lambda line: line.when))


def read_tickets(path: Path) -> Tickets:
    """The tickets in a file of typed lines, or of a plant's table (CSV).

    Raises:
        NoFileError: where there is none that can be read, or one larger than ``MOST_BYTES``.
    """
    return parse_tickets(_text(path), path.parent)


def _text(path: Path) -> str:
    raw = read_file(path, MOST_BYTES)
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):  # as a spreadsheet saves "Unicode text"
        return raw.decode("utf-16", "replace")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        marked = raw.startswith(b"\xef\xbb\xbf")
        return raw.decode("utf-8-sig" if marked else "cp1252", "replace")


def parse_tickets(text: str, folder: Path | None = None) -> Tickets:
    """The tickets in a text; whatever it is, no line of it stops the others.

    A plant's table that a line names ("also plant.csv") is looked for in ``folder``.
    """
    rows = _rows(text)
    if is_export(rows):
        return _told(*lines_of_export(rows))
    remarks: list[Remark] = []
    lines: list[Line] = []
    for number, row in enumerate(rows, start=1):
        try:
            found = parse_line(row, number)
        except LineError as error:
            remarks.append(Remark(number, f"not read, {_short(row)}: {error}"))
            continue
        if found is not None:
            lines.append(found)
    told = _told(lines, remarks)
    tables = [line for line in lines if line.kind == say.ALSO]
    rows_gone = {r.row for r in told.remarks if r.text.startswith("not true")}
    for line in tables:
        if line.row not in rows_gone:
            told = _with_table(told, line, folder)
    return told


def _with_table(told: Tickets, line: Line, folder: Path | None) -> Tickets:
    """With the plant's table that a line names; why not, as a remark, where it cannot be read."""
    try:
        if folder is None:
            raise NoFileError("a text has no folder")
        table = _rows(_text(folder / line.why))
        if not is_export(table):
            raise NoFileError("its columns are not those of a plant's table")
    except (NoFileError, ValueError) as error:
        remark = Remark(line.row, f'"{line.why[:60]}" is not read: {error}')
        return replace(told, remarks=_by_row([*told.remarks, remark]))
    read = _told(*lines_of_export(table))
    mine = [Remark(line.row, f"{line.why}, row {each.row}: {each.text}") for each in read.remarks]
    there = [replace(each, row=line.row) for each in read.lines]
    both, said = with_table(told.lines, there, line.why)
    odd = [Remark(line.row, each) for each in said]
    return replace(told, lines=tuple(both), remarks=_by_row([*told.remarks, *mine, *odd]))


def _by_row(remarks: list[Remark]) -> tuple[Remark, ...]:
    return tuple(sorted(remarks, key=lambda each: each.row))


def _rows(text: str) -> list[str]:
    return [_shown(row) for row in text.replace("\r\n", "\n").replace("\r", "\n").split("\n")]


def _shown(row: str) -> str:
    """A row with nothing in it that a screen could not show; tabs part fields and words."""
    return "\t".join(printable(part) for part in row.split("\t"))


def _told(lines: list[Line], remarks: list[Remark]) -> Tickets:
    units = "m3"
    for line in lines:
        units = line.why if line.kind == say.UNITS else units
    lines = _without_wrong(lines, remarks)
    lines = [line for line in lines if line.kind not in say.NO_TIME]
    lines = _with_days(_without_slips(lines, remarks), remarks)
    lines = _between(lines, remarks)
    return Tickets(tuple(lines), _by_row(remarks), units)


def _without_wrong(lines: list[Line], remarks: list[Remark]) -> list[Line]:
    """Without the lines that a later "wrong" takes back; one that is itself taken back does not."""
    rows = {line.row for line in lines}
    gone: set[int] = set()
    for line in reversed(lines):
        if line.kind != say.WRONG or line.row in gone:
            continue
        if line.number not in rows or line.number >= line.row:
            said = f'"wrong {line.number}": no line before it has that number'
            remarks.append(Remark(line.row, said))
            continue
        gone.add(line.number)
        remarks.append(Remark(line.number, f"not true, as line {line.row} says"))
    return [line for line in lines if line.row not in gone]


def _without_slips(lines: list[Line], remarks: list[Remark]) -> list[Line]:
    """Without lines whose hour was mistyped: far after all of the lines around them.

    Such a line would put all that follow it out of order.
    """
    out: list[Line] = []
    timed = [n for n in lines if not math.isnan(n.time) and n.kind not in say.AHEAD]
    at = {id(line): k for k, line in enumerate(timed)}
    for line in lines:
        k = at.get(id(line))
        around = [] if k is None else [*timed[max(0, k - 2) : k], *timed[k + 1 : k + 4]]
        after = [] if k is None else timed[k + 1 : k + 4]
        ahead = [(line.time - other.time + _HALF_DAY) % DAY - _HALF_DAY for other in around]
        if len(after) == _SLIP_AFTER and len(around) == _SLIP_AROUND and min(ahead) > _SLIP:
            said = f"{clock(line.time)} is more than 3 h after the lines before and after it"
            remarks.append(Remark(line.row, f"{said}: a slip, left out; write it anew"))
            continue
        out.append(line)
    return out


def _with_days(lines: list[Line], remarks: list[Remark]) -> list[Line]:
    """Times of the pour: more than 12 h back from the line before is the next day."""
    out: list[Line] = []
    before: Line | None = None
    day = 0.0
    told: set[str] = set()  # what is said twice, word by word, is no line that comes late
    for line in lines:
        if math.isnan(line.time):
            out.append(line)
            continue
        time = line.time + (day if 0.0 <= line.time < DAY else 0.0)
        if before is not None and 0.0 <= line.time < DAY:
            if time < before.time - _HALF_DAY:
                time += DAY
            elif time > before.time + _HALF_DAY and day:
                time -= DAY  # written after midnight, of the evening before
        if line.kind not in say.AHEAD:
            late = before is not None and time < before.time
            if before is not None and late and line.text not in told:
                said = (
                    f"{OUT_OF_ORDER}: {clock(time)} after {clock(before.time)} (line {before.row})"
                )
                remarks.append(Remark(line.row, f"{said}; taken at its own time"))
            if not late:
                before = replace(line, time=time)
                day = DAY * math.floor(time / DAY)
        told.add(line.text)
        out.append(_on_its_day(replace(line, time=time, latest=time), remarks))
    return out


def _on_its_day(line: Line, remarks: list[Remark]) -> Line:
    """The time of loading on the day of the line, the evening before where it is after it."""
    if line.loaded is None:
        return line
    loaded = line.loaded % DAY + DAY * math.floor(line.time / DAY)
    if loaded > line.time + _HALF_DAY:
        loaded -= DAY
    if loaded > line.time:
        said = f"impossible: loaded {clock(loaded)}, after it was {line.kind} {clock(line.time)}"
        remarks.append(Remark(line.row, f"{said}; the time of loading is left out"))
        return replace(line, loaded=None)
    return replace(line, loaded=loaded)


def _between(lines: Sequence[Line], remarks: list[Remark]) -> list[Line]:
    """Lines without a time between their neighbours that have one."""
    out: list[Line] = []
    for n, line in enumerate(lines):
        if not math.isnan(line.time):
            out.append(line)
            continue
        known = [
            [o.time for o in side if not math.isnan(o.time) and o.kind not in say.AHEAD]
            for side in (lines[:n], lines[n + 1 :])
        ]
        earliest = known[0][-1] if known[0] else -math.inf
        latest = known[1][0] if known[1] else math.inf
        if math.isinf(earliest):
            if math.isinf(latest):
                remarks.append(Remark(line.row, f"no time in {_short(line.text)}: left out"))
                continue
            earliest = latest
        latest = max(earliest, latest)
        where = f"{clock(earliest)} to {clock(latest)}" if latest > earliest else clock(earliest)
        said = f"no time in {_short(line.text)}: it was between its neighbours, {where}"
        remarks.append(Remark(line.row, said))
        out.append(_on_its_day(replace(line, time=earliest, latest=latest), remarks))
    return out


def _short(text: str) -> str:
    text = " ".join(text.split())
    return f'"{text[:37]}..."' if len(text) > 40 else f'"{text}"'
