"""Figures of one day: its concrete, and what the deck carried."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from pourday.day.log import DayLog
from pourday.day.supply.stages import stage_at
from pourday.outcome.base.basis import Floats
from pourday.outcome.deck.peaks import UseOverTime
from pourday.outcome.measure import Outcome
from pourday.report.basis import basis_of_shares, why_not_judged
from pourday.report.figures.axis import round_axis
from pourday.report.figures.half import width_of
from pourday.report.figures.page import (
    A4,
    POINTS,
    clock_axis,
    clock_words,
    last_moment,
    mark_breaks,
    mark_curfew,
    page,
)
from pourday.report.figures.style import DARK, FAINT, GREY, INK, LIGHT, PALE
from pourday.report.units import SI, Units
from pourday.report.words import clock, strip_words
from pourday.scenario.base.trade import SKIP
from pourday.scenario.model.scenario import FrontPlan, Plan, Scenario


def volume(outcome: Outcome, *, planned: bool = True, units: Units = SI) -> Figure:
    """Concrete delivered and placed against the clock, and what stands on trucks between.

    Args:
        outcome: the day.
        planned: draw the arrivals as the plan's mean spacing wants them, too.
        units: of the reader.
    """
    log = outcome.log
    start, end = first_moment(log), last_moment(log)
    counts = _counts(log)
    figure = of_day(
        outcome, "Concrete over the day", (_in_all(log, counts, units), *unfinished(log, units))
    )
    ax = figure.add_axes((0.075, 0.325, 0.89, 0.555))
    low = figure.add_axes((0.075, 0.125, 0.89, 0.165))
    for each in (ax, low):
        clock_axis(each, start, end, labels=each is low)
        each.grid(axis="y", color=LIGHT, linewidth=0.6)
        each.tick_params(axis="y", labelsize=8)
    mark_breaks((ax, low), log, label=ax)
    mark_curfew((ax, low), outcome.basis.scenario.site.curfew)
    _so_far(ax, counts)
    if planned:
        at, total = _planned(outcome)
        style: dict[str, Any] = {"color": GREY, "linewidth": 1.4, "linestyle": ":"}
        ax.plot(at, total, drawstyle="steps-post", label="arrivals as planned", **style)
    ax.set_ylim(0, None)
    ax.set_ylabel(f"{units.volume.word} in all so far", size=9)
    round_axis(ax, "y", units.volume, 10)
    handles, words = ax.get_legend_handles_labels()
    legend: dict[str, Any] = {"loc": "upper left", "fontsize": 8.5, "framealpha": 1.0}
    ax.legend(handles, words, handlelength=3.5, **legend)
    low.fill_between(counts.times, 0, counts.waiting, **_SHADE, facecolor=FAINT, hatch="////")
    low.plot(counts.times, counts.waiting, **(_LINE | {"linewidth": 0.9}))
    low.set_ylim(0, max(1.0, 1.15 * float(counts.waiting.max(initial=0.0))))
    low.set_ylabel(f"{units.volume.word} on trucks\nat the site", size=9)
    round_axis(low, "y", units.volume, 4)
    low.set_xlabel(clock_words(low, outcome.basis.scenario.site.curfew), size=8)
    return figure


_LINE: dict[str, Any] = {"color": INK, "linewidth": 1.8}
_SHADE: dict[str, Any] = {"linewidth": 0, "edgecolor": GREY}


@dataclass(frozen=True, eq=False)
class _Counts:
    """Moments (s) and the m³ delivered, discharged, sent away by then; jumps as double moments."""

    times: Floats
    delivered: Floats
    placed: Floats
    away: Floats

    @property
    def waiting(self) -> Floats:
        """What stands on trucks at the site (m³)."""
        return self.delivered - self.placed - self.away


def _in_all(log: DayLog, counts: _Counts, units: Units) -> str:
    """The day's concrete in words."""
    waiting, cubic = counts.waiting, units.volume
    worst = int(np.argmax(waiting)) if len(waiting) else 0
    most = (
        f" Most on trucks at the site at one time: {cubic.text(waiting[worst], 1)} "
        f"at {clock(counts.times[worst])}."
        if len(waiting)
        else ""
    )
    lines = "pumps and lines" if len(log.fronts) > 1 else "pump and line"
    return (
        f"Delivered {cubic.text(counts.delivered[-1], 1)}, discharged "
        f"{cubic.text(counts.placed[-1], 1)} (of it {cubic.text(log.held, 1)} left in {lines}), "
        f"rejected or returned {cubic.text(counts.away[-1], 1)}.{most}"
    )


