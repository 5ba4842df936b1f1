"""Plans in one table that sorts: when, for how much, how surely."""

from __future__ import annotations

import math

from pourday.report.page.html import Cell, Html, joined, table, tag
from pourday.report.page.numbers import HOUR, clock, minutes, money, percent
from pourday.report.page.verdict import PREFERRED, standing_of
from pourday.scenario.model.scenario import Scenario
from pourday.study.choice import Choice
from pourday.study.compare import Comparison, PlanSummary

_SMALL_PRINT = (
    "about, truck waits, no truck: the middle day. by, leave by, deck: 9 days in 10 are below. "
    "cold edge: share of days played. no truck: pump "
    "ready, but no concrete on the site."
)


def plans_table(scenario: Scenario, comparison: Comparison, choice: Choice) -> Html:
    """A row for each plan, in the order of the file until a reader sorts it."""
    heads = (
        "plan", "stands", "last concrete about>", "by>", "finishers leave by>",
        f"{scenario.prices.currency} average>", "cold edge>", "truck waits>", "no truck>", "deck>",
    )  # fmt: skip
    rows = [_row(summary, choice) for summary in comparison.summaries]
    about = f"Plans, {comparison.summaries[0].days} days of each; press a heading to sort"
    return joined([table("plans", about, heads, rows), tag("p", _SMALL_PRINT, class_="small")])


def _row(summary: PlanSummary, choice: Choice) -> list[Cell]:
    end, leave = summary.figures["end_h"], summary.figures["finishing_end_h"]
    cost, use = summary.figures["cost_total"], summary.figures["use"]
    wait, none = summary.figures["mean_wait_min"], summary.figures["starved_h"]
    stands, cold = standing_of(choice, summary.plan), summary.chances["cold"]
    return [
        Cell(summary.plan, summary.plan, stands == PREFERRED),
        Cell(stands, stands, stands == PREFERRED),
        Cell(clock(end.p50 * HOUR), end.p50),
        Cell(clock(end.p90 * HOUR), end.p90),
        Cell(clock(leave.p90 * HOUR), leave.p90),
        Cell(money(cost.mean), cost.mean),
        Cell(percent(cold.value), cold.value),
        Cell(minutes(wait.p50 * 60.0), wait.p50),
        Cell(minutes(none.p50 * HOUR), none.p50),
        Cell(percent(use.p90), "" if math.isnan(use.p90) else use.p90),
    ]
