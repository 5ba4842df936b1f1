"""Figure of the weather over the day, the strips below it, and what the air takes from them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Patch
from numpy.typing import NDArray

from pourday.concrete.evaporation import ACT, WATCH
from pourday.concrete.temperature import Air, at
from pourday.outcome.base.basis import Floats
from pourday.outcome.base.top import work_between
from pourday.outcome.concrete.drying import (
    NO_MEASURES,
    Drying,
    StripDrying,
    Window,
    surface_rate,
)
from pourday.outcome.measure import Outcome
from pourday.report.figures.axis import round_axis
from pourday.report.figures.concrete.clock_axis import long_clock_axis
from pourday.report.figures.page import mark_breaks, page
from pourday.report.figures.strip_lane import strip_lane
from pourday.report.figures.style import DARK, FAINT, GREY, INK, LIGHT, PALE
from pourday.report.units import SI, Unit, Units
from pourday.report.words import clock, cold_words, strip_words

_LEFT, _WIDE = 0.085, 0.825
_STEP = 300.0  # between two looks at all strips (s)
_GAP = 900.0  # the line of the front is broken where nothing is placed for longer (s)
_DASHES = ("-", (0, (4, 1)), (0, (1, 1)), (0, (6, 1, 1, 1)))  # of the first front, the second ...
_PERIODS = 3  # named in the facts, of each kind
_RAIN: dict[str, Any] = {
    "facecolor": "none",
    "edgecolor": GREY,
    "hatch": "\\\\",
    "linewidth": 0.6,
    "zorder": 1.5,
}
_ACT_FILL: dict[str, Any] = {"facecolor": LIGHT, "edgecolor": INK, "hatch": "xxxx"}
_WATCH_FILL: dict[str, Any] = {"facecolor": FAINT, "edgecolor": INK, "hatch": "///"}


@dataclass(frozen=True, eq=False)
class Surface:
    """Evaporation (kg/m²/h) off the strips: as the front passes, and of all not yet covered.

    ``screeded`` (N,) s are the moments at which the middles of the pieces are struck, in order,
    ``fresh`` (N,) the rate there and then, ``front`` (N,) who placed them. ``times`` (K,) s,
    ``least`` and ``most`` (K,) the range of the rate over all places struck and not yet covered,
    nan where there are none.
    """

    screeded: Floats
    fresh: Floats
    front: NDArray[np.intp]
    times: Floats
    least: Floats
    most: Floats


def surface(outcome: Outcome) -> Surface:
    """Follow the rate at the middle of every piece that has been struck, until it is covered.

    With the scenario's measures, as :func:`pourday.outcome.drying.drying` does it.
    """
    found, covered = outcome.fronts, outcome.finishing.covered
    area, _ = work_between(outcome.basis.top, found.strip, found.low, found.high)
    keep = np.flatnonzero((area > 1e-9) & np.isfinite(covered[found.strip]))
    begin = ((found.time_low + found.time_high) / 2.0)[keep]
    keep, begin = keep[np.argsort(begin, kind="stable")], np.sort(begin)
    if not len(keep):
        return Surface(begin, begin, keep, begin, begin, begin)
    until = np.maximum(covered[found.strip[keep]], begin)
    times = np.union1d(np.arange(begin[0], until.max(), _STEP), np.append(begin, until))
    batched, warm = found.batched[keep], found.temperature[keep]
    # Concrete has no temperature before it is batched; those moments are left out below.
    when = np.maximum(times[None, :], batched[:, None])
    basis, measures = outcome.basis, outcome.basis.scenario.measures
    all_rates = surface_rate(basis, when, batched[:, None], warm[:, None], measures)
    wet = (times >= begin[:, None]) & (times <= until[:, None])
    least = np.where(wet, all_rates, np.inf).min(axis=0)
    most = np.where(wet, all_rates, -np.inf).max(axis=0)
    none = ~wet.any(axis=0)
    least[none] = most[none] = np.nan
    front = np.array(basis.layout.front_of, dtype=np.intp)[found.strip[keep]]
    fresh = surface_rate(basis, begin, batched, warm, measures)
    return Surface(begin, fresh, front, times, least, most)


def periods(strips: Sequence[StripDrying], kind: str) -> list[tuple[float, float, float]]:
    """From, to (s) and area (m²) of the times at which strips are over a line.

    Windows of strips that overlap make one period; its area is what of those strips goes over
    the line, so that the areas of all periods add up to that of the day.

    Args:
        strips: as in :class:`pourday.outcome.concrete.drying.Drying`.
        kind: "watch" or "act".
    """
    rows: list[tuple[Window, float]] = []
    for strip in strips:
        window = strip.act if kind == "act" else strip.watch
        if window is not None:
            rows.append((window, strip.area_act if kind == "act" else strip.area_watch))
    out: list[tuple[float, float, float]] = []
    for (begin, end), area in sorted(rows):
        if out and begin <= out[-1][1]:
            first, last, sum_so_far = out[-1]
            out[-1] = (first, max(last, end), sum_so_far + area)
        else:
            out.append((begin, end, area))
    return out


def weather_and_drying(outcome: Outcome, units: Units = SI) -> Figure:
    """Weather lanes, strips as they were placed, and evaporation from screed to cover."""
    basis, log, air = outcome.basis, outcome.log, outcome.basis.air
    wet, day = surface(outcome), outcome.drying
    start = log.start
    end = max([log.end] if math.isfinite(log.end) else [start], default=start)
    end = max([end, start + 3600.0, *wet.times[-1:].tolist()])
    figure = page(
        "Weather and drying", basis.scenario.title, basis.plan.name, log.seed,
        _facts(outcome, day, end, units),
    )  # fmt: skip
    lanes = [
        figure.add_axes((_LEFT, bottom, _WIDE, height))
        for bottom, height in (
            (0.778, 0.062), (0.712, 0.062), (0.646, 0.062), (0.548, 0.088), (0.125, 0.415),
        )
    ]  # fmt: skip
    weather, strips, panel = lanes[:3], lanes[3], lanes[4]
    for ax in lanes:
        long_clock_axis(ax, start, end, labels=ax is panel)
    mark_breaks((strips, panel), log, label=lanes[0])
    _weather(weather, air, units)
    _rain(lanes, outcome)
    _strips(strips, outcome)
    _evaporation(panel, wet, outcome, units)
    return figure


def _facts(outcome: Outcome, day: Drying, end: float, units: Units) -> list[str]:
    log, used, air = outcome.log, outcome.basis.scenario.measures, outcome.basis.air
    if not day.strips:
        return ["Nothing was placed: nothing dries."]
    where = _peak_strip(day, outcome)
    facts = [
        f"Highest evaporation: {units.evaporation.text(day.peak, 2)} at {clock(day.peak_time)}, "
        f"strip {where}. Concrete placed "
        f"{clock(log.start)} to {clock(log.end)}, last strip covered "
        f"{clock(max(strip.covered for strip in day.strips))}; {units.area.text(day.area)} in all.",
        " ".join(
            (
                _named(day, "watch", WATCH, units),
                _named(day, "act", ACT, units),
            )
        ),
    ]
    note = list(filter(None, [cold_words(outcome.cold, units)]))
    if used != NO_MEASURES:
        note.append("With the measures of the scenario, as modelled.")
    if _begin(air) > log.start or air.times[-1] < end:
        note.append(
            f"Weather is given from {clock(_begin(air))} to {clock(float(air.times[-1]))}; "
            "dashed: taken as unchanged."
        )
    if log.unfinished > 0:
        note.append(
            f"NOT FINISHED: {units.volume.text(log.unfinished, 1)} could not be placed on this day."
        )
    return [*facts, *([" ".join(note)] if note else [])]


def _begin(air: Air) -> float:
    """When the rows of the weather begin (s)."""
    return float(air.times[0])


def _named(day: Drying, kind: str, limit: float, units: Units) -> str:
    """The periods over a line in words."""
    found, over = periods(day.strips, kind), units.evaporation.figure(limit, 1)
    if not found:
        return f"Over {over} ({kind}): never."
    size = units.area
    named = [f"{clock(a)} to {clock(b)}, {size.text(area)}" for a, b, area in found[:_PERIODS]]
    rest = found[_PERIODS:]
    if rest:
        named.append(f"{len(rest)} more times, {size.text(sum(area for _, _, area in rest))}")
    return f"Over {over} ({kind}): {'; '.join(named)}."


def _weather(lanes: Sequence[Axes], air: Air, units: Units) -> None:
    """Three lanes, each a line above its numbers at the hours of the grid."""
    rows = (
        ("air", air.temperature, 1.0, units.temperature, 4.0),
        ("humidity", air.humidity, 100.0, Unit("%"), 20.0),
        ("wind", air.wind, 3.6, units.speed, 7.0),
    )
    for ax, (name, values, unit, said, least) in zip(lanes, rows, strict=True):
        low, high = ax.get_xlim()
        inner = air.times[(air.times > low) & (air.times < high)]
        times = np.concatenate([[low], inner, [high]])
        line = at(air.times, values, times) * unit
        bottom, top = float(line.min()), float(line.max())
        spare = max(0.0, least - (top - bottom)) / 2
        bottom, top = bottom - spare, top + spare
        deep = (top - bottom) * 0.95
        floor = bottom - 0.1 * (top - bottom)
        ax.set_ylim(bottom - deep, top + 0.18 * (top - bottom))
        ax.fill_between(times, floor, line, facecolor=PALE, edgecolor="none", zorder=1)
        for begin, end, dash in (
            (low, air.times[0], "--"),
            (air.times[0], air.times[-1], "-"),
            (air.times[-1], high, "--"),
        ):
            mine = (times >= begin) & (times <= end)
            ax.plot(times[mine], line[mine], color=DARK, linewidth=1.3, linestyle=dash)
        marks = [t for t in ax.get_xticks() if low <= t <= high]
        for t in marks:
            value = float(at(air.times, values, t)) * unit
            side = "left" if t == low else "right" if t == high else "center"
            pad = {"left": 2, "right": -2, "center": 0}[side]
            ax.annotate(
                said.figure(value), (t, bottom - 0.56 * deep), (pad, 0), size=8, color=INK,
                textcoords="offset points", ha=side, va="center", gid=f"number {name}", zorder=4,
                bbox={"boxstyle": "square,pad=0.1", "facecolor": "white", "edgecolor": "none"},
            )  # fmt: skip
        ax.set_yticks([])
        _name(ax, f"{name} {said.word}")


def _name(ax: Axes, words: str, away: float = 0.008) -> None:
    place: dict[str, Any] = {"transform": ax.transAxes, "ha": "right", "va": "center"}
    ax.text(
        -away, 0.5, words.replace(" ", "\n"), size=9, weight="bold", color=INK, gid="lane", **place
    )


def _under_cover(outcome: Outcome) -> list[tuple[float, float]]:
    """From, to (s) of rain: the day's windows, or the stops of placing where there are none."""
    stops = [(s.start, s.end) for s in outcome.log.stops if s.kind == "rain"]
    return list(outcome.basis.rain) or stops


