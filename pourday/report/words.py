"""Wording and number formats that all reports share."""

from __future__ import annotations

import math
from collections.abc import Sequence

from rich.console import Console
from rich.table import Table
from rich.text import Text

from pourday.concrete.edges import (
    GIVEN,
    INTERVAL,
    INTERVAL_COOL,
    INTERVAL_WARM,
    SET,
    WARM_AIR,
)
from pourday.concrete.frost import COLD
from pourday.floor.layout import Layout
from pourday.floor.strips import strip_words as strip_words
from pourday.outcome.concrete.cold import Cold
from pourday.report.units import SI, Units
from pourday.scenario.model.scenario import Mix

CAUTION = (
    "Planning aid only. It does not design or approve a deck, a prop or a pour: that stays with "
    "the licensed engineer, the deck supplier's tables and the local code. Unexpected sag or "
    "concrete use means: stop, clear the deck, prop, and ask the engineer."
)


WHY_NOT_PLACED = "no more loads could come, or nobody was left to place"
NOT_IN_COST = (
    "not placed: their concrete, pump and people on another day, and whatever the engineer asks "
    "for where the pour stopped"
)
NOT_PRICED = (
    "mesh, deck, props, edge forms; drawings and tests; a day put off for weather; site overheads, "
    "margin, tax"
)
"""What no key of the file has a price for."""
NO_PERMISSION = (
    "No line of this calendar permits anything. Early loading and the removal of props are the "
    "engineer's decision, on tests."
)
WATER = (
    "Water: only what was withheld and stands on the ticket, before discharge, and written down; "
    "none later (ASTM C94/C94M; the engineer's clearance)."
)
_NAMED = 3  # plans named in a sentence before it says "and so many more"
ALL_UPSETS = "all of them"

# Air (°C) from which set times by the guide come clearly sooner than ours: 80 °F.
_HEAT = 26.7


COSTS = {
    "concrete": "concrete",
    "pump": "pump",
    "labour": "labour, plain hours",
    "overtime": "labour, overtime",
    "waiting": "trucks past free minutes",
    "cold_joints": "cold joints",
    "stiff_edges": "stiff edges",
    "trucks": "truck and plant charges",
    "curing": "curing",
    "late": "late finish",
}
"""The kinds of cost (``outcome.cost.KINDS``) as people call them."""


def strip_of(layout: Layout, strip: int) -> str:
    """A strip of a plan, by its index, as people call it."""
    return strip_words(strip + 1, layout.strips[strip].name)


def strips_of(layout: Layout) -> list[str]:
    """Every strip of a plan as people call it, in order."""
    return [strip_of(layout, k) for k in range(len(layout.strips))]


def named_plans(names: Sequence[str]) -> str:
    """Plans in a sentence, few enough to be read: "'line', 'crane' and 5 more"."""
    shown = ", ".join(map(repr, names[:_NAMED]))
    more = len(names) - _NAMED
    return shown if more <= 0 else f"{shown} and {more} more"


def clock(seconds: float) -> str:
    """Clock time "07:05"; "01:24+1d" past midnight, "-" where there is none."""
    if not math.isfinite(seconds):
        return "-"
    minutes = round(seconds / 60.0)
    days, rest = divmod(minutes, 24 * 60)
    text = f"{rest // 60:02d}:{rest % 60:02d}"
    return text if days == 0 else f"{text}{days:+d}d"


def hours(seconds: float) -> str:
    """A length of time as "8 h 05 min", or "35 min"."""
    minutes = round(seconds / 60.0)
    whole, rest = divmod(minutes, 60)
    return f"{whole} h {rest:02d} min" if whole else f"{rest} min"


def minutes(seconds: float) -> str:
    """A length of time in whole minutes."""
    return "-" if not math.isfinite(seconds) else f"{seconds / 60.0:.0f}"


def span(seconds: float) -> str:
    """A length of time as hours and minutes, "3:50"."""
    whole, rest = divmod(round(seconds / 60.0), 60)
    return f"{whole}:{rest:02d}"


_SHARES = "shares: common practice, no source"


def edge_rule_words(mix: Mix, units: Units = SI) -> str:
    """The rule by which edges are judged, in one sentence: what it counts, and whose it is."""
    head = f'Edges by "{mix.edge_rule}":'
    stiff, cold = f"{mix.edge_stiff_share:g}", f"{mix.edge_cold_share:g}"
    late = f", {span(mix.retarder)} of it by the retarder" if mix.retarder else ""
    if mix.edge_rule == SET:
        whole = span(mix.initial_set + mix.retarder)
        return (
            f"{head} stiff (vibrator and care) from {stiff}, cold from {cold} of the time to "
            f"initial set, {whole} at {units.temperature.short_text(20)} from loading{late} "
            f"({_SHARES})."
        )
    share = f"stiff (vibrator and care) from {mix.edge_stiff_share / mix.edge_cold_share:.2f} of it"
    if mix.edge_rule == INTERVAL:
        cool, warm = span(INTERVAL_COOL), span(INTERVAL_WARM)
        return (
            f"{head} cold {cool} after placing in air up to "
            f"{units.temperature.short_text(WARM_AIR)}, {warm} above (JSCE, "
            f"made for layers), {share} ({_SHARES})."
        )
    assert mix.edge_rule == GIVEN
    whole = span(mix.open_time + mix.retarder)
    warm = units.temperature.short_text(20)
    return f"{head} cold at {whole} at {warm} from loading, as the file says{late}; {share}."


