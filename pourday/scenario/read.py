"""Reads a scenario file: a `Scenario` with its warnings, or every fault of the file at once.

Each table is read on its own, so that a fault in one hides none in another; then whatever could
be read is compared (``contradictions``). Reading never writes.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from datetime import date, datetime
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from pourday.scenario.base.disk import NoFileError, read_file
from pourday.scenario.base.faults import (
    Fault,
    ScenarioError,
    join,
    name_key,
    nearest,
    show,
    table_faults,
)
from pourday.scenario.base.quantities import Table
from pourday.scenario.base.text import all_printable, printable
from pourday.scenario.build import build
from pourday.scenario.changed import set_at
from pourday.scenario.clashes import contradictions
from pourday.scenario.model.scenario import Scenario
from pourday.scenario.presets import KIND_OF, preset, preset_names
from pourday.scenario.tables.file import LISTED, NAMED, PLAIN_KEYS, PLAN, TABLES
from pourday.scenario.us_keys import as_written, in_metric
from pourday.scenario.weather_rows import with_rows

_PLACE = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)$")
_YEARS = (2000, 2199)
MOST_BYTES = 2_000_000
"""Largest scenario file: a hundred times what a floor of many plans takes."""
_DATE = f"a date such as 2026-05-04, without a time, from {_YEARS[0]} to {_YEARS[1]}"


def read_scenario(path: str | Path) -> tuple[Scenario, tuple[Fault, ...]]:
    """The scenario in the file at ``path`` and its warnings.

    Raises:
        ScenarioError: with every fault, where the file or anything in it cannot be used.
    """
    text = text_of(path)
    return parse_scenario(text, Path(path).stem, str(path), Path(path).parent)


def text_of(path: str | Path) -> str:
    """What stands in the file at ``path``.

    Raises:
        ScenarioError: where it cannot be read, or is no text.
    """
    name = str(path)
    raw = _bytes(Path(path), name)
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = raw.count(b"\n", 0, fault.start) + 1
        found = f"a letter on line {line} that is not UTF-8"
        if b"\0" in raw or raw[:2] in (b"\xff\xfe", b"PK"):
            found = "not a text file"
        raise ScenarioError([Fault(name, found, "a text file saved as UTF-8")]) from None


def read_changed(path: str | Path, key: str, value: float) -> Scenario:
    """The scenario in the file at ``path`` with another number at a key (``scenario.changed``).

    Raises:
        ScenarioError: where the key is not there, or the file cannot be used with that number.
    """
    raw = toml_of(_bytes(Path(path), str(path)).decode("utf-8-sig"), str(path))
    set_at(raw, key, value)
    return scenario_of(raw, Path(path).stem, Path(path).parent)[0]


def files_read(path: str | Path) -> tuple[Path, ...]:
    """The files that reading the scenario at ``path`` opens: itself, and the weather it names."""
    try:
        raw = tomllib.loads(_bytes(Path(path), str(path)).decode("utf-8-sig"))
    except (ScenarioError, ValueError, RecursionError):
        return (Path(path),)
    weather = raw.get("weather")
    named = weather.get("csv") if isinstance(weather, dict) else None
    return (Path(path), Path(path).parent / named) if isinstance(named, str) else (Path(path),)


def _bytes(path: Path, name: str) -> bytes:
    try:
        return read_file(path, MOST_BYTES)
    except NoFileError as fault:
        allowed = f"a scenario file in TOML of at most {MOST_BYTES // 10**6} MB that can be read"
        raise ScenarioError([Fault(name, str(fault), allowed)]) from None


def parse_scenario(
    text: str, name: str = "scenario", file: str = "", folder: Path | None = None
) -> tuple[Scenario, tuple[Fault, ...]]:
    """The scenario in ``text`` and its warnings.

    Args:
        text: TOML, as in a scenario file.
        name: title of a scenario that gives none.
        file: what to call the text in a message about its syntax; ``name`` unless given.
        folder: where the paths in the text start from; the present folder unless given.

    Raises:
        ScenarioError: with every fault of the text.
    """
    return scenario_of(toml_of(text, file or name), name, folder)


def scenario_of(
    written: Mapping[str, Any], name: str = "scenario", folder: Path | None = None
) -> tuple[Scenario, tuple[Fault, ...]]:
    """The scenario of a file's tables, ``written`` as :func:`toml_of` gives them.

    The rest as in :func:`parse_scenario`.
    """
    raw = dict(written)
    faults = _unknown_tables(raw)
    raw, in_us = in_metric(raw, faults)
    if isinstance(raw.get("weather"), dict):
        raw["weather"] = with_rows(raw["weather"], folder, faults)
    tables: dict[str, Any] = {}
    plain = {"title": _title(raw, name, faults), "date": _date(raw, faults)}
    for key, (model, needed) in TABLES.items():
        if key in raw or needed:
            _keep(tables, key, _table(raw.get(key), model, key, faults, key in raw))
        else:
            tables[key] = model()
    for key, model in NAMED.items():
        _keep(tables, key, _named(raw.get(key), model, key, faults))
        names = raw.get(key)
        tables[f"{key.removesuffix('s')}_names"] = tuple(names) if isinstance(names, dict) else ()
    tables["plans"] = _plans(raw.get("plan"), faults)
    for key in ("pour", "standby"):
        found_there = _list_of(key, raw.get(key, []), faults)
        if found_there is not None:  # else what they are together cannot be looked at
            tables[f"{key}s"] = found_there
    listed = raw.get("plan")
    tables["raw_plans"] = {
        number: plan
        for number, plan in enumerate(listed if isinstance(listed, list) else [], start=1)
        if isinstance(plan, dict)
    }
    tables["raw"] = raw
    found = contradictions.find(tables)
    faults += [fault for fault in found if fault.severity == "fault"]
    if faults:
        raise ScenarioError(as_written(faults, in_us))
    warnings = [fault for fault in found if fault.severity == "warning"]
    return build(plain, tables), tuple(as_written(warnings, in_us))


def _keep(tables: dict[str, Any], key: str, table: Any) -> None:
    if table is not None:
        tables[key] = table


def toml_of(text: str, file: str) -> dict[str, Any]:
    """The tables of a file as written, every name fit to be shown; ``file`` is what to call it.

    Raises:
        ScenarioError: where it is no TOML.
    """
    try:
        return _texts(tomllib.loads(text))
    except RecursionError:
        fault = Fault(file, "lists or tables nested too deep to read", "a scenario file in TOML")
    except ValueError as error:
        said = str(error)
        place = _PLACE.search(said)
        at = f"line {place[1]}, column {place[2]}" if place and place[1] else "its end"
        what = _PLACE.sub("", said)
        if what.startswith("Exceeds the limit"):
            at, what = "a number of thousands of digits", "too long to read"
        advice = ""
        if "overwrite" in what or "twice" in what or "mutate" in what:
            advice = "a key or table stands there a second time"
        elif what == "Invalid value" or what.startswith("Expected newline"):
            advice = "texts stand in quotes, decimals have a point, dates are year-month-day"
        found = f"not readable as TOML at {at} ({what[:1].lower()}{what[1:]})"
        fault = Fault(file, "".join(c if c.isprintable() else "?" for c in found), advice=advice)
    raise ScenarioError([fault]) from None


def _texts(raw: dict[str, Any]) -> dict[str, Any]:
    """The same with every name fit to be shown; not a path, nor an upset's words."""
    shown: dict[str, Any] = all_printable(raw)
    for table, key in (("weather", "csv"), ("upsets", "given")):
        if isinstance(raw.get(table), dict) and key in raw[table]:
            shown[table][key] = raw[table][key]
    return shown