def _rain(lanes: Sequence[Axes], outcome: Outcome) -> None:
    """Hatch where the floor lies under cover, with the word above that of the breaks."""
    low, high = lanes[0].get_xlim()
    for start, end in _under_cover(outcome):
        if end < low or start > high:
            continue
        for ax in lanes:
            ax.axvspan(start, end, **_RAIN)
        lanes[0].annotate(
            "rain", ((start + end) / 2, 1.0), (0, 10), size=8, weight="bold", color=INK,
            xycoords=lanes[0].get_xaxis_transform(), textcoords="offset points", ha="center",
            va="bottom", gid="rain",
        )  # fmt: skip


def _strips(ax: Axes, outcome: Outcome) -> None:
    """When each strip was placed, with its number where there is room, on up to three levels."""
    strip_lane(ax, outcome, (PALE,), height=0.84)
    _name(ax, "strips placed", 0.008 if len(outcome.basis.plan.fronts) == 1 else 0.022)


def _evaporation(ax: Axes, wet: Surface, outcome: Outcome, units: Units) -> None:
    day, rate = outcome.drying, units.evaporation
    highest = max(day.peak, float(np.nanmax(wet.most, initial=0.0)) if len(wet.times) else 0.0)
    top = max(1.18 * ACT, 1.3 * highest)
    ax.set_ylim(0.0, top)
    handles: list[Any] = []
    if len(wet.times):
        flat: dict[str, Any] = {"linewidth": 0, "zorder": 1}
        ax.fill_between(wet.times, wet.least, wet.most, facecolor=PALE, edgecolor="none", **flat)
        ax.plot(wet.times, wet.most, color=GREY, linewidth=0.9, zorder=2.2)
        ax.plot(wet.times, wet.least, color=GREY, linewidth=0.9, zorder=2.2)
        for limit, style in ((WATCH, _WATCH_FILL), (ACT, _ACT_FILL)):
            over: dict[str, Any] = {"where": wet.most > limit, "interpolate": True, **style}
            ax.fill_between(wet.times, limit, wet.most, linewidth=0.0, zorder=1.2, **over)
        fronts = len(outcome.basis.plan.fronts)
        for front in range(fronts):
            mine = wet.front == front
            handles += ax.plot(
                *_broken(wet.screeded[mine], wet.fresh[mine]), color=INK, zorder=3,
                linewidth=1.9 if front == 0 else 1.4, linestyle=_DASHES[front % len(_DASHES)],
                label="at the fresh front" if fronts == 1 else f"at front {front + 1}",
            )  # fmt: skip
        handles.append(
            Patch(facecolor=PALE, edgecolor=GREY, label="least to most over all strips not covered")
        )
        _peak(ax, outcome, top, units)
    small: dict[str, Any] = {"linewidth": 0.6}
    handles += [
        Patch(**small, **_WATCH_FILL, label=f"over {rate.figure(WATCH, 1)}: watch"),
        Patch(**small, **_ACT_FILL, label=f"over {rate.figure(ACT, 1)}: act"),
    ]
    if _under_cover(outcome):
        handles.append(Patch(**_RAIN, label="rain, under cover"))
    for limit, words, dash in ((WATCH, "watch", "--"), (ACT, "act", "-")):
        ax.axhline(limit, color=INK, linewidth=1.6, linestyle=dash, zorder=2.6)
        place: dict[str, Any] = {"transform": ax.get_yaxis_transform(), "va": "center"}
        text = f"{words}\n{rate.figure(limit, 1)}"
        ax.text(1.008, limit, text, size=9, weight="bold", color=INK, gid="limit", **place)
    ax.grid(axis="y", color=LIGHT, linewidth=0.6)
    ax.tick_params(axis="y", labelsize=8.5)
    ax.set_ylabel(f"evaporation, {rate.word}", size=9.5)
    round_axis(ax, "y", rate, 8)
    legend: dict[str, Any] = {"ncols": len(handles), "frameon": False, "fontsize": 8}
    ax.figure.legend(
        handles=handles, loc="lower left", bbox_to_anchor=(_LEFT - 0.008, 0.035), **legend
    )


def _peak_strip(day: Drying, outcome: Outcome) -> str:
    return strip_words(day.peak_strip + 1, outcome.basis.layout.strips[day.peak_strip].name)


def _broken(times: Floats, values: Floats) -> tuple[Floats, Floats]:
    """The same line with a gap wherever nothing was placed for long."""
    after = np.flatnonzero(np.diff(times) > _GAP) + 1
    return np.insert(times, after, np.nan), np.insert(values, after, np.nan)


def _peak(ax: Axes, outcome: Outcome, top: float, units: Units) -> None:
    day = outcome.drying
    low, high = ax.get_xlim()
    most = units.evaporation.figure(day.peak, 2)
    words = f"{most} at {clock(day.peak_time)}, strip {_peak_strip(day, outcome)}"
    reach = 0.14 * (high - low)
    where = min(max(day.peak_time, low + reach), high - reach)
    box = {"boxstyle": "square,pad=0.3", "facecolor": "white", "edgecolor": INK}
    ax.annotate(
        words, (day.peak_time, day.peak), (where, 0.935 * top), size=9, color=INK, bbox=box,
        ha="center", va="center", arrowprops={"arrowstyle": "-|>", "color": INK}, gid="peak",
        zorder=5,
    )  # fmt: skip
