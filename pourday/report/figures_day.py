"""Figures of one day: its time line, its concrete, and what the deck carried."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Patch

from pourday.day.log import DayLog, Visit
from pourday.outcome.basis import Floats
from pourday.outcome.deck import UseOverTime, use_over_time
from pourday.outcome.measure import Outcome
from pourday.report.figures_page import (
    DARK,
    GREY,
    INK,
    MIDDLE,
    PALE,
    POINTS,
    WARM,
    clock_axis,
    last_moment,
    mark_breaks,
    page,
)
from pourday.report.words import clock, hours

_TRUCKS = 0.548  # height of the rows of trucks, as a share of the sheet
_STATES = (
    ("placing", DARK, ""),
    ("starved", WARM, "////"),
    ("changing", PALE, "...."),
    ("moving", MIDDLE, ""),
    ("down", "white", "xxxx"),
    ("break", "#cfcfcf", ""),
    ("rain", MIDDLE, "\\\\"),
)
_PARTS = (
    ("drive", "white", ""),
    ("at the site before discharge", WARM, "////"),
    ("discharge", DARK, ""),
    ("wash, leave", "#cfcfcf", ""),
)
_MARKS = {
    "part rejected": ("P", "part rejected"),
    "rejected: age": ("A", "rejected: age"),
    "rejected: test": ("T", "rejected: test"),
    "returned": ("R", "returned"),
}


def time_line(outcome: Outcome) -> Figure:
    """Pump, strips and every truck against the clock."""
    log = outcome.log
    start, end = _first_moment(log), last_moment(log)
    spent = outcome.pump
    sent_away = sum(visit.outcome != "placed" for visit in log.visits)
    first = f"First concrete {clock(log.start)}, last {clock(log.end)}."
    facts = (
        f"{first if log.stretches else 'No concrete placed.'} Trucks: {len(log.visits)}, "
        f"not emptied: {sent_away}. The pump stood with no truck on the site (starved) "
        f"{hours(spent.starved)}, while trucks changed {hours(spent.changing)}, was moved "
        f"{hours(spent.moving)}, was down {hours(spent.down)}.",
        *_unfinished(log),
    )
    figure = _page(outcome, "Time line", facts)
    pump, strips, trucks = (
        figure.add_axes((0.085, bottom, 0.815, height))
        for bottom, height in ((0.755, 0.115), (0.675, 0.065), (0.115, _TRUCKS))
    )
    for ax in (pump, strips, trucks):
        clock_axis(ax, start, end, labels=ax is trucks)
    pump.tick_params(axis="x", labeltop=True, labelsize=8)
    mark_breaks((pump, strips, trucks), log)
    _pump_lane(pump, outcome)
    _strip_lane(strips, outcome)
    _truck_rows(trucks, log.visits)
    handles = [_patch(*part) for part in _PARTS]
    figure.legend(handles=handles, loc="lower left", bbox_to_anchor=(0.08, 0.028), **_LEGEND)
    return figure


_LEGEND: dict[str, Any] = {"ncols": 4, "frameon": False, "fontsize": 8, "handlelength": 3}


def _pump_lane(ax: Axes, outcome: Outcome) -> None:
    """A row for each state of the pump, with the sum of its times at the right."""
    log, spent = outcome.log, outcome.pump
    rows: dict[str, list[tuple[float, float]]] = {name: [] for name, _, _ in _STATES}
    rows["placing"] = [(s.start, s.end) for s in log.stretches]
    for stop in log.stops:
        rows["break" if stop.kind == "idle" else stop.kind].append((stop.start, stop.end))
    sums = (
        spent.placing,
        spent.starved,
        spent.changing,
        spent.moving,
        spent.down,
        spent.idle,
        spent.rain,
    )
    for row, ((name, fill, hatch), total) in enumerate(zip(_STATES, sums, strict=True)):
        _bars(ax, [row] * len(rows[name]), rows[name], fill, hatch)
        _beside(ax, row, hours(total))
    ax.set_yticks(range(len(_STATES)), [name for name, _, _ in _STATES], size=8)
    ax.set_ylim(len(_STATES) - 0.5, -0.5)
    ax.tick_params(axis="y", length=0)
    ax.set_ylabel("pump", size=9, weight="bold")


def _strip_lane(ax: Axes, outcome: Outcome) -> None:
    """Bars in placing order with their numbers, on as many levels as the numbers need."""
    times = [
        (number, float(a), float(b))
        for number, (a, b) in enumerate(
            zip(outcome.strip_start, outcome.strip_end, strict=True), start=1
        )
        if math.isfinite(a)
    ]
    low, high = ax.get_xlim()
    per_point = (high - low) / (0.815 * ax.figure.bbox.width / ax.figure.dpi * POINTS)
    usual = float(np.quantile([b - a for _, a, b in times], 0.25)) if times else 1.0
    need = (len(str(len(outcome.strip_start))) * 0.64 * 7 + 2) * per_point
    levels = min(3, max(1, math.ceil(need / max(usual, 1.0))))
    written = [-math.inf] * levels
    for number, begin, finish in times:
        level = (number - 1) % levels
        fill = (PALE, "#f4f4f4")[(number - 1) % 2]
        _bars(ax, [level], [(begin, finish)], fill, "")
        if (begin + finish - need) / 2 >= written[level]:
            words: dict[str, Any] = {"ha": "center", "va": "center", "size": 7, "color": INK}
            ax.text((begin + finish) / 2, level + 0.04, f"{number}", gid=f"strip {number}", **words)
            written[level] = (begin + finish + need) / 2
    ax.set_ylim(levels - 0.5, -0.5)
    ax.set_yticks([])
    ax.set_ylabel("strip", size=9, weight="bold")
    done = int(np.isfinite(outcome.strip_start).sum())
    _beside(ax, (levels - 1) / 2, f"{done} of {len(outcome.strip_start)}\nbegun")


def _truck_rows(ax: Axes, visits: Sequence[Visit]) -> None:
    """One row a truck; what was not placed is marked at its end."""
    spans: list[list[tuple[float, float]]] = [[], [], [], []]
    for v in visits:
        unloads = v.placed > 0
        leaves = v.discharge_end if unloads and math.isfinite(v.discharge_end) else v.left_site
        spans[0].append((v.batched, v.arrived))
        spans[1].append((v.arrived, v.discharge_start if unloads else v.left_site))
        spans[2].append((v.discharge_start if unloads else leaves, leaves))
        spans[3].append((leaves, v.left_site))
    rows = [v.number + 1 for v in visits]
    for (_, fill, hatch), pieces in zip(_PARTS, spans, strict=True):
        _bars(ax, rows, pieces, fill, hatch)
    count = max(rows, default=1)
    pitch = _TRUCKS * ax.figure.bbox.height / ax.figure.dpi * POINTS / (max(count, 12) + 1)
    in_words = pitch >= 6.0
    low, high = ax.get_xlim()
    seen = set()
    for v in visits:
        if v.outcome in _MARKS:
            letter, words = _MARKS[v.outcome]
            lost = f"{words}, {v.rejected + v.returned:.1f} m³"
            size = min(7.0, 0.95 * pitch) if in_words else (6.5 if pitch >= 3.5 else 5.0)
            style: dict[str, Any] = {"textcoords": "offset points", "va": "center", "color": INK}
            style |= {"size": size, "weight": "normal" if in_words else "bold"}
            late = in_words and v.left_site > low + 0.86 * (high - low)
            at, out = (v.batched if late else v.left_site, v.number + 1), (-3 if late else 3, 0)
            style["ha"] = "right" if late else "left"
            ax.annotate(lost if in_words else letter, at, out, **style)
            seen.add(f"{letter} = {words}")
    step = next(s for s in (1, 2, 5, 10, 20, 50, 10**9) if pitch * s >= 6.5 or s > 20)
    marks = [n for n in range(1, count + 1) if n % step == 0 or (n == 1 and step != 2)]
    ax.set_yticks(marks, [str(n) for n in marks], size=min(8.0, max(6.0, 0.9 * pitch * step)))
    ax.tick_params(axis="y", length=0)
    if step > 1:
        ax.grid(axis="y", color="#dddddd", linewidth=0.5)
    ax.set_ylim(max(count, 12) + 1.0, 0.0)
    ax.set_ylabel("truck, in order of batching", size=9, weight="bold")
    ax.set_xlabel("clock", size=8, labelpad=1)
    if seen and not in_words:
        text = "; ".join(sorted(seen))
        ax.text(1.0, -0.075, text, transform=ax.transAxes, ha="right", va="top", size=8, color=INK)


def volume(outcome: Outcome, *, planned: bool = True) -> Figure:
    """Concrete delivered and placed against the clock, and what stands on trucks between.

    Args:
        outcome: the day.
        planned: draw the arrivals as the plan's mean spacing wants them, too.
    """
    log = outcome.log
    start, end = _first_moment(log), last_moment(log)
    times, delivered, placed, away = _counts(log)
    waiting = delivered - placed - away
    worst = int(np.argmax(waiting)) if len(waiting) else 0
    most = (
        f" Most on trucks at the site at one time: {waiting[worst]:.1f} m³ "
        f"at {clock(times[worst])}."
        if len(waiting)
        else ""
    )
    facts = (
        f"Delivered {delivered[-1]:.1f} m³, discharged {placed[-1]:.1f} m³ (of it "
        f"{log.held:.1f} m³ left in pump and line), rejected or returned {away[-1]:.1f} m³.{most}",
        *_unfinished(log),
    )
    figure = _page(outcome, "Concrete over the day", facts)
    ax = figure.add_axes((0.075, 0.325, 0.89, 0.555))
    low = figure.add_axes((0.075, 0.125, 0.89, 0.165))
    for each in (ax, low):
        clock_axis(each, start, end, labels=each is low)
        each.grid(axis="y", color="#dddddd", linewidth=0.6)
        each.tick_params(axis="y", labelsize=8)
    mark_breaks((ax, low), log, label=ax)
    line: dict[str, Any] = {"color": INK, "linewidth": 1.8}
    shade: dict[str, Any] = {"linewidth": 0, "edgecolor": GREY}
    on_trucks: dict[str, Any] = {
        "facecolor": WARM,
        "hatch": "////",
        "label": "on trucks at the site",
    }
    ax.fill_between(times, placed + away, delivered, **shade, **on_trucks)
    if away[-1] > 0:
        gone: dict[str, Any] = {
            "facecolor": "#e4e4e4",
            "hatch": "...",
            "label": "rejected or returned",
        }
        ax.fill_between(times, placed, placed + away, **shade, **gone)
    ax.plot(times, delivered, label="delivered (arrived at the site)", **line)
    ax.plot(times, placed, label="discharged", **(line | {"color": DARK, "linestyle": "--"}))
    if planned:
        at, total = _planned(outcome)
        style: dict[str, Any] = {"color": GREY, "linewidth": 1.4, "linestyle": ":"}
        ax.plot(at, total, drawstyle="steps-post", label="arrivals as planned", **style)
    ax.set_ylim(0, None)
    ax.set_ylabel("m³ in all so far", size=9)
    handles, words = ax.get_legend_handles_labels()
    legend: dict[str, Any] = {"loc": "upper left", "fontsize": 8.5, "framealpha": 1.0}
    ax.legend(handles, words, handlelength=3.5, **legend)
    low.fill_between(times, 0, waiting, **shade, facecolor=WARM, hatch="////")
    low.plot(times, waiting, **(line | {"linewidth": 0.9}))
    low.set_ylim(0, max(1.0, 1.15 * float(waiting.max(initial=0.0))))
    low.set_ylabel("m³ on trucks\nat the site", size=9)
    low.set_xlabel("clock", size=8)
    return figure


def _counts(log: DayLog) -> tuple[Floats, Floats, Floats, Floats]:
    """Moments (s) and the m³ delivered, discharged, sent away by then; jumps as double moments."""
    gone = [
        (v.discharge_end if math.isfinite(v.discharge_end) else v.left_site, v)
        for v in log.visits
        if v.rejected + v.returned > 0
    ]
    jumps = [v.arrived for v in log.visits] + [t for t, _ in gone]
    ends = [t for s in log.stretches for t in (s.start, s.end)]
    times = np.array(sorted([_first_moment(log), *jumps, *jumps, *ends, last_moment(log)]))
    after = np.append(times[1:] > times[:-1], True)  # the second of a double moment has the jump
    delivered, away = np.zeros_like(times), np.zeros_like(times)
    for v in log.visits:
        delivered += v.volume * ((times > v.arrived) | ((times == v.arrived) & after))
    for t, v in gone:
        away += (v.rejected + v.returned) * ((times > t) | ((times == t) & after))
    placed = np.zeros_like(times)
    if log.stretches:
        knots = [t for s in log.stretches for t in (s.start, s.end)]
        sums = np.cumsum([s.volume_end - s.volume_start for s in log.stretches])
        level = np.repeat(np.concatenate([[0.0], sums]), 2)[1:-1]
        placed = np.interp(times, knots, level)
    return times, delivered, placed, away


def _planned(outcome: Outcome) -> tuple[Floats, Floats]:
    """Arrivals at the plan's mean spacing until floor, pump and line are full."""
    basis = outcome.basis
    scenario, plan = basis.scenario, basis.plan
    need = float(basis.layout.volume.sum()) + scenario.pumps[plan.pump].held_volume
    load = plan.load or scenario.supply.load
    loads = math.ceil(need / load)
    at = plan.start + float(plan.spacing.mean) * np.arange(loads)
    return np.concatenate([[plan.start], at]), np.minimum(load * np.arange(loads + 1), need)


