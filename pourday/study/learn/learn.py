"""From a plan and the tickets of several pours to what they teach."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pourday.day.front.ready import ready
from pourday.outcome.base.basis import Basis
from pourday.study.learn.found import DAY, MINUTES, SHARE, Learned, Row
from pourday.study.learn.pours import LEVEL, Value
from pourday.study.learn.rows_at_pump import rows_at_pump
from pourday.study.learn.seen import Seen
from pourday.study.learn.told import add_pour
from pourday.study.learn.trips import Fitted, fit_short, fit_trips
from pourday.study.learn.written import (
    MINUTE,
    few,
    few_words,
    pours_of,
    sure_enough,
    with_fitted,
    written,
)
from pourday.tickets.read import Tickets


def learn(basis: Basis, pours: Sequence[tuple[str, Tickets]]) -> Learned:
    """What the tickets of several pours, each with the name of its file, teach about a plan."""
    plan = ready(basis.scenario, basis.plan, basis.layout)
    seen = Seen()
    remarks = tuple((name, add_pour(seen, basis, plan, tickets)) for name, tickets in pours)
    trips, travel_day = _trip_rows(basis, seen)
    at_pump, crew_day = rows_at_pump(basis, plan, seen)
    rows = (*trips, *at_pump, *_move_rows(basis, seen), _change_row(basis, seen),
            _test_row(basis, seen), crew_day, travel_day)  # fmt: skip
    rows = tuple(sure_enough(row) for row in rows)
    return Learned(
        basis, seen.pours, seen.loads, rows, _untold(basis), dict(seen.left_out), remarks
    )


def _trip_rows(basis: Basis, seen: Seen) -> tuple[list[Row], Row]:
    """Trips of every plant, and how much they differ from day to day."""
    plants = basis.scenario.supply.plants
    told = {n: seen.travel.get(n, []) for n in range(len(plants))}
    enough = {n: each for n, each in told.items() if not few(each)}
    fitted: dict[int, Fitted] = {}
    day: Value | None = None
    if enough:
        fitted, day = fit_trips(enough, {n: plants[n].travel.kind for n in enough})
    rows = []
    for n, plant in enumerate(plants):
        row = Row(
            f'[[supply.plants]], name = "{plant.name}"', "travel_min", f"trips, {plant.name}",
            MINUTES, written(plant.travel, MINUTE), count=len(told[n]), pours=pours_of(told[n]),
            why=few(told[n]),
        )  # fmt: skip
        rows.append(with_fitted(row, fitted[n]) if n in fitted else row)
    every = [each for mine in told.values() for each in mine]
    old = basis.scenario.day_to_day.travel_sd
    row = Row(
        "[day_to_day]", "travel_sd", "trips, day to day", DAY, old, count=len(every),
        pours=pours_of(every), why="" if enough else few(every) or "too few of every plant",
    )  # fmt: skip
    return rows, row if day is None else replace(row, new=round(day.about, 3), mean=day)


def _move_rows(basis: Basis, seen: Seen) -> list[Row]:
    """Moves of every means of placing that the plan has."""
    rows: dict[str, Row] = {}
    for number, front in enumerate(basis.plan.fronts):
        pump = basis.scenario.pumps[front.pump]
        if front.pump in rows:
            continue
        told = [
            each
            for n, other in enumerate(basis.plan.fronts)
            if other.pump == front.pump
            for each in seen.moves.get(n, [])
        ]
        why = few(told)
        if basis.layout.access[number].pipes and any(basis.layout.access[number].pipes):
            why = "pipes are changed on the way, and nobody writes when" if why else ""
        note = "the way itself (walk_min_per_m) is taken off" if pump.walk else ""
        row = Row(
            f"[pumps.{front.pump}]", "move_min", f"moves, {front.pump}", MINUTES,
            written(pump.move, MINUTE), count=len(told), pours=pours_of(told), why=why, note=note,
        )  # fmt: skip
        rows[front.pump] = row if why else with_fitted(row, fit_short(told, pump.move.kind))
    return list(rows.values())


def _change_row(basis: Basis, seen: Seen) -> Row:
    site, told = basis.scenario.site, seen.changes
    why = few(told)
    if site.positions == 1:
        why = "one place at the pump: backing up and change are one"
    row = Row(
        "[site]", "change_min", "change of truck", MINUTES, written(site.change, MINUTE),
        count=len(told), pours=pours_of(told), why=why,
    )  # fmt: skip
    return row if why else with_fitted(row, fit_short(told, site.change.kind))


def _test_row(basis: Basis, seen: Seen) -> Row:
    """Share of tested loads that were sent away; exact binomial interval (Clopper, Pearson)."""
    from scipy.special import betaincinv

    tested = sum(each.tested for each in seen.tests)
    failed = sum(each.failed for each in seen.tests)
    pours = len({each.pour for each in seen.tests})
    plants = basis.scenario.supply.plants
    note = ""
    if len(plants) > 1:
        note = "; ".join(
            f"{plant.name} {sum(t.failed for t in seen.tests if t.plant == n)} of "
            f"{sum(t.tested for t in seen.tests if t.plant == n)}"
            for n, plant in enumerate(plants)
        )
    old, why = basis.scenario.mix.reject_share, few_words(tested, pours)
    row = Row(
        "[mix]", "reject_share", "tested and sent away", SHARE, old, count=tested, pours=pours,
        why=why, note=note,
    )  # fmt: skip
    if why:
        return row
    tail = (1 - LEVEL) / 2
    low = float(betaincinv(failed, tested - failed + 1, tail)) if failed else 0.0
    high = float(betaincinv(failed + 1, tested - failed, 1 - tail)) if failed < tested else 1.0
    share = failed / tested
    if not failed and low <= old <= high:
        said = f"none of {tested}, so up to {100 * high:.1f} %: the file's may be true"
        return replace(row, mean=Value(share, low, high), why=said)
    return replace(row, new=round(share, 4), mean=Value(share, low, high))


def _untold(basis: Basis) -> tuple[str, ...]:
    """What tickets do not tell, and why."""
    out = [
        "waiting: it comes of all the rest, and is never fitted",
        "gate, backing up, test, wash, way back: nobody writes when they begin and end",
        "batching and a slow plant: loading is told as one time, its end by telephone at best",
        "blockages, breakdowns, rain: a few stops tell no rate; keep a list over the years",
    ]
    if any(basis.scenario.pumps[f.pump].means == "skip" for f in basis.plan.fronts):
        out.append("a crane's hoisting and skip: on and off hold all its cycles as one")
    return tuple(out)
