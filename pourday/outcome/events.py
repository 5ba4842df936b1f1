"""What happens in a day, one thing after another: the list that a rehearsal steps through.

Every value comes from the day log; an event before a moment tells nothing that comes after it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from pourday.day.log import DayLog, Order, Stretch, Visit
from pourday.outcome.measure import Outcome
from pourday.scenario.base.distribution import lowest_and_highest
from pourday.scenario.base.upsets import LOAD_REJECTED, RAIN, Upset

UPSET_ENDS = "upset ends"
STOP_ENDS = "stop ends"
RAIN_ENDS = "rain ends"
DISCHARGE_ENDS = "discharge ends"
STRIP_FULL = "strip full"
LEAVES = "leaves"
BATCHED = "batched"
ARRIVED = "arrived"
RAIN_BEGINS = "rain begins"
UPSET_BEGINS = "upset begins"
ORDERED = "ordered"
STOP_BEGINS = "stop begins"
READY = "ready"
STRIP_BEGINS = "strip begins"
DISCHARGE_BEGINS = "discharge begins"
SENT_ON = "sent on"
PLACING = "placing"
LAST_CONCRETE = "last concrete"
WASHED_OUT = "washed out"
# At one moment things end before others begin.
KINDS = (
    UPSET_ENDS,
    STOP_ENDS,
    RAIN_ENDS,
    DISCHARGE_ENDS,
    STRIP_FULL,
    LEAVES,
    BATCHED,
    ARRIVED,
    RAIN_BEGINS,
    UPSET_BEGINS,
    ORDERED,
    STOP_BEGINS,
    READY,
    SENT_ON,
    STRIP_BEGINS,
    DISCHARGE_BEGINS,
    PLACING,
    LAST_CONCRETE,
    WASHED_OUT,
)
_RANK = {kind: rank for rank, kind in enumerate(KINDS)}
_FULL = 1e-6
# Times (s) nearer than this are the same: one of them is a difference of two others.
_AT_ONCE = 1e-6
# A rate that changes by less (share of it) is not worth a line.
_SAME_RATE = 0.01


@dataclass(frozen=True)
class Event:
    """One thing that happens at ``time`` (s).

    ``kind`` is one of :data:`KINDS`. ``front``, ``strip`` and ``truck`` are indices from 0, -1
    where there is none (a strip of -1 in "discharge begins" is pump and line). ``detail`` is the
    kind of the stop, or how a truck's visit ended. ``volume`` (m³) is the load that was batched,
    what was discharged, what goes back, or what the strip took. ``rate`` (m³/s) is that of
    placing from now on. ``sent_from`` is the front that a truck comes from which goes on here.
    ``order`` is what is ordered.
    """

    time: float
    kind: str
    front: int = -1
    strip: int = -1
    truck: int = -1
    plant: str = ""
    detail: str = ""
    volume: float = 0.0
    rate: float = 0.0
    upset: Upset | None = None
    sent_from: int = -1
    order: Order | None = None


def events(outcome: Outcome) -> tuple[Event, ...]:
    """Everything that happens in a day, in order of time.

    Trucks (batched, arrived, discharge begins, goes on at another front and, where it was
    emptied, ends, leaves), strips (begin, full), stops of every front (begin, end), placing that
    goes on at another rate, upsets and rain (begin, end), each front ready and washed out, the
    last concrete of all.
    """
    log = outcome.log
    found = [
        *_of_trucks(log),
        *_of_strips(log),
        *_of_stops(log),
        *_of_upsets(log),
        *(Event(o.at, ORDERED, front=o.front, order=o) for o in log.orders),
        *_of_rain(outcome),
        *_of_the_day(log),
    ]
    found += _of_rates(log, found)
    return tuple(sorted(found, key=lambda event: (event.time, _RANK[event.kind], event.front)))


def moments(happened: tuple[Event, ...]) -> tuple[tuple[Event, ...], ...]:
    """Events put together that happen at the same time, in order of time."""
    out: list[list[Event]] = []
    for event in happened:
        if out and out[-1][0].time == event.time:
            out[-1].append(event)
        else:
            out.append([event])
    return tuple(map(tuple, out))


def emptied(visit: Visit) -> bool:
    """Whether the truck left empty.

    One that did not may have stood at the pump long after its last drop, waiting for it to go on:
    nobody knew yet that it was the last.
    """
    return visit.placed >= visit.volume - _FULL


def rate_of(stretch: Stretch) -> float:
    """How fast concrete is placed in a stretch (m³/s)."""
    span = stretch.end - stretch.start
    return (stretch.volume_end - stretch.volume_start) / span if span > 0 else 0.0


def upsets_at(outcome: Outcome, time: float) -> tuple[Upset, ...]:
    """What has gone wrong and is not over at ``time`` (s).

    A rejected load is over once it has hit a load: the first that leaves as rejected by the test
    and was looked at since. The log tells when that load left the site; the shortest wash before
    that is taken off, so where washing takes a fixed time the moment is exact, else it is the
    latest it can have been.
    """
    log = outcome.log
    wash = lowest_and_highest(outcome.basis.scenario.site.wash)[0]
    looked_at = sorted(v.left_site - wash for v in log.visits if v.outcome == "rejected: test")
    out = []
    for upset in sorted(log.upsets, key=lambda upset: upset.at):
        # What lasts for the rest of the day is over when everybody has gone.
        end = log.wash_out_end if math.isinf(upset.length) else upset.at + upset.length
        if upset.kind == LOAD_REJECTED:
            hit = next((at for at in looked_at if at >= upset.at - _AT_ONCE), None)
            if hit is not None:
                looked_at.remove(hit)
            end = log.wash_out_end if hit is None else hit
        if upset.at <= time < end:
            out.append(upset)
    return tuple(out)


def _of_trucks(log: DayLog) -> Iterator[Event]:
    plants = {visit.number: visit.plant for visit in log.visits}
    into: dict[int, Stretch] = {}
    last: dict[int, Stretch] = {}
    for stretch in log.stretches:
        into.setdefault(stretch.truck, stretch)
        before = last.get(stretch.truck, stretch)
        last[stretch.truck] = stretch
        if before.front != stretch.front:
            yield Event(
                stretch.start,
                SENT_ON,
                front=stretch.front,
                strip=stretch.strip,
                truck=stretch.truck,
                plant=plants[stretch.truck],
                rate=rate_of(stretch),
                sent_from=before.front,
            )
    for visit in log.visits:
        truck, plant = visit.number, visit.plant
        yield Event(visit.batched, BATCHED, truck=truck, plant=plant, volume=visit.volume)
        yield Event(visit.arrived, ARRIVED, truck=truck, plant=plant)
        first = into.get(truck)
        if first is not None:
            yield Event(
                visit.discharge_start,
                DISCHARGE_BEGINS,
                front=first.front,
                strip=first.strip,
                truck=truck,
                plant=plant,
            )
        if first is not None and emptied(visit):
            yield Event(
                visit.discharge_end,
                DISCHARGE_ENDS,
                front=last[truck].front,
                truck=truck,
                plant=plant,
                volume=visit.placed,
            )
        back = visit.rejected + visit.returned
        yield Event(
            visit.left_site, LEAVES, truck=truck, plant=plant, detail=visit.outcome, volume=back
        )


def _of_strips(log: DayLog) -> Iterator[Event]:
    begun: set[int] = set()
    for stretch in log.stretches:
        strip, front = stretch.strip, stretch.front
        if strip < 0:
            continue
        if strip not in begun:
            begun.add(strip)
            rate = rate_of(stretch)
            yield Event(stretch.start, STRIP_BEGINS, front=front, strip=strip, rate=rate)
        if stretch.volume_end >= log.strip_volumes[strip] - _FULL:
            volume = log.strip_volumes[strip]
            yield Event(stretch.end, STRIP_FULL, front=front, strip=strip, volume=volume)


def _of_stops(log: DayLog) -> Iterator[Event]:
    for stop in log.stops:
        why = stop.why or stop.kind
        yield Event(stop.start, STOP_BEGINS, front=stop.front, detail=why)
        yield Event(stop.end, STOP_ENDS, front=stop.front, detail=why)


def _of_upsets(log: DayLog) -> Iterator[Event]:
    for upset in log.upsets:
        yield Event(upset.at, UPSET_BEGINS, upset=upset)
        if 0.0 < upset.length < math.inf:
            yield Event(upset.at + upset.length, UPSET_ENDS, upset=upset)


def _of_rain(outcome: Outcome) -> Iterator[Event]:
    """Times under cover, where no upset of the same moment says so already."""
    told = {upset.at for upset in outcome.log.upsets if upset.kind == RAIN}
    for start, end in outcome.basis.rain:
        if start not in told:
            yield Event(start, RAIN_BEGINS)
        yield Event(end, RAIN_ENDS)


def _of_the_day(log: DayLog) -> Iterator[Event]:
    placed = {stretch.front for stretch in log.stretches}
    for number, front in enumerate(log.fronts):
        yield Event(front.ready, READY, front=number)
        if number in placed:
            yield Event(front.wash_out_end, WASHED_OUT, front=number)
    if placed:
        yield Event(log.end, LAST_CONCRETE, volume=log.placed)


def _of_rates(log: DayLog, found: list[Event]) -> list[Event]:
    """Placing that goes on, or goes on at another rate, where nothing else tells of it."""
    told = {(event.time, event.front) for event in found}
    before: dict[int, Stretch] = {}
    out = []
    for stretch in log.stretches:
        last = before.get(stretch.front)
        before[stretch.front] = stretch
        if last is None or (stretch.start, stretch.front) in told:
            continue
        rate = rate_of(stretch)
        same = abs(rate - rate_of(last)) <= _SAME_RATE * rate
        if not same or stretch.start > last.end:
            out.append(
                Event(stretch.start, PLACING, front=stretch.front, strip=stretch.strip, rate=rate)
            )
    return out
