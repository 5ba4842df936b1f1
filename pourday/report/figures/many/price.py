"""A plan's price by line: a bar for each, its money beside it, hatched by whose it is."""

from __future__ import annotations

from pathlib import Path

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from pourday.outcome.base.basis import Basis
from pourday.outcome.price.items import GROUPS
from pourday.report.figures.axis import round_axis
from pourday.report.figures.half import WIDE, grid_of, half_page, in_lines, width_of
from pourday.report.figures.png import save_png
from pourday.report.figures.style import EDGE, FAINT, INK, MIDDLE, NAME, PALE, PAPER, TYPE
from pourday.report.units import PLAIN
from pourday.report.words import money
from pourday.study.price import PricedPlan, PriceLine

_NAMES = 92.0  # room for the names of lines (pt)
_ROW, _BELOW = 9.4, 26.0
_FILLS = ((MIDDLE, ""), (PALE, "///"), ("white", "..."), (FAINT, "xxx"))
_LOOKS = dict(zip(GROUPS, _FILLS, strict=True))


def price_figure(basis: Basis, found: PricedPlan) -> Figure:
    """Mean amount of every line that comes to something, by group, dearest first in each."""
    currency = basis.scenario.prices.currency
    lines = [line for line in found.lines if line.amount > 0.5]
    lines.sort(key=lambda line: (GROUPS.index(line.item.group), -line.amount))
    facts = (
        f"Mean of {found.days} days, {money(found.mean.value)} {currency} in all; 8 days in 10 "
        f"cost {money(found.eight.value)} {currency} at most.",
    )
    names = max((width_of(line.item.label, TYPE) for line in lines), default=0.0)
    left = 5 + min(names, _NAMES) + 6
    said = [in_lines(line.item.label, _NAMES, TYPE) for line in lines]
    used = [group for group in GROUPS if any(line.item.group == group for line in lines)]
    tall = _ROW * (sum(map(len, said)) + 1.2 * len(used) + 0.4)
    half = half_page("Price by line", basis.scenario.title, basis.plan.name, facts, tall + _BELOW)
    axes = half.axes(left, WIDE - 8, 2.0, tall)
    top = max((line.amount for line in lines), default=1.0)
    longest = max((width_of(money(line.amount), TYPE) for line in lines), default=0.0)
    axes.set_xlim(0.0, top / (1.0 - min((longest + 5) / (WIDE - 8 - left), 0.5)))
    places: dict[float, str] = {}
    y = 0.2
    for group in used:
        _group(axes, group, y + 0.6)
        y += 1.2
        for line, label in zip(lines, said, strict=True):
            if line.item.group == group:
                middle = y + len(label) / 2
                places[middle] = "\n".join(label)
                _bar(axes, line, middle)
                y += len(label)
    axes.set_yticks(list(places), list(places.values()), size=TYPE)
    axes.tick_params(axis="y", length=0)
    axes.set_ylim(y + 0.2, 0.0)
    round_axis(axes, "x", PLAIN, 3, money)
    grid_of(axes, "x")
    axes.set_xlabel(f"{currency}, mean of the days", size=TYPE, labelpad=1)
    return half.figure


def _group(axes: Axes, group: str, y: float) -> None:
    """The name of a group above its bars."""
    axes.annotate(
        group, (0.0, y), xycoords=axes.get_yaxis_transform(), xytext=(3, 0), va="center",
        textcoords="offset points", size=NAME, weight="bold", color=INK, gid="group", bbox=PAPER,
    )  # fmt: skip


def _bar(axes: Axes, line: PriceLine, y: float) -> None:
    fill, hatch = _LOOKS[line.item.group]
    axes.barh(y, line.amount, 0.7, facecolor=fill, hatch=hatch, edgecolor=INK, lw=EDGE)
    axes.annotate(
        money(line.amount), (line.amount, y), xytext=(3, 0), textcoords="offset points",
        va="center", size=TYPE, color=INK, gid=f"amount {line.key}", bbox=PAPER, zorder=3,
    )  # fmt: skip


def save_price_figure(basis: Basis, found: PricedPlan, folder: Path) -> list[Path]:
    """Write price.png.

    Raises:
        OSError: where the folder cannot be written to.
    """
    folder.mkdir(parents=True, exist_ok=True)
    return [save_png(price_figure(basis, found), folder / "price.png")]
