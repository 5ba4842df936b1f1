"""``deck``: what the deck feels at most in each plan, and what to ask about, on one screen."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from rich.console import Console

from pourday.outcome.deck.level import AT_COLUMNS, UNDER_STRAIGHTEDGE
from pourday.report.basis import NOT_JUDGED, basis_of_shares, why_not_judged
from pourday.report.screen import units_of
from pourday.report.text.first.screen import BLANK, LINES, Part, said, show, table_of, titled
from pourday.report.units import Units
from pourday.report.words import named_plans, percent, strip_of
from pourday.scenario.model.scenario import Scenario
from pourday.study.orders.deck_study import PlanDeck

_FEW = 4
_NOTE = (
    "used: highest share of resistance; sags: deflection of the deck below its supports while it "
    "is loaded; lifts: factored, per unit of width; top: lowest and highest place against the datum"
)


def first_deck(
    console: Console,
    scenario: Scenario,
    decks: Sequence[PlanDeck],
    warnings: Sequence[str] = (),
    variant: str = "",
) -> None:
    """Print the worst plan and strip, a row a plan, and what the engineer should see."""
    units = units_of(console)
    worst = max(decks, key=lambda each: float(_or_least(each.deck.use.value)))
    parts = [
        titled(
            scenario.title,
            f"the deck, strip by strip{f', {variant}' if variant else ''}; no day is played",
        ),
        BLANK,
        *_verdict(scenario, worst, units),
        BLANK,
        _table(console, decks),
        Part(_NOTE, 2),
        BLANK,
        *_rules(decks, units),
        *_ask(decks, units),
    ]
    if warnings:
        parts.append(said("WARNING", f"the file has {len(warnings)}: --full"))
    parts.append(said("NEXT", "every check, other orders: --full   drawn: --figures"))
    show(console, parts, LINES + 2 * max(0, len(decks) - _FEW))


def _or_least(value: float) -> float:
    return -1.0 if math.isnan(value) else value


def _verdict(scenario: Scenario, worst: PlanDeck, units: Units) -> Iterator[Part]:
    use, basis = worst.deck.use, worst.basis
    at = strip_of(basis.layout, use.strip)
    if math.isnan(use.value):
        why = why_not_judged(scenario).partition(": ")[2]
        yield said("NOT JUDGED", f"as shares of resistance: {why}")
        return
    where = f"placing {at}, at x {units.length.text(use.x, 2)}, by {use.cause}"
    if use.value > 1.0:
        yield said(
            "TOO MUCH",
            f"{percent(use.value)} of {basis_of_shares(scenario)}: {where}. Do not pour so: ask "
            "the engineer and the deck supplier.",
        )
    else:
        yield said(
            "HIGHEST",
            f"{percent(use.value)} of {basis_of_shares(scenario)}, plan {worst.alike[0]!r}: "
            f"{where}.",
        )


def _table(console: Console, decks: Sequence[PlanDeck]) -> Part:
    units, rows = units_of(console), []
    for each in decks:
        deck, level = each.deck, each.level
        use = NOT_JUDGED if math.isnan(deck.use.value) else percent(deck.use.value)
        top = "/".join(units.depth.figure(v * 1e3, 0, "+") for v in (-level.low, -level.high))
        lifts = units.per_width.figure(deck.uplift.factored / 1e3, 1) if deck.uplift.value else "0"
        cells = (
            each.basis.plan.order,
            use,
            units.depth.figure(deck.deflection.value * 1e3, 0),
            lifts,
            units.volume.figure(level.extra, 1, "+"),
            top,
        )
        name = each.alike[0] if len(each.alike) == 1 else named_plans(each.alike)
        rows.append((name, cells))
    depth = units.depth.word
    heads = ("order", "used", f"sags\n{depth}", f"lifts\n{units.per_width.word}",
             f"{units.volume.word}\nmore", f"top\n{depth}")  # fmt: skip
    return table_of("plan", heads, rows)


def _rules(decks: Sequence[PlanDeck], units: Units) -> Iterator[Part]:
    """Rules that are not kept, each once with its plans; else that they are."""
    found: dict[str, list[str]] = {}
    for each in decks:
        checks, level = each.checks, each.level
        kept = {
            f"sag when full over {units.said(checks.sag_rule)}": checks.sag <= checks.sag_limit,
            "slab thinner than the file says": each.basis.scenario.slab.depth - checks.least_depth
            < 5e-3,
            f"top at columns past ±{units.depth.text(AT_COLUMNS * 1e3)}": level.over_supports
            <= AT_COLUMNS,
            f"over {units.depth.text(UNDER_STRAIGHTEDGE * 1e3)} under a straightedge":
            level.straightedge <= UNDER_STRAIGHTEDGE,
        }  # fmt: skip
        for rule, well in kept.items():
            if not well:
                found.setdefault(rule, []).extend(each.alike)
    for rule, plans in found.items():
        yield said("NOT KEPT", f"{rule}: {named_plans(plans)}")
    if not found:
        sag = max(decks, key=lambda each: each.checks.sag / each.checks.sag_limit).checks
        yield said(
            "KEPT",
            f"sag when full {units.depth.figure(sag.sag * 1e3, 0)} of "
            f"{units.depth.text(sag.sag_limit * 1e3, 0)}; thickness; level at columns and under a "
            "straightedge",
        )


def _ask(decks: Sequence[PlanDeck], units: Units) -> Iterator[Part]:
    """What only the supplier or the engineer can say."""
    scenario = decks[0].basis.scenario
    most = max(each.deck.uplift.factored for each in decks)
    if most > 0:
        much = units.per_width.text(most / 1e3, 1)
        yield said("LIFTS", f"up to {much} a {units.width} of width: the fixing must hold it")
    if scenario.deck.designed_for is None:
        yield said(
            "ASK",
            "the deck supplier what it was designed for: wet depth, heap, props "
            "([deck.designed_for])",
        )
