"""The time line of a day: pumps, strips, what goes wrong, and every truck against the clock."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Patch

from pourday.day.log import (
    CHANGING,
    DOWN,
    HELD,
    IDLE,
    LENT,
    MOVING,
    RAIN,
    SETTING_UP,
    SHORT,
    STARVED,
    Visit,
)
from pourday.outcome.measure import Outcome, PumpTimes, pump_times
from pourday.report.figures.day.concrete_and_deck import (
    first_moment,
    of_day,
    pumps_word,
    unfinished,
)
from pourday.report.figures.day.upsets import (
    Marked,
    lane_height,
    marked,
    upset_lane,
    upset_words,
    words_height,
    write_upsets,
)
from pourday.report.figures.page import (
    A4,
    POINTS,
    clock_axis,
    clock_words,
    full_axis,
    last_moment,
    mark_breaks,
    mark_curfew,
)
from pourday.report.figures.strip_lane import strip_lane, strip_levels
from pourday.report.figures.style import DARK, FAINT, INK, LIGHT, MIDDLE, PALE
from pourday.report.units import SI, Units
from pourday.report.words import clock, hours

PLACING = "placing"
_STATES = (
    (PLACING, PLACING, DARK, ""),
    (STARVED, "no truck", FAINT, "////"),
    (CHANGING, "changing", PALE, "...."),
    (MOVING, "moving", MIDDLE, ""),
    (SETTING_UP, "setting up", "white", "----"),
    (HELD, "held", "white", "||||"),
    (DOWN, "down", "white", "xxxx"),
    (SHORT, "short", FAINT, "...."),
    (LENT, "lent", PALE, "////"),
    (IDLE, "break", LIGHT, ""),
    (RAIN, "rain", MIDDLE, "\\\\"),
)
_RARE = {
    SETTING_UP: "took a new place or changed pipes (setting up)",
    HELD: "waited for another crew or strip (held)",
    SHORT: "stood for want of people (short)",
    LENT: "lifted for other trades (lent)",
}
"""States with a row only on days that know them, and their words."""
_PARTS = (
    ("drive", "white", ""),
    ("at the site before discharge", FAINT, "////"),
    ("discharge", DARK, ""),
    ("wash, leave", LIGHT, ""),
)
_BY_FRONT = ((DARK, ""), (PALE, "xxxx"), ("white", "...."), (MIDDLE, "\\\\\\\\"))
"""Discharge into the first pump, the second, and so on."""
_MARKS = {
    "part rejected": ("P", "part rejected"),
    "rejected: age": ("A", "rejected: age"),
    "rejected: test": ("T", "rejected: test"),
    "rejected: slump": ("S", "rejected: slump"),
    "returned": ("R", "returned"),
    "part returned": ("B", "part returned"),
}
_LEFT, _WIDE = 0.085, 0.815
_ROW, _SUB_ROW = 9.8, 7.0  # height of a state with one pump, and of each pump's part of it (pt)
_BELOW = 68.4  # below the trucks: clock, legend, foot (pt)
_GAPS = (9.0, 7.0)  # below the pump's rows, and below the others (pt)
_LEAST_TRUCKS = 200.0  # height of the trucks (pt) below which a larger sheet is taken
_LEGEND: dict[str, Any] = {"frameon": False, "fontsize": 8, "handlelength": 3}


def time_line(outcome: Outcome, units: Units = SI) -> Figure:
    """Pumps, strips, upsets and every truck against the clock."""
    log = outcome.log
    facts, room = _facts(outcome, units), _rooms(outcome)[-1]
    for each in reversed(_rooms(outcome)):
        room = each if each.trucks >= _LEAST_TRUCKS else room
    figure = of_day(outcome, "Time line", facts, room.scale)
    wide, tall = figure.get_size_inches() * POINTS
    start, end = first_moment(log), last_moment(log)
    top = tall - room.top

    def _lane(height: float, gap: float) -> Axes:
        nonlocal top
        ax = figure.add_axes((_LEFT, (top - height) / tall, _WIDE, height / tall))
        top -= height + gap
        return ax

    pump, strips = _lane(room.pump, _GAPS[0]), _lane(room.strips, _GAPS[1])
    wrong = _lane(lane_height(room.marks), _GAPS[1]) if room.marks else None
    trucks = _lane(room.trucks, 0.0)
    lanes = [pump, strips, trucks, *([wrong] if wrong is not None else [])]
    for ax in lanes:
        clock_axis(ax, start, end, labels=ax is trucks)
    pump.tick_params(axis="x", labeltop=True, labelsize=8)
    mark_breaks(lanes, log)
    _pump_lane(pump, outcome)
    strip_lane(strips, outcome, (PALE, "white"))
    fronts = len(log.fronts)
    strips.set_ylabel("strip", size=9, weight="bold", labelpad=4 if fronts == 1 else 14)
    if wrong is not None:
        upset_lane(wrong, (pump, strips, trucks), room.marks)
    mark_curfew((*lanes[:2], *lanes[3:], trucks), outcome.basis.scenario.site.curfew, trucks)
    _truck_rows(trucks, log.visits, units)
    curfew = outcome.basis.scenario.site.curfew
    trucks.set_xlabel(clock_words(trucks, curfew), size=8, labelpad=1)
    lines = upset_words(room.marks, log.upsets)
    write_upsets(figure, lines, _LEFT * wide, top - 29.0, _WIDE * wide)
    figure.legend(
        handles=_parts(fronts), loc="lower left", bbox_to_anchor=(0.08, 16.7 / tall),
        ncols=len(_PARTS) + fronts - 1, columnspacing=2.0 if fronts < 3 else 1.0, **_LEGEND,
    )  # fmt: skip
    return figure


@dataclass(frozen=True)
class _Room:
    """A sheet of ``scale`` times A4, and how high (pt) what stands on it may be."""

    scale: float
    top: float
    pump: float
    strips: float
    marks: tuple[Marked, ...]
    trucks: float


def _rooms(outcome: Outcome) -> list[_Room]:
    """How the lanes fit on A4, and on larger sheets."""
    log, facts = outcome.log, len(_facts(outcome, SI))
    fronts, states = len(log.fronts), len(_states(outcome))
    low, high = full_axis(first_moment(log), last_moment(log))
    out = []
    for scale in (1.0, math.sqrt(2.0), 2.0):
        wide, tall = A4[0] * scale * POINTS * _WIDE, A4[1] * scale * POINTS
        marks = marked(log.upsets, low, high, wide)
        top = 77.4 + (15.0 * (facts - 3) + 19.0 if facts > 2 else 0.0)
        pump = states * (_ROW if fronts == 1 else max(_ROW, _SUB_ROW * fronts))
        levels = fronts * strip_levels(outcome, low, high, wide)
        strips = 38.7 if fronts == 1 else max(38.7, 11.0 * levels)
        below = _BELOW + words_height(marks, log.upsets)
        used = top + pump + _GAPS[0] + strips + _GAPS[1] + below
        used += lane_height(marks) + _GAPS[1] if marks else 0.0
        out.append(_Room(scale, top, pump, strips, marks, tall - used))
    return out


def _facts(outcome: Outcome, units: Units) -> list[str]:
    log, spent = outcome.log, outcome.pump
    several = len(log.fronts) > 1
    sent_away = sum(visit.outcome != "placed" for visit in log.visits)
    first = f"First concrete {clock(log.start)}, last {clock(log.end)}."
    trucks = (
        f"{first if log.stretches else 'No concrete placed.'} Trucks: {len(log.visits)}, "
        f"not emptied: {sent_away}."
    )
    rare = [
        f"{words} {hours(getattr(spent, kind))}"
        for kind, words in _RARE.items()
        if getattr(spent, kind) > 0
    ]
    were = "were" if several else "was"
    pumps = (
        f"The {pumps_word(outcome)}{', added up,' if several else ''} stood with no truck on the "
        f"site {hours(spent.starved)}, while trucks changed {hours(spent.changing)}, "
        f"{were} moved {hours(spent.moving)}, {''.join(f'{each}, ' for each in rare)}"
        f"{were} down {hours(spent.down)}."
    )
    if not several and not rare:
        return [f"{trucks} {pumps}", *unfinished(log, units)]
    return [trucks, *_in_lines(pumps, 140), *unfinished(log, units)]


def _in_lines(text: str, most: int) -> list[str]:
    """Lines of at most ``most`` letters, broken behind commas."""
    lines = [""]
    for part in text.split(", "):
        joined = f"{lines[-1]}, {part}" if lines[-1] else part
        if len(joined) < most or not lines[-1]:
            lines[-1] = joined
        else:
            lines[-1] += ","
            lines.append(part)
    return lines


def _states(outcome: Outcome) -> list[tuple[str, str, str, str]]:
    """The rows of the pump: kind, name, fill, hatch."""
    kinds = {stop.kind for stop in outcome.log.stops}
    return [state for state in _STATES if state[0] not in _RARE or state[0] in kinds]


def _pump_lane(ax: Axes, outcome: Outcome) -> None:
    """A row for each state, in it a part for each pump, with the sum of its times at the right."""
    log, states = outcome.log, _states(outcome)
    fronts = len(log.fronts)
    share = 1.0 / fronts
    for front in range(fronts):
        spent: PumpTimes = pump_times(log, front)
        for row, (kind, _, fill, hatch) in enumerate(states):
            at = row - 0.5 + (front + 0.5) * share
            spans = [(s.start, s.end) for s in log.stops if s.kind == kind and s.front == front]
            if kind == PLACING:
                spans = [(s.start, s.end) for s in log.stretches if s.front == front]
            gid = f"{kind} {front + 1}"
            _bars(ax, [at] * len(spans), spans, fill, hatch, height=0.8 * share, gid=gid)
            place: dict[str, Any] = {"transform": ax.get_yaxis_transform(), "va": "center"}
            place |= {"color": INK, "size": 8 if fronts == 1 else 6}
            ax.text(1.008, at, hours(getattr(spent, kind)), gid=f"sum {gid}", **place)
            if fronts > 1:
                ax.text(-0.005, at, f"{front + 1}", ha="right", **place)
    if fronts > 1:
        for row in range(1, len(states)):
            ax.axhline(row - 0.5, color=INK, linewidth=0.4)
    ax.set_yticks(range(len(states)), [name for _, name, _, _ in states], size=8)
    ax.set_ylim(len(states) - 0.5, -0.5)
    ax.tick_params(axis="y", length=0, pad=3.5 if fronts == 1 else 13)
    ax.set_ylabel(pumps_word(outcome), size=9, weight="bold")


def _parts(fronts: int) -> list[Patch]:
    """What stands in the legend: the parts of a truck's way, discharge for each pump."""
    out = []
    for name, fill, hatch in _PARTS:
        if name != "discharge" or fronts == 1:
            out.append(_patch(name, fill, hatch))
            continue
        for front in range(fronts):
            out.append(_patch(f"discharge, pump {front + 1}", *_BY_FRONT[front % len(_BY_FRONT)]))
    return out


