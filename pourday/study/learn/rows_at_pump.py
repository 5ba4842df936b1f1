"""Rows of what was found at the pump: the truck's discharge, the pace of the crew or the pump."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from pourday.day.front.ready import Ready
from pourday.outcome.base.basis import Basis
from pourday.scenario.model.scenario import Crew, Pump
from pourday.study.forecast.ground import FrontGround, grounds
from pourday.study.learn.found import DAY, MINUTES, RATE, Row
from pourday.study.learn.pace import CREW, TRUCK, Paced, fit_pace
from pourday.study.learn.pours import Value
from pourday.study.learn.rounded import FORMS
from pourday.study.learn.seen import AtPump, Seen
from pourday.study.learn.shape import chance_of_worse_shares
from pourday.study.learn.written import MINUTE, few, new_length, over, pours_of, round_to, written

_M3_H = 1.0 / 3600.0
# Where the pump's output is within this of the crew's pace nobody can say which of them it was.
_NEAR = 1.25
# Strips of so much of the floor held by beam or front speed make these keys part of the pace.
_HELD = 0.05
_SKIP = "a crane's cycles hide it"


@dataclass(frozen=True)
class _Front:
    """A front's planned rates in the mean of its floor (m³/s); ``held`` is the share of the floor
    where something else than people holds the crew."""

    name: str
    crew: Crew
    pump: Pump
    crew_rate: float
    pump_rate: float
    held: float
    lifts: bool


def rows_at_pump(basis: Basis, plan: Ready, seen: Seen) -> tuple[list[Row], Row]:
    """Rows of discharge and pace, and that of the crew's factor of the day."""
    supply = basis.scenario.supply
    fronts = [_front(basis, number, mine) for number, mine in enumerate(grounds(plan))]
    told = {
        n: seen.at_pump.get(n, [])
        for n, front in enumerate(fronts)
        if not front.lifts and not few(seen.at_pump.get(n, []))
    }
    every = [each for mine in told.values() for each in mine]
    form = supply.discharge.kind if supply.discharge.kind in FORMS else FORMS[0]
    paced = fit_pace(told, form, supply.discharge.mean) if told else None
    shown = every or [each for mine in seen.at_pump.values() for each in mine]
    why = _SKIP if all(front.lifts for front in fronts) else few(shown)
    discharge = Row(
        "[supply]", "discharge_min", "discharge, full load", MINUTES,
        written(supply.discharge, MINUTE), count=len(shown), pours=pours_of(shown), why=why,
        note=_without_strips(seen),
    )  # fmt: skip
    rows = [_discharge(discharge, paced)]
    crews: set[str] = set()
    slower_pump = False
    # A crew or pump of two fronts is told by the one with more loads.
    for n in sorted(range(len(fronts)), key=lambda n: -len(told.get(n, []))):
        front = fronts[n]
        pump_holds = front.pump_rate < front.crew_rate
        name = front.pump.name if pump_holds else front.crew.name
        if name in crews:
            continue
        crews.add(name)
        mine = seen.at_pump.get(n, [])
        slower_pump |= pump_holds
        rows += _pace_rows(front, mine, paced.rate.get(n) if paced else None, paced)
    return rows, _day_row(basis, paced, shown, slower_pump)


def _without_strips(seen: Seen) -> str:
    """What it means for times at the pump that nobody told of strips; "" where somebody did."""
    if not seen.no_strips:
        return ""
    pours = "1 pour tells" if seen.no_strips == 1 else f"{seen.no_strips} pours tell"
    return f"{pours} no strips, so moves as the file has them are taken off; longer ones are in it"


def _front(basis: Basis, number: int, ground: FrontGround) -> _Front:
    plan = basis.plan.fronts[number]
    crew, pump = basis.scenario.crews[plan.crew], basis.scenario.pumps[plan.pump]
    total = sum(ground.planned)
    by_people = crew.in_zone * crew.rate_per_placer

    def _mean(rates: Sequence[float]) -> float:
        return total / sum(v / rate for v, rate in zip(ground.planned, rates, strict=True))

    held = sum(v for v, r in zip(ground.planned, ground.crew, strict=True) if r < 0.99 * by_people)
    lifts = any(basis.layout.access[number].lift)
    return _Front(
        str(number + 1), crew, pump, _mean(ground.crew), _mean(ground.pump), held / total, lifts
    )


