"""The basis block: what the deck was designed for, what the day brings, to send to the engineer."""

from __future__ import annotations

from rich.console import Console

from pourday.outcome.base.basis import Basis
from pourday.outcome.deck.designed import DayBeside, day_beside
from pourday.outcome.deck.peaks import DeckOutcome, heap_factors
from pourday.report.basis import basis_of_shares, factor_words, share_words, why_not_judged
from pourday.report.screen import units_of
from pourday.report.units import SI, Units
from pourday.report.words import heading, marked, table
from pourday.scenario.model.deck import DesignedFor
from pourday.scenario.model.scenario import Scenario

_STRUCK = {"constant_plane": "one plane (fills the sag)", "constant_thickness": "one thickness"}
_WAYS = {
    "datum": "one plane (fills the sag)",
    "pins": "pins on the beams (fills the sag of the deck)",
    "guides": "level with what stands (fills part of the sag)",
    "thickness": "one thickness",
}
_NOBODY = "not said"
# Depths and loads nearer than this are the same (m, Pa).
_SAME = (1e-3, 5.0)


def designed_for_block(
    console: Console, basis: Basis, deck: DeckOutcome, seed: int | None = None
) -> None:
    """Print it for one plan; ``seed`` of the day whose heaps are meant, their mean unless told."""
    units = units_of(console)
    scenario, day = basis.scenario, day_beside(basis, heap_factors(basis, seed))
    heading(console, f"Basis block to send to the engineer, plan {basis.plan.name}")
    said = scenario.deck.designed_for or DesignedFor(None, None, None, None, "", "")
    rows = table("", "designed for", "this pour")
    for row in _rows(scenario, said, day, units):
        rows.add_row(*row)
    console.print(rows, highlight=False)
    for line in _shares(scenario, deck):
        console.print(line, highlight=False)
    if scenario.deck.designed_for is None:
        console.print(
            marked(
                "The file does not say what the deck was designed for: [deck.designed_for]. Ask "
                "the deck supplier before the day."
            )
        )
        return
    for line in exceeded(scenario, said, day, units):
        console.print(marked(("BEYOND THE DESIGN:", "bold"), f" {line}"))


def _rows(
    scenario: Scenario, said: DesignedFor, day: DayBeside, units: Units
) -> list[tuple[str, str, str]]:
    depth, load = said.wet_depth, said.construction_load
    lines = said.prop_lines
    weight = units.weight.short_text(scenario.slab.wet_density / 1e3)
    kind = f"{weight} wet, mesh {units.mesh.short_text(scenario.slab.mesh)}"
    return [
        (
            "wet depth over the profile",
            _NOBODY if depth is None else f"{units.depth.text(depth * 1e3, 0)}",
            f"{units.depth.text(scenario.slab.depth * 1e3, 0)}, "
            f"{units.depth.figure(day.wet_depth * 1e3)} where "
            "thickest",
        ),
        (
            "working load, heaping in it",
            _NOBODY if load is None else f"{units.load.text(load / 1e3, 2)}",
            f"{units.load.text(day.working_load / 1e3, 2)} ({scenario.loads.preset})",
        ),
        (
            "heap with the people there",
            "",
            f"{day.heap_factor:.2g} x thickness over {units.length.short_text(day.heap_length)}: "
            f"{units.load.text(day.heap_load / 1e3, 2)}",
        ),
        ("top struck to", _STRUCK.get(said.struck or "", _NOBODY), _WAYS[day.struck]),
        (
            "prop lines in a span",
            _NOBODY if lines is None else f"{lines}",
            f"{day.prop_lines} in the span with fewest, {len(scenario.props.lines_x)} in all",
        ),
        ("concrete and mesh", "", kind),
        ("standard", said.standard or _NOBODY, scenario.loads.basis),
        ("source", said.source or _NOBODY, ""),
    ]


def _shares(scenario: Scenario, deck: DeckOutcome) -> list[str]:
    missing = why_not_judged(scenario)
    if missing:
        return [missing]
    return [
        f"Greatest share: {share_words(deck.use.value, scenario)} ({deck.use.cause}).",
        f"Held against {basis_of_shares(scenario)}. {factor_words(scenario)}.",
    ]


def exceeded(scenario: Scenario, said: DesignedFor, day: DayBeside, units: Units = SI) -> list[str]:
    """Where the day goes beyond the design, a sentence each; empty where nobody said or it fits."""
    out = []
    load, depth = said.construction_load, said.wet_depth
    if load is not None and day.heap_load > load + _SAME[1]:
        out.append(
            f"heap {day.heap_factor:.2g} x thickness over "
            f"{units.length.short_text(day.heap_length)}: "
            f"{units.load.text((day.heap_load - load) / 1e3, 2)} above the "
            f"{units.load.figure(load / 1e3, 2)} designed for"
        )
    if load is not None and day.working_load > load + _SAME[1]:
        out.append(
            f"working load {units.load.text(day.working_load / 1e3, 2)} with the heaping of "
            f"{scenario.loads.preset}: {units.load.figure((day.working_load - load) / 1e3, 2)} "
            f"above the {units.load.figure(load / 1e3, 2)} designed for"
        )
    if depth is not None and day.wet_depth > depth + _SAME[0]:
        out.append(
            f"wet depth {units.depth.text(day.wet_depth * 1e3, 0)} where thickest: "
            f"{units.depth.text((day.wet_depth - depth) * 1e3, 0)} more than the "
            f"{units.depth.figure(depth * 1e3)} designed for"
        )
    if said.struck == "constant_thickness" and day.struck in ("datum", "pins"):
        out.append("struck to one plane, which fills the sag; designed for one thickness")
    if said.prop_lines is not None and day.prop_lines < said.prop_lines:
        lines = f"{said.prop_lines} prop line{'s' * (said.prop_lines > 1)}"
        out.append(f"{day.prop_lines} in some span; designed with {lines} in each")
    if said.prop_lines == 0 and scenario.props.lines_x:
        out.append("props stand under it; a design without them has no moment over a prop line")
    loads = scenario.loads
    if day.skip:
        out.append(
            "a skip is set down on the deck: a load of its own, not within any working load; the "
            "shares above have it in them"
        )
    if loads.stacks:
        out.append(
            f"{len(loads.stacks)} stack{'s' * (len(loads.stacks) > 1)} of material on the bare "
            "deck: the shares above have them in them"
        )
    return out
