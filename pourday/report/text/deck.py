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
from pourday.report.text.deck_orders import orders_report
from pourday.report.text.deck_supports import not_made, supports_report
from pourday.report.text.designed_for import designed_for_block
from pourday.report.text.floor_orders import floor_orders_report
from pourday.report.words import STRUCK, caution, heading, marked, money, percent, table
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
    scenario = basis.scenario
    head = ("", "value>", "factored>", share_head(scenario))
    rows = table(*head, "bay", "x m>", "step", "stage")
    names = {strip.name: k + 1 for k, strip in enumerate(basis.layout.strips)}

    def _row(name: str, peak: DeckPeak, cells: Sequence[str]) -> None:
        strip = basis.layout.strips[peak.strip]
        step = f"{names[strip.name]} {strip.name}"
        rows.add_row(name, *cells, peak.bay, f"{peak.x:.2f}", step, peak.stage)

    for name, peak, cells in peak_rows(scenario, deck):
        _row(name, peak, cells)
    console.print(rows)
    share_lines(console, scenario)
    over_resistance(console, deck)


def peak_rows(
    scenario: Scenario, deck: DeckOutcome
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
    moments = [(f"{m.value / 1e3:.2f} kNm", f"{m.factored / 1e3:.2f}") for m in (sag, hog)]
    uplift = deck.uplift
    lifts = (f"{uplift.value / 1e3:.2f} kN", f"{uplift.factored / 1e3:.2f}", "-")
    cause = deck.use.cause or "-"
    return [
        ("sag moment", sag, (*moments[0], cells[0])),
        ("bending over the beam", hog, (*moments[1], cells[1])),
        (
            "reaction",
            reaction,
            (f"{reaction.value / 1e3:.1f} kN", f"{reaction.factored / 1e3:.1f}", cells[2]),
        ),
        ("uplift", uplift, lifts),
        ("deflection", deck.deflection, (f"{deck.deflection.value * 1e3:.1f} mm", "-", "-")),
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
    rows = table("rule", "found")
    span = f"span x {checks.span_low:.2f} to {checks.span_high:.2f} m"
    word = "kept" if checks.sag <= checks.sag_limit else "NOT KEPT"
    rows.add_row(
        f"sag when full, {checks.sag_rule}",
        f"{checks.sag * 1e3:.1f} of {checks.sag_limit * 1e3:.1f} mm: {word} ({span})",
    )
    counts = "it counts" if checks.ponding_counts else "it need not be counted"
    rows.add_row(
        "ponding, EN 1994-1-1 9.3.2: a tenth of the depth",
        f"{checks.nominal_sag * 1e3:.1f} of {basis.scenario.slab.depth * 100:.1f} mm: {counts}",
    )
    rows.add_row(
        "extra concrete there: rule 0.7 of the sag, computed",
        f"{checks.rule_extra * 1e3:.1f} mm, {checks.mean_extra * 1e3:.1f} mm",
    )
    short = basis.scenario.slab.depth - checks.least_depth
    word = "kept" if short < 5e-4 else f"within {_THIN * 1e3:.0f} mm of it (common practice)"
    if short > _THIN:
        word = "BELOW the depth in the file: ask the engineer"
    rows.add_row(
        f"thinnest slab, {basis.scenario.slab.depth * 1e3:.0f} mm in the file",
        f"{checks.least_depth * 1e3:.0f} mm: {word}",
    )
    strip = basis.layout.strips[checks.unbalance_strip].name
    rows.add_row(
        "greatest difference of load beside a support",
        f"{checks.unbalance / 1e3:.1f} kN/m at x {checks.unbalance_x:.2f} m, placing {strip}",
    )
    if basis.scenario.beams.given:
        left = checks.beam_left * 1e3
        word = "left" if left >= 0 else "lost: the beam ends below straight"
        rows.add_row("beams: greatest way down", f"{checks.beam_down * 1e3:.0f} mm")
        rows.add_row("beams: bend at the end", f"{abs(left):.0f} mm {word}")
    console.print(rows)


def level_lines(console: Console, basis: Basis, survey: LevelSurvey) -> None:
    """Concrete used and level lost."""
    price = basis.scenario.prices
    cost = money(survey.extra * price.concrete)
    console.print(
        f"concrete above theory {survey.extra:+.1f} m³, {cost} {price.currency}; thickness "
        f"{survey.least * 1e3:+.1f} to {survey.most * 1e3:+.1f} mm against theory",
    )
    within = ", ".join(
        f"{percent(share)} within ±{band * 1e3:.0f} mm"
        for band, share in zip(BANDS, survey.within, strict=True)
    )
    console.print(
        f"finished top from {_above(-survey.low)} to {_above(-survey.high)} of its datum "
        f"({POINTS} points a span); {within}; after it was struck it went down by up to "
        f"{_mm(survey.moved_down)} mm and up by up to {_mm(survey.moved_up)} mm"
    )
    columns = _kept(survey.over_supports <= AT_COLUMNS)
    edge = _kept(survey.straightedge <= UNDER_STRAIGHTEDGE)
    console.print(
        f"struck over supports within {_mm(survey.over_supports)} mm of the datum, ±"
        f"{AT_COLUMNS * 1e3:.0f} mm at columns {columns}; up to {_mm(survey.straightedge)} mm "
        f"under a 2 m straightedge along the sheets, {UNDER_STRAIGHTEDGE * 1e3:.0f} mm (SR3) {edge}"
    )


def _kept(kept: bool) -> str:
    return "kept" if kept else "NOT KEPT"


def _mm(value: float, places: int = 1) -> str:
    """Millimetres without a minus before nothing."""
    return f"{round(value * 1e3, places) + 0.0:.{places}f}"


def _above(height: float) -> str:
    text = _mm(abs(height))
    return f"{text} mm {'high' if height > 0 and text != '0.0' else 'low'}"


def gauge_tables(console: Console, lines: Sequence[GaugeLine]) -> None:
    """Height-gauge settings along beams that differ."""
    if not lines:
        return
    heading(console, "Height gauges along the beams (mm)")
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
        rows = table("y m>", "bend>", "left>", "set>", "thick>", "end>")
        for point in by_key[alike].points:
            rows.add_row(
                f"{point.y:.2f}",
                *(
                    _mm(value, 0)
                    for value in (
                        point.bend,
                        point.left,
                        point.set_above,
                        point.thickness,
                        point.finished,
                    )
                ),
            )
        console.print(f"beams at x {', '.join(f'{x:.2f}' for x in places)} m")
        console.print(rows)
