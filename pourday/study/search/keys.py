"""Keys of a search that nothing in the file prices, so that more of them is never too much."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import Any

import numpy as np

from pourday.scenario.base.paths import place_of
from pourday.scenario.candidates import Search
from pourday.scenario.model.scenario import Scenario
from pourday.study.search.trial import Trial

# Things of which a site may have more or fewer, and which have no price in any file.
_NO_PRICE = ("trucks", "positions", "holding_places", "batch_m3_h")
_PEOPLE = ("placers", "finishers", "others")


@dataclass(frozen=True)
class KeyWithoutPrice:
    """``key`` has no price; ``alike`` are values that cost the same to the cent, on every day."""

    key: str
    alike: tuple[Any, ...]


def steps_of(search: Search) -> list[int]:
    """How many values each candidate is above the least, over all keys that have no price."""
    free = [at for at, key in enumerate(search.keys) if _has_no_price(search.scenario, key)]
    places = [{repr(v): n for n, v in enumerate(values)} for values in search.values]
    return [sum(places[at][repr(each.values[at])] for at in free) for each in search.candidates]


def _has_no_price(scenario: Scenario, key: str) -> bool:
    last = next((part for part in reversed(place_of(key)) if isinstance(part, str)), "")
    return last in _NO_PRICE or (last in _PEOPLE and scenario.prices.labour == 0.0)


def without_price(search: Search, trial: Trial) -> tuple[KeyWithoutPrice, ...]:
    """The searched keys that have no price, or whose values made no difference of a cent."""
    out = []
    for at, key in enumerate(search.keys):
        alike = _alike(search, trial, at)
        if alike or _has_no_price(search.scenario, key):
            out.append(KeyWithoutPrice(key, alike))
    return tuple(out)


def _alike(search: Search, trial: Trial, at: int) -> tuple[Any, ...]:
    """Values of a key that cost the same to the cent wherever all else is the same."""
    groups: dict[tuple[Any, ...], dict[int, np.ndarray]] = defaultdict(dict)
    places = {repr(value): n for n, value in enumerate(search.values[at])}
    days = min((len(rows) for rows in trial.values if len(rows)), default=0)
    for number, each in enumerate(search.candidates):
        if len(trial.values[number]) >= days > 0:
            others = (each.of, *map(repr, each.values[:at]), *map(repr, each.values[at + 1 :]))
            cents = np.round(trial.costs(number, days), 2)
            groups[others][places[repr(each.values[at])]] = cents
    same: set[int] = set()
    candidates = {(a, b) for group in groups.values() for a in group for b in group if a < b}
    for a, b in candidates:
        both = [group for group in groups.values() if a in group and b in group]
        if all(np.array_equal(group[a], group[b]) for group in both):
            same |= {a, b}
    return tuple(search.values[at][n] for n in sorted(same))
