"""What ``pourday check`` says of the mix as ordered and of the finishing of a plan."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console

from pourday.outcome.base.basis import Basis
from pourday.outcome.concrete.finishing_need import MOST_PER_WALK_BEHIND, finishing_need
from pourday.report.screen import units_of
from pourday.report.units import SI, Units
from pourday.report.words import hours, marked
from pourday.scenario.base.trade import CAREFUL_SLUMP
from pourday.scenario.model.scenario import Mix

_KIND = {"walk_behind": "walk-behind", "ride_on": "ride-on"}


def slump_words(mix: Mix, units: Units = SI) -> str:
    """Slump and tolerance as ordered, and what careful placing asks for."""
    ordered = (
        f"{units.depth.text(mix.slump * 1e3, 0)} as ordered, "
        f"{units.depth.text(mix.slump_tolerance * 1e3, 0)} more or less"
    )
    careful = f"{units.depth.text(CAREFUL_SLUMP * 1e3, 0)}"
    if mix.slump <= CAREFUL_SLUMP + 1e-9:
        return f"{ordered} (careful placing: up to {careful})"
    return (
        f"{ordered}; careful placing asks for {careful} at the most: little water sags and bleeds "
        "less (common practice, no source)"
    )


def finishing_words(console: Console, plans: Sequence[Basis]) -> None:
    """Passes, machines, the time they take and the window there is; what to look at twice.

    Of several plans the one whose finishing is the tightest speaks for all of them.
    """
    units = units_of(console)
    needs = [(plan.plan.name, need) for plan in plans if (need := finishing_need(plan))]
    if not needs:
        return
    name, need = max(needs, key=lambda each: each[1].work / each[1].window)
    of = f" of {name!r}, the tightest here" if len({each for _, each in needs}) > 1 else ""
    kind = _KIND[need.kind]
    floats = f"{need.machines} {kind} float{'s' if need.machines > 1 else ''}"
    console.print(
        f"finishing{of}: {need.passes} pass{'es' if need.passes > 1 else ''} over "
        f"{units.area.text(need.area, 0)} by {floats} of "
        f"{units.area_rate.text(need.rate * 3600, 0)}, edges by "
        f"hand: {hours(need.work)} of work; "
        f"the useful window is {hours(need.window)} (first floating to last final set, "
        f"{units.temperature.text(20)}, at "
        "the planned spacing)",
        highlight=False,
    )
    if not need.fits:
        console.print(
            marked(
                ("finishing does not fit:", "bold"),
                " more floats or people, fewer passes, or a slower pour",
            )
        )
    if need.too_few:
        console.print(
            f"note: {units.area.text(need.area_each, 0)} for each walk-behind float; above about "
            f"{units.area.text(MOST_PER_WALK_BEHIND, 0)} they fell behind on a hot day (five on "
            f"{units.said('985 m²')}: Concrete Construction; value from memory)",
            highlight=False,
        )
    if need.kind == "ride_on":
        console.print(
            "note: a ride-on float is some hundred kilograms on a young slab and its deck: ask the "
            "engineer",
            highlight=False,
        )
