"""``price``: what a plan costs and what to allow for risk, on one screen."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console

from pourday.outcome.base.basis import Basis
from pourday.outcome.deck.peaks import mean_peaks, most_used
from pourday.outcome.price.items import GROUPS
from pourday.report.screen import units_of
from pourday.report.text.first.screen import BLANK, LINES, Part, said, show, table_of, titled
from pourday.report.text.price import added_up, how_often
from pourday.report.words import money
from pourday.study.price import PricedPlan

_TITLES = {
    "labour": "labour",
    "plant": "plant",
    "concrete": "concrete and trucks",
    "risk": "risk",
}


def first_price(
    console: Console, basis: Basis, found: PricedPlan, warnings: Sequence[str] = ()
) -> None:
    """Print the price and the allowance in two sentences, the groups, and what is not in it."""
    currency, mean = basis.scenario.prices.currency, found.mean.value
    units = units_of(console)
    parts = [
        titled(basis.scenario.title, f"plan {found.plan!r}, {found.days:,} days priced"),
        BLANK,
    ]
    if mean > 0:
        share = f"{found.allowance.value / mean * 100:.1f} % of it"
        parts += [
            said("PRICE", f"{money(mean)} {currency} a day, the mean of {found.days:,} days."),
            said(
                "ALLOW",
                f"{money(found.allowance.value)} {currency} beyond it for risk ({share}): 8 days "
                "in 10 stay within.",
            ),
        ]
    else:
        parts += [said("NO PRICES", "in the file, so nothing comes to money."), Part("See --full.")]
    parts += [BLANK, _groups(found, currency), BLANK]
    if found.placed > 0 and found.area > 0:
        parts.append(
            Part(
                f"{mean / units.volume.value(found.placed):.2f} {currency}/{units.volume.word}, "
                f"{mean / units.area.value(found.area):.2f} {currency}/{units.area.word}; "
                f"{found.man_hours / units.volume.value(found.placed):.2f} "
                f"man-hours/{units.volume.word}. Half the days cost at most "
                f"{money(found.half.value)}, 9 in 10 at most {money(found.nine.value)}."
            )
        )
    volume, days = found.unfinished
    if days:
        left = f"{units.volume.text(volume, 1)} a day left to place ({how_often(days, found.days)})"
        parts.append(said("NOT IN IT", f"{left}."))
    if most_used(mean_peaks(basis)) > 1.0:
        parts.append(said("DECK", "past its resistance in the file: ask the engineer before all."))
    free = len(found.without_price)
    if free:
        parts.append(said("NO PRICE", f"in the file for {free} items that came up: --full."))
    if warnings:
        parts.append(said("WARNING", f"the file has {len(warnings)}: --full"))
    parts.append(said("NEXT", "every line, what is not priced: --full   for a table: --csv"))
    show(console, parts, LINES)


def _groups(found: PricedPlan, currency: str) -> Part:
    shown = [line for line in found.lines if line.amount]
    whole = dict(zip(shown, added_up([line.amount for line in shown]), strict=True))
    rows = []
    for group in GROUPS:
        mine = [line for line in shown if line.item.group == group]
        if mine:
            largest = max(mine, key=lambda line: line.amount)
            total = sum(whole[line] for line in mine)
            name = f"{_TITLES[group]} (most of it: {largest.item.label})"
            rows.append((name, (money(total),)))
    rows.append(("in all", (money(sum(whole.values())),)))
    return table_of("", (currency,), rows)