def deck_use(outcome: Outcome) -> Figure:
    """Share of the deck's resistance in use over the day, worst place of the floor at a time."""
    log, basis = outcome.log, outcome.basis
    use = use_over_time(basis, outcome.by_group, outcome.strip_start, outcome.strip_end)
    look = basis.scenario.loads.look_share
    peak = outcome.deck.use
    over, seen = (_strips_above(use, share) for share in (1.0, look))
    when = f" at {clock(peak.time)}" if math.isfinite(peak.time) else ", not reached on this day"
    facts = [
        f"Highest: {peak.value:.2f} of resistance{when}, strip {peak.strip + 1}, "
        f"bay {peak.bay}, x = {peak.x:.1f} m."
    ]
    if over:
        facts.append(
            f"ABOVE THE RESISTANCE of the deck at {len(over)} of {len(basis.layout.strips)} "
            "strips: do not pour like this. Change the plan or ask the engineer."
        )
    elif seen:
        numbers = ", ".join(str(s + 1) for s in seen[:30]) + (", ..." if len(seen) > 30 else "")
        facts.append(f"Stop and look (use above {look:.2f}) at strips {numbers}.")
    figure = _page(outcome, "Use of the deck", (*facts, *_unfinished(log)))
    ax = figure.add_axes((0.065, 0.125, 0.825, 0.745))
    start, end = log.ready, last_moment(log)
    clock_axis(ax, start, end)
    ax.grid(axis="y", color="#dddddd", linewidth=0.6)
    mark_breaks((ax,), log, label=ax)
    top = max(1.0, look, float(use.steps.max(initial=0.0)))
    ax.set_ylim(0, 1.32 * top)
    until = log.end if math.isfinite(log.end) else end
    times, steps = np.append(use.times, until), np.append(use.steps, use.steps[-1:])
    if len(use.times):
        style: dict[str, Any] = {"step": "post", "linewidth": 0}
        ax.fill_between(times, 0, steps, facecolor=PALE, edgecolor="none", **style)
        high = np.maximum(steps, 1.0)
        hatched: dict[str, Any] = {"facecolor": WARM, "edgecolor": INK, "hatch": "xxx"}
        ax.fill_between(times, 1.0, high, **style, **hatched)
        ax.plot(times, steps, drawstyle="steps-post", color=DARK, linewidth=1.3)
    _level(ax, 1.0, "resistance\n1.00", "bottom", linewidth=2.2, linestyle="-")
    if abs(look - 1.0) > 1e-9:
        _level(ax, look, f"look at\n{look:.2f}", "top", linewidth=1.3, linestyle="--")
    _name_peaks(ax, outcome, use, times, 1.32 * top)
    ax.set_ylabel("share of resistance", size=10)
    ax.set_xlabel("clock", size=8)
    ax.tick_params(axis="y", labelsize=8.5)
    return figure


