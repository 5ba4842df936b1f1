"""Plans side by side, and the sentence that says which one to prefer."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.text import Text

from pourday.concrete.evaporation import ACT
from pourday.outcome.base.basis import Basis
from pourday.report.basis import basis_of_shares, share_head, why_not_judged
from pourday.report.screen import units_of
from pourday.report.text.capacity import capacity_lines
from pourday.report.text.spreads import (
    chance_cell,
    deck_breach,
    difference_cell,
    exact,
    labelled,
    spread_cell,
)
from pourday.report.text.upsets import not_hit
from pourday.report.units import SI, Units
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
from pourday.study.choice import FARTHEST, Breach, Choice, Turn
from pourday.study.compare import Comparison, PlanSummary
from pourday.study.statistics import Interval

_LABEL, _COLUMN = 27, 25

_ROWS = (
    ("pour, hours", "duration_h", "{:.1f}"),
    ("last concrete, clock", "end_h", "clock"),
    ("mean truck wait, min", "mean_wait_min", "{:.0f}"),
    ("longest truck wait, min", "longest_wait_min", "{:.0f}"),
    ("oldest concrete, min", "oldest_age_min", "{:.0f}"),
    ("pump starved, h", "starved_h", "{:.1f}"),
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
    ("deck: hog moment, kNm/m", "hog_moment_kNm_per_m", "{:.2f}"),
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
    ("pump starved, h", "starved_h", "{:+.2f}"),
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
    units = units_of(console)
    days = comparison.summaries[0].days
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
    heading(console, "Which plan")
    for sentence in choice_sentences(scenario, comparison, choice, plans, units):
        console.print(Text(sentence))
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
    units = units_of(console)
    for label, metric, form in _ROWS:
        spreads = [summary.figures[metric] for summary in summaries]
        if all(s.p90 == 0.0 and s.mean == 0.0 for s in spreads):
            continue
        if metric == "use":
            label = f"deck: share {share_head(scenario).rstrip('>')}, {scenario.loads.basis}"
        label, unit = labelled(label, units)
        rows.add_row(label, *(spread_cell(spread, form, unit) for spread in spreads))
    for label, chance in _CHANCES:
        chances = [summary.chances[chance] for summary in summaries]
        rows.add_row(units.said(label), *(chance_cell(chance) for chance in chances))
    console.print(rows, highlight=False)


def _differences(console: Console, comparison: Comparison, names: Sequence[str]) -> None:
    rows = table("", *(f"{name}>" for name in names))
    rows.columns[0].no_wrap = True
    units = units_of(console)
    for label, metric, form in _DIFFERENCES:
        intervals = [comparison.differences[name][metric] for name in names]
        label, unit = labelled(label, units)
        rows.add_row(label, *(difference_cell(interval, form, unit) for interval in intervals))
    console.print(rows, highlight=False)


def choice_sentences(
    scenario: Scenario,
    comparison: Comparison,
    choice: Choice,
    plans: Sequence[Basis],
    units: Units = SI,
) -> list[str]:
    """Which plan to prefer, why, what rules others out, and what would change it."""
    currency = scenario.prices.currency
    summaries = {summary.plan: summary for summary in comparison.summaries}
    out = []
    if choice.plan is None:
        out.append(
            f"No plan stays within the limits; {choice.least_bad!r} breaks them least. "
            "Change a plan before you change a limit."
        )
    else:
        cost = summaries[choice.plan].figures["cost_total"].mean
        out.append(
            f"Prefer {choice.plan!r}: it stays within the limits at {money(cost)} {currency} "
            "on average."
        )
    if choice.runner_up and choice.saving and choice.earlier:
        out.append(_against(choice, choice.runner_up, choice.saving, choice.earlier, currency))
        out += _tie(summaries, str(choice.plan), choice.runner_up, units)
        out += _but(summaries, best=str(choice.plan), second=choice.runner_up, units=units)
    for plan, found in choice.breaches.items():
        if found:
            out.append(
                f"Not {plan!r}: {'; '.join(_breach(breach, scenario, units) for breach in found)}."
            )
            pair = summaries[plan].worst_pair
            if pair and any(breach.kind == "cold" for breach in found):
                layout = next(b.layout for b in plans if b.plan.name == plan)
                sides = layout.pairs[pair[0]]
                first, second = layout.strips[sides.first].name, layout.strips[sides.second].name
                out.append(
                    f"   The edge that goes cold most often is {first} to {second} "
                    f"({percent(pair[1])} of days)."
                )
    if choice.turn:
        out.append(_turn(choice.turn, choice.earlier, choice.saving, currency))
    elif choice.runner_up:
        out.append(
            f"What would change that: no single price in the file, short of {FARTHEST:g} times as "
            "much or as little."
        )
    else:
        out.append(_way_back(choice, summaries, currency))
    return out


def _against(
    choice: Choice, second: str, saving: Interval, earlier: Interval, currency: str
) -> str:
    sure = saving.low > 0.0
    text = (
        f"Against {second!r} it saves {money(saving.value)} {currency} a day on the same days "
        f"(95 % interval {money(saving.low)} to {money(saving.high)})"
    )
    if not sure:
        text += ", which these days do not tell from nothing"
    ends = "earlier" if earlier.value > 0 else "later"
    return f"{text}, and ends {abs(earlier.value):.1f} h {ends}."


def _tie(summaries: dict[str, PlanSummary], best: str, second: str, units: Units) -> list[str]:
    """What tells two plans of one cost apart."""
    ours, theirs = (summaries[plan].figures for plan in (best, second))
    mine, other = ours["stiff_length_m"].mean, theirs["stiff_length_m"].mean
    if round(ours["cost_total"].mean) != round(theirs["cost_total"].mean) or mine >= other:
        return []
    return [
        f"They cost the same; it has less stiff edge, {units.length.text(mine, 1)} against "
        f"{units.length.text(other, 1)}."
    ]


def _way_back(choice: Choice, summaries: dict[str, PlanSummary], currency: str) -> str:
    """What the plans that are ruled out would have to mend, the cheapest first."""
    ruled_out = [plan for plan, found in choice.breaches.items() if found]
    if not ruled_out:
        return "What would change that: another plan in the file."

    def _cost(plan: str) -> float:
        return summaries[plan].figures["cost_total"].mean

    cheapest = min(ruled_out, key=_cost)
    mend = " and ".join(_MEND[breach.kind] for breach in choice.breaches[cheapest])
    if choice.plan is None:
        return f"What would change that: {cheapest!r}, the cheapest, {mend}."
    saved = _cost(choice.plan) - _cost(cheapest)
    if saved <= 0:
        return f"What would change that: nothing in the file; {choice.plan!r} is also the cheapest."
    return f"What would change that: {cheapest!r}, {mend}, would save {money(saved)} {currency}."


_MEND = {
    "level": "struck to a datum or to pins",
    "deck": "with props or another order that the engineer agrees to",
    "cold": "with more time to set (retarder), a larger crew or another order of bays",
    "stiff": "with more time to set (retarder), a larger crew or another order of bays",
    "below 5": "on a warmer day, or kept warm",
    "frost": "on a warmer day, or kept warm (heat below, mats, warmer concrete)",
    "curfew": "begun earlier or with a larger crew",
    "unfinished": "with loads and people to the end (plants that stay open or are nearer, a larger "
    "crew)",
}


def _turn(turn: Turn, earlier: Interval | None, saving: Interval | None, currency: str) -> str:
    text = (
        f"What would change that: {turn.plan!r} would cost the same if the price of {turn.kind} "
        f"were {turn.factor:.2f} times that of the file"
    )
    if earlier and saving and earlier.value < -0.1 and saving.value > 0:
        worth = money(saving.value / -earlier.value)
        text += f", or if ending an hour earlier were worth {worth} {currency}"
    return f"{text}."


def _but(summaries: dict[str, PlanSummary], best: str, second: str, units: Units) -> list[str]:
    """What the preferred plan is worse in and no limit or price of the file looks at."""
    ours, theirs = summaries[best].figures, summaries[second].figures
    out = []
    late = ours["missed_area_m2"].mean - theirs["missed_area_m2"].mean
    if late > 1.0:
        out.append(f"{units.area.text(late, 0)} more are finished too late")
    drying = ours["evaporation_peak_kg_m2_h"].mean
    if drying >= ACT > theirs["evaporation_peak_kg_m2_h"].mean:
        out.append(
            f"its fresh front dries at {units.evaporation.text(drying, 2)}, over the line of "
            f"{units.evaporation.figure(ACT, 1)}"
        )
    return [f"But against {second!r} {' and '.join(out)}: no limit looks at that."] if out else []


def _breach(breach: Breach, scenario: Scenario, units: Units) -> str:
    match breach.kind:
        case "deck":
            return (
                f"the deck uses {exact(breach.found)} of {basis_of_shares(scenario)}, above the "
                f"limit of {exact(breach.limit)} (engineer and supplier decide)"
            )
        case "cold":
            return f"a cold joint on {exact(breach.found)} of days, above {exact(breach.limit)}"
        case "stiff":
            return f"a stiff edge on {exact(breach.found)} of days, above {exact(breach.limit)}"
        case "below 5" | "frost":
            what = "frost in" if breach.kind == "frost" else units.said("below 5 °C") + ":"
            share = f"{exact(breach.found)} of days, above {exact(breach.limit)}"
            return f"{what} fresh concrete on {share}"
        case "curfew":
            return f"past the curfew on {exact(breach.found)} of days, above {exact(breach.limit)}"
        case "sag" | "fixing" | "end" | "prop" | "tips":
            return deck_breach(breach, units)
        case "level":
            return (
                f"its top is struck {units.depth.text(breach.found * 1e3, 0)} off the datum over "
                "supports, past "
                f"±{units.depth.text(breach.limit * 1e3, 0)}"
            )
        case _:
            return f"left unfinished on {exact(breach.found)} of days"