def _unknown_tables(raw: Mapping[str, Any]) -> list[Fault]:
    known = [*PLAIN_KEYS, *TABLES, *NAMED, *LISTED]
    return [
        Fault(
            name_key(key), "no key or table of that name", advice=nearest(key, known, "there are")
        )
        for key in raw
        if key not in known
    ]


def _title(raw: Mapping[str, Any], name: str, faults: list[Fault]) -> str:
    title = raw.get("title", printable(name))
    if not isinstance(title, str):
        faults.append(Fault("title", show(title), "text in quotes"))
        return printable(name)
    return title


def _date(raw: Mapping[str, Any], faults: list[Fault]) -> date:
    found = raw.get("date")
    day = found
    if isinstance(found, str):
        try:
            day = date.fromisoformat(found)
        except ValueError:
            day = None
    plain = isinstance(day, date) and not isinstance(day, datetime)
    if isinstance(day, date) and plain and _YEARS[0] <= day.year <= _YEARS[1]:
        return day
    faults.append(Fault("date", show(found) if "date" in raw else "missing", _DATE))
    return date.min


def _table(
    raw: object, model: type[Table], path: str, faults: list[Fault], there: bool = True
) -> Table | None:
    """One table, or nothing and its faults."""
    if not isinstance(raw, dict):
        found = show(raw) if there else "missing"
        advice = "write it with single brackets" if isinstance(raw, list) else ""
        rule = f"a table [{path}] with the keys {', '.join(model.model_fields)}"
        faults.append(Fault(path, found, rule, advice=advice))
        return None
    filled, known = _with_preset(raw, path, faults)
    try:
        table = model.model_validate(filled)
    except ValidationError as error:
        new = table_faults(error, model, path, raw.get("name") if path.startswith("plan[") else "")
        faults.extend(fault for fault in new if known or fault.found != "missing")
        return None
    return table if known else None


