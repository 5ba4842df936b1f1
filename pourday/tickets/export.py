"""Delivery tickets as a plant exports them: a table (CSV), a row a load.

Columns after EN 206, 7.3 (delivery ticket for ready-mixed concrete: plant, serial number, date and
time of loading as first contact of cement and water, amount in m³, the times of arrival, of begin
and of end of unloading); the clause's list as ČSN EN 206+A2 has it (ebeton.cz, "Dodací list").
How they may be spelled: ``columns``.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from pourday.tickets import columns as col
from pourday.tickets import line as say
from pourday.tickets.line import DAY, Line, Remark

PLACED = ("", "placed", "ok", "delivered", "complete", "completed")
_VOID = ("void", "voided", "cancelled", "canceled")
_LONGEST_TICKET = 40
# A pour is no longer than this (s): what comes later is another one (chosen here).
_LONGEST_POUR = 1.5 * DAY


def is_export(rows: Sequence[str]) -> bool:
    """Whether a row near the top names the columns of an export."""
    return col.head_at(rows) is not None


def lines_of_export(rows: Sequence[str]) -> tuple[list[Line], list[Remark]]:
    """What the rows say, as if it had been typed, in order of time; and remarks."""
    first = col.head_at(rows)
    if first is None:
        return [], []
    comma = col.comma_of(rows[first])
    remarks = [
        Remark(n + 1, "over the columns: not looked at")
        for n, row in enumerate(rows[:first])
        if row.strip()
    ]
    names = _columns(first + 1, col.fields_of(rows[first], comma), remarks)
    found: list[Line] = []
    days = _Days()
    for number, row in enumerate(rows[first + 1 :], start=first + 2):
        fields = col.fields_of(row, comma)
        if not any(fields):
            continue
        if len(fields) > len(names) and any(fields[len(names) :]):
            said = f"{len(fields)} fields in {len(names)} columns: left out"
            why = '; a comma in a number wants quotes: "7,5"' if comma == "," else ""
            remarks.append(Remark(number, said + why))
            continue
        values = dict(zip(names, fields, strict=False))
        found += _Row(number, row, values, remarks, days).lines()
    return sorted(found, key=lambda line: line.time), remarks


def _columns(row: int, headings: Sequence[str], remarks: list[Remark]) -> list[str]:
    """The column of every heading; one that is not known, or comes twice, is named."""
    names: list[str] = []
    for number, heading in enumerate(headings):
        name = col.column_of(heading)
        if not name and heading:
            remarks.append(Remark(row, f'column "{heading[:40]}" is not looked at'))
        elif name in names:
            first = headings[names.index(name)]
            said = f'column "{heading[:40]}" says the same as "{first[:40]}": not looked at'
            remarks.append(Remark(row, said))
            name = ""
        names.append(name or f"column {number}")
    return names


class _Days:
    """Which day a clock time is of: as dated, else within 12 h of the time before it."""

    def __init__(self) -> None:
        self._first: int | None = None
        self._before: float | None = None
        self.begins: float | None = None
        self.unclear_told = False

    def dated(self, ordinal: int, time: float) -> float:
        """A time of a day with a date; the first date seen is the day of the pour."""
        if self._first is None:
            self._first = ordinal
        return self.follows(time + DAY * (ordinal - self._first), True)

    def follows(self, time: float, dated: bool = False) -> float:
        """A time after others; without a date it is the next day where it is 12 h back."""
        before = self._before
        if before is not None and not dated:
            time += DAY * round((before - time) / DAY)
        self._before = time
        if self.begins is None:
            self.begins = time
        return time


class _Row:
    """One row: what it says of a load, in the words of typed lines."""

    def __init__(
        self,
        number: int,
        text: str,
        values: dict[str, str],
        remarks: list[Remark],
        days: _Days,
    ) -> None:
        self.number, self.text, self.values, self.remarks = number, text, values, remarks
        self._days = days

    def lines(self) -> list[Line]:
        """Left, in, on, off or away, as far as the row has their times."""
        ticket = self.values.get(col.TICKET, "")
        if not ticket:
            return self._left_out("no ticket number")
        if len(ticket) > _LONGEST_TICKET:
            return self._left_out(f"a ticket number of more than {_LONGEST_TICKET} letters")
        outcome = self.values.get(col.OUTCOME, "").lower()[:40]
        if outcome in _VOID:
            return self._left_out(f'"{outcome}"')
        front = self._front()
        times = {name: self._time(name) for name in col.TIMES}
        volume, back = self._volume(""), self._volume("back_")
        away = outcome not in PLACED and times[col.BEGIN] is None
        kinds = (
            (say.LEFT, col.LOADING), (say.IN, col.ARRIVAL), (say.ON, col.BEGIN),
            (say.AWAY if away else say.OFF, col.END),
        )  # fmt: skip
        out = []
        for kind, name in kinds:
            time = times[name]
            if time is None or (kind == say.LEFT and times[col.ARRIVAL] is not None):
                continue
            line = Line(
                self.number, self.text, kind, time, time, ticket, front=front, volume=volume,
                loaded=times[col.LOADING] if kind in (say.IN, say.LEFT) else None,
                plant=self.values.get(col.PLANT, "").lower(),
                why=outcome if kind == say.AWAY else "",
                back=back if kind == say.OFF else None,
            )  # fmt: skip
            out.append(line)
        if not out:
            return self._left_out("no time in it")
        begins = self._days.begins
        if begins is not None and abs(out[0].time - begins) > _LONGEST_POUR:
            return self._left_out("more than a day and a half from the first row; a file a pour")
        return out

    def _left_out(self, why: str) -> list[Line]:
        self._odd(f"{why}: left out")
        return []

    def _front(self) -> int:
        pump = self.values.get(col.PUMP, "")
        if not pump:
            return 0
        if re.fullmatch(r"[1-9]\d?", pump):
            return int(pump) - 1
        self._odd(f'pump "{pump[:20]}": pumps count from 1; taken as 1')
        return 0

    def _time(self, name: str) -> float | None:
        text = self.values.get(name, "")
        if not text:
            return None
        try:
            day, clock, plain = col.time_of(text)
        except col.NotReadError as error:
            self._odd(f'{name} "{text[:30]}" {error}: left out')
            return None
        if not plain and not self._days.unclear_told:
            self._days.unclear_told = True
            said = f'"{text[:30]}": day or month first? The clock counts, in all rows like it'
            self._odd(said)
        if day is None:
            return self._days.follows(clock)
        return self._days.dated(day.toordinal(), clock)

    def _volume(self, before: str) -> float | None:
        for unit in ("m3", "yd3", ""):
            name = before + unit if unit else (col.BACK if before else col.VOLUME)
            text = self.values.get(name, "")
            if not text:
                continue
            try:
                return col.volume_of(text, unit)
            except col.NotReadError as error:
                self._odd(f'{name} "{text[:30]}" {error}: left out')
        return None

    def _odd(self, what: str) -> None:
        self.remarks.append(Remark(self.number, what))
