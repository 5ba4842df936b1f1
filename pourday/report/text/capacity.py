"""The sentence a planner needs first: what a plan asks for, and what it can take."""

from __future__ import annotations

import math

from rich.console import Console
from rich.text import Text

from pourday.outcome.base.basis import Basis
from pourday.outcome.capacity import TOO_MUCH, Capacity, capacities
from pourday.report.screen import units_of
from pourday.report.units import SI, Units

_HOUR, _MINUTE = 3600.0, 60.0


def capacity_lines(
    console: Console, basis: Basis, named: bool = False, only_warnings: bool = False
) -> None:
    """Print a sentence for every front of a plan, those that warn in bold."""
    units = units_of(console)
    fronts = capacities(basis)
    for each in fronts:
        if each.warns or not only_warnings:
            which = f"pump {each.front + 1}: " if len(fronts) > 1 else ""
            name = f"{basis.plan.name}: " if named else ""
            text = capacity_words(each, basis.plan.fronts[each.front].spacing.mean, units)
            console.print(Text(f"{name}{which}{text}", style="bold" if each.warns else ""))


def capacity_words(front: Capacity, spacing: float, units: Units = SI) -> str:
    """A front in words: "8 m³ every 12 min asks for 40 m³/h; pump 50, crew 30 ..."."""

    def _rate(rate: float) -> str:
        return units.volume_rate.figure(rate * _HOUR)

    parts = f"pump {_rate(front.pump)}, crew {_rate(front.crew)}"
    if math.isfinite(front.truck):
        parts += f", truck {_rate(front.truck)}"
    said = (
        f"{units.volume.short_text(front.load)} every {spacing / _MINUTE:.0f} min asks for "
        f"{_rate(front.asks)} {units.volume_rate.word}; "
        f"{parts}; moves, changes and breaks leave about {_rate(front.takes)} on this floor"
    )
    if not front.warns:
        return f"{said}: {front.share:.0%} of what it takes."
    why = "trucks will queue" if front.share > TOO_MUCH else "the pump will wait for concrete"
    return f"{said}: {front.share:.0%}, {why}. {front.spacing / _MINUTE:.0f} min would keep it fed."
