"""What a rehearsal says: a line for every event, and what every front, truck and edge is at."""

from __future__ import annotations

import math
from collections.abc import Sequence

from pourday.day.chance.upset_plan import UpsetPlan
from pourday.day.log import END
from pourday.day.orders.line import order_text
from pourday.floor.layout import Layout
from pourday.outcome import events as ev
from pourday.outcome.events import Event
from pourday.outcome.measure import Outcome
from pourday.outcome.scene import (
    FILLING,
    FINISHED,
    FIRST_TRUCK,
    NOT_READY,
    PLACING,
    WASHING,
    FrontScene,
    Scene,
)
from pourday.report.basis import share_words, why_not_judged
from pourday.report.rehearsal.unended import length_text, unended_text
from pourday.report.units import SI, Units
from pourday.report.words import (
    WHY_NOT_PLACED,
    clock,
    cold_words,
    edge_rule_words,
    minutes,
    money,
    percent,
    strip_of,
)
from pourday.scenario.base.upsets import Upset

# Short, so that a line of 80 columns has room for the strip too.
DOING = {
    "first truck": "ready, waits for the first truck",
    "placing": "placing",
    "filling": "filling pump and line",
    "moving": "moves to",
    "standing": "between two jobs",
    "starved": "no truck on the site",
    "changing": "truck not ready yet",
    "setting_up": "new set-up or pipe change",
    "held": "held by crew or strip",
    "down": "does not work",
    "broken": "broken down",
    "blocked": "blocked",
    "washed out": "washes out old concrete",
    "short": "too few people",
    "lent": "crane works for others",
    "idle": "crew on its break",
    "rain": "rain, floor is covered",
}
_BEGINS = {
    "starved": "concrete stops: no truck on the site",
    "changing": "concrete stops: the next truck is at the gate, backing up or being tested",
    "moving": "crew moves to the next strip",
    "setting_up": "{means} is moved and set up again, or pipes are changed",
    "held": "crew waits: another crew is too near, or another strip has to come first",
    "down": "{means} does not work",
    "broken": "{means} is broken down",
    "blocked": "{means} is blocked",
    "washed out": "{means} is washed out: what was in it is too old",
    "short": "concrete stops: too few people",
    "lent": "crane works for others",
    "idle": "break begins",
    "rain": "rain: crew covers the floor and waits",
}
_ENDS = {
    "starved": "the wait for a truck is over",
    "changing": "the next truck is ready",
    "moving": "crew stands at the next strip",
    "setting_up": "{means} is set up again",
    "held": "crew goes on",
    "down": "{means} works again",
    "broken": "{means} works again",
    "blocked": "{means} is free again",
    "washed out": "{means} is clean again",
    "short": "enough people again",
    "lent": "crane is back",
    "idle": "break is over",
    "rain": "crew goes on after the rain",
}


_NO_STRIP = (FIRST_TRUCK, FILLING)
_NO_STAND = (FIRST_TRUCK, FILLING, PLACING, "moving")


def event_words(outcome: Outcome, event: Event, units: Units = SI) -> str:
    """One event in words and the reader's units, without its clock time."""
    if event.kind in _OF_A_TRUCK:
        does = _truck_words(outcome, event, units)
        return f"truck {event.truck + 1} from {event.plant}: {does}"
    volume = units.volume
    layout, several = outcome.basis.layout, len(outcome.basis.plan.fronts) > 1
    means = means_word(outcome, event.front) if event.front >= 0 else ""
    pump = f"{means} {event.front + 1}: " if several and means else ""
    match event.kind:
        case ev.STRIP_BEGINS:
            rate = rate_words(event.rate, units)
            return f"{pump}{strip_words(layout, event.strip)} begins, {rate}"
        case ev.STRIP_FULL:
            full = volume.text(event.volume, 1)
            return f"{pump}{strip_words(layout, event.strip)} is full, {full}"
        case ev.STOP_BEGINS:
            begins = _BEGINS.get(event.detail, f"concrete stops: {event.detail}")
            return pump + begins.format(means=means)
        case ev.STOP_ENDS:
            mine = outcome.log.fronts[event.front]
            if mine.relieved and mine.relieved[0] == event.time:
                return f"{pump}{mine.relief} places in place of the {means}"
            ends = _ENDS.get(event.detail, f"goes on after: {event.detail}")
            return pump + ends.format(means=means)
        case ev.PLACING:
            what = strip_words(layout, event.strip) if event.strip >= 0 else "pump and line"
            return f"{pump}{what} goes on, {rate_words(event.rate, units)}"
        case ev.UPSET_BEGINS | ev.UPSET_ENDS:
            assert event.upset is not None
            # Its clock stands beside it already, and nobody knows its length before it is over.
            _, what = unended_text(event.upset, units).split(" ", 1)
            if event.kind == ev.UPSET_ENDS:
                return f"OVER: {what}, after {length_text(event.upset)}"
            return f"GOES WRONG: {what}"
        case ev.ORDERED:
            assert event.order is not None
            return f"ORDER: {order_text(event.order, len(outcome.basis.plan.fronts))}"
        case ev.RAIN_BEGINS:
            return "rain: the floor is covered"
        case ev.RAIN_ENDS:
            return "rain is over, the floor is uncovered"
        case ev.READY:
            return f"{pump}set up and ready" if several else f"{means} is set up and ready"
        case ev.LAST_CONCRETE:
            return f"last concrete: {volume.text(event.volume, 1)} placed"
        case _:
            return f"{pump}washed out" if several else f"{means} is washed out"