def _truck_rows(ax: Axes, visits: Sequence[Visit], units: Units) -> None:
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
    for (name, fill, hatch), pieces in zip(_PARTS, spans, strict=True):
        if name != "discharge":
            _bars(ax, rows, pieces, fill, hatch)
            continue
        for front in sorted({v.front for v in visits}):
            mine = [n for n, v in enumerate(visits) if v.front == front]
            look = _BY_FRONT[front % len(_BY_FRONT)]
            gid = f"discharge {front + 1}"
            _bars(ax, [rows[n] for n in mine], [pieces[n] for n in mine], *look, gid=gid)
    count = max(rows, default=1)
    tall = ax.get_position().height * ax.figure.bbox.height / ax.figure.dpi * POINTS
    pitch = tall / (max(count, 12) + 1)
    in_words = pitch >= 6.0
    seen = _mark_lost(ax, visits, pitch, units)
    step = next(s for s in (1, 2, 5, 10, 20, 50, 10**9) if pitch * s >= 6.5 or s > 20)
    marks = [n for n in range(1, count + 1) if n % step == 0 or (n == 1 and step != 2)]
    ax.set_yticks(marks, [str(n) for n in marks], size=min(8.0, max(6.0, 0.9 * pitch * step)))
    ax.tick_params(axis="y", length=0)
    if step > 1:
        ax.grid(axis="y", color=LIGHT, linewidth=0.5)
    ax.set_ylim(max(count, 12) + 1.0, 0.0)
    ax.set_ylabel("truck, in order of batching", size=9, weight="bold")
    if seen and not in_words:
        place: dict[str, Any] = {"ha": "right", "va": "top", "size": 8, "color": INK}
        place |= {"xycoords": "axes fraction", "textcoords": "offset points"}
        ax.annotate("; ".join(sorted(seen)), (1.0, 0.0), (0, -17), **place)


