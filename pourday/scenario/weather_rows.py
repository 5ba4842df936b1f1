"""Rows of weather from where the user has them: in the table, in a CSV file, or a sample day.

A CSV has a head line and one row a time. Columns: ``time`` ("HH:MM"), ``air_C``, ``humidity`` (0 to
1), ``wind_km_h``, or ``air_F``, ``wind_mph``; others are passed over. Bad rows and gaps are named
by their line.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from pourday.scenario.base.disk import LONGEST_PATH, NoFileError, read_file
from pourday.scenario.base.faults import Fault, nearest, show
from pourday.scenario.base.text import printable
from pourday.scenario.base.us_units import twin_of
from pourday.scenario.presets import weather_sample, weather_samples

GIVEN_BY = ("hours", "csv", "sample")
"""Where rows may come from: keys of the table, of which exactly one is there."""
COLUMNS = ("time", "air_C", "humidity", "wind_km_h")
LONGEST_GAP = 6 * 60
"""Minutes between two rows of a CSV beyond which hours are taken to be missing."""
MOST_BYTES = 5_000_000
"""Largest CSV: two days by the minute, with many columns more than are read."""
MOST_ROW_FAULTS = 20
"""Faults of rows after which no more rows are looked at: the file is of another kind."""
_TIME = re.compile(r"([0-9]{1,2}):([0-9]{1,2})")
_LIMITS = {
    "air_C": (-40.0, 55.0, "°C"),
    "humidity": (0.0, 1.0, ""),
    "wind_km_h": (0.0, 150.0, "km/h"),
}


def with_rows(raw: dict[str, Any], folder: Path | None, faults: list[Fault]) -> dict[str, Any]:
    """The weather table with its ``hours`` filled in from ``csv`` or ``sample``; faults are added.

    Args:
        raw: the table as written.
        folder: where a CSV's path starts from; ``None`` where the scenario is not a file.
        faults: list that new faults go to.
    """
    given = [key for key in GIVEN_BY if key in raw]
    if len(given) != 1:
        found = "missing" if not given else f"both {' and '.join(given)} given"
        faults.append(Fault("weather", found, "exactly one of hours, csv and sample"))
        return raw | {"hours": _ANY_HOUR}
    if "sample" in raw:
        name = raw["sample"]
        if name not in weather_samples():
            advice = nearest(str(name), weather_samples(), "the sample days are")
            faults.append(Fault("weather.sample", show(name), "a sample day", advice=advice))
            return raw | {"hours": _ANY_HOUR, "sample": None}
        return raw | {"hours": weather_sample(name)}
    if "csv" in raw:
        if not isinstance(raw["csv"], str):
            faults.append(Fault("weather.csv", show(raw["csv"]), "the path of a CSV file"))
            return raw | {"hours": _ANY_HOUR, "csv": None}
        new: list[Fault] = []
        hours = _from_csv((folder or Path()) / raw["csv"], new)
        faults += new
        return raw | {"hours": _ANY_HOUR if new else hours}
    return raw


# Stands in for rows that could not be read, so that the rest of the table is still looked at.
_ANY_HOUR = [{"at": "12:00", "air_C": 20.0, "humidity": 0.5, "wind_km_h": 10.0}]


def _from_csv(path: Path, faults: list[Fault]) -> list[dict[str, Any]]:
    name = f"weather.csv ({printable(path.name[:60])})"
    try:
        text = read_file(path, MOST_BYTES).decode("utf-8-sig")
    except NoFileError as fault:
        where = printable(str(path)) if len(str(path)) <= LONGEST_PATH else "a shorter path"
        rule = f"a CSV file of at most {MOST_BYTES // 10**6} MB at {where}"
        faults.append(Fault(name, str(fault), rule))
        return []
    except UnicodeDecodeError:
        faults.append(Fault(name, "letters that are not UTF-8", "a text file saved as UTF-8"))
        return []
    try:
        return _rows(csv.DictReader(io.StringIO(text)), name, faults)
    except csv.Error:  # a field of more than 131,072 letters, mostly for a quote that never ends
        found = "a field too long to read"
        faults.append(Fault(name, found, "short fields, parted by commas", advice='look for a "'))
        return []


def _rows(reader: csv.DictReader[str], name: str, faults: list[Fault]) -> list[dict[str, Any]]:
    heads = _heads(reader.fieldnames or [])
    missing = [column for column in COLUMNS if column not in heads]
    if missing:
        found = f"no column {', '.join(missing)}"
        faults.append(
            Fault(
                name, found, f"a head line with the columns {', '.join(COLUMNS)}, parted by commas"
            )
        )
        return []
    rows: list[dict[str, Any]] = []
    before: tuple[int, int] | None = None
    for row in reader:
        if len(faults) >= MOST_ROW_FAULTS:
            faults.append(Fault(name, "more faults further down", "rows such as the sample days"))
            break
        line = reader.line_num
        minutes = _minutes(row["time"])
        if minutes is None:
            faults.append(Fault(f"{name} line {line}", show(row["time"]), 'a time such as "06:30"'))
            continue
        if before is not None:
            _in_time(name, line, minutes, before, faults)
        before = (minutes, line)
        values = {key: _value(name, line, heads[key], row, key, faults) for key in _LIMITS}
        rows.append({"at": f"{minutes // 60:02d}:{minutes % 60:02d}", **values})
    if not rows and not faults:
        faults.append(Fault(name, "no row of weather", "at least one row under the head line"))
    return rows


def _minutes(text: str | None) -> int | None:
    match = _TIME.fullmatch((text or "").strip())
    if not match or int(match[1]) > 47 or int(match[2]) > 59:
        return None
    return int(match[1]) * 60 + int(match[2])


def _in_time(
    name: str, line: int, minutes: int, before: tuple[int, int], faults: list[Fault]
) -> None:
    earlier, at_line = before
    clock = f"{earlier // 60:02d}:{earlier % 60:02d}"
    if minutes <= earlier:
        found = f"not after {clock} on line {at_line}"
        faults.append(Fault(f"{name} line {line}", found, "rows in order of time"))
    elif minutes - earlier > LONGEST_GAP:
        found = f"{(minutes - earlier) / 60:.1f} h after {clock} on line {at_line}"
        rule = f"hours missing: a row at least every {LONGEST_GAP // 60} h"
        faults.append(Fault(f"{name} line {line}", found, rule))


def _heads(written: Sequence[str]) -> dict[str, str]:
    """Column -> the head it stands under: its own name, or that of its US twin (air_F)."""
    heads = {column: column for column in COLUMNS if column in written}
    for column in COLUMNS:
        twin = twin_of(column)
        if twin is not None and twin.key in written:
            heads.setdefault(column, twin.key)
    return heads


def _value(
    name: str, line: int, head: str, row: dict[str, str], key: str, faults: list[Fault]
) -> float:
    low, high, unit = _LIMITS[key]
    text, twin = row[head], twin_of(key) if head != key else None
    try:
        value = float((text or "").strip())
    except ValueError:
        value = float("nan")
    value = twin.to_metric(value) if twin is not None else value
    if not low <= value <= high:
        found = show(text) if text else "empty"
        ends = (low, high) if twin is None else (twin.from_metric(low), twin.from_metric(high))
        place, allowed = f"{name} line {line} {head}", f"{ends[0]:.5g} to {ends[1]:.5g}"
        faults.append(Fault(place, found, allowed, unit if twin is None else twin.unit))
        return low
    return value
