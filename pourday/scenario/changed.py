"""Another number at a key of a scenario file, named by its path as in the messages of the program.

``supply.plants[1].travel_min.mean`` is the mean of the trips from the first plant; lists count from
1. A quantity that varies keeps its shape: a path that ends at it means its ``mean``.
"""

from __future__ import annotations

from typing import Any

from pourday.scenario.base.faults import Fault, ScenarioError, nearest, show
from pourday.scenario.base.paths import NoPlaceError, NoRowError, Place, place_of

_WAY = "a key of the file by its path, such as supply.plants[1].travel_min.mean; lists count from 1"


def set_at(raw: dict[str, Any], key: str, value: float) -> None:
    """Put a number where a key of the file stands, in place.

    Raises:
        ScenarioError: where there is no such key, or something else than a number stands there.
    """
    parts = _parts(key)
    home: Any = raw
    for n, part in enumerate(parts[:-1]):
        home = _inside(home, part, key, parts[:n])
    last = parts[-1]
    found = _inside(home, last, key, parts[:-1])
    if isinstance(found, dict) and "mean" in found:
        home, last, found = found, "mean", found["mean"]
    if isinstance(found, dict) and "dist" in found:
        names = ", ".join(name for name in found if name != "dist")
        raise _fault(key, f"a quantity without a mean of its own (it has {names})")
    if isinstance(found, bool) or not isinstance(found, int | float):
        raise _fault(key, show(found), "a number, or a quantity with a mean")
    home[last] = int(value) if isinstance(found, int) and value == int(value) else value


def _parts(key: str) -> Place:
    try:
        return place_of(key)
    except NoRowError as wrong:
        raise _fault(key, str(wrong), _WAY) from None
    except NoPlaceError:
        raise _fault(key, "not a path", _WAY) from None


def _inside(home: Any, part: str | int, key: str, before: Place) -> Any:
    """What stands under a part of the path."""
    if isinstance(part, int):
        if isinstance(home, list) and part < len(home):
            return home[part]
        count = len(home) if isinstance(home, list) else 0
        raise _fault(key, f"no row {part + 1} in {_told(before)} (it has {count})", _WAY)
    if isinstance(home, dict) and part in home:
        return home[part]
    known = list(home) if isinstance(home, dict) else []
    where = f"in {_told(before)} of the file" if before else "in the file"
    first = "one that has its value ready is to be written into the file first"
    advice = f"{nearest(part, known, 'there are')}; {first}" if known else first
    found = f"{part!r} does not stand {where}"
    raise _fault(key, found, "" if known else _WAY, advice)


def _told(parts: Place) -> str:
    words = (f"[{part + 1}]" if isinstance(part, int) else f".{part}" for part in parts)
    return "".join(words).removeprefix(".")


def _fault(key: str, found: str, allowed: str = "", advice: str = "") -> ScenarioError:
    return ScenarioError([Fault(key, found, allowed, advice=advice)])
