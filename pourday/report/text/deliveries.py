"""What is said of deliveries: samples by load and clock, and the rule of water."""

from __future__ import annotations

from rich.console import Console

from pourday.outcome.measure import Outcome
from pourday.report.words import clock, heading, minutes, table

_RULE = {
    "ACI 318": "ACI 318-19 26.12.2.1: one a day, each 150 yd³ (115 m³), each 5,000 ft² (465 m²), "
    "from at least five loads (value from memory)",
    "the project's": "site.samples_per_m3 (EN 206 Annex B)",
}


def samples_section(console: Console, outcome: Outcome) -> None:
    """Which loads are sampled, when, and between what their slump has to be."""
    found, mix = outcome.sampling, outcome.basis.scenario.mix
    heading(console, "Samples, drawn before the day")
    if not found.samples:
        console.print("nothing was placed: nothing to sample")
        return
    short = f" ({found.wanted} wanted)" if found.wanted > len(found.samples) else ""
    console.print(
        f"{len(found.samples)} of {len(outcome.log.visits)} loads{short}, by {_RULE[found.rule]}",
        highlight=False,
    )
    low, high = (max(0.0, mix.slump + way * mix.slump_tolerance) * 1e3 for way in (-1, 1))
    rows = table("load>", "sampled", "age min>", "°C>", "into")
    strips = outcome.basis.layout.strips
    for each in found.samples:
        rows.add_row(
            str(each.load + 1),
            clock(each.at),
            minutes(each.age),
            f"{each.temperature:.0f}",
            strips[each.strip].name if each.strip >= 0 else "pump and line",
        )
    console.print(rows, highlight=False)
    console.print(
        f"taken from the middle of the discharge; slump {low:.0f} to {high:.0f} mm, else the load "
        "is not accepted; temperature read with it (°C as the model has it)",
        highlight=False,
    )
