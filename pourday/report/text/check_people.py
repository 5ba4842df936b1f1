"""What ``pourday check`` says of the mix as ordered and of the finishing of a plan."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console

from pourday.outcome.base.basis import Basis
from pourday.outcome.concrete.finishing_need import MOST_PER_WALK_BEHIND, finishing_need
from pourday.report.words import hours, marked
from pourday.scenario.base.trade import CAREFUL_SLUMP
from pourday.scenario.model.scenario import Mix

_KIND = {"walk_behind": "walk-behind", "ride_on": "ride-on"}


def slump_words(mix: Mix) -> str:
    """Slump and tolerance as ordered, and what careful placing asks for."""
    ordered = (
        f"{mix.slump * 1e3:.0f} mm as ordered, {mix.slump_tolerance * 1e3:.0f} mm more or less"
    )
    careful = f"{CAREFUL_SLUMP * 1e3:.0f} mm"
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
    needs = [(plan.plan.name, need) for plan in plans if (need := finishing_need(plan))]
    if not needs:
        return
    name, need = max(needs, key=lambda each: each[1].work / each[1].window)
    of = f" of {name!r}, the tightest here" if len({each for _, each in needs}) > 1 else ""
    kind = _KIND[need.kind]
    floats = f"{need.machines} {kind} float{'s' if need.machines > 1 else ''}"
    console.print(
        f"finishing{of}: {need.passes} pass{'es' if need.passes > 1 else ''} over "
        f"{need.area:.0f} m² by {floats} of {need.rate * 3600:.0f} m²/h, edges by "
        f"hand: {hours(need.work)} of work; "
        f"the useful window is {hours(need.window)} (first floating to last final set, 20 °C, at "
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
            f"note: {need.area_each:.0f} m² for each walk-behind float; above about "
            f"{MOST_PER_WALK_BEHIND:.0f} m² they fell behind on a hot day (five on 985 m²: "
            "Concrete Construction; value from memory)",
            highlight=False,
        )
    if need.kind == "ride_on":
        console.print(
            "note: a ride-on float is some hundred kilograms on a young slab and its deck: ask the "
            "engineer",
            highlight=False,
        )
