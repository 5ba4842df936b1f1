"""Figure of finishing: the window between the two sets as light bars, the work as dark ones."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Patch

from pourday.outcome.concrete.finishing import Finishing
from pourday.outcome.concrete.floating import floating_from
from pourday.outcome.measure import Outcome
from pourday.report.figures.concrete.clock_axis import long_clock_axis
from pourday.report.figures.half import width_of
from pourday.report.figures.page import POINTS, page
from pourday.report.figures.style import DARK, GREY, INK, LIGHT, PALE
from pourday.report.units import SI, Units
from pourday.report.words import clock, cold_words, hours, strip_words

MOST_ROWS = 45
"""Rows a sheet has room for; where there are more strips, the bays have the rows."""

_LEFT, _WIDE, _LOW, _HIGH = 0.135, 0.745, 0.125, 0.70
_WINDOW: dict[str, Any] = {"facecolor": PALE, "edgecolor": GREY}
_WORK: dict[str, Any] = {"facecolor": DARK, "edgecolor": DARK}
_LATE: dict[str, Any] = {"facecolor": "white", "edgecolor": INK, "hatch": "xxxx"}
_DASHES = {"end of finishing": "-", "shift end": "--", "curfew": ":"}


@dataclass(frozen=True, eq=False)
class _Lane:
    """A strip or a part of one: its window and its passes, each (start, end, late from), s."""

    opens: float
    closes: float
    area: float
    late: float
    passes: tuple[tuple[float, float, float], ...]


@dataclass(frozen=True, eq=False)
class _Row:
    """A strip or a bay, with the parts that are finished by themselves."""

    name: str
    lanes: tuple[_Lane, ...]
    strips: int
    placed: int

    @property
    def area(self) -> float:
        """Area that is finished (m²)."""
        return sum(lane.area for lane in self.lanes)

    @property
    def late(self) -> float:
        """Area that is late in at least one pass (m²)."""
        return sum(lane.late for lane in self.lanes)


def finishing_bars(outcome: Outcome, units: Units = SI) -> Figure:
    """Windows from floating to final set, one row a strip or a bay, and the passes in them.

    Bays have the rows where there are more than 45 strips and the bays are fewer; each of their
    strips keeps a lane of its own in its bay's row, in order of placing.
    """
    basis, work = outcome.basis, outcome.finishing
    by_bay = _by_bay(outcome)
    rows = _rows(outcome, by_bay)
    lanes = [lane for row in rows for lane in row.lanes]
    figure = page(
        "Finishing", basis.scenario.title, basis.plan.name, outcome.log.seed, _facts(outcome, units)
    )
    ax = figure.add_axes((_LEFT, _LOW, _WIDE, _HIGH))
    first = min((lane.opens for lane in lanes), default=outcome.log.start)
    last = max((max([x.closes, *(p[1] for p in x.passes)]) for x in lanes), default=first)
    first, last = min(first, last), max(first + 3600.0, last)
    lines = _lines(outcome, first, last)
    long_clock_axis(ax, min([first, *lines.values()]), max([last, *lines.values()]) + 60.0)
    pitch = _HIGH * figure.bbox.height / figure.dpi * POINTS / max(len(rows), 8)
    _bars(ax, rows)
    _names(ax, rows, pitch, units)
    _vertical(ax, lines)
    ax.set_ylabel("")
    order = f"{'bays' if by_bay else 'strips'}, in order\nof placing"
    place: dict[str, Any] = {"transform": ax.transAxes, "ha": "right", "va": "bottom"}
    ax.text(-0.008, 1.006, order, size=8, color=INK, **place)
    place["ha"] = "left"
    ax.text(1.008, 1.006, f"{units.area.word} floated", size=8, color=INK, **place)
    _legend(figure, by_bay, work)
    return figure


def _by_bay(outcome: Outcome) -> bool:
    strips = outcome.basis.layout.strips
    bays = len({strip.bay for strip in strips})
    return len(strips) > MOST_ROWS and 3 < bays < len(strips)


def _rows(outcome: Outcome, by_bay: bool) -> list[_Row]:
    """Rows in order of placing; strips that nobody finishes have their windows, too."""
    strips, work = outcome.basis.layout.strips, outcome.finishing
    lanes: dict[int, list[_Lane]] = _worked(work) if len(work.strip) else _open(outcome)
    members: dict[str, list[int]] = {}
    by_band = len(strips) > MOST_ROWS and strips[0].along == "x"
    for number, strip in enumerate(strips):
        name = f"bay {strip.bay}" if by_bay else strip_words(number + 1, strip.name)
        if by_band and not by_bay:
            name = strip.name.rsplit(" span ", 1)[0]
        members.setdefault(name, []).append(number)
    return [
        _Row(
            name,
            tuple(lane for number in numbers for lane in lanes.get(number, ())),
            len(numbers),
            sum(number in lanes for number in numbers),
        )
        for name, numbers in members.items()
    ]


def _worked(work: Finishing) -> dict[int, list[_Lane]]:
    """Lanes of each strip, from the jobs done on it, parts in order of their windows."""
    parts: dict[tuple[int, float], list[int]] = {}
    for job, key in enumerate(zip(work.strip.tolist(), work.low.tolist(), strict=True)):
        parts.setdefault(key, []).append(job)
    out: dict[int, list[_Lane]] = {}
    for (strip, _), jobs in parts.items():
        first = jobs[0]
        closes = float(work.closes[first])
        passes = tuple(
            (float(work.start[j]), float(work.work_end[j]), max(float(work.start[j]), closes))
            for j in jobs
        )
        late = float(work.late_area[jobs].max())
        opens, area = float(work.opens[first]), float(work.area[first])
        lane = _Lane(opens, max(opens, closes), area, late, passes)
        out.setdefault(strip, []).append(lane)
    return {strip: sorted(lanes, key=lambda lane: lane.opens) for strip, lanes in out.items()}


def _open(outcome: Outcome) -> dict[int, list[_Lane]]:
    """Windows of strips on which nobody works: latest floating to earliest final set."""
    found, basis = outcome.fronts, outcome.basis
    initial = basis.initial_set.at(found.batched, found.temperature)
    opening = floating_from(basis, found, initial)
    final = basis.final_set.at(found.batched, found.temperature)
    out = {}
    for strip in np.unique(found.strip).tolist():
        mine = found.strip == strip
        opens, closes = float(opening[mine].max()), float(final[mine].min())
        out[strip] = [_Lane(opens, max(opens, closes), 0.0, 0.0, ())]
    return out


def _facts(outcome: Outcome, units: Units) -> list[str]:
    basis, work = outcome.basis, outcome.finishing
    finishers, rules = basis.scenario.finishers(basis.plan), basis.scenario.finishing
    curfew = basis.scenario.site.curfew
    if not len(work.strip):
        why = (
            "Nothing was placed" if not len(outcome.fronts.strip)
            else "The crew has no finishers" if finishers == 0
            else "No pass of the power float is asked for"
        )  # fmt: skip
        return [f"{why}: no finishing to plan."]
    area, size = float(work.area[work.pass_no == 1].sum()), units.area
    missed = (
        f"MISSED AREA, floated after final set: {size.figure(work.missed_area)} of "
        f"{size.text(area)}; what to do with it the engineer decides."
        if work.missed_area > 0
        else f"Missed area: none of {size.text(area)}."
    )
    over = (
        "No end of the shift is given." if rules.shift_end is None
        else f"Shift to {clock(rules.shift_end)}: "
        + (f"{hours(work.overtime)} of overtime." if work.overtime > 0 else "no overtime.")
    )  # fmt: skip
    late = (
        "" if curfew is None
        else f" PAST THE CURFEW of {clock(curfew)} by {hours(work.end - curfew)}."
        if work.past_curfew
        else f" Curfew {clock(curfew)}: not reached."
    )  # fmt: skip
    return [
        f"{missed} Last concrete {clock(outcome.log.end)}.",
        f"Power float {clock(float(work.start.min()))} to {clock(work.end)}, {rules.passes} "
        f"passes by {finishers} finishers. {over}{late}",
        *filter(None, [cold_words(outcome.cold, units)]),
    ]


def _lines(outcome: Outcome, first: float, last: float) -> dict[str, float]:
    """Moments to draw; those far beyond the work would only squeeze it and stand in the facts."""
    scenario = outcome.basis.scenario
    moments = {
        "end of finishing": outcome.finishing.end,
        "shift end": scenario.finishing.shift_end,
        "curfew": scenario.site.curfew,
    }
    spare = 0.3 * (last - first)
    return {
        name: moment
        for name, moment in moments.items()
        if moment is not None and math.isfinite(moment) and first - spare <= moment <= last + spare
    }


def _bars(ax: Axes, rows: list[_Row]) -> None:
    """All windows, all work in them, and over it what is late."""
    windows, work, late = [], [], []
    for number, row in enumerate(rows):
        y = number - 0.43
        for lane, height in zip(row.lanes, _heights(row), strict=True):
            y += height / 2
            windows.append((y, height, lane.opens, lane.closes))
            for start, end, late_from in lane.passes:
                work.append((y, 0.8 * height, start, min(end, late_from)))
                late.append((y, 0.8 * height, late_from, end))
            y += height / 2
    groups = (
        ("window", windows, _WINDOW, 0.4, 2.0),
        ("pass", [w for w in work if w[3] > w[2]], _WORK, 0.3, 2.4),
        ("late", [w for w in late if w[3] > w[2] + 1.0], _LATE, 0.7, 2.6),
    )
    for name, bars, style, line, order in groups:
        if bars:
            y, height, start, end = np.array(bars).T
            drawn = ax.barh(
                y, end - start, left=start, height=height, linewidth=line, zorder=order, **style
            )
            for bar in drawn:
                bar.set_gid(name)
    ax.set_ylim(max(len(rows), 8) - 0.4, -0.6)


def _heights(row: _Row) -> list[float]:
    """Heights of the lanes of a row, by their areas; a sliver keeps enough to be seen."""
    areas = np.array([lane.area for lane in row.lanes])
    weights = np.maximum(areas, max(0.15 * float(areas.max(initial=0.0)), 1e-9))
    return list(0.86 * weights / weights.sum())


def _names(ax: Axes, rows: list[_Row], pitch: float, units: Units) -> None:
    """Names at the left, area and what of it is late at the right."""
    step = next(s for s in (1, 2, 5, 10, 20, 50, 10**9) if pitch * s >= 6.5 or s > 20)
    marks = range(0, len(rows), step)
    names = [row.name for row in rows]
    room = (_LEFT - 0.020) * ax.figure.bbox.width / ax.figure.dpi * POINTS
    size = min(8.5, max(6.5, 0.85 * pitch * step))
    widest = max((width_of(name, size) for name in names), default=0.0)
    if widest > room and widest * 7.0 / size <= room:
        size = size * room / widest
    elif widest > room:  # no space for names: strips by their numbers alone
        names = [name.partition(" (")[0] for name in names]
    ax.set_yticks(list(marks), [names[n] for n in marks], size=size)
    ax.tick_params(axis="y", length=0)
    for y in range(1, len(rows)):
        ax.axhline(y - 0.5, color=LIGHT, linewidth=0.5, zorder=0.5)
    place: dict[str, Any] = {"transform": ax.get_yaxis_transform(), "va": "center", "color": INK}
    free, size_of = -1.0, units.area.figure
    for y, row in enumerate(rows):
        missing = row.strips - row.placed
        if row.late >= 0.5:
            words, weight = f"{size_of(row.area)}, late {size_of(row.late)}", "bold"
        else:
            words, weight = size_of(row.area) if row.area else "", "normal"
        if missing:
            gone = "not placed" if row.strips == 1 else f"{missing} of {row.strips} not placed"
            words = f"{words}; {gone}" if words else gone
        if words and (y >= free or weight == "bold") and (step == 1 or y % step == 0 or row.late):
            ax.text(1.008, y, words, size=min(8.5, size + 0.5), weight=weight, gid="area", **place)
            free = y + 6.5 / pitch


def _vertical(ax: Axes, lines: dict[str, float]) -> None:
    """Lines through all rows with name and clock above, one above the other where they are near."""
    low, high = ax.get_xlim()
    per_point = (high - low) / (_WIDE * ax.figure.bbox.width / ax.figure.dpi * POINTS)
    taken: list[tuple[float, float, int]] = []
    for name, moment in sorted(lines.items(), key=lambda item: item[1]):
        ax.axvline(moment, color=INK, linewidth=1.8, linestyle=_DASHES[name], zorder=3)
        words = f"{name} {clock(moment)}"
        half = (len(words) * 0.62 * 8.5 / 2 + 4) * per_point
        middle = min(max(moment, low + half), high - half)
        near = {level for a, b, level in taken if a < middle + half and b > middle - half}
        level = next(n for n in range(len(lines)) if n not in near)
        taken.append((middle - half, middle + half, level))
        ax.annotate(
            words, (middle, 1.0), (0, 4 + 11 * level), size=8.5, weight="bold", color=INK,
            xycoords=ax.get_xaxis_transform(), textcoords="offset points", ha="center",
            va="bottom", gid="line",
        )  # fmt: skip


def _legend(figure: Figure, by_bay: bool, work: Finishing) -> None:
    lanes = "; a lane for each strip of a bay" if by_bay else ""
    small: dict[str, Any] = {"linewidth": 0.6}
    handles = [
        Patch(**small, **_WINDOW, label=f"window, floating to final set{lanes}"),
        Patch(**small, **_WORK, label="pass of the power float"),
    ]
    if work.missed_area > 0:
        handles.append(Patch(**small, **_LATE, label="pass after the window has closed: late"))
    style: dict[str, Any] = {"ncols": len(handles), "frameon": False, "fontsize": 8.5}
    figure.legend(handles=handles, loc="lower left", bbox_to_anchor=(_LEFT - 0.008, 0.035), **style)