def _so_far(ax: Axes, counts: _Counts) -> None:
    """Lines of what was delivered and discharged, and shades for what lies between them."""
    times, placed, away = counts.times, counts.placed, counts.away
    on_trucks: dict[str, Any] = {"facecolor": FAINT, "hatch": "////"}
    on_trucks["label"] = "on trucks at the site"
    ax.fill_between(times, placed + away, counts.delivered, **_SHADE, **on_trucks)
    if away[-1] > 0:
        gone: dict[str, Any] = {"facecolor": FAINT, "hatch": "..."}
        gone["label"] = "rejected or returned"
        ax.fill_between(times, placed, placed + away, **_SHADE, **gone)
    ax.plot(times, counts.delivered, label="delivered (arrived at the site)", **_LINE)
    ax.plot(times, placed, label="discharged", **(_LINE | {"color": DARK, "linestyle": "--"}))


def _counts(log: DayLog) -> _Counts:
    gone = [
        (v.discharge_end if math.isfinite(v.discharge_end) else v.left_site, v)
        for v in log.visits
        if v.rejected + v.returned > 0
    ]
    jumps = [v.arrived for v in log.visits] + [t for t, _ in gone]
    ends = [t for s in log.stretches for t in (s.start, s.end)]
    times = np.array(sorted([first_moment(log), *jumps, *jumps, *ends, last_moment(log)]))
    after = np.append(times[1:] > times[:-1], True)  # the second of a double moment has the jump
    delivered, away = np.zeros_like(times), np.zeros_like(times)
    for v in log.visits:
        delivered += v.volume * ((times > v.arrived) | ((times == v.arrived) & after))
    for t, v in gone:
        away += (v.rejected + v.returned) * ((times > t) | ((times == t) & after))
    placed = np.zeros_like(times)
    for front in range(len(log.fronts)):
        placed += _discharged(log, front, times)
    return _Counts(times, delivered, placed, away)


def _discharged(log: DayLog, front: int, times: Floats) -> Floats:
    """What one front has discharged by ``times`` (m³); its stretches follow one another."""
    mine = [s for s in log.stretches if s.front == front]
    if not mine:
        return np.zeros_like(times)
    knots = [t for s in mine for t in (s.start, s.end)]
    sums = np.cumsum([s.volume_end - s.volume_start for s in mine])
    level = np.repeat(np.concatenate([[0.0], sums]), 2)[1:-1]
    found: Floats = np.interp(times, knots, level)
    return found


def _planned(outcome: Outcome) -> tuple[Floats, Floats]:
    """Arrivals at the plan's mean spacing until floor, pumps and lines are full; all fronts."""
    basis = outcome.basis
    scenario, plan, layout = basis.scenario, basis.plan, basis.layout
    front_of = np.array(layout.front_of)
    arrivals: list[tuple[float, float]] = []
    for number, front in enumerate(plan.fronts):
        need = float(layout.volume[front_of == number].sum()) + layout.access[number].line_volume
        load = _load(scenario, plan, front)
        at, called = front.start, 0.0
        while called < need - 1e-9:
            arrivals.append((at, min(load, need - called)))
            called += load
            at += _spacing(plan, front, called / need)
    arrivals.sort()
    times = np.array([plan.start, *(at for at, _ in arrivals)])
    return times, np.cumsum([0.0, *(volume for _, volume in arrivals)])


def _load(scenario: Scenario, plan: Plan, front: FrontPlan) -> float:
    """The largest load that the plants of a front bring (m³)."""
    wanted = plan.load or scenario.supply.load
    plants = [p for p in scenario.supply.plants if not front.plants or p.name in front.plants]
    return max(min(wanted, plant.load or wanted) for plant in plants)


def _spacing(plan: Plan, front: FrontPlan, share_called: float) -> float:
    """Mean time to the next load (s), as the day calls it: the stage's where there are stages."""
    if not plan.stages:
        return float(front.spacing.mean)
    stages = [(stage.until_share, stage) for stage in plan.stages]
    return float(stages[stage_at(share_called, stages)][1].spacing.mean)


