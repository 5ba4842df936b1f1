"""What a plan fixes before the day begins: strips in order, directions, volumes, edges."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from pourday.floor.access.parts import Part, parts_of
from pourday.floor.access.set_ups import FrontAccess, front_access
from pourday.floor.access.zones import Shared, shared_ground
from pourday.floor.bands import band_marks, bands_in
from pourday.floor.cut import FloorCut, floor_cut
from pourday.floor.cutting import strips_of
from pourday.floor.edges import EdgePair, edge_pairs
from pourday.floor.lines.frame import Frame, frame, stations
from pourday.floor.lines.lines import LinePlace, bay_decks
from pourday.floor.lines.ponding import FloorStruck, Striking, floor_struck
from pourday.floor.lines.states import DeckLine, deck_lines
from pourday.floor.lines.working import gear_of
from pourday.floor.order.directions import directions
from pourday.floor.order.graph import BrokenRule, broken_rules
from pourday.floor.order.shares import bays_of_fronts, order_of
from pourday.floor.strips import Strip, way_of_cutting
from pourday.scenario.base.distribution import fixed
from pourday.scenario.model.scenario import Plan, Scenario

if TYPE_CHECKING:
    import networkx as nx

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Profile:
    """Volume placed in a strip when its front stands at ``at``, along its way.

    ``at`` (m) from low to high, ``volume`` (m³) cumulative from the low end; same shapes.
    """

    at: Floats
    volume: Floats


@dataclass(frozen=True, eq=False)
class Layout:
    """One plan on one floor. All sequences are in placing order unless said otherwise.

    ``upward`` says whether a strip is placed from low to high along its way, y or x: ``along``.
    ``theory`` is the volume without ponding, ``volume`` the volume as struck (m³). ``moves`` (m) is
    the way of the front from the end of the strip that the same front placed before to the start of
    this one; 0 for its first. ``walks_on`` marks strips that the hose simply walks on to: the next
    span of its band, or the next band where it stands. ``front_of`` is the front (index) that
    places each strip, ``access`` what the pump of each front needs to get there; ``parts`` cut each
    strip where the pump changes its place or crews could come too near each other, and
    ``waits_for`` are strips of other fronts that come first. ``cut`` is the floor cut into sheet
    runs, lanes and bays, the same for every plan.
    """

    cut: FloorCut
    strips: tuple[Strip, ...]
    upward: tuple[bool, ...]
    theory: Floats
    volume: Floats
    profiles: tuple[Profile, ...]
    moves: Floats
    walks_on: tuple[bool, ...]
    pairs: tuple[EdgePair, ...]
    lines: tuple[DeckLine, ...]
    frame: Frame | None
    struck: FloorStruck
    graph: nx.DiGraph
    broken: tuple[BrokenRule, ...]
    front_of: tuple[int, ...]
    access: tuple[FrontAccess, ...]
    parts: tuple[tuple[Part, ...], ...]
    waits_for: tuple[tuple[int, ...], ...]

    @property
    def along(self) -> str:
        """The way of the fronts: "y" along the strips, "x" across the floor in bands."""
        return self.strips[0].along

    @property
    def ponding(self) -> float:
        """Concrete above theory that the sag takes (m³)."""
        return float(self.volume.sum() - self.theory.sum())


def as_laid_out(plan: Plan) -> Plan:
    """The plan with nothing in it that its layout does not ask for.

    Plans that are alike so have the same layout: they differ in spacing, start or supply alone.
    """
    fronts = tuple(
        replace(front, spacing=_NEVER_MIND, plants=(), start=front.start - plan.start)
        for front in plan.fronts
    )
    return replace(
        plan,
        name="",
        fronts=fronts,
        stages=(),
        trucks=None,
        load=None,
        most_on_site=None,
        hold_back_at=None,
        standby_after=None,
        standby_call_out=0.0,
    )


_NEVER_MIND = fixed(0.0)


def ground_of(scenario: Scenario) -> tuple[object, ...]:
    """What a layout asks of its scenario: where this is the same, alike plans share a layout.

    Supply, weather, concrete, room for trucks, hours, prices and limits are not in it.
    """
    site = scenario.site
    return (
        scenario.floor, scenario.deck, scenario.slab, scenario.loads, scenario.beams,
        scenario.props, scenario.pumps, scenario.crews,
        site.set_ups, site.floor_height, site.working_zone, site.crews_apart,
    )  # fmt: skip


def lay_out(scenario: Scenario, plan: Plan, cut: FloorCut | None = None) -> Layout:
    """Cut, order and load the floor as ``plan`` wants it.

    ``cut`` is that of the scenario's floor, for those who have several plans for it.

    Raises:
        pourday.floor.order.graph.OrderError: for an order that cannot be followed.
        pourday.floor.access.set_ups.ReachError: where a pump does not reach all of its strips.
        pourday.deck.ponding.DeckTooSoftError: where levelling the deck would never end.
        pourday.deck.grillage.BeamTooSoftError: where the beams under it are too soft.
    """
    cut = cut or floor_cut(scenario.floor)
    unordered = strips_of(cut, plan)
    of_bay = bays_of_fronts(cut, plan)
    order = order_of(scenario, plan, unordered, of_bay)
    by_name = {strip.name: strip for strip in unordered}
    strips = tuple(by_name[name] for name in order.names)
    front_of = tuple(order.front_of[name] for name in order.names)
    turns = [[i for i, f in enumerate(front_of) if f == n] for n in range(len(plan.fronts))]
    upward = directions(strips, turns, plan)
    access = tuple(
        front_access(scenario, front, [strips[i] for i in mine], [upward[i] for i in mine])
        for front, mine in zip(plan.fronts, turns, strict=True)
    )
    built, struck, lines = _struck(scenario, plan, cut, (strips, upward), None)
    shared = shared_ground(strips, front_of, cut.runs, scenario.site)
    depth = scenario.slab.depth - scenario.deck.void_volume
    profiles = tuple(_profile(cut, strip, i, lines) for i, strip in enumerate(strips))
    return Layout(
        cut=cut,
        strips=strips,
        upward=upward,
        theory=np.array([strip.area * depth for strip in strips]),
        volume=np.array([profile.volume[-1] for profile in profiles]),
        profiles=profiles,
        moves=_moves(strips, turns, upward),
        walks_on=_walks_on(strips, turns, upward),
        pairs=edge_pairs(scenario.floor, strips),
        lines=lines,
        frame=built,
        struck=struck,
        graph=order.graph,
        broken=broken_rules(order.rules, order.names),
        front_of=front_of,
        access=access,
        parts=_parts(strips, turns, upward, access, profiles, shared),
        waits_for=_waits_for(order.graph, strips, front_of),
    )


def restruck(scenario: Scenario, plan: Plan, layout: Layout) -> Layout:
    """The floor of ``layout`` struck as ``plan`` says, which differs from its plan in nothing else.

    Raises:
        pourday.deck.ponding.DeckTooSoftError: where levelling the deck so would never end.
        pourday.deck.grillage.BeamTooSoftError: where the beams under it are too soft.
    """
    strips, upward, cut = layout.strips, layout.upward, layout.cut
    built, struck, lines = _struck(scenario, plan, cut, (strips, upward), layout.frame)
    turns = [[i for i, f in enumerate(layout.front_of) if f == n] for n in range(len(plan.fronts))]
    shared = shared_ground(strips, layout.front_of, cut.runs, scenario.site)
    profiles = tuple(_profile(cut, strip, i, lines) for i, strip in enumerate(strips))
    return replace(
        layout,
        volume=np.array([profile.volume[-1] for profile in profiles]),
        profiles=profiles,
        lines=lines,
        frame=built,
        struck=struck,
        parts=_parts(strips, turns, upward, layout.access, profiles, shared),
    )


def _struck(
    scenario: Scenario,
    plan: Plan,
    cut: FloorCut,
    placed: tuple[tuple[Strip, ...], tuple[bool, ...]],
    known: Frame | None,
) -> tuple[Frame | None, FloorStruck, tuple[DeckLine, ...]]:
    """Beams, what is struck and what the deck feels; ``placed`` are strips and their ways."""
    strips, upward = placed
    of_bay = bays_of_fronts(cut, plan)
    gear = [gear_of(scenario, front) for front in plan.fronts]
    marks = band_marks(cut, plan) if way_of_cutting(plan) == "across" else ()
    across = stations(scenario, cut, marks)
    built = known or frame(scenario, cut, across)
    pieces = [
        (piece, gear[of_bay[piece.name]]) for bay in cut.bays for piece in bands_in(bay, marks)
    ]
    decks = bay_decks(scenario, cut, pieces, strips, plan.strike)
    places = [
        LinePlace(number, station)
        for number, deck in enumerate(decks)
        for station in across
        if station.lane == deck.bay.lane and deck.bay.y0 < station.y < deck.bay.y1
    ]
    way = Striking(plan.strike, plan.strike_lag, upward)
    struck = floor_struck(scenario, decks, places, way, built)
    return built, struck, deck_lines(scenario, decks, places, strips, struck, built)


def _parts(
    strips: Sequence[Strip],
    turns: Sequence[Sequence[int]],
    upward: Sequence[bool],
    access: Sequence[FrontAccess],
    profiles: Sequence[Profile],
    shared: Sequence[Sequence[Shared]],
) -> tuple[tuple[Part, ...], ...]:
    legs = {
        i: leg
        for mine, at in zip(turns, access, strict=True)
        for i, leg in zip(mine, at.legs, strict=True)
    }
    return tuple(
        parts_of(strip, upward[i], profiles[i].at, profiles[i].volume, legs[i], shared[i])
        for i, strip in enumerate(strips)
    )


def _waits_for(
    graph: nx.DiGraph, strips: Sequence[Strip], front_of: Sequence[int]
) -> tuple[tuple[int, ...], ...]:
    at = {strip.name: i for i, strip in enumerate(strips)}
    before = [[at[name] for name in graph.predecessors(strip.name)] for strip in strips]
    return tuple(
        tuple(k for k in mine if front_of[k] != front_of[i]) for i, mine in enumerate(before)
    )


def _ends(strip: Strip, up: bool) -> tuple[tuple[float, float], tuple[float, float]]:
    """x and y of the front at the start and at the end of a strip."""
    low, high = strip.at(strip.low), strip.at(strip.high)
    return (low, high) if up else (high, low)


def _moves(
    strips: Sequence[Strip], turns: Sequence[Sequence[int]], upward: Sequence[bool]
) -> Floats:
    moves = np.zeros(len(strips))
    for mine in turns:
        for before, i in pairwise(mine):
            end = _ends(strips[before], upward[before])[1]
            start = _ends(strips[i], upward[i])[0]
            moves[i] = abs(start[0] - end[0]) + abs(start[1] - end[1])
    return moves


def _walks_on(
    strips: Sequence[Strip], turns: Sequence[Sequence[int]], upward: Sequence[bool]
) -> tuple[bool, ...]:
    """Strips of bands that begin where the one before ended, beside it or in the next band."""
    walks = [False] * len(strips)
    for mine in turns:
        for before, i in pairwise(mine):
            a, b = strips[before], strips[i]
            at_once = abs(_ends(a, upward[before])[1][0] - _ends(b, upward[i])[0][0]) < 1e-6
            apart = max(0.0, a.y0 - b.y1, b.y0 - a.y1)
            walks[i] = a.along == b.along == "x" and at_once and apart < 1e-6
    return tuple(walks)


def _profile(cut: FloorCut, strip: Strip, index: int, lines: tuple[DeckLine, ...]) -> Profile:
    """Volume along the way of a strip's front: of each deck line its thickness times its width."""
    across = strip.along == "x"
    mine = [
        line
        for line in lines
        if index in line.strips and strip.y0 - 1e-6 < line.station.y < strip.y1 + 1e-6
    ]
    cells = [
        (line.station, cell.low, cell.high, thickness)
        for line in mine
        for cell, thickness in zip(line.cells, line.struck.thickness, strict=True)
        if cell.strip == index
    ]
    if across:
        marks = {*cut.x_marks(strip.x0, strip.x1)} | {x for _, a, b, _ in cells for x in (a, b)}
    else:
        marks = {*cut.y_marks(strip.y0, strip.y1)}
        marks |= {y for line in mine for y in (line.station.low, line.station.high)}
    at = np.array(sorted(m for m in marks if strip.low <= m <= strip.high))
    section = np.zeros(len(at) - 1)
    for station, low, high, thickness in cells:
        for k, (a, b) in enumerate(pairwise(at)):
            middle = (a + b) / 2
            if across and low - 1e-9 <= middle <= high + 1e-9:
                section[k] += thickness * cut.open_depth(station.low, station.high, middle)
            elif not across and station.low - 1e-9 <= middle <= station.high + 1e-9:
                section[k] += thickness * cut.open_width(low, high, middle)
    volume = np.concatenate([[0.0], np.cumsum(section * np.diff(at))])
    return Profile(at, volume)
