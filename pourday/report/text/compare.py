"""Plans side by side, and the sentence that says which one to prefer."""

from __future__ import annotations

import math
from collections.abc import Sequence

from rich.console import Console
from rich.text import Text

from pourday.outcome.base.basis import Basis
from pourday.report.basis import basis_of_shares, share_head, why_not_judged
from pourday.report.screen import units_of
from pourday.report.text.capacity import capacity_lines
from pourday.report.text.spreads import (
    difference_cell,
    labelled,
    rare_cell,
    spread_cell,
    when_cell,
)
from pourday.report.text.upsets import not_hit
from pourday.report.text.verdict import choice_sentences, limits_table
from pourday.report.units import Unit
from pourday.report.words import (
    NOT_IN_COST,
    caution,
    clock,
    edge_rule_words,
    heading,
    marked,
    money,
    percent,
    table,
)
from pourday.scenario.base.upsets import (
    upset_text,
)
from pourday.scenario.model.scenario import Scenario
from pourday.study.choice import Choice
from pourday.study.compare import RARE, Comparison, PlanSummary
from pourday.study.metrics import COST_PARTS
from pourday.study.statistics import Spread, whole_parts

_LABEL, _COLUMN = 27, 25

_ROWS = (
    ("pour, hours", "duration_h", "{:.1f}"),
    ("last concrete, clock", "end_h", "clock"),
    ("mean truck wait, min", "mean_wait_min", "{:.0f}"),
    ("longest truck wait, min", "longest_wait_min", "{:.0f}"),
    ("oldest concrete, min", "oldest_age_min", "{:.0f}"),
    ("pump without truck, h", "starved_h", "{:.1f}"),
    ("trucks changing, h", "changing_h", "{:.1f}"),
    ("pump changes its place, h", "setting_up_h", "{:.1f}"),
    ("waits for other crew, h", "held_h", "{:.1f}"),
    ("too few people, h", "short_h", "{:.1f}"),
    ("crane lent, h", "lent_h", "{:.1f}"),
    ("turns round the block", "rounds", "{:.0f}"),
    ("ordered, m³", "ordered_m3", "{:.1f}"),
    ("rejected, m³", "rejected_m3", "{:.1f}"),
    ("returned, m³", "returned_m3", "{:.1f}"),
    ("in the sag, m³", "ponding_m3", "{:.1f}"),
    ("longest edge gap, min", "longest_gap_min", "{:.0f}"),
    ("stiff length, m", "stiff_length_m", "{:.1f}"),
    ("cold length, m", "cold_length_m", "{:.1f}"),
    ("deck: sag moment, kNm/m", "sag_moment_kNm_per_m", "{:.2f}"),
    ("deck: over beams, kNm/m", "hog_moment_kNm_per_m", "{:.2f}"),
    ("deck: reaction, kN/m", "reaction_kN_per_m", "{:.1f}"),
    ("deck: uplift, kN/m", "uplift_kN_per_m", "{:.2f}"),
    ("deck: deflection, mm", "deflection_mm", "{:.0f}"),
    ("deck: use of resistance", "use", "percent"),
    ("drying at front, kg/m²/h", "evaporation_peak_kg_m2_h", "{:.2f}"),
    ("finishers leave, clock", "finishing_end_h", "clock"),
    ("finished too late, m²", "missed_area_m2", "{:.0f}"),
    ("below 5 °C too soon, m²", "area_below_5_C_m2", "{:.0f}"),
    ("FROZEN, m²", "area_below_0_C_m2", "{:.0f}"),
    ("cost: concrete", "cost_concrete", "money"),
    ("cost: pump", "cost_pump", "money"),
    ("cost: labour, plain hours", "cost_labour", "money"),
    ("cost: labour, overtime", "cost_overtime", "money"),
    ("cost: trucks past free min", "cost_waiting", "money"),
    ("cost: cold joints", "cost_cold_joints", "money"),
    ("cost: stiff edges", "cost_stiff_edges", "money"),
    ("cost: truck, plant charges", "cost_trucks", "money"),
    ("cost: curing", "cost_curing", "money"),
    ("cost: late finish", "cost_late", "money"),
    ("COST IN ALL", "cost_total", "money"),
)
_QUESTIONS = {
    "duration_h": "How long does it take?",
    "mean_wait_min": "What do they wait for?",
    "ordered_m3": "How much concrete?",
    "longest_gap_min": "When is an edge lost?",
    "sag_moment_kNm_per_m": "What does the deck feel?",
    "evaporation_peak_kg_m2_h": "When is it finished?",
    "cost_concrete": "What does it cost?",
}
"""Figures with which the answer to another question begins."""
_CHANCES = (
    ("days with a cold joint", "cold"),
    ("days with a stiff edge", "stiff"),
    ("fresh below 5 °C, days", "below_5_C"),
    ("days with FROST", "frost"),
    ("past the curfew, days", "past_curfew"),
    ("  pump past it", "pump_past_curfew"),
    ("  finishers past it", "finishing_past_curfew"),
    ("days left unfinished", "unfinished"),
)
_DIFFERENCES = (
    ("pour, h", "duration_h", "{:+.2f}"),
    ("mean truck wait, min", "mean_wait_min", "{:+.1f}"),
    ("pump without truck, h", "starved_h", "{:+.2f}"),
    ("deck: use, % points", "use", "points"),
    ("stiff length, m", "stiff_length_m", "{:+.1f}"),
    ("cold length, m", "cold_length_m", "{:+.1f}"),
    ("cost in all", "cost_total", "money"),
)


