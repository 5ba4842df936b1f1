"""The same plan begun at several hours of the day."""

from __future__ import annotations

from rich.console import Console

from pourday.concrete.evaporation import ACT, WATCH
from pourday.report.words import caution, clock, edge_rule_words, heading, marked, percent, table
from pourday.scenario.model.scenario import Scenario
from pourday.study.start_times import StartTimes

_WHOSE = {"all": "wash-out or finishing", "pump": "wash-out"}


def starts_report(console: Console, scenario: Scenario, found: StartTimes) -> None:
    """Print one row for each start."""
    console.print(
        marked(
            (scenario.title, "bold"),
            f"   plan {found.plan!r} begun at several hours, {found.days} days each, "
            "the same days for every start",
        )
    )
    heading(console, "Start times: mean (1 in 10 above)")
    rows = table(
        "start",
        "drying>",
        "last concrete>",
        "finished>",
        "late m²>",
        "stiff>",
        "cold>",
        "curfew>",
        "pump>",
    )
    for each in found.starts:
        rows.add_row(
            clock(each.start),
            f"{each.evaporation.mean:.2f} ({each.evaporation.p90:.2f})",
            f"{clock(each.last_concrete.mean * 3600)} ({clock(each.last_concrete.p90 * 3600)})",
            f"{clock(each.finished.mean * 3600)}",
            f"{each.missed_area.mean:.0f} ({each.missed_area.p90:.0f})",
            percent(each.stiff.value),
            percent(each.cold.value),
            percent(each.past_curfew.value),
            percent(each.pump_past_curfew.value),
        )
    console.print(rows)
    console.print(
        f"drying: peak evaporation in kg/m²/h from screed to cover (watch at {WATCH:.1f}, act at "
        f"{ACT:.1f}); late: area whose power-float pass came after final set; stiff edge, cold "
        f"joint, curfew ({_WHOSE[scenario.site.curfew_for]}), pump past it: share of days"
    )
    console.print(edge_rule_words(scenario.mix), highlight=False)
    best = min(
        found.starts,
        key=lambda s: (
            s.unfinished.value,
            s.cold.value + s.past_curfew.value,
            s.missed_area.mean,
            s.evaporation.mean,
        ),
    )
    left = [each for each in found.starts if each.unfinished.value > 0]
    if left:
        shares = ", ".join(f"{clock(s.start)} on {percent(s.unfinished.value)}" for s in left)
        console.print(marked(("NOT ALL PLACED", "bold"), f" when begun at {shares} of days."))
    if best.unfinished.value == 1.0:
        console.print("No start places the whole floor on any day: none is better than another.")
    else:
        first = "Fewest days not all placed, then with" if left else "Fewest days with"
        console.print(
            f"{first} a cold joint or past the curfew, then least finished too late, then least "
            f"drying: {clock(best.start)}."
        )
    if all(each.past_curfew.value > scenario.limits.past_curfew_share for each in found.starts):
        console.print(f"No start keeps the curfew ({_WHOSE[scenario.site.curfew_for]}).")
    opens = min(plant.opens for plant in scenario.supply.plants)
    if found.starts[0].start < opens:
        console.print(f"No plant batches before {clock(opens)}: earlier starts wait for it.")
    caution(console)
