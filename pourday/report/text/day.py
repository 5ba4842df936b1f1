"""One day of one plan, as a foreman would read it: when, how much, what to watch."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from rich.console import Console

from pourday.day.log import Visit
from pourday.outcome.edges.stop_end import StopAdvice, left_open
from pourday.outcome.measure import Outcome
from pourday.report.basis import share_cell, share_head, share_words, why_not_judged
from pourday.report.screen import units_of
from pourday.report.text.check import caution_in_heat
from pourday.report.text.cold import cold_head, cold_look_out, delivered_words
from pourday.report.text.concrete import concrete_report
from pourday.report.text.day_to_day import kind_of_day
from pourday.report.text.deck import over_resistance, peak_rows, share_lines
from pourday.report.text.deck_supports import released_lines
from pourday.report.text.deliveries import age_words, samples_section, telephone_section
from pourday.report.text.fronts import pump_report
from pourday.report.text.upsets import upsets_report
from pourday.report.words import (
    NOT_IN_COST,
    WATER,
    WHY_NOT_PLACED,
    caution,
    clock,
    dim,
    edge_rule_words,
    heading,
    hours,
    marked,
    minutes,
    money,
    percent,
    question,
    strip_of,
    strip_words,
    strips_of,
    table,
)
from pourday.study.effects import Effect
from pourday.study.heat import Heat

_LOOKS = 6  # moments to look out for that make a readable list
_SHORT = 40  # strips or trucks that still make a readable list


def day_report(
    console: Console,
    outcome: Outcome,
    effects: Sequence[Effect] = (),
    advice: Sequence[StopAdvice] = (),
    everything: bool = False,
    hot: Heat | None = None,
) -> None:
    """Print a day; lists of strips and trucks are cut down on large floors unless told not to.

    ``effects`` are those of what went wrong, ``advice`` is for its long stops, ``hot``
    what to do about the heat of a hot day.
    """
    basis, log = outcome.basis, outcome.log
    head = f"   plan {log.plan!r}, day {log.seed}"
    console.print(marked((basis.scenario.title, "bold"), head))
    question(console, "How long does it take?")
    _summary(console, outcome)
    _strips(console, outcome, everything or len(basis.layout.strips) <= _SHORT)
    question(console, "What do trucks and pump wait for, what becomes of the concrete?")
    _trucks(console, outcome, everything or len(log.visits) <= _SHORT)
    samples_section(console, outcome)
    telephone_section(console, outcome)
    pump_report(console, outcome)
    upsets_report(console, outcome, effects, advice)
    question(console, "When is an edge lost?")
    _edges(console, outcome)
    question(console, "What does the deck feel?")
    _deck(console, outcome)
    _look_out(console, outcome, everything)
    question(console, "When is it finished, and what may spoil it till then?")
    concrete_report(console, outcome, everything, hot)
    question(console, "What does it cost?")
    _cost(console, outcome)
    caution(console)


def _summary(console: Console, outcome: Outcome) -> None:
    units = units_of(console)
    log, site = outcome.log, outcome.basis.scenario.site
    heading(console, "The day")
    rows = table("", "")
    for label, found in cold_head(outcome, units):
        rows.add_row(label, found)
    if not log.stretches:
        found = ", ".join(sorted({visit.outcome for visit in log.visits})) or "none was called"
        what = ("NOTHING WAS PLACED:", "bold")
        console.print(marked(what, f" every load ended so: {found}"))
    kind = kind_of_day(outcome)
    if kind:
        rows.add_row("kind of day", kind)
    rows.add_row("first concrete", clock(log.start) if log.stretches else "-")
    rows.add_row("last concrete", f"{clock(log.end)}   ({hours(outcome.duration)} of pouring)")
    late = "   PAST THE CURFEW of " + clock(site.curfew or 0.0) if outcome.pump_past_curfew else ""
    rows.add_row("pump washed out", clock(log.wash_out_end) + late)
    extra, volume = outcome.deck.ponding, units.volume.figure
    sag = f", {units.volume.text(extra, 1)} of it in the sag of the deck"
    if extra < 0:
        sag = f", {units.volume.text(-extra, 1)} less than in theory (camber)"
    sag = "" if log.unfinished else sag
    rows.add_row("placed", f"{units.volume.text(log.placed, 1)}{sag}")
    rejected, returned = (sum(getattr(v, k) for v in log.visits) for k in ("rejected", "returned"))
    rows.add_row(
        "ordered",
        f"{units.volume.text(outcome.ordered, 1)} in {len(log.visits)} loads: "
        f"{volume(rejected, 1)} "
        "rejected, "
        f"{volume(returned, 1)} returned, {volume(log.held, 1)} left in pump and line",
    )
    if log.unfinished > 0:
        rows.add_row(
            marked(("NOT PLACED", "bold")),
            f"{units.volume.text(log.unfinished, 1)}: {WHY_NOT_PLACED}",
        )
    console.print(rows, highlight=False)


def _strips(console: Console, outcome: Outcome, everything: bool) -> None:
    units = units_of(console)
    layout = outcome.basis.layout
    heading(console, "Strips")
    if everything:
        rows = table(
            "strip",
            "from",
            "to",
            f"{units.volume.word}>",
            "direction",
            *_front_column(outcome),
        )
        for k, strip in enumerate(layout.strips):
            rows.add_row(
                strip_words(k + 1, strip.name),
                clock(outcome.strip_start[k]),
                clock(outcome.strip_end[k]),
                units.volume.figure(outcome.log.strip_volumes[k], 1),
                ("low to high " if layout.upward[k] else "high to low ") + strip.along,
                *_front_cell(outcome, layout.front_of[k]),
            )
    else:
        rows = table(
            "bay", "strips no.", "from", "to", f"{units.volume.word}>", *_front_column(outcome)
        )
        for bay in dict.fromkeys(strip.bay for strip in layout.strips):
            mine = [k for k, strip in enumerate(layout.strips) if strip.bay == bay]
            volume = sum(outcome.log.strip_volumes[k] for k in mine)
            rows.add_row(
                bay,
                f"{mine[0] + 1} to {mine[-1] + 1}",
                clock(np.fmin.reduce(outcome.strip_start[mine])),
                clock(np.fmax.reduce(outcome.strip_end[mine])),
                units.volume.figure(volume, 1),
                *_front_cell(outcome, layout.front_of[mine[0]]),
            )
    console.print(rows)
    if not everything:
        console.print(dim("--full lists every strip and truck"))


def _trucks(console: Console, outcome: Outcome, everything: bool) -> None:
    units = units_of(console)
    visits = outcome.log.visits
    heading(console, "Trucks")
    waits = outcome.waits or [0.0]
    console.print(
        f"{len(visits)} loads; waiting {minutes(sum(waits) / len(waits))} min on average, "
        f"{minutes(max(waits))} min at the most",
        highlight=False,
    )
    rounds = sum(visit.rounds for visit in visits)
    if rounds:
        turned = sum(visit.rounds > 0 for visit in visits)
        console.print(f"{turned} found no place and went round the block, {rounds} times in all")
    console.print(age_words(outcome, units), highlight=False)
    console.print(delivered_words(outcome, units), highlight=False)
    shown = visits if everything else [v for v in visits if v.outcome != "placed"]
    if not shown:
        console.print(f"every load was placed\n{WATER}", highlight=False)
        return
    # With one column more the others must be narrow, or they wrap at 80.
    times = ("batch", "came") if len(outcome.log.fronts) > 1 else ("batched", "arrived")
    rows = table(
        "no.>", *times, "wait>", "discharge", "age>", "placed>", "back>", "outcome",
        *_front_column(outcome),
    )  # fmt: skip
    for visit in shown:
        back = visit.rejected + visit.returned
        rows.add_row(
            str(visit.number + 1),
            clock(visit.batched),
            clock(visit.arrived),
            minutes(visit.wait),
            _discharged(visit),
            minutes(visit.discharge_end - visit.batched),
            units.volume.figure(visit.placed, 2),
            units.volume.figure(back, 2) if back > 0 else "",
            visit.outcome,
            *_front_cell(outcome, visit.front),
        )
    console.print(dim(f"wait and age in min; placed and back in {units.volume.word}"))
    console.print(rows)
    console.print(WATER, highlight=False)


def _discharged(visit: Visit) -> str:
    """From, to; a load that never began has a dash."""
    if math.isnan(visit.discharge_start):
        return "-"
    return f"{clock(visit.discharge_start)}-{clock(visit.discharge_end)}"


def _front_column(outcome: Outcome) -> list[str]:
    return ["pump>"] if len(outcome.log.fronts) > 1 else []


def _front_cell(outcome: Outcome, front: int) -> list[str]:
    return [str(front + 1)] if len(outcome.log.fronts) > 1 else []


def _edges(console: Console, outcome: Outcome) -> None:
    units = units_of(console)
    layout, edges = outcome.basis.layout, outcome.edges
    heading(console, "Fresh edges")
    console.print(edge_rule_words(outcome.basis.scenario.mix, units), highlight=False)
    caution_in_heat(console, outcome.basis)
    for state, pairs, length, fronts in (
        ("cold", edges.cold_pairs, edges.cold_length, edges.cold_fronts),
        ("stiff", edges.stiff_pairs, edges.stiff_length, edges.stiff_fronts),
    ):
        console.print(
            f"{state}: {pairs} of {len(layout.pairs)} edge pairs "
            f"({units.length.text(length.sum(), 1)}) and "
            f"{fronts} of {len(edges.stop_ratio)} stopped fronts",
            highlight=False,
        )
    judged, bare = np.isfinite(edges.ratio), left_open(outcome)
    if outcome.log.unfinished > 0:
        never, in_part = int(np.sum(bare & ~judged)), int(np.sum(bare & judged))
        some = f", {in_part} more in part" if in_part else ""
        console.print(
            marked(
                ("LEFT OPEN:", "bold"),
                f" {never} edge {'pair' if never == 1 else 'pairs'} never covered{some}; what is "
                f"open is not judged; {int(np.sum(~bare & ~judged))} without concrete",
            )
        )
    names = strips_of(layout)
    rows = table(
        "placed first",
        "then",
        f"at y or x {units.length.word}",
        "gap min>",
        "covered",
        "time used>",
        "",
    )
    # The worst first, then those left open; a pair without concrete has nothing to say.
    worst_first = np.lexsort((~bare, -np.nan_to_num(edges.ratio)))
    for n in worst_first[(judged | bare)[worst_first]][:5]:
        pair = layout.pairs[n]
        rows.add_row(
            names[pair.first],
            names[pair.second],
            f"{pair.along} {units.length.figure(pair.low, 1)}-{units.length.figure(pair.high, 1)}",
            minutes(edges.gap[n]),
            clock(edges.time[n]),
            percent(edges.ratio[n]) if judged[n] else "-",
            _state(edges.ratio[n], edges.stiff_from) or ("left open" if bare[n] else ""),
        )
    for n in np.argsort(-edges.stop_ratio)[:2]:
        rows.add_row(
            names[edges.stop_strip[n]],
            "front stopped",
            f"{layout.along} {units.length.figure(edges.stop_at[n], 1)}",
            "-",
            clock(edges.stop_time[n]),
            percent(edges.stop_ratio[n]),
            _state(edges.stop_ratio[n], edges.stiff_from),
        )
    console.print(rows)


def _state(ratio: float, stiff_from: float) -> str:
    """The word for an edge that has used this share of its time."""
    return "COLD" if ratio > 1.0 else "stiff" if ratio > stiff_from else ""


def _deck(console: Console, outcome: Outcome) -> None:
    units = units_of(console)
    deck, scenario = outcome.deck, outcome.basis.scenario
    heading(console, f"Deck, highest values (per {units.width} width)")
    head = ("", "value>", "factored>", share_head(scenario))
    rows = table(*head, f"x {units.length.word}>", "while placing", "from")
    for name, peak, cells in peak_rows(scenario, deck, units):
        if name == "uplift" and max(peak.value, peak.factored) <= 0:
            continue
        strip = strip_of(outcome.basis.layout, peak.strip)
        bare = peak.stage == "bare"
        strip_name, when = ("before the pour", "-") if bare else (strip, clock(peak.time))
        rows.add_row(name, *cells, units.length.figure(peak.x, 2), strip_name, when)
    console.print(rows)
    share_lines(console, scenario)
    if outcome.log.unfinished:
        console.print("these are the values of the whole plan, strips not placed included")
    over_resistance(console, deck)
    released_lines(console, outcome.supports, outcome.basis)


def _look_out(console: Console, outcome: Outcome, everything: bool) -> None:
    units = units_of(console)
    moments = outcome.look_out
    heading(console, "Look out")
    cold_look_out(console, outcome)
    share = outcome.basis.scenario.loads.look_share
    if not moments:
        if why_not_judged(outcome.basis.scenario):
            console.print("shares of resistance are not judged; sag is, where look_sag_mm is given")
        else:
            console.print(
                f"no strip takes the deck past {share_words(share, outcome.basis.scenario)}"
            )
        return
    shown = moments if everything else sorted(moments, key=lambda m: -m.value / m.limit)[:_LOOKS]
    rows = table("from", "strip", f"x {units.length.word}>", "", "look at")
    for moment in sorted(shown, key=lambda m: (m.time, m.strip)):
        value = f"{units.depth.text(moment.value * 1e3, 0)}"
        if moment.kind == "use":
            value = share_cell(moment.value, outcome.basis.scenario)
        strip = strip_of(outcome.basis.layout, moment.strip)
        rows.add_row(
            clock(moment.time), strip, units.length.figure(moment.x, 2), value, moment.look_at
        )
    console.print(rows)
    for do in dict.fromkeys(moment.do for moment in shown):
        console.print(f"do: {do}")
    if len(shown) < len(moments):
        console.print(dim(f"the {len(shown)} highest of {len(moments)}; --full lists all"))


def _cost(console: Console, outcome: Outcome) -> None:
    units = units_of(console)
    cost, currency = outcome.cost, outcome.basis.scenario.prices.currency
    heading(console, f"Cost, {currency}")
    rows = table("", "quantity>", "", "amount>")
    for line in cost.lines:
        if line.amount:
            item = line.item
            unit = units.of(item.unit)
            rows.add_row(item.label, unit.figure(line.quantity, 1), unit.word, money(line.amount))
    rows.add_row("total", "", "", marked((money(cost.total), "bold")))
    console.print(rows, highlight=False)
    longest = hours(outcome.basis.scenario.prices.longest_shift)
    for relief in outcome.reliefs:
        front = f" of pump {relief.front + 1}" if len(outcome.log.fronts) > 1 else ""
        who = "the crew" if relief.who == "crew" else "finishing"
        console.print(
            marked(
                ("relief", "bold"),
                f" at {clock(relief.at)}: {relief.persons} other "
                f"{'person' if relief.persons == 1 else 'people'} for {who}{front}, paid above; "
                f"nobody works longer than {longest}",
            )
        )
    if outcome.log.unfinished > 0:
        console.print(
            marked(
                ("NOT IN THIS COST:", "bold"),
                f" {units.volume.text(outcome.log.unfinished, 1)} {NOT_IN_COST}",
            )
        )