def _strips_above(use: UseOverTime, share: float) -> list[int]:
    return sorted({s for s, step in zip(use.strips, use.steps, strict=True) if step > share})


def _level(ax: Axes, height: float, words: str, va: str, **style: Any) -> None:
    ax.axhline(height, color=INK, **style)
    place: dict[str, Any] = {"transform": ax.get_yaxis_transform(), "ha": "left", "va": va}
    ax.text(1.006, height, words, size=8.5, weight="bold", color=INK, **place)


def _name_peaks(
    ax: Axes, outcome: Outcome, use: UseOverTime, times: Floats, top: float, most: int = 5
) -> None:
    """Write the strip to the highest steps, each a good way from the next, on one row above."""
    apart = (times[-1] - times[0]) / 9 if len(use.times) else 0.0
    chosen: list[int] = []
    rises = np.flatnonzero(
        (np.diff(use.steps, prepend=0.0) > 0) & (use.steps > 0.75 * use.steps.max(initial=0.0))
    )
    for k in rises[np.argsort(-use.steps[rises], kind="stable")]:
        named = use.strips[k] in {use.strips[c] for c in chosen}
        near = any(abs(times[k] - times[c]) <= apart for c in chosen)
        if len(chosen) < most and not near and not named:
            chosen.append(int(k))
    low, high = ax.get_xlim()
    for slot, k in enumerate(sorted(chosen)):
        strip = use.strips[k]
        words = (
            f"strip {strip + 1}, bay {outcome.basis.layout.strips[strip].bay}\n"
            f"{use.steps[k]:.2f} at {clock(times[k])}"
        )
        at = low + (high - low) * (slot + 0.5) / len(chosen)
        peak = ((times[k] + times[k + 1]) / 2, use.steps[k])
        box = {"boxstyle": "square,pad=0.3", "facecolor": "white", "edgecolor": INK}
        style: dict[str, Any] = {"ha": "center", "va": "center", "size": 8.5, "bbox": box}
        line = {"arrowstyle": "-|>", "color": INK, "linewidth": 0.8}
        ax.annotate(words, peak, (at, 0.93 * top), arrowprops=line, color=INK, **style)


