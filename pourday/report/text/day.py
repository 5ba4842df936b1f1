"""One day of one plan, as a foreman would read it: when, how much, what to watch."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from rich.console import Console
from rich.text import Text

from pourday.day.log import Visit
from pourday.outcome.edges.stop_end import StopAdvice, left_open
from pourday.outcome.measure import Outcome
from pourday.report.basis import share_cell, share_head, share_words, why_not_judged
from pourday.report.text.check import caution_in_heat
from pourday.report.text.cold import cold_head, cold_look_out, delivered_words
from pourday.report.text.concrete import concrete_report
from pourday.report.text.day_to_day import kind_of_day
from pourday.report.text.deck import over_resistance, peak_rows, share_lines
from pourday.report.text.deck_supports import released_lines
from pourday.report.text.deliveries import samples_section
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
    table,
)
from pourday.study.effects import Effect
from pourday.study.heat import Heat

_LOOKS = 6  # moments to look out for that make a readable list
_COSTS = (
    "concrete", "pump", "labour", "overtime", "waiting", "cold_joints", "stiff_edges", "total",
)  # fmt: skip
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
    _summary(console, outcome)
    _strips(console, outcome, everything or len(basis.layout.strips) <= _SHORT)
    _trucks(console, outcome, everything or len(log.visits) <= _SHORT)
    samples_section(console, outcome)
    _telephone(console, outcome)
    pump_report(console, outcome)
    upsets_report(console, outcome, effects, advice)
    _edges(console, outcome)
    _deck(console, outcome)
    _look_out(console, outcome, everything)
    concrete_report(console, outcome, everything, hot)
    _cost(console, outcome)
    caution(console)


def _summary(console: Console, outcome: Outcome) -> None:
    log, site = outcome.log, outcome.basis.scenario.site
    heading(console, "The day")
    rows = table("", "")
    for label, found in cold_head(outcome):
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
    extra = outcome.deck.ponding
    sag = f", {extra:.1f} m³ of it in the sag of the deck"
    if extra < 0:
        sag = f", {-extra:.1f} m³ less than in theory (camber)"
    sag = "" if log.unfinished else sag
    rows.add_row("placed", f"{log.placed:.1f} m³{sag}")
    rejected, returned = (sum(getattr(v, k) for v in log.visits) for k in ("rejected", "returned"))
    rows.add_row(
        "ordered",
        f"{outcome.ordered:.1f} m³ in {len(log.visits)} loads: {rejected:.1f} rejected, "
        f"{returned:.1f} returned, {log.held:.1f} left in pump and line",
    )
    if log.unfinished > 0:
        rows.add_row(
            marked(("NOT PLACED", "bold")),
            f"{log.unfinished:.1f} m³: {WHY_NOT_PLACED}",
        )
    console.print(rows, highlight=False)


def _strips(console: Console, outcome: Outcome, everything: bool) -> None:
    layout = outcome.basis.layout
    heading(console, "Strips")
    if everything:
        rows = table("no.>", "strip", "from", "to", "m³>", "direction", *_front_column(outcome))
        for k, strip in enumerate(layout.strips):
            rows.add_row(
                str(k + 1),
                strip.name,
                clock(outcome.strip_start[k]),
                clock(outcome.strip_end[k]),
                f"{outcome.log.strip_volumes[k]:.1f}",
                ("low to high " if layout.upward[k] else "high to low ") + strip.along,
                *_front_cell(outcome, layout.front_of[k]),
            )
    else:
        rows = table("bay", "strips no.", "from", "to", "m³>", *_front_column(outcome))
        for bay in dict.fromkeys(strip.bay for strip in layout.strips):
            mine = [k for k, strip in enumerate(layout.strips) if strip.bay == bay]
            volume = sum(outcome.log.strip_volumes[k] for k in mine)
            rows.add_row(
                bay,
                f"{mine[0] + 1} to {mine[-1] + 1}",
                clock(np.fmin.reduce(outcome.strip_start[mine])),
                clock(np.fmax.reduce(outcome.strip_end[mine])),
                f"{volume:.1f}",
                *_front_cell(outcome, layout.front_of[mine[0]]),
            )
    console.print(rows)
    if not everything:
        console.print(dim("--full lists every strip and truck"))


def _trucks(console: Console, outcome: Outcome, everything: bool) -> None:
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
    console.print(_age_words(outcome), highlight=False)
    console.print(delivered_words(outcome), highlight=False)
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
            f"{visit.placed:.2f}",
            f"{back:.2f}" if back > 0 else "",
            visit.outcome,
            *_front_cell(outcome, visit.front),
        )
    console.print(dim("wait and age in min; placed and back in m³"))
    console.print(rows)
    console.print(WATER, highlight=False)


def _telephone(console: Console, outcome: Outcome) -> None:
    """What the foreman said to the plant, and when."""
    log = outcome.log
    heading(console, "Telephone")
    if outcome.basis.scenario.call_off.nobody_phones:
        console.print("nobody telephones: loads come at the spacing, whatever happens")
        return
    held, beyond = (sum(getattr(f, n) for f in log.fronts) for n in ("loads_held", "loads_beyond"))
    console.print(
        f"{held} of {len(log.visits)} loads held back so that they would not stand, "
        f"{beyond} beyond the booking",
        highlight=False,
    )
    for call in log.calls:
        size = f" {call.volume:.2f} m³" if call.volume else ""
        pump = f" (pump {call.front + 1})" if len(log.fronts) > 1 else ""
        console.print(Text(f"{clock(call.at)} {call.kind}{size}: {call.why}{pump}"))


def _age_words(outcome: Outcome) -> str:
    """The limit of age in force, and how many loads were finished past it."""
    supply = outcome.basis.scenario.supply
    rule, past = supply.age_rule, supply.finish_begun
    ends = "the end of discharge" if rule.ends_at == "discharge" else "arrival"
    warm = ""
    if rule.warm_limit is not None and rule.warm_from is not None:
        warm = f", {minutes(rule.warm_limit)} in air of {rule.warm_from:g} °C or more"
    said = (
        f"age from the start of loading to {ends}: at most {minutes(rule.limit)} min{warm} "
        f"({rule.name})"
    )
    if rule.ends_at != "discharge" or past <= 0.0:
        return f"{said}."
    weather = outcome.basis.scenario.weather
    placed = [v for v in outcome.log.visits if v.placed > 0]
    air = np.interp([v.batched for v in placed], weather.at, weather.air)
    late = sum(
        v.discharge_end - v.batched > rule.limit_at(float(warm)) + 1.0
        for v, warm in zip(placed, air, strict=True)
    )
    return (
        f"{said}; a load begun may be finished up to {minutes(past)} min past it: "
        f"{late or 'none'} {'were' if late > 1 else 'was'}."
    )


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
    layout, edges = outcome.basis.layout, outcome.edges
    heading(console, "Fresh edges")
    console.print(edge_rule_words(outcome.basis.scenario.mix), highlight=False)
    caution_in_heat(console, outcome.basis)
    for state, pairs, length, fronts in (
        ("cold", edges.cold_pairs, edges.cold_length, edges.cold_fronts),
        ("stiff", edges.stiff_pairs, edges.stiff_length, edges.stiff_fronts),
    ):
        console.print(
            f"{state}: {pairs} of {len(layout.pairs)} edge pairs ({length.sum():.1f} m) and "
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
    rows = table("placed first", "then", "at y or x m", "gap min>", "covered", "time used>", "")
    # The worst first, then those left open; a pair without concrete has nothing to say.
    worst_first = np.lexsort((~bare, -np.nan_to_num(edges.ratio)))
    for n in worst_first[(judged | bare)[worst_first]][:5]:
        pair = layout.pairs[n]
        rows.add_row(
            layout.strips[pair.first].name,
            layout.strips[pair.second].name,
            f"{pair.along} {pair.low:.1f}-{pair.high:.1f}",
            minutes(edges.gap[n]),
            clock(edges.time[n]),
            percent(edges.ratio[n]) if judged[n] else "-",
            _state(edges.ratio[n], edges.stiff_from) or ("left open" if bare[n] else ""),
        )
    for n in np.argsort(-edges.stop_ratio)[:2]:
        rows.add_row(
            layout.strips[edges.stop_strip[n]].name,
            "front stopped",
            f"{layout.along} {edges.stop_at[n]:.1f}",
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
    deck, scenario = outcome.deck, outcome.basis.scenario
    heading(console, "Deck, highest values (per metre width)")
    head = ("", "value>", "factored>", share_head(scenario))
    rows = table(*head, "x m>", "while placing", "from")
    for name, peak, cells in peak_rows(scenario, deck):
        if name == "uplift" and max(peak.value, peak.factored) <= 0:
            continue
        strip = outcome.basis.layout.strips[peak.strip]
        bare = peak.stage == "bare"
        strip_name, when = ("before the pour", "-") if bare else (strip.name, clock(peak.time))
        rows.add_row(name, *cells, f"{peak.x:.2f}", strip_name, when)
    console.print(rows)
    share_lines(console, scenario)
    if outcome.log.unfinished:
        console.print("these are the values of the whole plan, strips not placed included")
    over_resistance(console, deck)
    released_lines(console, outcome.supports, outcome.basis)


def _look_out(console: Console, outcome: Outcome, everything: bool) -> None:
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
    rows = table("from", "strip", "x m>", "", "look at")
    for moment in sorted(shown, key=lambda m: (m.time, m.strip)):
        value = f"{moment.value * 1e3:.0f} mm"
        if moment.kind == "use":
            value = share_cell(moment.value, outcome.basis.scenario)
        strip = outcome.basis.layout.strips[moment.strip].name
        rows.add_row(clock(moment.time), strip, f"{moment.x:.2f}", value, moment.look_at)
    console.print(rows)
    for do in dict.fromkeys(moment.do for moment in shown):
        console.print(f"do: {do}")
    if len(shown) < len(moments):
        console.print(dim(f"the {len(shown)} highest of {len(moments)}; --full lists all"))


def _cost(console: Console, outcome: Outcome) -> None:
    cost, currency = outcome.cost, outcome.basis.scenario.prices.currency
    heading(console, f"Cost, {currency}")
    rows = table("", ">")
    for kind in _COSTS:
        if kind == "stiff_edges" and not cost.stiff_edges:
            continue
        amount = money(getattr(cost, kind))
        rows.add_row(
            kind.replace("_", " "), marked((amount, "bold")) if kind == "total" else amount
        )
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
            marked(("NOT IN THIS COST:", "bold"), f" {outcome.log.unfinished:.1f} m³ {NOT_IN_COST}")
        )
