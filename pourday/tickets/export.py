"""Delivery tickets as a plant exports them: a table (CSV), a row a load.

Columns after EN 206, 7.3 (delivery ticket for ready-mixed concrete: serial number, plant, time of
loading as first contact of cement and water, amount in m³, and the times of arrival, of begin and
of end of unloading); the clause's list is from memory. Clock times, or dates with times.
"""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Sequence
from datetime import date

from pourday.tickets import line as say
from pourday.tickets.line import DAY, YARD3, Line, Remark

COLUMNS = (
    "ticket", "plant", "loading", "arrival", "unloading_begin", "unloading_end", "m3", "back_m3",
    "outcome", "pump",
)  # fmt: skip
"""Names of the columns, in any order; ``ticket`` and one time are needed. ``yd3`` and ``back_yd3``
stand for cubic yards. ``outcome`` is empty or "placed", "test", "too old", "not needed"."""
_KNOWN = frozenset((*COLUMNS, "yd3", "back_yd3"))
_NEEDED = ("ticket", "loading")
_TIME = re.compile(r"(?:(\d{4})-(\d{2})-(\d{2})[T ])?(\d{1,2})[:.](\d{2})(?::(\d{2})(?:\.\d*)?)?")
PLACED = ("", "placed", "ok")
_LONGEST_FIELD = 200


def is_export(rows: Sequence[str]) -> bool:
    """Whether the first row that is not empty names the columns of an export."""
    head = next((row for row in rows if row.strip()), "")
    return all(name in _names(head) for name in _NEEDED)


def _names(head: str) -> list[str]:
    return [name.strip().strip('"').lower().replace(" ", "_") for name in head.split(_comma(head))]


def _comma(head: str) -> str:
    return max(";,\t", key=head.count)


def lines_of_export(rows: Sequence[str]) -> tuple[list[Line], list[Remark]]:
    """What the rows say, as if it had been typed, in order of time; and remarks."""
    first = next(n for n, row in enumerate(rows) if row.strip())
    names, comma = _names(rows[first]), _comma(rows[first])
    unknown = [name for name in names if name not in _KNOWN]
    remarks = [Remark(first + 1, f'column "{name[:40]}" is not looked at') for name in unknown]
    found: list[Line] = []
    days = _Days()
    for number, row in enumerate(rows[first + 1 :], start=first + 2):
        if not row.strip():
            continue
        fields = next(csv.reader([row[: 20 * _LONGEST_FIELD]], delimiter=comma))
        values = {n: v.strip() for n, v in zip(names, fields, strict=False)}
        found += _Row(number, row, values, remarks, days).lines()
    return sorted(found, key=lambda line: line.time), remarks


class _Days:
    """Which day a clock time is of: as dated, else within 12 h of the time before it."""

    def __init__(self) -> None:
        self._first: int | None = None
        self._before: float | None = None

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
        ticket = self.values.get("ticket", "")[:12]
        if not ticket:
            self._odd("no ticket number: left out")
            return []
        front = self._front()
        outcome = self.values.get("outcome", "").lower()[:40]
        times = {
            name: self._time(name)
            for name in ("loading", "arrival", "unloading_begin", "unloading_end")
        }
        volume, back = self._volume(""), self._volume("back_")
        away = outcome not in PLACED and times["unloading_begin"] is None
        last = say.AWAY if away else say.OFF
        kinds = (
            (say.LEFT, "loading"), (say.IN, "arrival"), (say.ON, "unloading_begin"),
            (last, "unloading_end"),
        )  # fmt: skip
        out = []
        for kind, name in kinds:
            time = times[name]
            if time is None or (kind == say.LEFT and times["arrival"] is not None):
                continue
            line = Line(
                self.number, self.text, kind, time, time, ticket, front=front, volume=volume,
                loaded=times["loading"] if kind in (say.IN, say.LEFT) else None,
                plant=self.values.get("plant", "").lower(), why=outcome if kind == say.AWAY else "",
                back=back if kind == say.OFF else None,
            )  # fmt: skip
            out.append(line)
        if not out:
            self._odd("no time in it: left out")
        return out

    def _front(self) -> int:
        pump = self.values.get("pump", "")
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
        found = _TIME.fullmatch(text)
        if found is None or int(found[4]) > 23 or int(found[5]) > 59 or int(found[6] or 0) > 59:
            self._odd(f'{name} "{text[:30]}" is no time: left out')
            return None
        time = 3600.0 * int(found[4]) + 60.0 * int(found[5]) + int(found[6] or 0)
        if found[1] is None:
            return self._days.follows(time)
        try:
            ordinal = date(int(found[1]), int(found[2]), int(found[3])).toordinal()
        except ValueError:
            self._odd(f'{name} "{text[:30]}" is no date: left out')
            return None
        return self._days.dated(ordinal, time)

    def _volume(self, before: str) -> float | None:
        for unit, cubic in (("m3", 1.0), ("yd3", YARD3)):
            text = self.values.get(before + unit, "")
            if not text:
                continue
            try:
                value = float(text.replace(",", "."))
            except ValueError:
                value = math.nan
            if 0.0 <= value < 1e6:
                return value * cubic
            self._odd(f'{before}{unit} "{text[:30]}" is no volume: left out')
        return None

    def _odd(self, what: str) -> None:
        self.remarks.append(Remark(self.number, what))
