"""Orders of one bay beside each other, and what the computation says about thirds."""

from __future__ import annotations

import math

from rich.console import Console

from pourday.report.basis import basis_of_shares, short_share
from pourday.report.words import money, table
from pourday.scenario.model.scenario import Scenario
from pourday.study.orders.bay import OrderResult
from pourday.study.orders.deck_study import BayOrders
from pourday.study.orders.turns import Turning

_UNITS = {
    "span": ("m", 1.0, "{:.2f}"),
    "EI": ("kN m² per m", 1e-3, "{:.0f}"),
    "working load": ("kN/m²", 1e-3, "{:.2f}"),
    "crew while struck": ("kN/m²", 1e-3, "{:.2f}"),
}


def orders_report(console: Console, scenario: Scenario, orders: BayOrders) -> None:
    """Print the orders of a bay."""
    rows = table("order", "use>", "sag mm>", "least reaction>", "extra m³>", "level mm>")
    for name, result in (
        ("thirds", orders.thirds),
        ("spread", orders.spread),
        ("across, worse way", orders.across),
        ("best under the rules", orders.best),
        ("worst of any order", orders.worst),
    ):
        rows.add_row(
            name,
            short_share(result.use.value, scenario),
            f"{result.deflection.value * 1e3:.1f}",
            f"{result.uplift.value / 1e3:+.2f} kN/m",
            f"{result.extra_volume:.2f}",
            f"{-result.later_low * 1e3:+.1f} to {-result.later_high * 1e3:+.1f}",
        )
    console.print(rows)
    console.print(
        f"use: greatest share of {basis_of_shares(scenario)}; least reaction, unfactored: below 0 "
        "the deck lifts; level: how far a surface moved after it was struck, up +, down -"
    )
    console.print(f"best ({orders.best_how}): {_names(orders.best)}")
    console.print(f"worst ({orders.worst_how}): {_names(orders.worst)}")
    plural = "s" if orders.tried != 1 else ""
    console.print(f"{orders.tried} order{plural} judged; beams and their camber are left out here")
    console.print(_verdict(scenario, orders))
    for line in _turning_lines(orders.turnings):
        console.print(line)


def _names(result: OrderResult) -> str:
    return ", ".join(name.split("/", 1)[1] for name in result.names)


def _verdict(scenario: Scenario, orders: BayOrders) -> str:
    """Plain words on thirds against spread: the computation decides."""
    thirds, spread = orders.thirds, orders.spread
    by_use = (spread.use.value - thirds.use.value) * 100
    if math.isnan(by_use):
        use = "no share of resistance is judged"
    elif abs(by_use) < 0.05:
        use = "thirds and spread use the deck alike"
    else:
        better = "thirds" if by_use > 0 else "spread"
        use = f"{better} uses {abs(by_use):.1f} points less of the deck's resistance"
    saved = spread.extra_volume - thirds.extra_volume
    cost = money(abs(saved) * scenario.prices.concrete)
    if abs(saved) < 0.005:
        concrete = "neither saves concrete"
    elif saved > 0:
        concrete = f"thirds saves {saved:.2f} m³ ({cost} {scenario.prices.currency}) in this bay"
    else:
        concrete = (
            f"thirds does not save concrete: it takes {-saved:.2f} m³ more "
            f"({cost} {scenario.prices.currency}) in this bay"
        )
    return f"Here {use}; {concrete}."


def _turning_lines(turnings: tuple[Turning, ...]) -> list[str]:
    """One line for each turn, and one for all that does not turn, by quantity and better order."""
    out = []
    steady: dict[tuple[str, str], list[str]] = {}
    for turn in turnings:
        unit, factor, form = _UNITS[turn.what]
        low, high, now = (form.format(v * factor) for v in (turn.low, turn.high, turn.now))
        if turn.value is None:
            said = f"{turn.what} from {low} to {high} {unit} (now {now})"
            steady.setdefault((turn.quantity, turn.below), []).append(said)
        else:
            at = form.format(turn.value * factor)
            if "even" in (turn.below, turn.above):
                continue  # from alike to not alike is no turn
            out.append(
                f"by {turn.quantity}: {turn.below} is better below a {turn.what} of {at} {unit}, "
                f"{turn.above} above it (now {now})"
            )
    for (quantity, better), ranges in steady.items():
        word = "the two are alike" if better == "even" else f"{better} is better"
        out.append(f"by {quantity}: {word} for any {', any '.join(ranges)}")
    return out