def _discharge(row: Row, paced: Paced | None) -> Row:
    if paced is None:
        return row
    if paced.mean is None or paced.sd is None:
        return replace(row, why="hidden: crew or pump take longer than the trucks")
    mean, sd = over(paced.mean, MINUTE), over(paced.sd, MINUTE)
    return replace(
        row, new=new_length(paced.form, mean.about, sd.about), mean=mean, sd=sd,
        worse=chance_of_worse_shares(paced.shares), fitted=paced,
    )  # fmt: skip


def _pace_rows(
    front: _Front, told: Sequence[AtPump], rate: Value | None, paced: Paced | None
) -> list[Row]:
    """The pace against the file's, put into the keys that hold it there."""
    crew, pump = front.crew, front.pump
    if front.pump_rate < front.crew_rate:
        keys = [(f"[pumps.{pump.name}]", "output_m3_h", f"output, {pump.name}", pump.output.mean)]
    else:
        table, what = f"[crews.{crew.name}]", f"pace a placer, {crew.name}"
        keys = [(table, "rate_per_placer_m3_h", what, crew.rate_per_placer)]
    near = max(front.pump_rate, front.crew_rate) < _NEAR * min(front.pump_rate, front.crew_rate)
    why = _SKIP if front.lifts else few(told)
    if rate is None and paced is not None and paced.told == TRUCK and not why:
        why = "hidden: the trucks take longer than crew or pump"
    note = "crew and pump are near each other in the file: it is the slower" if near else ""
    rows = []
    for table, key, what, old in keys:
        old_value = written(pump.output, _M3_H) if key == "output_m3_h" else round(old / _M3_H, 4)
        row = Row(table, key, what, RATE, old_value, count=len(told), pours=pours_of(told),
                  why=why, note=note)  # fmt: skip
        if rate is not None and paced is not None:
            row = replace(
                row, new=_new_rate(key, old / _M3_H * rate.about, paced),
                mean=over(rate, _M3_H / old), worse=chance_of_worse_shares(paced.shares),
                fitted=paced if paced.told == CREW else None,
            )  # fmt: skip
        rows.append(row)
    if rate is not None and front.held > _HELD and keys[0][1] != "output_m3_h":
        rows += _held_rows(front, rate, rows[0])
    return rows


def _new_rate(key: str, mean: float, paced: Paced) -> object:
    """A pace a placer; a pump's output, drawn every day, with what days differ by."""
    if key == "output_m3_h" and paced.day_sd is not None:
        return new_length(FORMS[0], mean, mean * paced.day_sd.about)
    return round_to(mean)


def _held_rows(front: _Front, rate: Value, pace: Row) -> list[Row]:
    """Beam and front speed hold part of the floor: the pace was found on all of it together."""
    crew, rows = front.crew, []
    keys = (
        ("screed_m2_h", "beam", "m²/h", crew.screed, 1.0 / 3600.0),
        ("front_speed_m_min", "front speed", "m/min", crew.front_speed, 1.0 / 60.0),
    )
    for key, what, unit, old, si in keys:
        if old is not None:
            mean = over(rate, si / old)
            rows.append(
                replace(
                    pace,
                    key=key,
                    what=f"{what}, {crew.name}",
                    unit=unit,
                    old=round(old / si, 4),
                    new=round_to(mean.about),
                    mean=mean,
                    fitted=None,
                    note="with the pace: it holds part of the floor in the file",
                )
            )
    return rows


def _day_row(basis: Basis, paced: Paced | None, told: Sequence[AtPump], pump: bool) -> Row:
    row = Row(
        "[day_to_day]", "crew_pace_sd", "pace, day to day", DAY,
        basis.scenario.day_to_day.crew_pace_sd, count=len(told), pours=pours_of(told),
        why=few(told),
    )  # fmt: skip
    if paced is None:
        return replace(row, why=row.why or _SKIP)
    if paced.day_sd is None:
        return replace(row, why="hidden: the trucks take longer than crew or pump")
    if pump:
        return replace(row, why="hidden: the pump is the slower in the file")
    return replace(row, new=round(paced.day_sd.about, 3), mean=paced.day_sd)
