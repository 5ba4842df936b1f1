"""How the deck bends while it is poured: one line of it at chosen moments of the order."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch, Rectangle

from pourday.floor.lines.states import ARRIVE, FRONT, DeckLine, State
from pourday.outcome.base.basis import Basis, Floats
from pourday.outcome.deck.peaks import heap_factors
from pourday.outcome.deck.values import Shape, chosen_shapes, placed_strips, worst_sag
from pourday.report.figures.axis import round_axis
from pourday.report.figures.deck.rows import STAGES, legend_below, row_of
from pourday.report.figures.page import page
from pourday.report.figures.style import DARK, FAINT, GREY, INK, PALE
from pourday.report.units import SI, Units


def deflected_shape(basis: Basis, seed: int | None, units: Units = SI) -> Figure:
    """The line that sags most: bare, after each third of its strips, at its worst, and full.

    Args:
        basis: the plan.
        seed: of the day; it draws the heaps.
        units: of the reader.
    """
    n, worst = worst_sag(basis, seed)
    line = basis.layout.lines[n]
    shapes = chosen_shapes(line, worst, heap_factors(basis, seed))
    on_beams = basis.layout.frame is not None
    stations, start = line.deck.unit.stations, line.supports[0]
    whole = [s.deck + np.interp(stations, line.supports, s.down) for _, s in shapes]
    low = 1e3 * max(float(w.max()) for w in whole)
    high = -1e3 * min(0.0, *(float(w.min()) for w in whole))
    facts = [
        f"Bay {line.bay.name}, line at y = {units.length.text(line.station.y, 1)}: here the deck "
        "sags most between its supports. Boxes on top are the strips, with their numbers on the "
        "strip plan."
    ]
    rows = len(shapes)
    first = row_of(0, rows, 2, gap=12.0)
    # The strips take the upper third of a panel, the bent deck the rest.
    reach = max(low, 1e-3) * 1.3 + high * 1.1
    top = -(high * 1.1 + 0.55 * reach)
    mm = first.height / (low * 1.3 - top)
    metre = first.width / (1.04 * (line.supports[-1] - start))
    facts.append(f"The sag is drawn about {_round(1000 * mm / metre)} times larger than life.")
    if on_beams:
        facts[1] += " Beams go down too: “in all” counts deck and beams from before the pour."
    figure = page("How the deck bends", basis.scenario.title, basis.plan.name, seed, facts)
    for row, ((kind, shape), all_down) in enumerate(zip(shapes, whole, strict=True)):
        area = row_of(row, rows, 2, gap=12.0)
        ax = area.axes(figure, 0.0, 1.0)
        ax.set_xlim(-0.02 * (line.supports[-1] - start), 1.02 * (line.supports[-1] - start))
        ax.set_ylim(low * 1.3, top)
        _strips_on_top(ax, basis, line, shape.state)
        _shape(ax, line, shape, all_down, on_beams)
        ax.tick_params(labelsize=7, labelbottom=row == rows - 1)
        round_axis(ax, "x", units.length, 12)
        round_axis(ax, "y", units.depth, 4, within=(0.0, 1.15 * low))
        ax.set_ylabel(f"down, {units.depth.word}", size=7.5)
        words = _shape_words(line, kind, shape, all_down, on_beams, units)
        area.beside(figure, [words])
    ax.set_xlabel(f"{units.length.word} from the low-x end of the sheet", size=7.5, labelpad=1)
    _shape_legend(figure, on_beams)
    return figure


def _round(times: float) -> str:
    digits = 10 ** max(0, int(np.floor(np.log10(max(times, 1.0)))) - 1)
    return f"{round(times / digits) * digits:.0f}"


def _strips_on_top(ax: Axes, basis: Basis, line: DeckLine, state: State) -> None:
    placed = placed_strips(line, state)
    for i in line.strips:
        strip = basis.layout.strips[i]
        x0 = max(strip.x0, line.bay.x0) - line.supports[0]
        x1 = min(strip.x1, line.bay.x1) - line.supports[0]
        here = i == state.strip and state.stage in (ARRIVE, FRONT)
        style: dict[str, Any] = {"facecolor": "white", "linestyle": (0, (2, 2)), "edgecolor": GREY}
        if i in placed:
            style = {"facecolor": PALE, "edgecolor": INK, "hatch": "////"}
        if here:
            style = {"facecolor": FAINT, "edgecolor": INK, "hatch": "xxxx"}
            style |= {} if state.stage == FRONT else {"hatch": ""}
        at: dict[str, Any] = {"transform": ax.get_xaxis_transform(), "zorder": 2}
        ax.add_patch(Rectangle((x0, 0.74), x1 - x0, 0.22, linewidth=0.7, **at, **style))
        box = {"boxstyle": "square,pad=0.15", "facecolor": "white", "edgecolor": "none"}
        words: dict[str, Any] = {"size": 8, "ha": "center", "va": "center", "color": INK}
        words["weight"] = "bold" if i in placed or here else "normal"
        gid = f"strip {i + 1}"
        ax.text((x0 + x1) / 2, 0.85, f"{i + 1}", bbox=box, gid=gid, **(at | words | {"zorder": 5}))


def _shape(ax: Axes, line: DeckLine, shape: Shape, whole: Floats, on_beams: bool) -> None:
    start = line.supports[0]
    x, supports = line.deck.unit.stations - start, np.array(line.supports) - start
    order = np.argsort(x, kind="stable")
    ax.axhline(0.0, color=GREY, linewidth=0.8, linestyle=(0, (1.5, 2)), zorder=1)
    if on_beams:
        bent: dict[str, Any] = {"color": INK, "linewidth": 0.9, "linestyle": (0, (5, 2))}
        ax.plot(supports, 1e3 * shape.down, zorder=2, **bent)
    ax.plot(x[order], 1e3 * whole[order], color=DARK, linewidth=2.2, zorder=3)
    marks: dict[str, Any] = {"marker": 6, "markersize": 8, "linestyle": "none", "clip_on": False}
    ax.plot(supports, 1e3 * shape.down, color=INK, zorder=4, **marks)
    k = int(np.argmax(shape.deck))
    ax.plot(x[k], 1e3 * whole[k], marker="o", markersize=5, color=INK, zorder=5)


def _shape_words(
    line: DeckLine, kind: str, shape: Shape, whole: Floats, on_beams: bool, units: Units
) -> str:
    state, start = shape.state, line.supports[0]
    count = len(placed_strips(line, state))
    k, up = int(np.argmax(shape.deck)), int(np.argmin(shape.deck))
    x = line.deck.unit.stations - start
    heads = {
        "start": "BEFORE THE FIRST STRIP",
        "full": "FULL: all strips placed",
        "worst": "WORST",
        "between": f"AFTER STRIP {state.strip + 1}",
    }
    stage = [STAGES[state.stage].format(state.strip + 1)] if kind == "worst" else []
    parts = [
        heads[kind],
        *stage,
        f"{count} of {len(line.strips)} strips on this line placed",
        f"deck sags {units.depth.text(1e3 * shape.deck[k], 1)} at {units.length.text(x[k], 2)}",
    ]
    if shape.deck[up] < -0.05e-3:
        rise = units.depth.text(-1e3 * shape.deck[up], 1)
        parts.append(f"deck rises {rise} at {units.length.text(x[up], 2)}")
    if on_beams:
        parts.append(f"in all {units.depth.text(1e3 * whole.max(), 1)} down, beams included")
    return "\n".join(parts)


def _shape_legend(figure: Figure, on_beams: bool) -> None:
    handles: list[Any] = [
        Line2D([], [], color=DARK, linewidth=2.2),
        Line2D([], [], color=GREY, linewidth=0.8, linestyle=(0, (1.5, 2))),
        Line2D([], [], color=INK, marker=6, linestyle="none"),
        Line2D([], [], color=INK, marker="o", markersize=5, linestyle="none"),
        Patch(facecolor=PALE, edgecolor=INK, hatch="////", linewidth=0.7),
        Patch(facecolor=FAINT, edgecolor=INK, hatch="xxxx", linewidth=0.7),
        Patch(facecolor="white", edgecolor=GREY, linestyle=(0, (2, 2)), linewidth=0.7),
    ]
    words = [
        "deck",
        "not bent",
        "support",
        "deck sags most",
        "placed",
        "being placed",
        "not yet",
    ]
    if on_beams:
        dash: dict[str, Any] = {"linewidth": 0.9, "linestyle": (0, (5, 2))}
        handles.insert(1, Line2D([], [], color=INK, **dash))
        words.insert(1, "between the beams")
    legend_below(figure, handles, words)
