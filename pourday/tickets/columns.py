"""How plants spell the columns, times and volumes of their tables; what could be two is refused."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from datetime import date

from pourday.tickets.line import YARD3

TICKET, PLANT, LOADING, ARRIVAL = "ticket", "plant", "loading", "arrival"
BEGIN, END, VOLUME, BACK = "unloading_begin", "unloading_end", "volume", "back"
OUTCOME, PUMP = "outcome", "pump"
TIMES = (LOADING, ARRIVAL, BEGIN, END)
COLUMNS = (
    TICKET, PLANT, LOADING, ARRIVAL, BEGIN, END, "m3", "back_m3", OUTCOME, PUMP,
)  # fmt: skip
"""Names of the columns, in any order; ``ticket`` and one time are needed. ``yd3`` and ``back_yd3``
stand for cubic yards."""

_SPELLED: dict[str, tuple[str, ...]] = {
    TICKET: (
        "ticket", "ticket no", "ticket nr", "ticket number", "ticket id", "delivery ticket",
        "delivery ticket no", "delivery note", "delivery note no", "docket", "docket no",
        "docket number", "serial", "serial no", "serial number", "load no", "load number",
    ),
    PLANT: ("plant", "plant name", "plant no", "from plant", "works"),
    LOADING: (
        "loading", "loaded", "load time", "loading time", "time of loading", "time loaded",
        "batched", "batch time", "time batched", "start loading", "loading start",
        "begin of loading", "start of loading", "first contact",
    ),
    ARRIVAL: (
        "arrival", "arrived", "arrive", "arrival time", "time of arrival", "time arrived",
        "on site", "arrived on site", "arrive on site", "arrived site", "at site",
    ),
    BEGIN: (
        "unloading begin", "begin unloading", "begin of unloading", "start of unloading",
        "unloading start", "start unloading", "start discharge", "discharge start",
        "begin discharge", "discharge begin", "begin of discharge", "start of discharge",
        "start pour", "pour start",
    ),
    END: (
        "unloading end", "end unloading", "end of unloading", "unloading finish",
        "finish unloading", "unloaded", "end discharge", "discharge end", "end of discharge",
        "finish discharge", "discharge finish", "end pour", "pour end", "finish pour",
    ),
    VOLUME: (
        "", "volume", "quantity", "qty", "amount", "load", "load size", "delivered", "load volume",
        "delivered volume", "delivered quantity", "batched volume",
    ),
    BACK: ("back", "returned", "return", "returned volume", "returned quantity", "left over"),
    OUTCOME: ("outcome", "result", "status"),
    PUMP: ("pump", "pump no", "pump number"),
}  # fmt: skip
_OF = {spelled: name for name, all_ in _SPELLED.items() for spelled in all_}
_UNIT = re.compile(r"(.*?)\s*(m3|yd3)")
_UNITS = (("m³", "m3"), ("cbm", "m3"), ("cu m", "m3"), ("yd³", "yd3"), ("cu yd", "yd3"))
_HEADS = 10
"""Rows with titles that may stand over the columns."""
_LONGEST_ROW = 4000
_DATE = (
    r"(?:(?P<y1>\d{4})[-/](?P<m1>\d{1,2})[-/](?P<d1>\d{1,2})"
    r"|(?P<d2>\d{1,2})\.(?P<m2>\d{1,2})\.(?P<y2>\d{4})"
    r"|(?P<a>\d{1,2})/(?P<b>\d{1,2})/(?P<y3>\d{4}))"
)
_TIME = re.compile(
    rf"(?:{_DATE}[T ]+)?(?P<h>\d{{1,2}})[:.](?P<min>\d{{2}})(?::(?P<s>\d{{2}})(?:[.,]\d*)?)?"
    r"(?:\s*(?P<half>[ap])\.?m\.?)?",
    re.IGNORECASE,
)
_NUMBER = re.compile(r"(\d+(?:[.,]\d+)?)\s*(m3|yd3)?")


class NotReadError(ValueError):
    """A field that says nothing that can be read; the text says why."""


def fields_of(row: str, comma: str) -> list[str]:
    """The fields of a row, as a spreadsheet would cut it."""
    return [each.strip() for each in next(csv.reader([row[:_LONGEST_ROW]], delimiter=comma), [])]


def comma_of(head: str) -> str:
    """What parts the fields: the one of ; , tab and | that the head has most of."""
    return max(";,\t|", key=head.count)


def column_of(heading: str) -> str:
    """The column that a heading means, with the unit of a volume ("m3", "back_yd3"); "" for none.

    A volume without a unit is "volume" or "back": then its fields have to carry one.
    """
    plain = _plain(heading)
    if plain in _OF and plain:
        return _OF[plain]
    found = _UNIT.fullmatch(plain)
    if found is None:
        return ""
    name = _OF.get(found[1])
    if name in (VOLUME, BACK):
        return found[2] if name == VOLUME else f"{BACK}_{found[2]}"
    return ""


def _plain(heading: str) -> str:
    text = heading.strip().strip('"').lower().replace("³", "3")
    return _with_units(" ".join(re.sub(r"[^a-z0-9]+", " ", text).split()))


def head_at(rows: Sequence[str]) -> int | None:
    """The index of the row that names the columns of a table; None where none does.

    It names a ticket and a time, and something else beside; titles may stand over it.
    """
    seen = 0
    for n, row in enumerate(rows):
        if not row.strip():
            continue
        seen += 1
        if seen > _HEADS:
            return None
        names = {column_of(each) for each in fields_of(row, comma_of(row))} - {""}
        if TICKET in names and names & set(TIMES):
            return n
    return None


def time_of(text: str) -> tuple[date | None, float, bool]:
    """The date where one is told, the clock (s), and whether day and month can be told apart.

    Raises:
        NotReadError: where it is no time, or no date.
    """
    found = _TIME.fullmatch(text)
    if found is None:
        raise NotReadError("is no time")
    hour, minute, second = int(found["h"]), int(found["min"]), int(found["s"] or 0)
    if found["half"]:
        if not 1 <= hour <= 12:
            raise NotReadError("is no time")
        hour = hour % 12 + (12 if found["half"].lower() == "p" else 0)
    if hour > 23 or minute > 59 or second > 59:
        raise NotReadError("is no time")
    clock = 3600.0 * hour + 60.0 * minute + second
    day, plain = _date_of(found)
    return day, clock, plain


def _date_of(found: re.Match[str]) -> tuple[date | None, bool]:
    try:
        if found["y1"]:
            return date(int(found["y1"]), int(found["m1"]), int(found["d1"])), True
        if found["y2"]:
            return date(int(found["y2"]), int(found["m2"]), int(found["d2"])), True
        if found["y3"]:
            one, two, year = int(found["a"]), int(found["b"]), int(found["y3"])
            if one == two or one > 12:
                return date(year, two, one), True
            if two > 12:
                return date(year, one, two), True
            return None, False
    except ValueError:
        raise NotReadError("is no date") from None
    return None, True


def volume_of(text: str, unit: str) -> float:
    """A volume (m³); ``unit`` is that of the column, or "" where the field has to carry it.

    Raises:
        NotReadError: where it is no volume, or its unit is not known.
    """
    text = _with_units(text.lower())
    found = _NUMBER.fullmatch(text)
    if found is None:
        raise NotReadError("is no volume")
    told = found[2] or unit
    if not told:
        raise NotReadError("has no unit: write m3 or yd3 into it, or over its column")
    if unit and told != unit:
        raise NotReadError(f"is in {told}, and its column in {unit}")
    value = float(found[1].replace(",", ".")) * (YARD3 if told == "yd3" else 1.0)
    if not value < 1e6:
        raise NotReadError("is more than any floor takes")
    return value


def _with_units(text: str) -> str:
    for spelled, unit in _UNITS:
        text = text.replace(spelled, unit)
    return text.strip()
