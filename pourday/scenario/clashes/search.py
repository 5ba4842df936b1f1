"""What [search] cannot ask for: keys that no file has, plans not there, too many of all."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from pourday.scenario.base.allowed import hint_at, model_at
from pourday.scenario.base.distribution import Distribution
from pourday.scenario.base.faults import Fault, nearest, show, unknown
from pourday.scenario.base.paths import NoPlaceError, Place, place_of, with_value
from pourday.scenario.base.quantities import Table
from pourday.scenario.tables.file import NAMED, PLAN, TABLES
from pourday.scenario.tables.search import MOST_CANDIDATES, MOST_VALUES, SearchTable, values_of
from pourday.scenario.tables.site import PlanTable

_NOT_VARIED = ("plan.name", "title", "date")
# By these candidates are judged, all by the same.
_JUDGES = ("limits", "prices", "search")


def _plans_are_there(search: SearchTable, plans: Mapping[int, PlanTable]) -> Iterator[Fault]:
    names = [plan.name for plan in plans.values()]
    for number, name in enumerate(search.plans, start=1):
        if name not in names:
            yield unknown(
                f"search.plans[{number}]", name, names, "the name of a [[plan]]", "the plans are"
            )
        elif name in search.plans[: number - 1]:
            yield Fault(f"search.plans[{number}]", show(name), "each plan once")


def _values_given_once(search: SearchTable) -> Iterator[Fault]:
    for number, each in enumerate(search.vary, start=1):
        path = f"search.vary[{number}]"
        ends = (each.least, each.most)
        if each.values is not None and ends != (None, None):
            yield Fault(path, "both given, values and least or most", "one of the two")
        elif each.values is None and None in ends:
            yield Fault(path, "neither given, values nor both ends", "values, or least and most")
        elif each.values is None and each.least is not None and each.most is not None:
            if each.most < each.least:
                rule = f"least, {each.least:g}, or more"
                yield Fault(f"{path}.most", f"{each.most:g}", rule)
            elif (each.most - each.least) / each.step + 1 > MOST_VALUES:
                rule = f"a range of at most {MOST_VALUES} values"
                yield Fault(f"{path}.step", f"{each.step:g}", rule)


def _keys_are_there(search: SearchTable, raw: Mapping[str, Any]) -> Iterator[Fault]:
    seen: set[Place] = set()
    for number, each in enumerate(search.vary, start=1):
        path = f"search.vary[{number}].key"
        try:
            place = place_of(each.key)
        except NoPlaceError as fault:
            yield Fault(path, show(each.key), str(fault))
            continue
        if place in seen:
            yield Fault(path, show(each.key), "each key once")
        seen.add(place)
        if each.key in _NOT_VARIED or place[0] in _JUDGES:
            yield Fault(path, show(each.key), "a key that a candidate may change")
            continue
        wrong = _no_key(place) or _nowhere(raw, search.plans, place)
        if wrong:
            yield Fault(path, f"{show(each.key)}, no such key", advice=wrong)


def _no_key(place: Place) -> str:
    """Why no file has such a key, "" where one may."""
    tops: dict[str, type[Table]] = {key: model for key, (model, _) in TABLES.items()}
    tops |= NAMED | {"plan": PLAN}
    top, rest = str(place[0]), place[1:]
    if top not in tops:
        return nearest(top, [key for key in tops if key != "search"], "the tables are")
    if top in NAMED:
        rest = rest[1:]
    if not rest or not isinstance(rest[0], str):
        return f"name a key of [{top}]"
    return _not_in(tops[top], rest)


def _not_in(model: type[Table], place: Place) -> str:
    hint, _ = hint_at(model, place)
    if hint is not object:
        return ""
    above = hint_at(model, place[:-1])[0]
    if above is Distribution:
        return ""  # the mean of a distribution that stands there, and its like
    known = model_at(model, place[:-1]).model_fields
    return nearest(str(place[-1]), known, "the keys are")


def _nowhere(raw: Mapping[str, Any], names: Sequence[str], place: Place) -> str:
    """Why nothing can be put there in this file, "" where it can."""
    named = raw.get(str(place[0]))
    if place[0] in NAMED and isinstance(named, dict) and place[1] not in named:
        return nearest(str(place[1]), named, f"the {place[0]} are")
    listed = raw.get("plan")
    plans = [each for each in listed if isinstance(each, dict)] if isinstance(listed, list) else []
    first = next((plan for plan in plans if plan.get("name") in names), plans[0] if plans else {})
    inside = {**raw, "plan": first}
    try:
        with_value(inside, place, None)
    except NoPlaceError as fault:
        return str(fault)
    return ""


def _not_too_many(search: SearchTable) -> Iterator[Fault]:
    if any(each.values is None and None in (each.least, each.most) for each in search.vary):
        return
    count = max(1, len(search.plans)) * math.prod(len(values_of(each)) for each in search.vary)
    if count > MOST_CANDIDATES:
        rule = f"at most {MOST_CANDIDATES:,}: fewer values, or a wider step"
        yield Fault("search.vary", f"{count:,} candidates", rule)


Check = Callable[..., Iterator[Fault]]
SEARCH_CHECKS: Sequence[tuple[tuple[str, ...], Check]] = (
    (("search", "plans"), _plans_are_there),
    (("search",), _values_given_once),
    (("search", "raw"), _keys_are_there),
    (("search",), _not_too_many),
)
