"""``day``: how one day went, bay by bay, and what to look at, on one screen."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from rich.console import Console

from pourday.concrete.evaporation import WATCH
from pourday.outcome.measure import Outcome
from pourday.report.basis import NOT_JUDGED
from pourday.report.text.first.screen import BLANK, LINES, Part, said, show, table_of, titled
from pourday.report.words import clock, cold_words, hours, money, percent

_BAYS = 5  # rows of bays that a screen has room for; more bays share them


def strip_name(number: int, name: str) -> str:
    """A strip as text, picture and page call it, counted from 0: "12 (1b joint)"."""
    return f"{number + 1} ({name.replace('/', ' ')})"


def first_day(console: Console, outcome: Outcome, warnings: list[str]) -> None:
    """Print how the day went in two sentences, the bays, and what was tightest."""
    log, scenario = outcome.log, outcome.basis.scenario
    parts = [
        titled(
            scenario.title,
            f"plan {log.plan!r}   day {log.seed}: ONE day of many, not a forecast",
        ),
        BLANK,
        Part(_done(outcome)),
        Part(_but(outcome)),
        BLANK,
        _bays(console, outcome),
        BLANK,
        *_facts(outcome),
    ]
    if scenario.upsets:
        parts.append(said("UPSETS", f"{len(scenario.upsets)} went wrong: --full says what it cost"))
    if warnings:
        parts.append(said("WARNING", f"the file has {len(warnings)}: --full"))
    parts.append(said("NEXT", "all of it: --full   many days: compare   next day: --seed"))
    show(console, parts, LINES)


def _done(outcome: Outcome) -> str:
    log, edges = outcome.log, outcome.edges
    if not log.stretches:
        return "NOTHING WAS PLACED: no load could be used."
    cold = "no cold edge"
    if edges.cold_pairs or edges.cold_fronts:
        cold = (
            f"{edges.cold_pairs + edges.cold_fronts} COLD edges ({edges.cold_length.sum():.0f} m)"
        )
    return f"Last concrete {clock(log.end)}, pump washed out {clock(log.wash_out_end)}, {cold}."


def _but(outcome: Outcome) -> str:
    """What went against the plan, the worst first; or that nothing did."""
    log, site = outcome.log, outcome.basis.scenario.site
    found = []
    if log.unfinished > 0:
        found.append(f"{log.unfinished:.1f} m³ NOT PLACED")
    if outcome.deck.use.value > 1.0:
        found.append("the deck is past its resistance: do not pour so, ask the engineer")
    rejected = sum(visit.rejected for visit in log.visits)
    if rejected >= 0.05:
        found.append(f"{rejected:.1f} m³ of {outcome.ordered:.1f} sent away")
    leave = max((each.finishers_until for each in outcome.hours), default=math.nan)
    if site.curfew is not None and (outcome.pump_past_curfew or leave > site.curfew):
        found.append(f"finishers stay to {clock(leave)}, curfew {clock(site.curfew)}")
    cold = cold_words(outcome.cold)
    if cold:
        found.append(cold.rstrip("."))
    if found:
        return f"BUT {'; '.join(found)}."
    before = "" if site.curfew is None else f", before the curfew of {clock(site.curfew)}"
    return f"Finishers leave {clock(leave)}{before}; no load was sent away for its age."


def _names(outcome: Outcome) -> list[str]:
    return list(dict.fromkeys(strip.bay for strip in outcome.basis.layout.strips))


def _bays(console: Console, outcome: Outcome) -> Part:
    strips = outcome.basis.layout.strips
    rows = []
    names = _names(outcome)
    together = math.ceil(len(names) / _BAYS)
    for n in range(0, len(names), together):
        bays = names[n : n + together]
        mine = [k for k, strip in enumerate(strips) if strip.bay in bays]
        bay = bays[0] if len(bays) == 1 else f"{bays[0]} to {bays[-1]}"
        begin, end = outcome.strip_start[mine], outcome.strip_end[mine]
        first, last = (strip_name(k, strips[k].name) for k in (mine[0], mine[-1]))
        name = f"{bay}: {first}" + (f" to {last}" if len(mine) > 1 else "")
        volume = sum(outcome.log.strip_volumes[k] for k in mine)
        cells = (clock(np.fmin.reduce(begin)), clock(np.fmax.reduce(end)), f"{volume:.1f}")
        rows.append((name, cells))
    return table_of(console, "bay: strips", ("from", "to", "m³"), rows)


def _facts(outcome: Outcome) -> Iterator[Part]:
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
    at = strip_name(use.strip, outcome.basis.layout.strips[use.strip].name)
    share = NOT_JUDGED if math.isnan(use.value) else f"{percent(use.value)} of what it resists"
    when = f", {at} from {clock(use.time)}" if math.isfinite(use.time) else f", {at}"
    yield said("Deck   ", share if math.isnan(use.value) else share + when)
    drying = outcome.evaporation_peak
    word = "cover at once" if drying >= WATCH else "nothing to cover"
    yield said("Drying ", f"{drying:.2f} kg/m²/h at most (watch from {WATCH:.1f}): {word}")
    total = outcome.cost.total
    yield said(f"{scenario.prices.currency:7}", money(total) if total else "no prices in the file")


def _tightest(outcome: Outcome) -> str:
    edges, layout = outcome.edges, outcome.basis.layout
    if not np.isfinite(edges.ratio).any():
        return "none was covered"
    n = int(np.nanargmax(edges.ratio))
    pair = layout.pairs[n]
    first, second = (strip_name(k, layout.strips[k].name) for k in (pair.first, pair.second))
    return (
        f"tightest: {first} waits for {second}: covered {clock(edges.time[n])}, "
        f"{percent(edges.ratio[n])} of its time used"
    )
