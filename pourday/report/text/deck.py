"""What the deck feels in a plan, order by order; no day is played for it."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console

from pourday.outcome.base.basis import Basis
from pourday.outcome.deck.checks import DeckChecks
from pourday.outcome.deck.level import BANDS, GaugeLine, LevelSurvey
from pourday.outcome.deck.peaks import DeckOutcome, DeckPeak
from pourday.report.text.deck_orders import orders_report
from pourday.report.words import caution, heading, marked, money, percent, table
from pourday.scenario.model.scenario import Scenario
from pourday.study.orders.deck_study import BayOrders, PlanDeck


def deck_report(
    console: Console,
    scenario: Scenario,
    decks: Sequence[PlanDeck],
    orders: BayOrders,
    variant: str = "",
) -> None:
    """Print the deck of every plan and the orders of one bay; ``variant`` says what was changed."""
    note = ("   ", (variant, "bold")) if variant else ()
    console.print(marked((scenario.title, "bold"), "   the deck, order by order", *note))
    for each in decks:
        heading(console, ("Plan: " if len(each.alike) == 1 else "Plans: ") + "; ".join(each.alike))
        console.print(f"order {each.basis.plan.order}, struck to {scenario.slab.strike}")
        peaks_table(console, each.basis, each.deck)
        checks_table(console, each.basis, each.checks)
        level_lines(console, each.basis, each.level)
        gauge_tables(console, each.gauges)
    heading(console, f"Orders of bay {orders.bay}, cut as by the first plan, on rigid supports")
    orders_report(console, scenario, orders)
    caution(console)


# A slab this much thinner than the file says is flagged (common practice, no source).
_THIN = 0.005


def peaks_table(console: Console, basis: Basis, deck: DeckOutcome) -> None:
    """The peak of each quantity and the step that causes it."""
    resistance = basis.scenario.deck
    rows = table("", "value>", "of resistance>", "bay", "x m>", "step", "stage")
    names = {strip.name: k + 1 for k, strip in enumerate(basis.layout.strips)}

    def _row(name: str, peak: DeckPeak, text: str, share: str) -> None:
        strip = basis.layout.strips[peak.strip]
        step = f"{names[strip.name]} {strip.name}"
        rows.add_row(name, text, share, peak.bay, f"{peak.x:.2f}", step, peak.stage)

    sag, hog, reaction = deck.sag_moment, deck.hog_moment, deck.reaction
    share = sag.value / resistance.sag_moment_resistance
    _row("sag moment", sag, f"{sag.value / 1e3:.2f} kNm", percent(share))
    share = hog.value / resistance.hog_moment_resistance
    _row("hog moment", hog, f"{hog.value / 1e3:.2f} kNm", percent(share))
    share = reaction.value / resistance.reaction_resistance
    _row("reaction", reaction, f"{reaction.value / 1e3:.1f} kN", percent(share))
    _row("uplift", deck.uplift, f"{deck.uplift.value / 1e3:.2f} kN", "-")
    _row("deflection", deck.deflection, f"{deck.deflection.value * 1e3:.1f} mm", "-")
    _row("highest use", deck.use, deck.use.cause, percent(deck.use.value))
    console.print(rows)
    over_resistance(console, deck)


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
        "sag when full, EN 1994-1-1 9.6: span/180",
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
    fixing = f"{checks.fixing / 1e3:.2f} kN/m at x {checks.fixing_x:.2f} m"
    rows.add_row("uplift: fixing needed", fixing if checks.fixing > 0 else "none")
    if checks.lifts_off_prop:
        rows.add_row(
            marked(("the deck lifts off a prop there", "bold")),
            "a prop cannot hold it down: the figures beside it do not hold, ask the engineer",
        )
    short = basis.scenario.slab.depth - checks.least_depth
    word = "BELOW the depth in the file: ask the engineer" if short > _THIN else "kept"
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
        f"finished top from {_above(-survey.low)} to {_above(-survey.high)} of its datum; "
        f"{within}; after it was struck it went down by up to {_mm(survey.moved_down)} mm and up "
        f"by up to {_mm(survey.moved_up)} mm (means of a third of a span)"
    )


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