def runs_of_hours(starts: Sequence[float]) -> str:
    """Clock times (s) in order, hour after hour as one: "07:00 to 12:00, 18:00"."""
    runs: list[list[float]] = []
    for start in starts:
        if runs and abs(start - runs[-1][-1] - 3600.0) < 1.0:
            runs[-1].append(start)
        else:
            runs.append([start])
    return ", ".join(
        clock(run[0]) if len(run) == 1 else f"{clock(run[0])} to {clock(run[-1])}" for run in runs
    )


def cold_words(day: Cold, units: Units = SI) -> str:
    """One sentence on a day on which fresh concrete gets cold or freezes, else ""."""
    if day.area_frost > 0:
        return (
            f"FROST: {units.area.figure(day.area_frost, 0)} of {units.area.text(day.area, 0)} "
            "freeze before they can stand it, "
            f"from {clock(day.frost_from)} on."
        )
    if day.area_cold > 0:
        return (
            f"COLD: {units.area.figure(day.area_cold, 0)} of {units.area.text(day.area, 0)} fall "
            f"below {units.temperature.short_text(COLD)} before they "
            "can stand frost."
        )
    return ""


def heat_caution(warmest: float, units: Units = SI) -> str:
    """What to say beside set times in air (°C) in which a printed guide has them shorter; or ""."""
    if warmest < _HEAT:
        return ""
    return (
        "In heat do not lean on what is left: sets follow Burg (PCA RD113); a printed guide has "
        f"them in 73 % of these times at {units.temperature.text(32)} and in 58 % at "
        f"{units.temperature.figure(38)}."
    )


def money(amount: float) -> str:
    """Whole units with a thin grouping: 12 345."""
    return f"{amount:,.0f}".replace(",", " ")


def three_figures(value: float) -> str:
    """A number with three figures, no more than two of them behind the point."""
    places = 0 if value >= 99.95 else 1 if value >= 9.995 else 2
    return f"{value:.{places}f}"


def percent(share: float) -> str:
    """A share as a whole per cent; small but not zero is "<1 %", what nobody judged says so."""
    if math.isnan(share):
        return "not judged"
    if 0.0 < share <= 0.005:
        return "<1 %"
    return f"{share * 100:.0f} %"


def table(*columns: str, title: str = "") -> Table:
    """A plain table; columns whose name ends in ">" are aligned right."""
    out = Table(
        title=title or None, box=None, pad_edge=False, title_justify="left", padding=(0, 2, 0, 0)
    )
    for name in columns:
        right = name.endswith(">")
        out.add_column(
            name.removesuffix(">"), justify="right" if right else "left", header_style="bold"
        )
    return out


def marked(*parts: str | tuple[str, str]) -> Text:
    """A line from plain text and from texts with a style: ``marked(("LATE", "bold"), " by 2 h")``.

    Reports mark their words so, never by markup inside a text: a name may hold brackets.
    """
    return Text.assemble(*parts)


def dim(text: str) -> Text:
    """A remark in small print."""
    return Text(text, style="dim")


def heading(console: Console, text: str) -> None:
    """A section heading with an empty line before it."""
    console.print()
    console.print(Text(text, style="bold underline"))


def question(console: Console, text: str) -> None:
    """What the sections below it answer."""
    console.print()
    console.print(Text(text, style="bold reverse"))


def caution(console: Console) -> None:
    """What every report ends with."""
    console.print()
    console.print(Text("Caution. ", style="bold") + Text(CAUTION), soft_wrap=False)


STRUCK = {
    "datum": "struck to a constant plane by laser (datum)",
    "pins": "struck to pins on the beams, which then sink",
    "guides": "struck level with what stands beside it (guides)",
    "thickness": "struck to a constant thickness",
}
"""How the top is struck, in the words of SCI AD 410 and AD 344."""

BAD_DAY = {
    "deck": "the deck past its limit",
    "cold": "a cold joint",
    "stiff": "a stiff edge",
    "below 5": "concrete below 5 °C",
    "frost": "frost",
    "curfew": "work past the curfew",
    "unfinished": "concrete left to place",
}
"""What happens on a day that breaks a limit, by kind of limit."""
