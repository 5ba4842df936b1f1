"""The page of ``pourday day``: one day of one plan."""

from __future__ import annotations

import math
from collections.abc import Sequence

from pourday.outcome.measure import Outcome
from pourday.report.basis import share_cell
from pourday.report.page.cost import cost_of_day
from pourday.report.page.drawn.moving import ONE_DAY, moving_day
from pourday.report.page.edges import edges_of_day
from pourday.report.page.html import Cell, Html, joined, lines, part, table, tag
from pourday.report.page.numbers import (
    clock,
    depth,
    minutes,
    place,
    said,
    strip_of,
    volume,
)
from pourday.report.page.verdict import verdict_of_day
from pourday.report.page.whole import whole_page
from pourday.report.units import SI, Units
from pourday.report.words import percent

_LOOKS = 12  # moments to look out for that make a readable list


def day_page(outcome: Outcome, warnings: Sequence[str] = (), units: Units = SI) -> str:
    """The page of a day: what became of it, strips and loads, what to look out for, the day itself.

    Args:
        outcome: the day.
        warnings: those of the scenario file.
        units: those of its reader.
    """
    scenario, log = outcome.basis.scenario, outcome.log
    found = verdict_of_day(outcome, units)
    but = joined([tag("p", tag("strong", "But")), lines(found.out)]) if found.out else Html("")
    parts = [
        part("verdict", "How this day goes", *(tag("p", each) for each in found.said), but),
        part("plan", "Strips", _strips(outcome, units)),
        part("out", "Look out", _look_out(outcome, units), lines(said(w, units) for w in warnings)),
        part("day", "Through the day", moving_day("d0", outcome, units)),
        part("loads", "Loads", _loads(outcome, units)),
        part("edges", "Edges", edges_of_day(outcome, units)),
        part("cost", "Cost", cost_of_day(outcome, units)),
    ]
    date = f"{scenario.date:%a %d %b %Y}"
    about = (f"Plan {log.plan}, day {log.seed}, on {date}. {ONE_DAY}.",)
    return whole_page(scenario.title, about, parts)


def _strips(outcome: Outcome, units: Units) -> Html:
    layout = outcome.basis.layout
    rows = [
        [
            Cell(strip_of(layout, k), k),
            Cell(clock(outcome.strip_start[k]), _last(outcome.strip_start[k])),
            Cell(clock(outcome.strip_end[k]), _last(outcome.strip_end[k])),
            Cell(volume(outcome.log.strip_volumes[k], units), outcome.log.strip_volumes[k]),
        ]
        for k in range(len(layout.strips))
    ]
    about = "Strips in the order of placing; press a heading to sort"
    return table("strips-table", about, ("strip", "from>", "to>", "takes>"), rows)


def _loads(outcome: Outcome, units: Units) -> Html:
    rows = [
        [
            Cell(str(visit.number + 1), visit.number),
            Cell(clock(visit.batched), _last(visit.batched)),
            Cell(clock(visit.arrived), _last(visit.arrived)),
            Cell(minutes(visit.wait), _last(visit.wait)),
            Cell(clock(visit.discharge_start), _last(visit.discharge_start)),
            Cell(clock(visit.discharge_end), _last(visit.discharge_end)),
            Cell(volume(visit.placed, units), visit.placed),
            Cell(visit.outcome, marked=visit.outcome != "placed"),
        ]
        for visit in outcome.log.visits
    ]
    heads = ("load", "loaded>", "came>", "waited>", "on>", "off>", "placed>", "ended")
    return table("loads-table", "Loads; press a heading to sort", heads, rows)


def _last(value: float) -> float | str:
    """What a time or wait is sorted by; one that never came goes last."""
    return float(value) if math.isfinite(value) else ""


def _look_out(outcome: Outcome, units: Units) -> Html:
    scenario, layout = outcome.basis.scenario, outcome.basis.layout
    highest = sorted(outcome.look_out, key=lambda each: -each.value / each.limit)[:_LOOKS]
    moments = sorted(highest, key=lambda each: (each.time, each.strip))
    if not moments:
        share = percent(scenario.loads.look_share)
        return tag("p", f"No strip is on the look-out list (deck past {share}, or sag).")
    rows = [
        [
            Cell(clock(each.time), _last(each.time)),
            Cell(strip_of(layout, each.strip), each.strip),
            Cell(place(each.x, units), each.x),
            Cell(share_cell(each.value, scenario) if each.kind == "use"
                 else depth(each.value, units), each.value),
            Cell(said(each.look_at, units)),
            Cell(each.do),
        ]
        for each in moments
    ]  # fmt: skip
    heads = ("from", "strip", "at x>", "deck>", "look at", "do")
    count = len(outcome.look_out)
    cut = f", the {len(rows)} highest of {count}" if len(rows) < count else ""
    return table("look-table", f"What to look at, and what to do{cut}", heads, rows)