_OF_A_TRUCK = (
    ev.BATCHED, ev.ARRIVED, ev.DISCHARGE_BEGINS, ev.SENT_ON, ev.DISCHARGE_ENDS, ev.LEAVES,
)  # fmt: skip


def _truck_words(outcome: Outcome, event: Event, units: Units) -> str:
    """What a truck does."""
    amount = units.volume.text(event.volume, 1)
    several = len(outcome.basis.plan.fronts) > 1
    where = "into pump and line"
    if event.strip >= 0:
        where = strip_words(outcome.basis.layout, event.strip)
    to = f"{means_word(outcome, event.front)} {event.front + 1}, " if event.front >= 0 else ""
    match event.kind:
        case ev.BATCHED:
            return f"loading begins, {amount}"
        case ev.ARRIVED:
            return "arrives at the site"
        case ev.DISCHARGE_BEGINS:
            return f"discharge begins, {to * several}{where}"
        case ev.SENT_ON:
            sent = f"{means_word(outcome, event.sent_from)} {event.sent_from + 1}"
            return f"sent from {sent} to {to}{where}, {rate_words(event.rate, units)}"
        case ev.DISCHARGE_ENDS:
            return f"discharge ends, {amount}"
        case _ if event.detail == "placed":
            return "leaves the site"
        case _:
            return f"leaves the site, {event.detail}, {amount} goes back"


def moment_words(outcome: Outcome, moment: Sequence[Event], units: Units = SI) -> str:
    """What happens at one moment, in one line; the end of a stop goes without saying.

    It goes without saying where the same front begins something else at that moment, or its pour is
    told to end.
    """
    begins = {e.front for e in moment if e.kind in _BEGINNINGS}
    begins |= {e.front for e in moment if e.order is not None and e.order.kind == END}
    told = [e for e in moment if e.kind != ev.STOP_ENDS or e.front not in begins]
    return "; ".join(event_words(outcome, event, units) for event in told)


_BEGINNINGS = (ev.STOP_BEGINS, ev.STRIP_BEGINS, ev.DISCHARGE_BEGINS, ev.SENT_ON, ev.PLACING)


def front_words(
    outcome: Outcome, front: FrontScene, time: float, width: int, units: Units = SI
) -> str:
    """What a front is at at ``time`` (s): how long it stands, doing, strip, rate and truck.

    What comes last is left out where it does not fit ``width``.
    """
    if front.doing == NOT_READY:
        return _ready_words(outcome, front)
    if front.doing == WASHING:
        if _still_down(outcome, front, time):
            word = means_word(outcome, front.number)
            return f"last concrete placed {clock(front.since)}, the {word} is broken down still"
        return f"last concrete placed, washes out since {clock(front.since)}"
    if front.doing == FINISHED:
        return f"done, washed out at {clock(front.since)}"
    parts = [DOING.get(front.why or front.doing, front.doing)]
    stands = front.doing not in _NO_STAND and front.rate <= 0 and math.isfinite(front.stands_since)
    if stands:
        parts[0] = f"stands {minutes(time - front.stands_since)} min: {parts[0]}"
    if front.strip >= 0 and front.doing not in _NO_STRIP:
        name = strip_of(outcome.basis.layout, front.strip)
        parts[0] += f" {name}" if front.doing in ("placing", "moving") else f", at {name}"
        # Full is said of a strip that is full, not of one that lacks its last barrow.
        share = front.share if front.share >= 1.0 else min(front.share, 0.99)
        parts[0] += f", {percent(share)} in" * (share > 0)
    if front.rate > 0:
        parts.append(rate_words(front.rate, units))
        parts.append(f"truck {front.truck + 1}")
    elif stands:
        parts.append(f"since {clock(front.stands_since)}")
    while len(parts) > 1 and len(", ".join(parts)) > width:
        parts.pop()
    return ", ".join(parts)


def _still_down(outcome: Outcome, front: FrontScene, time: float) -> bool:
    """Whether its own pump or crane does not work: nobody washes it out yet."""
    basis = outcome.basis
    stops = UpsetPlan(outcome.log.upsets, basis.plan, basis.scenario).pump_stops(front.number)
    return any(begin <= time < begin + length for begin, length in stops)


