"""What the deck feels in a plan, order by order; no day is played for it."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from rich.console import Console

from pourday.floor.lines.judging import resistance_of
from pourday.outcome.base.basis import Basis
from pourday.outcome.deck.checks import DeckChecks
from pourday.outcome.deck.level import (
    AT_COLUMNS,
    BANDS,
    UNDER_STRAIGHTEDGE,
    GaugeLine,
    LevelSurvey,
)
from pourday.outcome.deck.peaks import DeckOutcome, DeckPeak
from pourday.outcome.deck.surface import POINTS
from pourday.report.basis import (
    basis_of_shares,
    share_head,
    short_share,
    why_not_judged,
)
from pourday.report.screen import units_of
from pourday.report.text.deck_orders import orders_report
from pourday.report.text.deck_supports import not_made, supports_report
from pourday.report.text.designed_for import designed_for_block
from pourday.report.text.floor_orders import floor_orders_report
from pourday.report.units import SI, Units
from pourday.report.words import (
    STRUCK,
    caution,
    heading,
    marked,
    money,
    percent,
    strip_of,
    strips_of,
    table,
)
from pourday.scenario.model.scenario import Scenario
from pourday.study.orders.deck_study import BayOrders, PlanDeck
from pourday.study.orders.floor_orders import FloorOrders


def deck_report(
    console: Console,
    scenario: Scenario,
    decks: Sequence[PlanDeck],
    orders: BayOrders,
    floor: FloorOrders,
    variant: str = "",
) -> None:
    """Print the deck of every plan and the orders of one bay; ``variant`` says what was changed."""
    note = ("   ", (variant, "bold")) if variant else ()
    console.print(marked((scenario.title, "bold"), "   the deck, order by order", *note))
    for each in decks:
        heading(console, ("Plan: " if len(each.alike) == 1 else "Plans: ") + "; ".join(each.alike))
        console.print(f"order {each.basis.plan.order}, {STRUCK[each.basis.plan.strike]}")
        peaks_table(console, each.basis, each.deck)
        checks_table(console, each.basis, each.checks)
        supports_report(console, each)
        level_lines(console, each.basis, each.level)
        gauge_tables(console, each.gauges)
    worst = max(decks, key=lambda each: float(np.nan_to_num(each.deck.use.value, nan=-1.0)))
    designed_for_block(console, worst.basis, worst.deck)
    heading(console, "Order by way of striking")
    floor_orders_report(console, scenario, floor)
    heading(console, f"How far the order within bay {orders.bay} can go")
    orders_report(console, decks[0].basis, orders)
    not_made(console)
    caution(console)


# A slab this much thinner than the file says is flagged (common practice, no source).
_THIN = 0.005


def peaks_table(console: Console, basis: Basis, deck: DeckOutcome) -> None:
    """The peak of each quantity and the step that causes it."""
    units = units_of(console)
    scenario = basis.scenario
    head = ("", "value>", "factored>", share_head(scenario))
    rows = table(*head, "bay", f"x {units.length.word}>", "step", "stage")
    names = strips_of(basis.layout)

    def _row(name: str, peak: DeckPeak, cells: Sequence[str]) -> None:
        where = peak.bay, units.length.figure(peak.x, 2), names[peak.strip]
        rows.add_row(name, *cells, *where, peak.stage)

    for name, peak, cells in peak_rows(scenario, deck, units):
        _row(name, peak, cells)
    console.print(rows)
    share_lines(console, scenario)
    over_resistance(console, deck)


def peak_rows(
    scenario: Scenario, deck: DeckOutcome, units: Units = SI
) -> list[tuple[str, DeckPeak, tuple[str, str, str]]]:
    """Name, peak, and its value, factored value and share of resistance in words."""
    r = resistance_of(scenario)
    sag, hog, reaction = deck.sag_moment, deck.hog_moment, deck.reaction
    shares = (
        [sag.factored / r.sag_moment, hog.factored / r.hog_moment, reaction.factored / r.reaction]
        if r is not None
        else [math.nan] * 3
    )
    cells = [short_share(share, scenario) for share in shares]
    moments = [
        (f"{units.moment.text(m.value / 1e3, 2)}", units.moment.figure(m.factored / 1e3, 2))
        for m in (sag, hog)
    ]
    uplift = deck.uplift
    lifts = (
        f"{units.per_width.text(uplift.value / 1e3, 2)}",
        units.per_width.figure(uplift.factored / 1e3, 2),
        "-",
    )
    cause = deck.use.cause or "-"
    return [
        ("sag moment", sag, (*moments[0], cells[0])),
        ("bending over the beam", hog, (*moments[1], cells[1])),
        (
            "reaction",
            reaction,
            (
                f"{units.per_width.text(reaction.value / 1e3, 1)}",
                units.per_width.figure(reaction.factored / 1e3, 1),
                cells[2],
            ),
        ),
        ("uplift", uplift, lifts),
        (
            "deflection",
            deck.deflection,
            (f"{units.depth.text(deck.deflection.value * 1e3, 1)}", "-", "-"),
        ),
        ("highest use", deck.use, (cause, "", short_share(deck.use.value, scenario))),
    ]


def share_lines(console: Console, scenario: Scenario) -> None:
    """What the shares are shares of, or which key is missing for them."""
    missing = why_not_judged(scenario)
    if missing:
        console.print(marked((missing, "bold")))
    else:
        console.print(f"Shares are of {basis_of_shares(scenario)}.", highlight=False)


def over_resistance(console: Console, deck: DeckOutcome) -> None:
    """Say loudly where the deck carries more than the file says it can."""
    if deck.use.value > 1.0:
        console.print(
            marked(
                ("MORE THAN THE RESISTANCE in the file.", "bold"),
                " Do not pour so: ask the engineer and the deck supplier.",
            )
        )


def checks_table(console: Console, basis: Basis, checks: DeckChecks) -> None:
    """The rules, clause by clause."""
    units = units_of(console)
    rows = table("rule", "found")
    ends = units.length.figure(checks.span_low, 2), units.length.text(checks.span_high, 2)
    span = f"span x {ends[0]} to {ends[1]}"
    word = "kept" if checks.sag <= checks.sag_limit else "NOT KEPT"
    rows.add_row(
        f"sag when full, {units.said(checks.sag_rule)}",
        f"{units.depth.figure(checks.sag * 1e3, 1)} of "
        f"{units.depth.text(checks.sag_limit * 1e3, 1)}: {word} ({span})",
    )
    counts = "it counts" if checks.ponding_counts else "it need not be counted"
    rows.add_row(
        "ponding, EN 1994-1-1 9.3.2: a tenth of the depth",
        f"{units.depth.figure(checks.nominal_sag * 1e3, 1)} of "
        f"{units.depth.text(basis.scenario.slab.depth * 100, 1)}: {counts}",
    )
    rows.add_row(
        "extra concrete there: rule 0.7 of the sag, computed",
        f"{units.depth.text(checks.rule_extra * 1e3, 1)}, "
        f"{units.depth.text(checks.mean_extra * 1e3, 1)}",
    )
    short = basis.scenario.slab.depth - checks.least_depth
    word = (
        "kept"
        if short < 5e-4
        else f"within {units.depth.text(_THIN * 1e3, 0)} of it (common practice)"
    )
    if short > _THIN:
        word = "BELOW the depth in the file: ask the engineer"
    rows.add_row(
        f"thinnest slab, {units.depth.text(basis.scenario.slab.depth * 1e3, 0)} in the file",
        f"{units.depth.text(checks.least_depth * 1e3, 0)}: {word}",
    )
    strip = strip_of(basis.layout, checks.unbalance_strip)
    rows.add_row(
        "greatest difference of load beside a support",
        f"{units.line_load.text(checks.unbalance / 1e3, 1)} at x "
        f"{units.length.text(checks.unbalance_x, 2)}, placing {strip}",
    )
    if basis.scenario.beams.given:
        left = checks.beam_left * 1e3
        word = "left" if left >= 0 else "lost: the beam ends below straight"
        rows.add_row("beams: greatest way down", f"{units.depth.text(checks.beam_down * 1e3, 0)}")
        rows.add_row("beams: bend at the end", f"{units.depth.text(abs(left), 0)} {word}")
    console.print(rows)


def level_lines(console: Console, basis: Basis, survey: LevelSurvey) -> None:
    """Concrete used and level lost."""
    units = units_of(console)
    price = basis.scenario.prices
    cost = money(survey.extra * price.concrete)
    console.print(
        f"concrete above theory {units.volume.text(survey.extra, 1, '+')}, {cost} "
        f"{price.currency}; thickness "
        f"{units.depth.figure(survey.least * 1e3, 1, '+')} to "
        f"{units.depth.text(survey.most * 1e3, 1, '+')} against theory",
    )
    within = ", ".join(
        f"{percent(share)} within ±{units.depth.text(band * 1e3, 0)}"
        for band, share in zip(BANDS, survey.within, strict=True)
    )
    console.print(
        f"finished top from {_above(-survey.low, units)} to {_above(-survey.high, units)} of its "
        "datum "
        f"({POINTS} points a span); {within}; after it was struck it went down by up to "
        f"{_mm(survey.moved_down, units)} {units.depth.word} and up by up to "
        f"{_mm(survey.moved_up, units)} {units.depth.word}"
    )
    columns = _kept(survey.over_supports <= AT_COLUMNS)
    edge = _kept(survey.straightedge <= UNDER_STRAIGHTEDGE)
    console.print(
        f"struck over supports within {_mm(survey.over_supports, units)} {units.depth.word} of the "
        "datum, ±"
        f"{units.depth.text(AT_COLUMNS * 1e3, 0)} at columns {columns}; up to "
        f"{_mm(survey.straightedge, units)} {units.depth.word} "
        f"under a {units.said('2 m')} straightedge along the sheets, "
        f"{units.depth.text(UNDER_STRAIGHTEDGE * 1e3, 0)} (SR3) {edge}"
    )


def _kept(kept: bool) -> str:
    return "kept" if kept else "NOT KEPT"


def _mm(value: float, units: Units, places: int = 1) -> str:
    """Millimetres or inches of a height (m), without a minus before nothing."""
    metric = round(value * 1e3, places) if units.depth.is_metric else value * 1e3
    text = units.depth.figure(metric + 0.0, places)
    return text.removeprefix("-") if float(text) == 0.0 else text


def _above(height: float, units: Units) -> str:
    text = _mm(abs(height), units)
    way = "high" if height > 0 and float(text) != 0.0 else "low"
    return f"{text} {units.depth.word} {way}"


def gauge_tables(console: Console, lines: Sequence[GaugeLine]) -> None:
    """Height-gauge settings along beams that differ."""
    units = units_of(console)
    if not lines:
        return
    heading(console, f"Height gauges along the beams ({units.depth.word})")
    console.print(
        "bend: beam above straight before the pour; left: what of it is left when the slab is "
        "struck there; set: top above the datum then; thick: slab then, over the whole profile; "
        "end: top above the datum at the end"
    )
    seen: dict[tuple[tuple[float, ...], ...], list[float]] = {}
    by_key = {}
    for line in lines:
        key = tuple(
            (round(p.y, 3), *(round(v * 1e3) for v in (p.bend, p.left, p.set_above, p.finished)))
            for p in line.points
        )
        seen.setdefault(key, []).append(line.x)
        by_key[key] = line
    for alike, places in seen.items():
        rows = table(f"y {units.length.word}>", "bend>", "left>", "set>", "thick>", "end>")
        for point in by_key[alike].points:
            rows.add_row(
                units.length.figure(point.y, 2),
                *(
                    _mm(value, units, 0)
                    for value in (
                        point.bend,
                        point.left,
                        point.set_above,
                        point.thickness,
                        point.finished,
                    )
                ),
            )
        at = ", ".join(units.length.figure(x, 2) for x in places)
        console.print(f"beams at x {at} {units.length.word}")
        console.print(rows)
