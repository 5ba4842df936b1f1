"""Money: of a day line by line, of plans by kind, on average."""

from __future__ import annotations

from pourday.outcome.cost import KINDS
from pourday.outcome.measure import Outcome
from pourday.report.page.html import Cell, Html, joined, lines, table, tag
from pourday.report.page.numbers import money, quantity, volume
from pourday.report.units import SI, Units
from pourday.report.words import COSTS, NOT_IN_COST
from pourday.scenario.model.scenario import Scenario
from pourday.study.compare import Comparison


def cost_of_day(outcome: Outcome, units: Units = SI) -> Html:
    """Every line of the day's price that is not nothing, and all of it."""
    currency, cost = outcome.basis.scenario.prices.currency, outcome.cost
    rows = [
        [
            Cell(line.item.label),
            Cell(quantity(line.quantity, line.item.unit, units), line.quantity),
            Cell(money(line.amount), line.amount),
        ]
        for line in cost.lines
        if line.amount
    ]
    heads = ("what", "how much>", f"{currency}>")
    total = tag("p", "In all ", tag("strong", f"{money(cost.total)} {currency}"))
    left = []
    if outcome.log.unfinished > 0:
        left = [f"NOT IN THIS COST: {volume(outcome.log.unfinished, units)} {NOT_IN_COST}"]
    about = "Cost of this day"
    return joined([total, table("cost-table", about, heads, rows), lines(left)])


def cost_of_plans(scenario: Scenario, comparison: Comparison, units: Units = SI) -> Html:
    """A column for each kind of cost that any plan has, on average, and what it may come to."""
    summaries = comparison.summaries
    kinds = [
        kind
        for kind in KINDS
        if any(abs(summary.figures[f"cost_{kind}"].mean) >= 0.5 for summary in summaries)
    ]
    heads = ("plan", "in all>", *(f"{COSTS[kind]}>" for kind in kinds), "by>")
    rows = []
    for summary in summaries:
        means = [summary.figures["cost_total"].mean]
        means += [summary.figures[f"cost_{kind}"].mean for kind in kinds]
        by = summary.figures["cost_total"].p90
        cells = [Cell(money(mean), mean) for mean in (*means, by)]
        rows.append([Cell(summary.plan), *cells])
    about = f"{scenario.prices.currency} a day on average; by: 9 days in 10 cost less in all"
    left = [
        f"Not in the cost of {summary.plan}: "
        f"{volume(summary.figures['unfinished_m3'].mean, units)} a day "
        f"{NOT_IN_COST}."
        for summary in summaries
        if summary.chances["unfinished"].value > 0.0
    ]
    return joined([table("cost-table", about, heads, rows), lines(left)])
