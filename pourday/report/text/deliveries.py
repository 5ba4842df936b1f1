"""What is said of deliveries: samples by load and clock, the telephone, the age of loads."""

from __future__ import annotations

import numpy as np
from rich.console import Console
from rich.text import Text

from pourday.outcome.measure import Outcome
from pourday.report.screen import units_of
from pourday.report.units import Units
from pourday.report.words import clock, heading, minutes, strips_of, table

_RULE = {
    "ACI 318": "ACI 318-19 26.12.2.1: one a day, each 150 yd³ (115 m³), each 5,000 ft² (465 m²), "
    "from at least five loads (value from memory)",
    "the project's": "site.samples_per_m3 (EN 206 Annex B)",
}


def _rule(rule: str, units: Units) -> str:
    """The rule of samples; ACI's sizes in the reader's units alone."""
    words = _RULE[rule]
    return words if units.name == "si" else words.replace(" (115 m³)", "").replace(" (465 m²)", "")


def samples_section(console: Console, outcome: Outcome) -> None:
    """Which loads are sampled, when, and between what their slump has to be."""
    units = units_of(console)
    found, mix = outcome.sampling, outcome.basis.scenario.mix
    heading(console, "Samples, drawn before the day")
    if not found.samples:
        console.print("nothing was placed: nothing to sample")
        return
    short = f" ({found.wanted} wanted)" if found.wanted > len(found.samples) else ""
    console.print(
        f"{len(found.samples)} of {len(outcome.log.visits)} loads{short}, by "
        f"{_rule(found.rule, units)}",
        highlight=False,
    )
    low, high = (max(0.0, mix.slump + way * mix.slump_tolerance) * 1e3 for way in (-1, 1))
    rows = table("load>", "sampled", "age min>", f"{units.temperature.word}>", "into")
    strips = strips_of(outcome.basis.layout)
    for each in found.samples:
        rows.add_row(
            str(each.load + 1),
            clock(each.at),
            minutes(each.age),
            units.temperature.figure(each.temperature),
            strips[each.strip] if each.strip >= 0 else "pump and line",
        )
    console.print(rows, highlight=False)
    console.print(
        f"taken from the middle of the discharge; slump {units.depth.figure(low, 0)} to "
        f"{units.depth.text(high, 0)}, else the load "
        f"is not accepted; temperature read with it ({units.temperature.word} as the model has it)",
        highlight=False,
    )


def telephone_section(console: Console, outcome: Outcome) -> None:
    """What the foreman said to the plant, and when."""
    units = units_of(console)
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
        size = f" {units.volume.text(call.volume, 2)}" if call.volume else ""
        pump = f" (pump {call.front + 1})" if len(log.fronts) > 1 else ""
        console.print(Text(f"{clock(call.at)} {call.kind}{size}: {call.why}{pump}"))


def age_words(outcome: Outcome, units: Units) -> str:
    """The limit of age in force, and how many loads were finished past it."""
    supply = outcome.basis.scenario.supply
    rule, past = supply.age_rule, supply.finish_begun
    ends = "the end of discharge" if rule.ends_at == "discharge" else "arrival"
    warm = ""
    if rule.warm_limit is not None and rule.warm_from is not None:
        from_air = units.temperature.short_text(rule.warm_from)
        warm = f", {minutes(rule.warm_limit)} in air of {from_air} or more"
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
