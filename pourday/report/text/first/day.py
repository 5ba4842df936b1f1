"""``day``: how one day went, bay by bay, and what to look at, on one screen."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from rich.console import Console

from pourday.concrete.evaporation import ACT, WATCH
from pourday.outcome.capacity import TOO_MUCH, capacities
from pourday.outcome.edges.stop_end import StopAdvice
from pourday.outcome.measure import Outcome
from pourday.report.basis import NOT_JUDGED
from pourday.report.screen import units_of
from pourday.report.text.first.screen import BLANK, LINES, Part, said, show, table_of, titled
from pourday.report.text.upsets import advice_lines
from pourday.report.units import Units
from pourday.report.words import clock, cold_words, hours, money, percent, strip_of

_BAYS = 5  # rows of bays that a screen has room for; more bays share them


def first_day(
    console: Console, outcome: Outcome, warnings: list[str], advice: Sequence[StopAdvice] = ()
) -> None:
    """Print how the day went in two sentences, the bays, and what was tightest."""
    log, scenario, units = outcome.log, outcome.basis.scenario, units_of(console)
    parts = [
        titled(
            scenario.title,
            f"plan {log.plan!r}   day {log.seed}: ONE day of many, not a forecast",
        ),
        BLANK,
        Part(_done(outcome, units)),
        Part(_but(outcome, units)),
        BLANK,
        _bays(console, outcome),
        BLANK,
        *_facts(outcome, units),
    ]
    why = _why(outcome)
    if why:
        parts.append(said("WHY", why, 2))
    hurt = [each for each in advice if each.outlasted or each.was_stiff]
    if hurt:
        stood, *told = advice_lines(outcome, max(hurt, key=_length), units)
        parts.append(said("STOP", f"{stood} {told[0]}"))
    elif scenario.upsets:
        parts.append(said("UPSETS", f"{len(scenario.upsets)} went wrong: --full says what it cost"))
    if warnings:
        parts.append(said("WARNING", f"the file has {len(warnings)}: --full"))
    parts.append(said("NEXT", "all of it: --full   many days: compare   next day: --seed"))
    show(console, parts, LINES)


def _length(stop: StopAdvice) -> float:
    return stop.until - stop.begin


def _done(outcome: Outcome, units: Units) -> str:
    log, edges = outcome.log, outcome.edges
    if not log.stretches:
        return "NOTHING WAS PLACED: no load could be used."
    cold = "no cold edge"
    if edges.cold_pairs or edges.cold_fronts:
        cold = (
            f"{edges.cold_pairs + edges.cold_fronts} COLD edges ("
            f"{units.length.text(edges.cold_length.sum(), 0)})"
        )
    return f"Last concrete {clock(log.end)}, pump washed out {clock(log.wash_out_end)}, {cold}."


def _but(outcome: Outcome, units: Units) -> str:
    """What went against the plan, the worst first; or that nothing did."""
    log, site = outcome.log, outcome.basis.scenario.site
    found = []
    if log.unfinished > 0:
        found.append(f"{units.volume.text(log.unfinished, 1)} NOT PLACED")
    if outcome.deck.use.value > 1.0:
        found.append("the deck is past its resistance: do not pour so, ask the engineer")
    rejected = sum(visit.rejected for visit in log.visits)
    if rejected >= 0.05:
        found.append(
            f"{units.volume.figure(rejected, 1)} of {units.volume.text(outcome.ordered, 1)} sent "
            "away"
        )
    leave = max((each.finishers_until for each in outcome.hours), default=math.nan)
    if site.curfew is not None and outcome.pump_past_curfew:
        found.append(f"the pump is washed out past the curfew of {clock(site.curfew)}")
    if site.curfew is not None and leave > site.curfew:
        found.append(f"finishers stay to {clock(leave)}, curfew {clock(site.curfew)}")
    cold = cold_words(outcome.cold, units)
    if cold:
        found.append(cold.rstrip("."))
    if found:
        return f"BUT {'; '.join(found)}."
    before = "" if site.curfew is None else f", before the curfew of {clock(site.curfew)}"
    return f"Finishers leave {clock(leave)}{before}; no load was sent away."


def _names(outcome: Outcome) -> list[str]:
    return list(dict.fromkeys(strip.bay for strip in outcome.basis.layout.strips))


def _bays(console: Console, outcome: Outcome) -> Part:
    strips, units = outcome.basis.layout.strips, units_of(console)
    rows = []
    names = _names(outcome)
    together = math.ceil(len(names) / _BAYS)
    for n in range(0, len(names), together):
        bays = names[n : n + together]
        mine = [k for k, strip in enumerate(strips) if strip.bay in bays]
        bay = bays[0] if len(bays) == 1 else f"{bays[0]} to {bays[-1]}"
        begin, end = outcome.strip_start[mine], outcome.strip_end[mine]
        first, last = (strip_of(outcome.basis.layout, k) for k in (mine[0], mine[-1]))
        name = f"{bay}: {first}" + (f" to {last}" if len(mine) > 1 else "")
        loads = _loads(outcome, set(mine))
        volume = sum(outcome.log.strip_volumes[k] for k in mine)
        cells = (
            clock(np.fmin.reduce(begin)),
            clock(np.fmax.reduce(end)),
            units.volume.figure(volume, 1),
            loads,
        )
        rows.append((name, cells))
    return table_of("bay: strips", ("from", "to", units.volume.word, "loads"), rows)


def _loads(outcome: Outcome, strips: set[int]) -> str:
    """The loads that went into these strips: "4 to 6"."""
    used = [each.truck + 1 for each in outcome.log.stretches if each.strip in strips]
    if not used:
        return "-"
    return f"{min(used)}" if min(used) == max(used) else f"{min(used)} to {max(used)}"


def _why(outcome: Outcome) -> str:
    """Where the plan asks for more or less than its people can place: the first thing to mend."""
    off = [each for each in capacities(outcome.basis) if each.warns]
    if not off:
        return ""
    plan, each = outcome.basis.plan, off[0]
    spacing = plan.fronts[each.front].spacing.mean / 60
    what = (
        "faster than this pump and crew take it: trucks queue"
        if each.share > TOO_MUCH
        else "slower than this pump and crew could take it: the pump waits"
    )
    return f"concrete is called every {spacing:.0f} min, {what}"


def _facts(outcome: Outcome, units: Units) -> Iterator[Part]:
    log, scenario = outcome.log, outcome.basis.scenario
    waits, pump = outcome.waits or [0.0], outcome.pump
    yield said(
        "Trucks ",
        f"{len(log.visits)} loads; waited {sum(waits) / len(waits) / 60:.0f} min on average, "
        f"{max(waits) / 60:.0f} at most; {outcome.over_age} lost to age or slump",
    )
    yield said(
        "Pump   ",
        f"no truck {hours(pump.starved)}, changing trucks {hours(pump.changing)}, moving "
        f"{hours(pump.moving)}",
    )
    yield said("Edges  ", _tightest(outcome))
    use = outcome.deck.use
    at = strip_of(outcome.basis.layout, use.strip)
    share = NOT_JUDGED if math.isnan(use.value) else f"{percent(use.value)} of what it resists"
    when = f", {at} from {clock(use.time)}" if math.isfinite(use.time) else f", {at}"
    yield said("Deck   ", share if math.isnan(use.value) else share + when)
    drying = max(outcome.evaporation_peak, outcome.drying.peak)
    word = "nothing to cover"
    if drying >= WATCH:
        word = "cover at once" if drying >= ACT else "covers ready"
    yield said(
        "Drying ",
        f"{units.evaporation.text(drying, 2)} at most (watch from "
        f"{units.evaporation.short(WATCH)}): {word}",
    )
    total = outcome.cost.total
    yield said(f"{scenario.prices.currency:7}", money(total) if total else "no prices in the file")


def _tightest(outcome: Outcome) -> str:
    edges, layout = outcome.edges, outcome.basis.layout
    if not np.isfinite(edges.ratio).any():
        return "none was covered"
    n = int(np.nanargmax(edges.ratio))
    pair = layout.pairs[n]
    first, second = (strip_of(layout, k) for k in (pair.first, pair.second))
    return (
        f"tightest: {first} waits for {second}: covered {clock(edges.time[n])}, "
        f"{percent(edges.ratio[n])} of its time used"
    )
