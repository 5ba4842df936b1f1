"""What kind of day it is so far: log(seen / planned) = factor of the day + noise of the trip.

The factor of travel and that of the crew's pace are lognormal of mean 1 with the file's sd; what
was seen so far makes them narrower (Bayes' rule, on a grid). Trips still out count as "longer
than"; a time noted to the minute counts as the minute. Stops are left out of the times at the pump.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pourday.day.front.pace import Pace
from pourday.day.front.ready import Ready
from pourday.day.supply.road import arrival
from pourday.scenario.base.distribution import Distribution
from pourday.study.forecast.ground import FrontGround, share_of_pace
from pourday.study.forecast.laid import LINE, Laid
from pourday.study.forecast.past import Past, flows_of

Floats = NDArray[np.float64]
_POINTS, _REACH = 61, 3.5
# Trips vary by this share at least, times at the pump by as much beside truck and pump: what a file
# leaves fixed is not so on site (common practice, no source).
_LEAST_NOISE = 0.05
# Two times noted to the minute: their difference is out by so much (s), 1/sqrt(6) of a minute (sd),
# and no more than a minute.
_ROUNDED, _ROUNDED_SD = 45.0, 60.0 / math.sqrt(6.0)
# One load in so many is odd (a wrong number typed, a hose that was moved) and tells nothing of the
# day: it weighs no more than this beside the others (common practice, no source).
_ODD = 0.02
_LEVELS = 7
_TRUCKS = 9


@dataclass(frozen=True, eq=False)
class Factor:
    """A factor of the day: ``grid`` (N,) of its values, ``weight`` (N,) of each, summing to 1.

    ``seen`` loads stand behind it, ``out`` more only as "longer than"; so many loads ``outweigh``
    the prior (None: nothing seen here tells it).
    """

    grid: Floats
    weight: Floats
    seen: int
    out: int
    outweigh: int | None

    def at(self, share: float) -> float:
        """The value that this share (0 to 1) of the weight is at or below."""
        whole = np.concatenate([[0.0], np.cumsum(self.weight)])
        step = np.log(self.grid[1] / self.grid[0]) if len(self.grid) > 1 else 0.0
        edges = np.concatenate([np.log(self.grid) - step / 2, [np.log(self.grid[-1]) + step / 2]])
        return float(math.exp(np.interp(share, whole, edges)))


@dataclass(frozen=True, eq=False)
class SoFar:
    """What kind of day it is so far.

    ``outputs`` (fronts; levels, N crew) is the weight of each level of a pump's output by the
    crew's factor; ``levels`` (fronts; levels) are these outputs (m³/s). ``noise`` is the sd of the
    log of a time at the pump beside the factors.
    """

    travel: Factor
    crew: Factor
    levels: tuple[Floats, ...]
    outputs: tuple[Floats, ...]
    noise: float


def so_far(
    plan: Ready,
    ground: Sequence[FrontGround],
    past: Past,
    laid: Sequence[Laid],
    pace: Sequence[Pace],
) -> SoFar:
    """The factors after what was seen; ``laid`` is where the concrete of the loads off lies,
    ``pace`` that of the crews as far as it is known (people on a break are no slow crew)."""
    days = plan.scenario.day_to_day
    travel = _travel(plan, past, days.travel_sd)
    grid, prior = _grid(days.crew_pace_sd)
    levels, logs, seen = [], [], 0
    slope = noise = 0.0
    for number, mine in enumerate(ground):
        output = plan.scenario.pumps[plan.plan.fronts[number].pump].output
        levels.append(_levels(output))
        times = _times_at_pump(past, number, mine, laid[number], pace[number])
        seen += len(times)
        share = levels[-1] / output.mean
        logs.append(_log_of_times(plan, mine, times, grid, share))
        slope, noise = _telling(plan, mine)
    whole = prior.copy()
    for each in logs:
        whole += _log_mean(each)
    weight = _normal(whole)
    outputs = tuple(np.exp(each - each.max(axis=0)) for each in logs)
    outputs = tuple(each / each.sum(axis=0) for each in outputs)
    sd = days.crew_pace_sd
    need = math.ceil((noise / (slope * sd)) ** 2) if sd and slope > 0.2 else None
    crew = Factor(grid, weight, seen, 0, need)
    return SoFar(travel, crew, tuple(levels), outputs, noise)


def _grid(sd: float) -> tuple[Floats, Floats]:
    """Values of a lognormal factor of mean 1, and the log of the weight of each."""
    if not sd:
        return np.ones(1), np.zeros(1)
    spread = math.sqrt(math.log1p(sd**2))
    z = np.linspace(-_REACH, _REACH, _POINTS)
    return np.exp(-(spread**2) / 2 + spread * z), -(z**2) / 2


def _normal(logs: Floats) -> Floats:
    weight = np.exp(logs - logs.max())
    return np.asarray(weight / weight.sum())


def _log_mean(logs: Floats) -> Floats:
    top = logs.max(axis=0)
    return np.asarray(top + np.log(np.exp(logs - top).mean(axis=0)))


def _travel(plan: Ready, past: Past, sd: float) -> Factor:
    """Trips of which both ends are told, and those still out."""
    grid, logs = _grid(sd)
    seen = out = 0
    supply = plan.scenario.supply
    rush = tuple((r.begins, r.ends, r.factor) for r in supply.rush_hours)
    noise = 0.0
    for load in past.loads:
        plant = supply.plants[load.plant]
        trip, noise = _varied(plant.travel)
        leaves = load.left
        if leaves is None:
            if "loaded" in load.guessed:
                continue
            leaves = load.loaded + load.volume / plant.batch
        slower = (arrival(leaves, trip.mean, rush, ()) - leaves) / trip.mean
        if load.arrived is None:
            took = max(0.0, past.at - leaves) / slower
            logs = logs + np.log([1.0 - trip.share_below(took / f) + 1e-9 for f in grid])
            out += 1
        elif "in" not in load.guessed:
            took = max(60.0, load.arrived - leaves)
            low, high = (took - _ROUNDED) / slower, (took + _ROUNDED) / slower
            chance = [trip.share_below(high / f) - trip.share_below(low / f) for f in grid]
            wide = max(chance) if max(chance) > 0.0 else 1.0
            logs = logs + np.log(np.array(chance) / wide + _ODD)
            seen += 1
    need = math.ceil((noise / sd) ** 2) if sd and noise else None
    if need is None and sd:
        need = math.ceil((_varied(supply.plants[0].travel)[1] / sd) ** 2)
    return Factor(grid, _normal(logs), seen, out, need)


def _varied(trip: Distribution) -> tuple[Distribution, float]:
    """A trip's time with the least noise that there is on a road, and the sd of its log."""
    if trip.mean <= 0.0:
        return Distribution("lognormal", (60.0, 60.0 * _LEAST_NOISE)), _LEAST_NOISE
    low, high = trip.value_at(0.16), trip.value_at(0.84)
    sd = math.log(high / low) / 2 if low > 0.0 else 1.0
    if sd < _LEAST_NOISE:
        return Distribution("lognormal", (trip.mean, trip.mean * _LEAST_NOISE)), _LEAST_NOISE
    return trip, sd


