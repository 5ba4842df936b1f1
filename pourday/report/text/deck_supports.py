"""What the supports of the deck take, what lets go, overhangs, and the checks that are not made."""

from __future__ import annotations

import math

from rich.console import Console
from rich.table import Table

from pourday.outcome.base.basis import Basis
from pourday.outcome.deck.overhangs import OverhangCheck
from pourday.outcome.deck.stiffness import AtStiffness
from pourday.outcome.deck.supports import PROP, Felt, Force, LetGo, SupportChecks
from pourday.report.basis import NOT_JUDGED, share_cell
from pourday.report.screen import units_of
from pourday.report.units import SI, Units
from pourday.report.words import heading, marked, percent, strips_of, table
from pourday.scenario.model.scenario import Scenario
from pourday.study.orders.deck_study import PlanDeck

NOT_MADE = (
    "webs over an inner support whose two spans are loaded unlike: their resistance turns on the "
    "balance of the shears (EN 1993-1-3:2006 6.1.7, from memory; the 2024 edition was not read). "
    "The reaction resistance of the file is taken whatever the balance",
    "a beam loaded on one side only: lateral-torsional buckling. The difference of load beside a "
    "support is printed above. Ribs parallel to a beam never hold it; ribs across it only where "
    "the deck is fixed to it",
    "edge trim: how it bends under the wet concrete",
    "impact: concrete dropped, a skip or a bundle set down hard",
)
"""Checks that an engineer may ask for and this program does not make."""


def supports_report(console: Console, each: PlanDeck) -> None:
    """Forces at supports, what lets go, overhangs and EI at both ends of its range."""
    units = units_of(console)
    checks, names = each.supports, strips_of(each.basis.layout)
    scenario = each.basis.scenario
    rows = table("supports", "found")
    fixed = scenario.deck.fixed_supports
    if checks.fixing.factored > 0:
        rows.add_row(
            f"uplift: fixing needed (fixed: {fixed})",
            force_words(checks.fixing, "fixing resistance", units),
        )
    else:
        rows.add_row(f"uplift: fixing needed (fixed: {fixed})", "none")
    _end_and_props(rows, checks, units)
    for place in checks.let_go:
        rows.add_row(
            marked((f"lets go: {place.kind} at x {units.length.text(place.x, 2)}", "bold")),
            gap_words(place, names, units),
        )
    if checks.tips:
        rows.add_row(
            marked(("THE DECK TIPS", "bold")), "what is left cannot hold it: do not pour so"
        )
    if checks.let_go:
        rows.add_row("with it let go", released_words(checks.held, checks.free, scenario, units))
    for hung in each.overhangs:
        rows.add_row(
            f"overhang {units.length.text(hung.length, 2)} at x {units.length.text(hung.x, 2)}, a "
            "cantilever",
            overhang_words(hung, scenario, units),
        )
    rows.add_row(
        "EI less and more by 15 %",
        "; ".join(stiffness_words(at, scenario, units) for at in each.stiffness),
    )
    console.print(rows)
    if checks.let_go:
        _past_resistance(console, checks)


def released_lines(console: Console, checks: SupportChecks | None, basis: Basis) -> None:
    """What lets go in one day, and what the deck feels then; nothing where all hold."""
    units = units_of(console)
    if checks is None:
        return
    names = strips_of(basis.layout)
    for place in checks.let_go:
        console.print(
            marked(
                (f"lets go: {place.kind} at x {units.length.text(place.x, 2)}", "bold"),
                f", {gap_words(place, names, units)}",
            )
        )
    if checks.tips:
        console.print(
            marked(("THE DECK TIPS", "bold"), ": what is left cannot hold it. Do not pour so.")
        )
    if checks.let_go:
        console.print(
            f"with it let go: {released_words(checks.held, checks.free, basis.scenario, units)}"
        )
        _past_resistance(console, checks)


def _past_resistance(console: Console, checks: SupportChecks) -> None:
    if checks.free.use > 1.0 >= checks.held.use:
        console.print(
            marked(
                ("MORE THAN THE RESISTANCE in the file once the support lets go.", "bold"),
                " Do not pour so: ask the engineer and the deck supplier.",
            )
        )


