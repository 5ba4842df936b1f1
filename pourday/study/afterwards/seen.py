"""What happened on a pour, told by tickets or played, in the same figures; where its time went.

Times are s since midnight, volumes m³. The time from the first truck on to the last one off is
flow, stops, minutes without a truck, and changes: nothing is left over.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from pourday.day.front.ready import Ready
from pourday.day.log import DOWN, IDLE, RAIN, DayLog
from pourday.outcome.base.basis import Basis
from pourday.study.forecast.ground import grounds
from pourday.study.forecast.laid import without
from pourday.study.forecast.past import past_of
from pourday.tickets import line as say
from pourday.tickets.line import Remark
from pourday.tickets.loads import LoadTicket
from pourday.tickets.read import Tickets

# With less than this share of the plan's m³ off the trucks a pour is not taken for over.
_WHOLE = 0.9
# A mean change of fewer trucks than this says nothing.
_FEW = 3


class NotOverError(ValueError):
    """Tickets that are not those of a whole pour; the text says why, and what to do.

    ``pour`` is which of several they are, from 0.
    """

    pour = 0


@dataclass(frozen=True)
class SeenStop:
    """A stop of a front (from 0): why it is said to be, from, to (s), and whether a break."""

    why: str
    since: float
    until: float
    front: int = 0
    is_break: bool = False


@dataclass(frozen=True)
class Account:
    """Where the time of the front that ended last went (s), from its first truck on to the end."""

    first_on: float
    flow: float
    stops: float
    no_truck: float
    changes: float

    @property
    def finish(self) -> float:
        """The end (s since midnight): all of it added up."""
        return self.first_on + self.flow + self.stops + self.no_truck + self.changes


@dataclass(frozen=True)
class Seen:
    """A pour that is over: its loads in order of loading, its stops, its account, its remarks.

    ``trips`` are the loads' travel (s; nan where nobody knows it); ``change`` is the mean time from
    one truck off to the next on where that one had long been there (s; nan where too few had).
    """

    loads: tuple[LoadTicket, ...]
    stops: tuple[SeenStop, ...]
    trips: tuple[float, ...]
    account: Account
    change: float
    remarks: tuple[Remark, ...] = ()

    @property
    def placing(self) -> tuple[LoadTicket, ...]:
        """Loads that were at a pump."""
        return tuple(load for load in self.loads if load.off is not None and not load.away)

    @property
    def loaded(self) -> float:
        """When the loading of the first load began (s)."""
        return min(load.loaded for load in self.loads)

    @property
    def flow_rate(self) -> float:
        """m³/s while a truck was at the pump, stops left out, over all fronts."""
        return self._flow_rate(self.placing)

    def flow_rate_of(self, front: int) -> float:
        """The same of one front (from 0); nan where it had no truck."""
        mine = [load for load in self.placing if load.front == front]
        return self._flow_rate(mine) if mine else math.nan

    def _flow_rate(self, loads: Sequence[LoadTicket]) -> float:
        flow = placed = 0.0
        for load in loads:
            assert load.on is not None
            assert load.off is not None
            flow += _length(load.on, load.off, _gaps(self.stops, load.front))
            placed += load.volume - load.back
        return placed / max(flow, 1.0)

    def volume(self, what: str) -> float:
        """m³ "ordered", "placed" (off the trucks), or "away" (sent away or back in a truck)."""
        ordered = sum(load.volume for load in self.loads)
        placed = sum(load.volume - load.back for load in self.placing)
        return {"ordered": ordered, "placed": placed, "away": ordered - placed}[what]


def seen_of_tickets(basis: Basis, plan: Ready, tickets: Tickets) -> Seen:
    """What tickets say of a whole pour.

    Raises:
        NotOverError: where nothing is told, or the pour was not over.
    """
    times = [line.when for line in tickets.lines if line.kind not in say.AHEAD]
    if not times:
        raise NotOverError("no load is told in it: nothing to hold the forecast against")
    past = past_of(basis, grounds(plan), tickets, max(times) + 60.0)
    all_full = all(
        any(mark.share >= 1.0 and mark.turn == len(mine.strips) - 1 for mark in front.marks)
        for front, mine in zip(past.fronts, plan.fronts, strict=True)
    )
    remarks = past.remarks + _check_over(past.loads, sum(plan.planned), all_full)
    stops = [
        SeenStop(stop.why or "no reason told", stop.since, stop.until, n, stop.kind == IDLE)
        for n, front in enumerate(past.fronts)
        for stop in front.stops
        if stop.until is not None and stop.until > stop.since
    ]
    return _seen(plan, past.loads, stops, remarks)


def _check_over(loads: Sequence[LoadTicket], planned: float, all_full: bool) -> tuple[Remark, ...]:
    """Refuse a pour that was not over; with its last strips full it was, whatever is missing."""
    gone = [load for load in loads if load.off is not None and not load.away]
    if not gone:
        raise NotOverError("no load is off in it: nothing to hold the forecast against")
    there = [load.ticket for load in loads if load.on is not None and load.off is None]
    if there:
        raise NotOverError(
            f'load {there[-1]} is on and not off: write when it was off ("{there[-1]} off ..."); '
            "of a pour that goes on ask pourday forecast"
        )
    off = sum(load.volume - load.back for load in gone)
    if off >= _WHOLE * planned:
        return ()
    said = f"{off:.1f} of {planned:.1f} m³ are off the trucks"
    if all_full:
        return (Remark(0, f"only {said}, and the last strips are full: loads are missing"),)
    raise NotOverError(
        f"the pour is not over, or loads are missing: {said}, and nobody wrote that the last strip "
        "is full; of a pour that goes on ask pourday forecast"
    )


def seen_of_log(plan: Ready, log: DayLog) -> Seen:
    """A played day in the same figures."""
    names = [plant.name for plant in plan.scenario.supply.plants]
    loads = tuple(
        LoadTicket(
            str(v.number + 1),
            front=v.front,
            plant=names.index(v.plant),
            volume=v.volume,
            loaded=v.batched,
            arrived=v.arrived,
            on=None if math.isnan(v.discharge_start) else v.discharge_start,
            off=v.left_site if math.isnan(v.discharge_start) else v.discharge_end,
            back=v.rejected + v.returned,
            away=v.outcome if math.isnan(v.discharge_start) else "",
        )
        for v in log.visits
    )
    stops = [
        SeenStop(stop.why or stop.kind, stop.start, stop.end, stop.front, stop.kind == IDLE)
        for stop in log.stops
        if stop.kind in (DOWN, RAIN, IDLE) and stop.end > stop.start
    ]
    return _seen(plan, loads, stops, ())


def _seen(
    plan: Ready,
    loads: Sequence[LoadTicket],
    stops: Sequence[SeenStop],
    remarks: tuple[Remark, ...],
) -> Seen:
    ordered = tuple(sorted(loads, key=lambda load: load.loaded))
    trips = tuple(_trip(plan, load) for load in ordered)
    site = plan.scenario.site
    account, change = _account(ordered, stops, site.gate.mean + site.position.mean)
    return Seen(ordered, tuple(stops), trips, account, change, remarks)


def _trip(plan: Ready, load: LoadTicket) -> float:
    """From the plant to the site (s): batching as planned where nobody wrote when it left."""
    if load.arrived is None or "in" in load.guessed:
        return math.nan
    if load.left is not None:
        return load.arrived - load.left
    if "loaded" in load.guessed:
        return math.nan
    leaves = load.loaded + load.volume / plan.scenario.supply.plants[load.plant].batch
    return max(60.0, load.arrived - leaves)


def _account(
    loads: Sequence[LoadTicket], stops: Sequence[SeenStop], backs_up: float
) -> tuple[Account, float]:
    """The account of the front that ended last, and its mean change where a truck stood ready.

    A truck stands ready that came ``backs_up`` (s) before the pump was free, or earlier.
    """
    there = [load for load in loads if load.off is not None and not load.away]
    last = max(there, key=lambda load: load.off or 0.0).front
    mine = sorted((n for n in there if n.front == last), key=lambda load: load.on or 0.0)
    gaps = _gaps(stops, last)
    flow = no_truck = changes = 0.0
    assert mine[0].on is not None
    first = free = mine[0].on
    plain: list[float] = []
    for load in mine:
        assert load.on is not None
        assert load.off is not None
        begin = max(free, load.on)
        came = min(begin, max(free, begin if load.arrived is None else load.arrived))
        no_truck += _length(free, came, gaps)
        change = _length(came, begin, gaps)
        changes += change
        if load.arrived is not None and load.arrived + backs_up <= free and load is not mine[0]:
            plain.append(change)
        flow += _length(begin, max(begin, load.off), gaps)
        free = max(free, load.off)
    stood = (free - first) - (flow + no_truck + changes)
    usual = sum(plain) / len(plain) if len(plain) >= _FEW else math.nan
    return Account(first, flow, stood, no_truck, changes), usual


def _gaps(stops: Sequence[SeenStop], front: int) -> list[tuple[float, float]]:
    return [(stop.since, stop.until) for stop in stops if stop.front == front]


def _length(begin: float, end: float, gaps: Sequence[tuple[float, float]]) -> float:
    return sum(b - a for a, b in without(begin, end, gaps))