def _levels(output: Distribution) -> Floats:
    """Levels of a pump's output that are all as likely (m³/s)."""
    if output.is_fixed:
        return np.array([output.mean])
    return np.array([output.value_at((k + 0.5) / _LEVELS) for k in range(_LEVELS)])


@dataclass(frozen=True)
class _AtPump:
    """A load off: it took ``seen`` (s) for pieces (turn, m³), ``line`` m³ of it into the line; its
    crew had a ``share`` of its pace."""

    seen: float
    pieces: tuple[tuple[int, float], ...]
    line: float
    share: float


def _times_at_pump(
    past: Past, number: int, ground: FrontGround, laid: Laid, pace: Pace
) -> list[_AtPump]:
    turn_of = {strip: turn for turn, strip in enumerate(ground.strips)}
    front, at = past.fronts[number], past.at
    told = {k: n for k, n in front.loads if not {"on", "off"} & n.guessed}
    spent: dict[int, float] = {}
    for flow in flows_of(front, at):
        spent[flow.load] = spent.get(flow.load, 0.0) + flow.end - flow.begin
    out = []
    for load, seen in spent.items():
        if load not in told or seen < 90.0:
            continue
        mine = [s for s in laid.stretches if s.truck == load]
        pieces = tuple(
            (turn_of[s.strip], s.volume_end - s.volume_start) for s in mine if s.strip != LINE
        )
        line = sum(s.volume_end - s.volume_start for s in mine if s.strip == LINE)
        if pieces and load not in laid.left_over:
            share = share_of_pace(pace, mine[0].start, mine[-1].end)
            out.append(_AtPump(seen, pieces, line, share))
    return out


def _log_of_times(
    plan: Ready, ground: FrontGround, times: Sequence[_AtPump], grid: Floats, share: Floats
) -> Floats:
    """Log chance of the times at the pump, (levels, N)."""
    total = np.zeros((len(share), len(grid)))
    supply = plan.scenario.supply
    load = plan.plan.load or supply.load
    trucks = _truck_rates(supply.discharge, load)
    pump = np.array(ground.pump)
    for each in times:
        planned = np.zeros((len(share), len(grid), len(trucks)))
        last = each.pieces[0][0]
        moved = 0.0
        for turn, volume in each.pieces:
            moved += ground.before[turn] if turn != last else 0.0
            last = turn
            through = np.minimum(
                pump[turn] * share[:, None, None],
                ground.crew[turn] * each.share * grid[None, :, None],
            )
            planned += volume / np.minimum(through, trucks[None, None, :])
        planned += moved + each.line / ground.line
        sd = math.hypot(_LEAST_NOISE, _ROUNDED_SD / each.seen)
        z = (math.log(each.seen) - np.log(planned)) / sd
        total += np.log(np.exp(-(z**2) / 2).mean(axis=2) + _ODD)
    return total


def _truck_rates(discharge: Distribution, load: float) -> Floats:
    if not discharge.mean:
        return np.array([np.inf])
    if discharge.is_fixed:
        return np.array([load / discharge.mean])
    shares = [(k + 0.5) / _TRUCKS for k in range(_TRUCKS)]
    return np.array([load / max(1.0, discharge.value_at(share)) for share in shares])


def _telling(plan: Ready, ground: FrontGround) -> tuple[float, float]:
    """How much of a change of the crew's pace is seen in a time at the pump, and its noise."""
    supply = plan.scenario.supply
    trucks = _truck_rates(supply.discharge, plan.plan.load or supply.load)
    pump, crew = np.array(ground.pump)[:, None], np.array(ground.crew)[:, None]

    def _log(factor: float) -> Floats:
        rate = np.minimum(np.minimum(pump, crew * factor), trucks[None, :])
        return np.asarray(-np.log(rate))

    slope = float((_log(0.95) - _log(1.05)).mean() / math.log(1.05 / 0.95))
    return slope, math.hypot(_LEAST_NOISE, float(_log(1.0).std(axis=1).mean()))
