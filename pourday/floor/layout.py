"""What a plan fixes before the day begins: strips in order, directions, volumes, edges."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import networkx as nx
import numpy as np
from numpy.typing import NDArray

from pourday.floor.bays import bays, open_width, sheet_runs, y_marks
from pourday.floor.edges import EdgePair, edge_pairs
from pourday.floor.frame import Frame, frame, stations
from pourday.floor.lines import LinePlace, bay_deck
from pourday.floor.order import (
    BrokenRule,
    add_wishes,
    broken_rules,
    listed_graph,
    sequence,
    spread_graph,
    thirds_graph,
)
from pourday.floor.ponding import FloorStruck, floor_struck
from pourday.floor.states import DeckLine, deck_lines
from pourday.floor.strips import Strip, cut_spread, cut_thirds
from pourday.scenario.model import Plan, Scenario

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Profile:
    """Volume placed in a strip when its front stands at ``y``.

    ``y`` (m) from low to high, ``volume`` (m³) cumulative from the low end; same shapes.
    """

    y: Floats
    volume: Floats


@dataclass(frozen=True, eq=False)
class Layout:
    """One plan on one floor. All sequences are in placing order unless said otherwise.

    ``upward`` says whether a strip is placed from low to high y. ``theory`` is the volume without
    ponding, ``volume`` the volume as struck (m³). ``moves`` (m) is the way of the front from the
    end of the strip before to the start of this one; 0 for the first.
    """

    strips: tuple[Strip, ...]
    upward: tuple[bool, ...]
    theory: Floats
    volume: Floats
    profiles: tuple[Profile, ...]
    moves: Floats
    pairs: tuple[EdgePair, ...]
    lines: tuple[DeckLine, ...]
    frame: Frame | None
    struck: FloorStruck
    graph: nx.DiGraph
    broken: tuple[BrokenRule, ...]

    @property
    def ponding(self) -> float:
        """Concrete above theory that the sag takes (m³)."""
        return float(self.volume.sum() - self.theory.sum())


def cut(scenario: Scenario, plan: Plan) -> tuple[Strip, ...]:
    """The strips of a plan, not yet in order."""
    floor = scenario.floor
    side_by_side = plan.order == "spread" or (plan.order == "listed" and plan.cut == "spread")
    if side_by_side:
        return cut_spread(floor, plan.strip_width, plan.fraction, plan.begin_at, plan.lanes)
    return cut_thirds(floor, plan.fraction, plan.begin_at, plan.lanes)


def order_graphs(plan: Plan, strips: tuple[Strip, ...]) -> tuple[nx.DiGraph, nx.DiGraph]:
    """The graph that the plan follows, and the graph of the rules it is judged by."""
    by_rule = (
        spread_graph(strips, plan.begin_at)
        if plan.order == "spread" or plan.cut == "spread"
        else thirds_graph(strips)
    )
    rules = by_rule.copy()
    graph = listed_graph(strips, plan.sequence or ()) if plan.order == "listed" else by_rule
    add_wishes(graph, plan.place_before)
    return graph, rules


def lay_out(scenario: Scenario, plan: Plan) -> Layout:
    """Cut, order and load the floor as ``plan`` wants it.

    Raises:
        pourday.floor.order.OrderError: for an order that cannot be followed.
        pourday.deck.ponding.DeckTooSoftError: where levelling the deck would never end.
        pourday.deck.grillage.BeamTooSoftError: where the beams under it are too soft.
    """
    unordered = cut(scenario, plan)
    graph, rules = order_graphs(plan, unordered)
    names = sequence(graph, plan.begin_at)
    by_name = {strip.name: strip for strip in unordered}
    strips = tuple(by_name[name] for name in names)
    upward = _directions(strips, plan.alternate)
    built = frame(scenario)
    runs = sheet_runs(scenario.floor)
    decks = [
        bay_deck(scenario, bay, runs[bay.run], strips, scenario.crews[plan.crew])
        for bay in bays(scenario.floor)
    ]
    decks = [deck for deck in decks if deck.strips]
    places = [
        LinePlace(number, station)
        for number, deck in enumerate(decks)
        for station in stations(scenario)
        if station.lane == deck.bay.lane
    ]
    struck = floor_struck(scenario, decks, places, upward, built)
    lines = deck_lines(scenario, decks, places, strips, struck, built)
    depth = scenario.slab.depth - scenario.deck.void_volume
    profiles = tuple(_profile(scenario, strip, i, lines) for i, strip in enumerate(strips))
    return Layout(
        strips=strips,
        upward=upward,
        theory=np.array([strip.area * depth for strip in strips]),
        volume=np.array([profile.volume[-1] for profile in profiles]),
        profiles=profiles,
        moves=_moves(strips, upward),
        pairs=edge_pairs(scenario.floor, strips),
        lines=lines,
        frame=built,
        struck=struck,
        graph=graph,
        broken=broken_rules(rules, names),
    )


def _directions(strips: tuple[Strip, ...], alternate: bool) -> tuple[bool, ...]:
    """Each strip begins at the end that is nearer to where the front stands."""
    upward: list[bool] = []
    here = -np.inf
    for strip in strips:
        up = not alternate or abs(strip.y0 - here) <= abs(strip.y1 - here) or here == -np.inf
        upward.append(up)
        here = strip.y1 if up else strip.y0
    return tuple(upward)


def _moves(strips: tuple[Strip, ...], upward: tuple[bool, ...]) -> Floats:
    start = [s.y0 if up else s.y1 for s, up in zip(strips, upward, strict=True)]
    end = [s.y1 if up else s.y0 for s, up in zip(strips, upward, strict=True)]
    moves = [0.0]
    for k in range(1, len(strips)):
        across = abs(strips[k].middle - strips[k - 1].middle)
        moves.append(across + abs(start[k] - end[k - 1]))
    return np.array(moves)


def _profile(scenario: Scenario, strip: Strip, index: int, lines: tuple[DeckLine, ...]) -> Profile:
    mine = [
        line
        for line in lines
        if index in line.strips and strip.y0 - 1e-6 < line.station.y < strip.y1 + 1e-6
    ]
    marks = {*y_marks(scenario.floor, strip.y0, strip.y1)}
    marks |= {y for line in mine for y in (line.station.low, line.station.high)}
    y = np.array(sorted(m for m in marks if strip.y0 <= m <= strip.y1))
    section = np.zeros(len(y) - 1)
    for line in mine:
        for cell, thickness in zip(line.cells, line.struck.thickness, strict=True):
            if cell.strip != index:
                continue
            for k, (a, b) in enumerate(pairwise(y)):
                if line.station.low - 1e-9 <= (a + b) / 2 <= line.station.high + 1e-9:
                    width = open_width(scenario.floor, cell.low, cell.high, (a + b) / 2)
                    section[k] += thickness * width
    volume = np.concatenate([[0.0], np.cumsum(section * np.diff(y))])
    return Profile(y, volume)
