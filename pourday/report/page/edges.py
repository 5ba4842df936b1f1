"""Fresh edges: of one day the tightest, of many days how often each plan loses one."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from pourday.outcome.base.basis import Basis
from pourday.outcome.measure import Outcome
from pourday.report.page.html import Cell, Html, joined, table, tag
from pourday.report.page.numbers import clock, length, minutes, percent, span_of, strip_of
from pourday.report.units import SI, Units
from pourday.report.words import edge_rule_words
from pourday.study.compare import Comparison

_SHOWN = 12


def edges_of_day(outcome: Outcome, units: Units = SI) -> Html:
    """The edges that used most of their time, and the fronts that stood longest."""
    edges, layout = outcome.edges, outcome.basis.layout
    rule = tag("p", edge_rule_words(outcome.basis.scenario.mix, units))
    judged = np.flatnonzero(np.isfinite(edges.ratio))
    rows = []
    for n in judged[np.argsort(-edges.ratio[judged])][:_SHOWN]:
        pair, used = layout.pairs[n], float(edges.ratio[n])
        state = _state(used, edges.stiff_from)
        rows.append(
            [
                Cell(strip_of(layout, pair.first), pair.first),
                Cell(strip_of(layout, pair.second), pair.second),
                Cell(f"{pair.along} {span_of(pair.low, pair.high, units)}"),
                Cell(minutes(float(edges.gap[n])), float(edges.gap[n])),
                Cell(clock(float(edges.time[n])), float(edges.time[n])),
                Cell(percent(used), used),
                Cell(state, used, marked=used > 1.0),
            ]
        )
    heads = ("open edge of", "waits for", "side", "gap>", "covered>", "of its time>", "was")
    about = f"Fresh edges: the {len(rows)} that used most of their time, of {len(layout.pairs)}"
    stopped = [
        f"Front stopped in {strip_of(layout, int(edges.stop_strip[n]))}: covered "
        f"{clock(float(edges.stop_time[n]))}, {percent(float(edges.stop_ratio[n]))} of its time "
        f"used, {_state(float(edges.stop_ratio[n]), edges.stiff_from)}."
        for n in np.argsort(-edges.stop_ratio)[:1]
    ]
    parts = [rule, table("edges-table", about, heads, rows)] if rows else [rule]
    return joined([*parts, *(tag("p", each) for each in stopped)])


def _state(ratio: float, stiff_from: float) -> str:
    """The word for an edge that has used this share of its time."""
    return "COLD" if ratio > 1.0 else "stiff" if ratio > stiff_from else "fresh"


def edges_of_plans(comparison: Comparison, plans: Sequence[Basis], units: Units = SI) -> Html:
    """How often each plan has a cold or a stiff edge, how much of it, and which goes first."""
    layouts = {basis.plan.name: basis.layout for basis in plans}
    rows = []
    for summary in comparison.summaries:
        cold, stiff = summary.chances["cold"], summary.chances["stiff"]
        gap = summary.figures["longest_gap_min"]
        worst = "none"
        if summary.worst_pair:
            pair = layouts[summary.plan].pairs[summary.worst_pair[0]]
            layout, share = layouts[summary.plan], percent(summary.worst_pair[1])
            worst = (
                f"{strip_of(layout, pair.first)} waits for {strip_of(layout, pair.second)}: "
                f"{share} of days"
            )
        rows.append(
            [
                Cell(summary.plan),
                Cell(percent(cold.value), cold.value),
                Cell(percent(stiff.value), stiff.value),
                Cell(length(summary.figures["stiff_length_m"].mean, units),
                     summary.figures["stiff_length_m"].mean),
                Cell(minutes(gap.p90 * 60.0), gap.p90),
                Cell(worst),
            ]
        )  # fmt: skip
    heads = (
        "plan", "days with a cold edge>", "days with a stiff edge>", "stiff, average>",
        "longest gap by>", "goes cold most often",
    )  # fmt: skip
    rule = tag("p", edge_rule_words(plans[0].scenario.mix, units))
    return joined([rule, table("edges-table", "Fresh edges over all days", heads, rows)])