def compare_report(
    console: Console,
    scenario: Scenario,
    plans: Sequence[Basis],
    comparison: Comparison,
    choice: Choice,
    warnings: Sequence[str] = (),
) -> None:
    """Print the comparison; as many plans beside each other as the width allows."""
    units, days = units_of(console), choice.days
    console.print(
        marked(
            (scenario.title, "bold"),
            f"   {len(comparison.summaries)} plans, {days} days each, the same days for every plan",
        )
    )
    for text in warnings:
        console.print(marked(("warning:", "bold"), f" {text}"))
    heading(console, "Plans")
    _plans(console, plans)
    for basis in plans:
        capacity_lines(console, basis, named=True, only_warnings=True)
    console.print(edge_rule_words(scenario.mix, units), highlight=False)
    console.print(
        why_not_judged(scenario) or f"Shares are of {basis_of_shares(scenario)}.", highlight=False
    )
    if scenario.upsets:
        told = "; ".join(upset_text(upset) for upset in scenario.upsets)
        console.print(Text(f"On every day goes wrong: {told}"))
        for line in not_hit(scenario, plans):
            console.print(Text(line))
    heading(console, "What the days were like: middle day (and 1 in 10 below to 1 in 10 above)")
    console.print("Money: the mean. Clock: the middle day, and by when on 9 days in 10.")
    fit = max(1, (console.width - _LABEL) // _COLUMN)
    summaries = comparison.summaries
    for first in range(0, len(summaries), fit):
        _figures(console, scenario, summaries[first : first + fit])
    for summary in summaries:
        if summary.chances["unfinished"].value > 0.0:
            left = summary.figures["unfinished_m3"].mean
            console.print(
                Text(
                    f"Not in the cost of {summary.plan!r}: {units.volume.text(left, 1)} a day "
                    f"{NOT_IN_COST}."
                )
            )
    if len(summaries) > 1:
        heading(console, f"Difference from {summaries[0].plan!r} on the same days (95 % interval)")
        names = [summary.plan for summary in summaries[1:]]
        for first in range(0, len(names), fit):
            _differences(console, comparison, names[first : first + fit])
    heading(console, "Limits: what the days decide")
    limits_table(console, choice.verdict)
    heading(console, "Which plan")
    said = choice_sentences(scenario, comparison, choice, plans)
    for sentence in (*said.first, *said.out, *said.then):
        console.print(Text(units.said(sentence)))
    caution(console)


def _plans(console: Console, plans: Sequence[Basis]) -> None:
    units = units_of(console)
    rows = table(
        "plan", "order", "pump", "crew", "spacing", "start", "strips>", f"{units.volume.word}>"
    )
    for basis in plans:
        plan = basis.plan
        rows.add_row(
            plan.name,
            plan.order,
            _both([front.pump for front in plan.fronts]),
            _both([front.crew for front in plan.fronts]),
            _both([f"{front.spacing.mean / 60:g} min" for front in plan.fronts]),
            clock(plan.start),
            str(len(basis.layout.strips)),
            units.volume.figure(basis.layout.volume.sum()),
        )
    console.print(rows, highlight=False)


def _both(names: Sequence[str]) -> str:
    """One word where all fronts have the same, else one for each."""
    if len(set(names)) > 1:
        return " + ".join(names)
    return f"{len(names)} x {names[0]}" if len(names) > 1 else names[0]


def _figures(console: Console, scenario: Scenario, summaries: Sequence[PlanSummary]) -> None:
    rows = table("", *(f"{summary.plan}>" for summary in summaries))
    rows.columns[0].no_wrap = True
    rows.add_row("days", *(f"{summary.days:,}" for summary in summaries))
    parts = [whole_parts(_means(summary)) for summary in summaries]
    units = units_of(console)
    asked = ""
    for label, metric, form in _ROWS:
        asked = _QUESTIONS.get(metric, asked)
        spreads = [summary.figures[metric] for summary in summaries]
        if all(s.p90 == 0.0 and s.mean == 0.0 for s in spreads):
            continue
        if asked:
            rows.add_row(Text(asked, style="bold"))
            asked = ""
        if metric == "use":
            label = f"deck: share {share_head(scenario).rstrip('>')}, {scenario.loads.basis}"
        label, unit = labelled(label, units)
        if form == "money":
            rows.add_row(label, *(money(part[metric]) for part in parts))
        elif metric in RARE:
            rows.add_row(label, *(rare_cell(summary.rare[metric], unit) for summary in summaries))
        else:
            rows.add_row(label, *(_spread_cell(spread, form, unit) for spread in spreads))
    rows.add_row(Text("What goes wrong?", style="bold"))
    for label, chance in _CHANCES:
        chances = [summary.chances[chance] for summary in summaries]
        rows.add_row(units.said(label), *(percent(chance.value) for chance in chances))
    console.print(rows, highlight=False)


def _spread_cell(spread: Spread, form: str, unit: Unit) -> str:
    return when_cell(spread) if form == "clock" else spread_cell(spread, form, unit)


def _means(summary: PlanSummary) -> dict[str, float]:
    """Mean of the total cost and of its parts."""
    return {name: summary.figures[name].mean for name in (*COST_PARTS, "cost_total")}


def _differences(console: Console, comparison: Comparison, names: Sequence[str]) -> None:
    rows = table("", *(f"{name}>" for name in names))
    rows.columns[0].no_wrap = True
    units = units_of(console)
    for label, metric, form in _DIFFERENCES:
        intervals = [comparison.differences[name][metric] for name in names]
        if all(each.value == 0.0 and math.isnan(each.low) for each in intervals):
            continue  # metres of an edge that none of the plans ever has
        label, unit = labelled(label, units)
        rows.add_row(label, *(difference_cell(interval, form, unit) for interval in intervals))
    console.print(rows, highlight=False)