def deck_use(outcome: Outcome, units: Units = SI) -> Figure:
    """Share of the deck's resistance in use over the day, worst place of the floor at a time."""
    log, basis = outcome.log, outcome.basis
    use = outcome.use_over_time
    look = basis.scenario.loads.look_share
    peak = outcome.deck.use
    over, seen = (_strips_above(use, share) for share in (1.0, look))
    when = f" at {clock(peak.time)}" if math.isfinite(peak.time) else ", not reached on this day"
    missing = why_not_judged(basis.scenario)
    facts = [
        missing
        or f"Highest: {peak.value:.2f} of {basis_of_shares(basis.scenario)}{when}, strip "
        f"{_named(outcome, peak.strip)}, x = {units.length.text(peak.x, 1)}."
    ]
    if over:
        facts.append(
            f"ABOVE THE RESISTANCE of the deck at {len(over)} of {len(basis.layout.strips)} "
            "strips: do not pour like this. Change the plan or ask the engineer."
        )
    elif seen:
        numbers = ", ".join(str(s + 1) for s in seen[:30]) + (", ..." if len(seen) > 30 else "")
        facts.append(f"Stop and look (use above {look:.2f}) at strips {numbers}.")
    figure = of_day(outcome, "Use of the deck", (*facts, *unfinished(log, units)))
    ax = figure.add_axes((0.065, 0.125, 0.825, 0.745))
    start, end = log.ready, last_moment(log)
    clock_axis(ax, start, end)
    ax.grid(axis="y", color=LIGHT, linewidth=0.6)
    mark_breaks((ax,), log, label=ax)
    mark_curfew((ax,), outcome.basis.scenario.site.curfew)
    if missing:
        use = replace(use, times=np.zeros(0), steps=np.zeros(0), strips=())
    top = max(1.0, look, float(use.steps.max(initial=0.0)))
    ax.set_ylim(0, 1.32 * top)
    until = log.end if math.isfinite(log.end) else end
    times, steps = np.append(use.times, until), np.append(use.steps, use.steps[-1:])
    if len(use.times):
        style: dict[str, Any] = {"step": "post", "linewidth": 0}
        ax.fill_between(times, 0, steps, facecolor=PALE, edgecolor="none", **style)
        high = np.maximum(steps, 1.0)
        hatched: dict[str, Any] = {"facecolor": FAINT, "edgecolor": INK, "hatch": "xxx"}
        ax.fill_between(times, 1.0, high, **style, **hatched)
        ax.plot(times, steps, drawstyle="steps-post", color=DARK, linewidth=1.3)
    _level(ax, 1.0, "resistance\n1.00", "bottom", linewidth=2.2, linestyle="-")
    if abs(look - 1.0) > 1e-9:
        _level(ax, look, f"look at\n{look:.2f}", "top", linewidth=1.3, linestyle="--")
    _name_peaks(ax, outcome, use, times, 1.32 * top)
    ax.set_ylabel("share of resistance", size=10)
    ax.set_xlabel(clock_words(ax, outcome.basis.scenario.site.curfew), size=8)
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
    room = ax.get_position().width * A4[0] * POINTS / max(len(chosen), 1) - 12
    in_full = all(width_of(f"strip {_named(outcome, use.strips[k])}", 8.5) < room for k in chosen)
    for slot, k in enumerate(sorted(chosen)):
        strip = use.strips[k]
        name = _named(outcome, strip) if in_full else f"{strip + 1}"
        words = f"strip {name}\n{use.steps[k]:.2f} at {clock(times[k])}"
        at = low + (high - low) * (slot + 0.5) / len(chosen)
        peak = ((times[k] + times[k + 1]) / 2, use.steps[k])
        box = {"boxstyle": "square,pad=0.3", "facecolor": "white", "edgecolor": INK}
        style: dict[str, Any] = {"ha": "center", "va": "center", "size": 8.5, "bbox": box}
        line = {"arrowstyle": "-|>", "color": INK, "linewidth": 0.8}
        ax.annotate(words, peak, (at, 0.93 * top), arrowprops=line, color=INK, **style)


def _named(outcome: Outcome, strip: int) -> str:
    return strip_words(strip + 1, outcome.basis.layout.strips[strip].name)


def of_day(outcome: Outcome, what: str, facts: Sequence[str], scale: float = 1.0) -> Figure:
    """An empty sheet with the heading of the day."""
    basis = outcome.basis
    return page(what, basis.scenario.title, basis.plan.name, outcome.log.seed, facts, scale)


def pumps_word(outcome: Outcome) -> str:
    """What places the concrete: "pump", "crane", "pumps", "pumps and cranes"."""
    basis = outcome.basis
    means = basis.scenario.means(basis.plan)
    cranes = means.count(SKIP)
    counts = (("pump", len(means) - cranes), ("crane", cranes))
    found = [(word, count) for word, count in counts if count]
    return " and ".join(word if count == 1 else f"{word}s" for word, count in found)


def unfinished(log: DayLog, units: Units = SI) -> tuple[str, ...]:
    """A line that says so where the day's work was not done."""
    if math.isfinite(log.end) and log.unfinished <= 0:
        return ()
    return (
        f"NOT FINISHED: {units.volume.text(log.unfinished, 1)} could not be placed on this day.",
    )


def first_moment(log: DayLog) -> float:
    """First time (s) of the day: a pump ready, or a truck loaded."""
    return min([log.ready, *(visit.batched for visit in log.visits)])