def _mark_lost(ax: Axes, visits: Sequence[Visit], pitch: float, units: Units) -> set[str]:
    """What was not placed, in words or as a letter behind its truck; what the letters mean.

    ``pitch`` is from row to row (pt). A letter that would lie on that of a truck above moves on.
    """
    seen, cubic, in_words = set(), units.volume.word, pitch >= 6.0
    low, high = ax.get_xlim()
    per_point = (
        (high - low) / (ax.get_position().width * ax.figure.bbox.width) * (ax.figure.dpi / POINTS)
    )
    taken: list[tuple[int, float]] = []  # row and left end (pt) of letters
    for v in visits:
        if v.outcome not in _MARKS:
            continue
        letter, words = _MARKS[v.outcome]
        gone = v.rejected + v.returned
        amount = units.volume.text(gone, 1) if gone >= 0.05 else f"under 0.1 {cubic}"
        size = min(7.0, 0.95 * pitch) if in_words else (6.5 if pitch >= 3.5 else 5.0)
        style: dict[str, Any] = {"textcoords": "offset points", "va": "center", "color": INK}
        style |= {"size": size, "weight": "normal" if in_words else "bold"}
        late = in_words and v.left_site > low + 0.86 * (high - low)
        left = v.left_site / per_point + 3.0
        while not in_words and any(
            (v.number - row) * pitch < 1.3 * size and abs(left - other) < size + 1
            for row, other in taken
        ):
            left += size + 1
        taken.append((v.number, left))
        off = -3.0 if late else left - v.left_site / per_point
        style["ha"] = "right" if late else "left"
        at = (v.batched if late else v.left_site, v.number + 1)
        ax.annotate(f"{words}, {amount}" if in_words else letter, at, (off, 0), **style)
        seen.add(f"{letter} = {words}")
    return seen


def _bars(
    ax: Axes,
    rows: Sequence[float],
    spans: Sequence[tuple[float, float]],
    fill: str,
    hatch: str,
    **more: Any,
) -> None:
    """Horizontal bars from and to given times, one in each row."""
    if spans:
        left = [a for a, _ in spans]
        width = [b - a for a, b in spans]
        style: dict[str, Any] = {"height": 0.8, "facecolor": fill, "hatch": hatch, "zorder": 2}
        ax.barh(rows, width, left=left, edgecolor=INK, linewidth=0.35, **(style | more))


def _patch(name: str, fill: str, hatch: str) -> Patch:
    return Patch(facecolor=fill, edgecolor=INK, hatch=hatch, linewidth=0.5, label=name)