def _end_and_props(rows: Table, checks: SupportChecks, units: Units) -> None:
    rows.add_row(
        "greatest reaction at the end of a sheet", force_words(checks.end, "resistance", units)
    )
    if checks.prop is not None:
        rows.add_row("greatest load on a prop line", force_words(checks.prop, "capacity", units))


def force_words(force: Force, what: str, units: Units = SI) -> str:
    """A force, where, and its share of what the file says."""
    if force.share is None:
        judged = f"not judged: no {what} in the file"
    elif force.share > 1.0:
        judged = f"{percent(force.share)} of its {what}: TOO MUCH"
    else:
        judged = f"{percent(force.share)} of its {what}"
    if math.isclose(force.factored, force.value, rel_tol=1e-6):
        value = units.line_load.text(force.value / 1e3, 2)
        return f"{value} at x {units.length.text(force.x, 2)}, {judged}"
    return (
        f"{units.line_load.text(force.value / 1e3, 2)}, factored "
        f"{units.line_load.figure(force.factored / 1e3, 2)} at x "
        f"{units.length.text(force.x, 2)}, "
        f"{judged}"
    )


def gap_words(place: LetGo, names: list[str], units: Units = SI) -> str:
    """How far the deck lifts off, and in which step."""
    when = "before the pour" if place.stage == "bare" else f"{place.stage}, {names[place.strip]}"
    do = "a prop cannot hold it down; ask the engineer" if place.kind == PROP else "fix it"
    gap = (
        f"up to {units.depth.text(place.gap * 1e3, 1)} of gap"
        if place.gap
        else "under factored loads only"
    )
    return f"{gap} ({when}): {do}, or begin elsewhere"


def released_words(held: Felt, free: Felt, scenario: Scenario, units: Units = SI) -> str:
    """What changes once supports have let go."""
    return (
        f"sag moment {units.moment.figure(held.sag_moment / 1e3, 2)} -> "
        f"{units.moment.text(free.sag_moment / 1e3, 2)}, "
        f"over the beam {units.moment.figure(held.hog_moment / 1e3, 2)} -> "
        f"{units.moment.text(free.hog_moment / 1e3, 2)}, "
        f"deflection {units.depth.figure(held.deflection * 1e3, 1)} -> "
        f"{units.depth.text(free.deflection * 1e3, 1)}, "
        f"{_from_to(held.use, free.use, scenario)}"
    )


def _from_to(held: float, free: float, scenario: Scenario) -> str:
    if math.isnan(held):
        return f"share of resistance {NOT_JUDGED}"
    return f"highest use {percent(held)} -> {share_cell(free, scenario)}"


def overhang_words(hung: OverhangCheck, scenario: Scenario, units: Units = SI) -> str:
    """Moment, reaction and tip of an overhang."""
    much = " TOO MUCH" if hung.use > 1.0 else ""
    lifts = (
        f", the next support lifts: {units.line_load.text(-hung.next_reaction / 1e3, 2)}, factored"
    )
    return (
        f"bending over the beam {units.moment.text(hung.moment / 1e3, 2)}, reaction "
        f"{units.per_width.text(hung.reaction / 1e3, 1)}, together "
        f"{share_cell(hung.use, scenario)}{much}; edge {units.depth.text(hung.tip * 1e3, 1)} "
        f"down; {units.volume.text(hung.volume, 1)} more than the day orders"
        f"{lifts if hung.next_reaction < 0 else ''}"
    )


def stiffness_words(at: AtStiffness, scenario: Scenario, units: Units = SI) -> str:
    """Sag and share at one EI."""
    way = f"{(at.factor - 1) * 100:+.0f} %"
    if at.sag is None or at.use is None:
        return f"{way}: too soft to level"
    sag = units.depth.text(at.sag * 1e3, 1)
    return f"{way}: deflection {sag}, highest use {share_cell(at.use, scenario)}"


def not_made(console: Console) -> None:
    """Print the checks that are not made."""
    heading(console, "Not made here, for the engineer to look at")
    for each in NOT_MADE:
        console.print(f"- {each}", highlight=False)
