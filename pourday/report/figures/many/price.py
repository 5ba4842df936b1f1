"""A plan's price by line: a bar for each, its money beside it, hatched by whose it is."""

from __future__ import annotations

from pathlib import Path

from matplotlib.figure import Figure
from matplotlib.patches import Patch
from matplotlib.ticker import FuncFormatter, MaxNLocator

from pourday.outcome.base.basis import Basis
from pourday.outcome.price.items import GROUPS
from pourday.report.figures.page import INK, MIDDLE, PALE, WARM, page
from pourday.report.figures.png import save_png
from pourday.report.words import money
from pourday.study.price import PricedPlan

_LOOKS = dict(zip(GROUPS, ((MIDDLE, ""), (PALE, "//"), ("white", ".."), (WARM, "xx")), strict=True))


def price_figure(basis: Basis, found: PricedPlan) -> Figure:
    """Mean amount of every line that comes to something, by group, dearest first in each."""
    currency = basis.scenario.prices.currency
    lines = [line for line in found.lines if line.amount > 0.5]
    lines.sort(key=lambda line: (GROUPS.index(line.item.group), -line.amount))
    facts = (
        f"Mean of {found.days} days, {money(found.mean.value)} {currency} in all; 8 days in 10 "
        f"cost {money(found.eight.value)} {currency} at most.",
    )
    figure = page("Price by line", basis.scenario.title, basis.plan.name, None, facts)
    axes = figure.add_axes((0.25, 0.09, 0.70, 0.77))
    rows = range(len(lines))
    for row, line in enumerate(lines):
        fill, hatch = _LOOKS[line.item.group]
        axes.barh(row, line.amount, 0.72, facecolor=fill, hatch=hatch, edgecolor=INK, lw=0.8)
        axes.annotate(
            money(line.amount), (line.amount, row), xytext=(5, 0), textcoords="offset points",
            va="center", size=9, color=INK, gid=f"amount {line.key}",
        )  # fmt: skip
    size = 9 if len(lines) <= 26 else 7
    axes.set_yticks(list(rows), [line.item.label for line in lines], size=size)
    axes.set_ylim(max(len(lines), 1) - 0.4, -0.6)
    axes.set_xlim(0.0, 1.14 * max((line.amount for line in lines), default=1.0))
    axes.xaxis.set_major_locator(MaxNLocator(6, steps=[1, 2, 5, 10]))
    axes.xaxis.set_major_formatter(FuncFormatter(lambda amount, _: money(amount)))
    axes.tick_params(axis="x", labelsize=9)
    axes.set_xlabel(f"{currency}, mean of the days", size=9)
    used = [group for group in GROUPS if any(line.item.group == group for line in lines)]
    handles = [
        Patch(facecolor=_LOOKS[group][0], hatch=_LOOKS[group][1], edgecolor=INK) for group in used
    ]
    axes.legend(handles, used, loc="lower right", frameon=False, fontsize=9, handlelength=3)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    return figure


def save_price_figure(basis: Basis, found: PricedPlan, folder: Path) -> list[Path]:
    """Write price.png.

    Raises:
        OSError: where the folder cannot be written to.
    """
    folder.mkdir(parents=True, exist_ok=True)
    return [save_png(price_figure(basis, found), folder / "price.png")]
