"""The candidates of a search: each a plan of the file with other values in some keys.

A candidate passes the same checks as a file that somebody had written so: it is read as one. What
cannot be read is told, and is no reason to leave out the others.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import product
from pathlib import Path
from typing import Any

from pourday.scenario.base.faults import Fault, ScenarioError, show
from pourday.scenario.base.paths import place_of, value_at, with_value
from pourday.scenario.base.units import ending_of
from pourday.scenario.model.scenario import Plan, Scenario
from pourday.scenario.read import scenario_of, text_of, toml_of
from pourday.scenario.tables.search import SearchTable, values_of

# Without [search]: each plan of the file at whole minutes of spacing from and to these shares.
_CLOSER, _WIDER = 0.6, 1.6
SPACING = "plan.spacing_min"


@dataclass(frozen=True, eq=False)
class Candidate:
    """A plan of the file (``of``) with its own ``values``, one for each key that is varied.

    ``scenario`` is the file as it would be with them, with this plan alone. ``written`` is the
    plan's table, ``beside`` the path and value of every key that was changed elsewhere.
    """

    name: str
    of: str
    values: tuple[Any, ...]
    scenario: Scenario = field(repr=False)
    written: Mapping[str, Any] = field(repr=False)
    beside: tuple[tuple[str, Any], ...] = ()

    @property
    def plan(self) -> Plan:
        """The plan of the candidate, under the candidate's name."""
        return self.scenario.plans[0]


@dataclass(frozen=True)
class Refused:
    """A combination that no file could hold, and why."""

    name: str
    faults: tuple[Fault, ...]


@dataclass(frozen=True, eq=False)
class Search:
    """What is tried: ``keys`` that are varied with the ``values`` of each, and all combinations.

    ``told`` says whether the file has a table [search]; without one every plan of it is tried at
    whole minutes of spacing around its own.
    """

    scenario: Scenario
    warnings: tuple[Fault, ...]
    told: bool
    plans: tuple[str, ...]
    keys: tuple[str, ...]
    values: tuple[tuple[Any, ...], ...]
    candidates: tuple[Candidate, ...]
    refused: tuple[Refused, ...]


def read_search(path: str | Path) -> Search:
    """The candidates of the scenario file at ``path``.

    Raises:
        ScenarioError: with every fault of the file; or, where no combination can be read, with
            those of the first.
    """
    raw = toml_of(text_of(path), str(path))
    return search_of(raw, Path(path).stem, Path(path).parent)


def search_of(raw: Mapping[str, Any], name: str, folder: Path | None = None) -> Search:
    """The candidates of a file's tables; arguments as in ``read.scenario_of``, errors as above."""
    scenario, warnings = scenario_of(raw, name, folder)
    search = SearchTable.model_validate(raw.get("search", {}))
    told = bool(search.vary)
    around: dict[str, tuple[int, ...]] = {}
    if told:
        names = tuple(search.plans) or (scenario.plans[0].name,)
        varied = [(each.key, _in_order(values_of(each))) for each in search.vary]
    else:
        names = tuple(search.plans) or tuple(plan.name for plan in scenario.plans)
        around = {each: _around(scenario.plan(each)) for each in names}
        varied = [(SPACING, tuple(sorted({value for own in around.values() for value in own})))]
    candidates: list[Candidate] = []
    refused: list[Refused] = []
    for of, values in product(names, product(*(values for _, values in varied))):
        if not told and values[0] not in around[of]:
            continue
        own = tuple(zip((key for key, _ in varied), values, strict=True))
        called = candidate_name(own, of if len(names) > 1 else "")
        try:
            candidates.append(_candidate(raw, of, own, called, (name, folder)))
        except ScenarioError as fault:
            refused.append(Refused(called, fault.faults))
    if not candidates:
        raise ScenarioError(refused[0].faults)
    return Search(
        scenario=scenario,
        warnings=warnings,
        told=told,
        plans=names,
        keys=tuple(key for key, _ in varied),
        values=tuple(values for _, values in varied),
        candidates=tuple(candidates),
        refused=tuple(refused),
    )


def _in_order(values: Sequence[Any]) -> tuple[Any, ...]:
    """Each value once; numbers from the least, so that of plans that are alike it comes first."""
    once = tuple({repr(value): value for value in values}.values())
    numbers = all(isinstance(v, int | float) and not isinstance(v, bool) for v in once)
    return tuple(sorted(once)) if numbers else once


def _around(plan: Plan) -> tuple[int, ...]:
    """Whole minutes of spacing around that of a plan."""
    mean = plan.fronts[0].spacing.mean / 60.0
    least = max(1, round(_CLOSER * mean))
    return tuple(range(least, max(least + 1, round(_WIDER * mean)) + 1))


def _candidate(
    raw: Mapping[str, Any],
    of: str,
    values: tuple[tuple[str, Any], ...],
    name: str,
    file: tuple[str, Path | None],
) -> Candidate:
    plan = next(plan for plan in raw["plan"] if plan.get("name") == of)
    changed: dict[str, Any] = {key: each for key, each in raw.items() if key != "search"}
    changed["plan"] = plan
    for key, value in values:
        changed = with_value(changed, place_of(key), value)
    written = changed["plan"]
    scenario, _ = scenario_of({**changed, "plan": [written]}, *file)
    return Candidate(
        name=name,
        of=of,
        values=tuple(value for _, value in values),
        scenario=replace(scenario, plans=(replace(scenario.plans[0], name=name),)),
        written=written,
        beside=tuple(
            (key, value)
            for key, value in values
            if place_of(key)[0] != "plan" and value_at(raw, place_of(key)) != value
        ),
    )


def candidate_name(values: Sequence[tuple[str, Any]], of: str = "") -> str:
    """What a candidate is called: its values in words, after the plan it is of."""
    return ", ".join([*([of] if of else []), *(value_words(key, each) for key, each in values)])


def value_words(key: str, value: Any) -> str:
    """A value of a key for a reader: "every 18 min", "8 trucks", "large", "hold back at 3"."""
    last = str(next(part for part in reversed(place_of(key)) if isinstance(part, str)))
    if isinstance(value, str):
        return value
    ending, unit, _ = ending_of(last)
    label = (last.removesuffix(ending) if ending else last).replace("_", " ")
    if isinstance(value, bool):
        return label if value else f"not {label}"
    if isinstance(value, int | float):
        number = show(value)
        if last == "spacing_min":
            return f"every {number} min"
        return f"{label} {number} {unit}" if unit else _count(label, number)
    if isinstance(value, list):
        return f"{label} " + "/".join(
            each if isinstance(each, str) else show(each) for each in value
        )
    if isinstance(value, Mapping):
        inside = (f"{k} {v if isinstance(v, str) else show(v)}" for k, v in value.items())
        return f"{label} {' '.join(inside)}"
    return f"{label} {show(value)}"


def _count(label: str, number: str) -> str:
    if not label.endswith("s"):
        return f"{label} {number}"
    return f"{number} {label if number != '1' else label.removesuffix('s')}"