def _with_preset(
    raw: dict[str, Any], path: str, faults: list[Fault]
) -> tuple[dict[str, Any], bool]:
    """The table laid over its preset, and whether the preset it names is known."""
    kind, name = KIND_OF.get(path.split(".")[0], ""), raw.get("preset")
    if not kind or name is None:
        return raw, True
    if not isinstance(name, str):
        return raw, False
    if name not in preset_names(kind):
        advice = nearest(name, preset_names(kind), "the presets are")
        rule = f"the name of a ready value for {path.split('.')[0]}"
        faults.append(Fault(f"{path}.preset", show(name), rule, advice=advice))
        return raw, False
    ready = preset(kind, name)
    if "placers" in raw and "roles" not in raw:
        ready.pop("roles", None)  # they add up to the preset's own placers
    return ready | raw, True


def _named(
    raw: object, model: type[Table], key: str, faults: list[Fault]
) -> dict[str, Table] | None:
    """The tables ``[key.NAME]`` that could be read, by name."""
    if not isinstance(raw, dict) or not raw:
        found = "missing" if raw is None else show(raw)
        rule = f"at least one table [{key}.NAME], under a name of your own"
        faults.append(Fault(key, found, rule))
        return None
    if not any(isinstance(value, dict) and "dist" not in value for value in raw.values()):
        advice = "put a name after the point, such as " + f"[{key}.first]"
        faults.append(Fault(key, show(raw), f"tables [{key}.NAME]", advice=advice))
        return None
    tables = {name: _table(table, model, join(key, name), faults) for name, table in raw.items()}
    return {name: table for name, table in tables.items() if table is not None}


def _plans(raw: object, faults: list[Fault]) -> dict[int, Table]:
    """The plans that could be read, by their number in the file."""
    if not isinstance(raw, list) or not raw:
        found = "missing, no plan at all" if raw is None else show(raw)
        advice = "write it with double brackets" if isinstance(raw, dict) else ""
        faults.append(Fault("plan", found, "at least one table [[plan]]", advice=advice))
        return {}
    plans = {n: _table(item, PLAN, f"plan[{n}]", faults) for n, item in enumerate(raw, start=1)}
    return {number: plan for number, plan in plans.items() if plan is not None}


def _list_of(key: str, raw: object, faults: list[Fault]) -> dict[int, Table] | None:
    """The tables of a list by their number in the file; None where any could not be read."""
    if not isinstance(raw, list):
        advice = "write it with double brackets" if isinstance(raw, dict) else ""
        faults.append(Fault(key, show(raw), f"tables [[{key}]]", advice=advice))
        return None
    read = {n: _table(each, LISTED[key], f"{key}[{n}]", faults) for n, each in enumerate(raw, 1)}
    found = {number: table for number, table in read.items() if table is not None}
    return found if len(found) == len(read) else None