def _ready_words(outcome: Outcome, front: FrontScene) -> str:
    """When a pump or crane comes, and by when it stands ready."""
    pump, hours = outcome.basis.scenario.pumps[front.pump], outcome.hours[front.number]
    done = [word for word, time in (("set up", pump.setup), ("primed", pump.prime)) if time.mean]
    ready = f"{' and '.join(done) or 'ready'} by {clock(outcome.log.fronts[front.number].ready)}"
    return ready if math.isfinite(front.since) else f"comes {clock(hours.pump_from)}, {ready}"


def means_word(outcome: Outcome, front: int) -> str:
    """What places the concrete of a front: a pump, or a crane with its skip."""
    means = outcome.basis.scenario.means(outcome.basis.plan)[front]
    return "crane" if means == "skip" else "pump"


def strip_words(layout: Layout, strip: int) -> str:
    """A strip by its number and its name: "strip 12 (1b joint)"."""
    return f"strip {strip_of(layout, strip)}"


def rate_words(rate: float, units: Units = SI) -> str:
    """A rate an hour, from m³/s."""
    return units.volume_rate.text(rate * 3600.0)


def title_words(outcome: Outcome) -> str:
    """Which day this is: scenario, plan, number of the day."""
    log = outcome.log
    return f"{outcome.basis.scenario.title}   plan {log.plan!r}, day {log.seed}"


def change_words(upset: Upset) -> str:
    """That an upset has been let in; what it does to the day nobody knows before it is over."""
    _, what = unended_text(upset).split(" ", 1)
    return f"the rest of the day has changed: {what} from {clock(upset.at)}; x takes it off"


def cold_edges(outcome: Outcome) -> int:
    """Edge pairs and stopped fronts that were covered too late."""
    return outcome.edges.cold_pairs + outcome.edges.cold_fronts


def stiff_edges(outcome: Outcome) -> int:
    """Edge pairs and stopped fronts that were covered in time, but stiff."""
    return outcome.edges.stiff_pairs + outcome.edges.stiff_fronts


def left_lines(outcome: Outcome, scene: Scene, units: Units = SI) -> list[str]:
    """A day that was left before its end, in a few plain lines: only what has happened by then."""
    volume, time = units.volume, scene.time
    gone = [visit for visit in outcome.log.visits if visit.left_site <= time]
    rejected, returned = (sum(getattr(v, k) for v in gone) for k in ("rejected", "returned"))
    loads = sum(visit.batched <= time for visit in outcome.log.visits)
    placed = f"{volume.figure(scene.placed, 1)} of {volume.text(scene.total, 1)}"
    return [
        f"left at {clock(time)}, before the end of the day: so far",
        f"placed {placed}; {loads} loads batched, {len(gone)} gone from the site",
        f"{volume.text(rejected, 1)} rejected, {volume.text(returned, 1)} returned",
        f"edges open: {len(scene.edges)}, stiff: {scene.stiff}; lost: {scene.cold}",
    ]


def summary_lines(outcome: Outcome, units: Units = SI) -> list[str]:
    """The day in a few plain lines."""
    volume = units.volume
    log, use = outcome.log, outcome.deck.use
    waits = outcome.waits or [0.0]
    rejected, returned = (sum(getattr(v, k) for v in log.visits) for k in ("rejected", "returned"))
    first = clock(log.start) if log.stretches else "none"
    strip = strip_of(outcome.basis.layout, use.strip)
    lines = [
        f"first concrete {first}, last concrete {clock(log.end)}, "
        f"pump washed out {clock(log.wash_out_end)}",
        f"placed {volume.text(log.placed, 1)} from {len(log.visits)} loads; "
        f"{volume.text(rejected, 1)} rejected, {volume.text(returned, 1)} returned",
        f"trucks waited {minutes(sum(waits) / len(waits))} min on average, "
        f"{minutes(max(waits))} min at the most",
        f"edges covered stiff: {stiff_edges(outcome)}, cold: {cold_edges(outcome)}",
        edge_rule_words(outcome.basis.scenario.mix, units),
        f"deck: {share_words(use.value, outcome.basis.scenario)} at the most, "
        + ("before the pour" if use.stage == "bare" else f"while placing strip {strip}")
        if not math.isnan(use.value)
        else why_not_judged(outcome.basis.scenario),
        f"cost {money(outcome.cost.total)} {outcome.basis.scenario.prices.currency}",
    ]
    if frost := cold_words(outcome.cold, units):
        lines.insert(0, frost)
    if log.left_out > 0:
        lines.insert(2, f"left out by order: {volume.text(log.left_out, 1)}, a stop end formed")
    if log.unfinished > 0:
        lines.insert(2, f"NOT PLACED: {volume.text(log.unfinished, 1)}: {WHY_NOT_PLACED}")
    return lines
