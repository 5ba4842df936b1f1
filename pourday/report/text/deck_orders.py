"""Orders of one bay beside each other, and what the computation says about thirds."""

from __future__ import annotations

from rich.console import Console

from pourday.outcome.base.basis import Basis
from pourday.report.basis import basis_of_shares, short_share
from pourday.report.screen import units_of
from pourday.report.units import Units
from pourday.report.words import STRUCK, table
from pourday.study.orders.bay import OrderResult
from pourday.study.orders.deck_study import BayOrders
from pourday.study.orders.turns import Turning

_UNITS = {
    "span": ("m", 1.0, 2),
    "EI": ("kN m² per m", 1e-3, 0),
    "working load": ("kN/m²", 1e-3, 2),
    "crew while struck": ("kN/m²", 1e-3, 2),
    "heap": ("x the thickness", 1.0, 2),
    "strip width": ("m", 1.0, 2),
}


def orders_report(console: Console, basis: Basis, orders: BayOrders) -> None:
    """Print what the order of one bay's strips can do, and where thirds against spread turns."""
    units = units_of(console)
    scenario, cut = basis.scenario, basis.layout.cut
    spans = cut.run_of(cut.bay(orders.bay)).spans
    rows = table(
        "order of strips",
        "use>",
        f"sag {units.depth.word}>",
        "least reaction>",
        f"extra {units.volume.word}>",
        f"level {units.depth.word}>",
    )
    plan = basis.plan
    console.print(
        f'Strips of thirds with the crew of plan "{plan.name}", {STRUCK[plan.strike]}; this bay '
        "alone on supports that do not move, so that no figure here is that of a plan."
    )
    for name, result in (
        ("thirds", orders.thirds),
        ("best under the rules", orders.best),
        ("worst of any order", orders.worst),
    ):
        rows.add_row(
            name,
            short_share(result.use.value, scenario),
            units.depth.figure(result.deflection.value * 1e3, 1),
            f"{units.line_load.text(result.uplift.value / 1e3, 2, '+')}",
            units.volume.figure(result.extra_volume, 2),
            f"{units.depth.figure(-result.later_low * 1e3, 1, '+')} to "
            f"{units.depth.figure(-result.later_high * 1e3, 1, '+')}",
        )
    console.print(rows)
    console.print(
        f"use: greatest share of {basis_of_shares(basis.scenario)}; least reaction, unfactored: "
        "below 0 the deck lifts; level: how far a surface moved after it was struck, up +, down - "
        "(means of a third of a span)"
    )
    console.print(f"best ({orders.best_how}): {_names(orders.best)}")
    console.print(f"worst ({orders.worst_how}): {_names(orders.worst)}")
    plural = "s" if orders.tried != 1 else ""
    console.print(f"{orders.tried} order{plural} judged; beams and their camber are left out here")
    heap = scenario.loads.heap_height_factor.mean
    width = plan.strip_width or plan.fraction * max(b - a for a, b in spans)
    console.print(
        f"Where thirds against spread turns in this bay, one thing changed at a time (heap "
        f"{heap:.2f} x the thickness over {units.length.short_text(scenario.loads.heap_length)}, "
        "strips of spread "
        f"{units.length.text(width, 2)}, longest span "
        f"{units.length.text(max(b - a for a, b in spans), 2)}):"
    )
    for line in _turning_lines(orders.turnings, units):
        console.print(line)


def _names(result: OrderResult) -> str:
    return ", ".join(name.split("/", 1)[1] for name in result.names)


def _turning_lines(turnings: tuple[Turning, ...], units: Units) -> list[str]:
    """One line for each turn, and one for all that does not turn, by quantity and better order."""
    out = []
    steady: dict[tuple[str, str], list[str]] = {}
    # Concrete is a matter of the whole floor: a bay alone may say the contrary.
    for turn in (each for each in turnings if each.quantity == "use"):
        word, factor, decimals = _UNITS[turn.what]
        unit = units.of(word)
        low, high, now = (
            unit.figure(v * factor, decimals) for v in (turn.low, turn.high, turn.now)
        )
        if turn.value is None:
            said = f"{turn.what} from {low} to {high} {unit.word} (now {now})"
            steady.setdefault((turn.quantity, turn.below), []).append(said)
        else:
            at = unit.figure(turn.value * factor, decimals)
            if "even" in (turn.below, turn.above):
                continue  # from alike to not alike is no turn
            out.append(
                f"by {turn.quantity}: {turn.below} is better below a {turn.what} of {at} "
                f"{unit.word}, "
                f"{turn.above} above it (now {now})"
            )
    for (quantity, better), ranges in steady.items():
        word = "the two are alike" if better == "even" else f"{better} is better"
        out.append(f"by {quantity}: {word} for any {', any '.join(ranges)}")
    return out