def _page(outcome: Outcome, what: str, facts: Sequence[str]) -> Figure:
    basis = outcome.basis
    return page(what, basis.scenario.title, basis.plan.name, outcome.log.seed, facts)


def _unfinished(log: DayLog) -> tuple[str, ...]:
    if math.isfinite(log.end) and log.unfinished <= 0:
        return ()
    return (f"NOT FINISHED: {log.unfinished:.1f} m³ could not be placed on this day.",)


def _first_moment(log: DayLog) -> float:
    return min([log.ready, *(visit.batched for visit in log.visits)])


def _bars(
    ax: Axes, rows: Sequence[float], spans: Sequence[tuple[float, float]], fill: str, hatch: str
) -> None:
    """Horizontal bars from and to given times, one in each row."""
    if spans:
        left = [a for a, _ in spans]
        width = [b - a for a, b in spans]
        style: dict[str, Any] = {"height": 0.8, "facecolor": fill, "hatch": hatch, "zorder": 2}
        ax.barh(rows, width, left=left, edgecolor=INK, linewidth=0.35, **style)


def _beside(ax: Axes, row: float, words: str) -> None:
    place: dict[str, Any] = {"transform": ax.get_yaxis_transform(), "va": "center", "size": 8}
    ax.text(1.008, row, words, color=INK, **place)


def _patch(name: str, fill: str, hatch: str) -> Patch:
    return Patch(facecolor=fill, edgecolor=INK, hatch=hatch, linewidth=0.5, label=name)
