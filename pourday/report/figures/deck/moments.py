"""Bounds of the moments along a sheet run, and the reactions at its supports."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from pourday.deck.effects import Resistance
from pourday.deck.history import Peak, Peaks, UseCause
from pourday.outcome.base.basis import Basis, LineGroup
from pourday.outcome.deck.peaks import CAUSES
from pourday.outcome.deck.values import Envelope, Found, envelope, found
from pourday.report.basis import basis_of_shares, why_not_judged
from pourday.report.figures.axis import plain, round_axis
from pourday.report.figures.deck.rows import STAGES, Area, legend_below, row_of
from pourday.report.figures.page import page, type_size
from pourday.report.figures.style import DARK, FAINT, GREY, INK, MIDDLE, PALE
from pourday.report.units import SI, Units
from pourday.report.words import percent

MOST_ROWS = 3
"""Sheet runs on one sheet."""
_NOTHING = 0.5  # N/m or N m/m; less is rounding


def moment_envelope(
    basis: Basis, by_group: tuple[Peaks, ...], seed: int | None, units: Units = SI
) -> Figure:
    """Bounds of the moments along each different sheet run, with the reactions at its supports.

    Args:
        basis: the plan.
        by_group: ``outcome.deck.group_peaks`` of it in the day with this seed.
        seed: of the day; it draws the heaps.
        units: of the reader.
    """
    use = [float(np.nan_to_num(peak.use).max()) for peak in by_group]
    order = sorted(range(len(use)), key=lambda i: -use[i])
    shown = sorted(order[:MOST_ROWS])
    facts = [
        "Whatever the deck feels on this day lies in the shaded part, all lines of the sheet run "
        "together, factored.",
        _basis(basis)[0].upper() + _basis(basis)[1:] + ". Sag moments are drawn below the line, "
        "bending over the beam above it.",
        *_which(basis, shown),
    ]
    figure = page("Moments in the deck", basis.scenario.title, basis.plan.name, seed, facts)
    for row, i in enumerate(shown):
        area = row_of(row, len(shown), len(facts), gap=40.0)
        _envelope_row(area, basis, basis.groups[i], by_group[i], _Row(figure, seed, units))
    _envelope_legend(figure)
    return figure


def _basis(basis: Basis) -> str:
    """What the shares are of, short enough for the line of a sheet."""
    if why_not_judged(basis.scenario):
        return "shares are not judged"
    return "shares are of " + basis_of_shares(basis.scenario)


def _which(basis: Basis, shown: Sequence[int]) -> list[str]:
    """Say which sheet runs are drawn where there are more than the sheet has room for."""
    if len(shown) == len(basis.groups):
        return []
    names = "; ".join(_bays(basis, basis.groups[i], 3) for i in shown)
    return [
        f"{len(basis.groups)} different sheet runs; drawn are the {len(shown)} with the highest "
        f"use of resistance: {names}."
    ]


def _bays(basis: Basis, group: LineGroup, most: int = 6) -> str:
    names = list(dict.fromkeys(basis.layout.lines[n].bay.name for n in group.lines))
    rest = f" and {len(names) - most} more" if len(names) > most else ""
    return ("bay " if len(names) == 1 else "bays ") + ", ".join(names[:most]) + rest


def _spans(supports: Sequence[float], units: Units) -> str:
    lengths = [units.length.figure(b - a, 2) for a, b in pairwise(supports)]
    if len(set(lengths)) == 1:
        return f"{len(lengths)} span{'s' * (len(lengths) > 1)} of {lengths[0]} {units.length.word}"
    return "spans " + " + ".join(lengths) + f" {units.length.word}"


@dataclass(frozen=True)
class _Row:
    """The sheet that a row stands on, the day that draws its heaps, and the reader's units."""

    figure: Figure
    seed: int | None
    units: Units


def _envelope_row(area: Area, basis: Basis, group: LineGroup, peaks: Peaks, row: _Row) -> None:
    figure, units = row.figure, row.units
    bounds, limit = envelope(basis, group, row.seed), group.model.resistance
    moments, reactions = area.axes(figure, 0.36, 1.0), area.axes(figure, 0.0, 0.32)
    lines = f"{len(group.lines)} line{'s' * (len(group.lines) > 1)}"
    heading = f"{_bays(basis, group)} · {_spans(group.model.supports, units)} · {lines}"
    size = type_size(heading, area.width, 9, least=6.5)
    head: dict[str, Any] = {"size": size, "weight": "bold", "color": INK, "va": "bottom"}
    moments.text(0.0, 1.03, heading, transform=moments.transAxes, **head)
    for ax in (moments, reactions):
        ax.set_xlim(-0.02 * bounds.x[-1], 1.02 * bounds.x[-1])
        ax.tick_params(labelsize=7)
        for x in bounds.supports:
            ax.axvline(x, color=GREY, linewidth=0.7, linestyle=(0, (9, 2.5, 1.5, 2.5)), zorder=0.5)
        ax.set_xticks(bounds.supports, [])
    sag, hog = (
        found(basis, group, p) for p in (peaks.factored.sag_moment, peaks.factored.hog_moment)
    )
    _moments(moments, bounds, limit, (sag, hog), units)
    _reactions(reactions, bounds, limit, units)
    reactions.set_xticks(bounds.supports, [units.length.figure(x, 2) for x in bounds.supports])
    reactions.set_xlabel(f"{units.length.word} from the low-x end of the sheet", size=7, labelpad=1)
    area.beside(figure, _peak_words(basis, group, peaks, (sag, hog), units))


def _moments(
    ax: Axes,
    bounds: Envelope,
    limit: Resistance | None,
    peaks: tuple[Found, Found],
    units: Units,
) -> None:
    sag, hog = peaks
    most, least = bounds.most / 1e3, bounds.least / 1e3
    ax.fill_between(bounds.x, least, most, facecolor=PALE, edgecolor="none", zorder=1)
    ax.plot(bounds.x, most, color=DARK, linewidth=1.3, zorder=3)
    ax.plot(bounds.x, least, color=DARK, linewidth=1.3, zorder=3, linestyle=(0, (5, 1.5)))
    ax.axhline(0.0, color=INK, linewidth=0.9, zorder=2)
    lower, upper = float(most.max()), float(least.min())
    levels: list[tuple[float, str, float, str]] = []
    box = {"boxstyle": "square,pad=0.1", "facecolor": "white", "edgecolor": "none"}
    style: dict[str, Any] = {"size": 7, "weight": "bold", "color": INK, "ha": "center"}
    # Words stand inside the lines, where the moments are small: sag over a support, hog in a span.
    # A single span has no such support: there the words stand outside the line.
    alone = len(bounds.supports) == 2
    quiet = 0.12 * bounds.x[-1] if alone else bounds.supports[1]
    span = float(np.mean(bounds.supports[:2]))
    if limit is not None:
        lower, upper = limit.sag_moment / 1e3, -limit.hog_moment / 1e3
        levels = [
            (lower, "resistance in sag", quiet, "top" if alone else "bottom"),
            (upper, "resistance over the beam", span, "top"),
        ]
    for level, name, x, va in levels:
        ax.axhline(level, color=INK, linewidth=2.0, zorder=4)
        place: dict[str, Any] = {"textcoords": "offset points", "va": va, "gid": "resistance"}
        words = f"{name} {units.moment_per_width.text(abs(level), 2)}"
        off = (0, 3 if va == "bottom" else -3)
        ax.annotate(words, (x, level), off, zorder=4, bbox=box, **place, **style)
    zero = np.zeros_like(bounds.supports)
    marks: dict[str, Any] = {"marker": 6, "markersize": 7, "linestyle": "none", "zorder": 5}
    ax.plot(bounds.supports, zero, color=INK, **marks)
    # Letters stand off the curve towards zero, where the shaded part leaves them room.
    for letter, peak, way in (("A", sag, 1.0), ("B", hog, -1.0)):
        if abs(peak.value) < _NOTHING:
            continue
        at = (peak.x, peak.value / 1e3)
        ax.plot(*at, marker="o", markersize=4.5, color=INK, zorder=6)
        side = 9 if peak.x < 0.97 * bounds.x[-1] else -9
        place = {"textcoords": "offset points", "va": "center", "zorder": 7}
        ax.annotate(letter, at, (side, 6 * way), bbox=box, **(place | style | {"size": 8.5}))
    low = (1.45 if alone else 1.15) * max(lower, float(most.max()))
    ax.set_ylim(low, min(1.15 * min(upper, float(least.min())), -0.05 * low))
    round_axis(ax, "y", units.moment_per_width, 6, lambda v: plain(abs(v)))
    ax.set_ylabel(f"moment, {units.moment_per_width.word}\nsag | over beam", size=7.5)


def _reactions(ax: Axes, bounds: Envelope, limit: Resistance | None, units: Units) -> None:
    most, least = bounds.reaction_most / 1e3, bounds.reaction_least / 1e3
    width, force = 0.022 * bounds.x[-1], units.line_load
    bars: dict[str, Any] = {"edgecolor": INK, "linewidth": 0.6, "zorder": 2}
    ax.bar(bounds.supports, most, width, facecolor=MIDDLE, **bars)
    down = np.minimum(least, 0.0)
    ax.bar(bounds.supports, down, width, facecolor=FAINT, hatch="xxxx", **bars)
    ax.axhline(0.0, color=INK, linewidth=0.9, zorder=3)
    top = float(most.max())
    above: dict[str, Any] = {"textcoords": "offset points", "color": INK}
    if limit is not None:
        top = max(top, limit.reaction / 1e3)
        ax.axhline(limit.reaction / 1e3, color=INK, linewidth=2.0, zorder=1)
        words = f"reaction resistance {force.text(limit.reaction / 1e3, 1)}"
        end = limit.end_reaction
        if end is not None and abs(end - limit.reaction) > 1e-6:
            words += f", at the ends {force.figure(end / 1e3, 1)}"
        at = (float(np.mean(bounds.supports[:2])), limit.reaction / 1e3)
        bold: dict[str, Any] = {"weight": "bold", "size": 7, "ha": "center", "gid": "resistance"}
        ax.annotate(words, at, (0, -2), va="top", **above, **bold)
    for i, (x, high, low) in enumerate(zip(bounds.supports, most, least, strict=True)):
        side = -1 if i == len(most) - 1 else 1
        small: dict[str, Any] = {"size": 7, "ha": "left" if side > 0 else "right"}
        near: dict[str, Any] = {"gid": "reaction", **above, **small}
        ax.annotate(
            force.figure(high, 1), (x, 0.0), (8 * side, 2), va="bottom", **(near | {"size": 8})
        )
        lifts = low < -_NOTHING / 1e3
        words = f"least {force.figure(max(low, 0.0), 1)}"
        words = f"UPLIFT {force.figure(-low, 2)}" if lifts else words
        near["weight"] = "bold" if lifts else "normal"
        ax.annotate(words, (x, 0.0), (8 * side, -2), va="top", **near)
    ax.set_ylim(min(-0.36 * top, 1.1 * float(down.min())), 1.12 * top)
    round_axis(ax, "y", force, 3)
    ax.set_ylabel(f"reaction\n{force.word}", size=7.5)


def _peak_words(
    basis: Basis, group: LineGroup, peaks: Peaks, ends: tuple[Found, Found], units: Units
) -> list[str]:
    (sag, hog), moment = ends, units.moment_per_width
    limit = group.model.resistance
    lift = found(basis, group, peaks.factored.uplift)

    def _share(value: float, of: str) -> str:
        if limit is None:
            return "share not judged, "
        return f"{percent(value / getattr(limit, of))} of resistance, "

    parts = [
        f"A  sag moment {moment.text(sag.value / 1e3, 2)}\n"
        + _share(sag.value, "sag_moment")
        + _where(sag, units),
        "No bending over the beam."
        if hog.value > -_NOTHING
        else f"B  bending over the beam {moment.text(-hog.value / 1e3, 2)}\n"
        + _share(-hog.value, "hog_moment")
        + _where(hog, units),
    ]
    if limit is not None:
        k = int(np.argmax(peaks.use))
        use = found(basis, group, Peak(float(peaks.use[k]), k, float(peaks.use_x[k])))
        parts.append(
            f"HIGHEST USE {percent(use.value)}{' !' if use.value > 1 else ''}\n"
            f"{CAUSES[UseCause(int(peaks.use_cause[k]))]}\n" + _where(use, units)
        )
    if lift.value < -_NOTHING:
        parts.append(
            f"UPLIFT {units.line_load.text(-lift.value / 1e3, 2)} to be held down\n"
            + _where(lift, units)
        )
    else:
        parts.append("No support lifts.")
    return parts


def _where(peak: Found, units: Units) -> str:
    stage = STAGES[peak.stage].format(peak.strip + 1)
    return f"at {units.length.text(peak.x, 2)}, bay {peak.bay}\n{stage}"


def _envelope_legend(figure: Figure) -> None:
    lines: list[Any] = [
        Patch(facecolor=PALE, edgecolor="none"),
        Line2D([], [], color=DARK, linewidth=1.3),
        Line2D([], [], color=DARK, linewidth=1.3, linestyle=(0, (5, 1.5))),
        Line2D([], [], color=INK, linewidth=2.0),
        Line2D([], [], color=INK, marker=6, linestyle="none"),
        Patch(facecolor=MIDDLE, edgecolor=INK, linewidth=0.6),
        Patch(facecolor=FAINT, edgecolor=INK, hatch="xxxx", linewidth=0.6),
    ]
    words = [
        "moments of the day",
        "most sag",
        "most over the beam",
        "resistance",
        "support",
        "greatest reaction",
        "uplift",
    ]
    legend_below(figure, lines, words)
