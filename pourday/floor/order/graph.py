"""The placement order: a directed acyclic graph over strips, with a reason on every edge.

``thirds_graph`` and ``spread_graph`` write down the rules of design section 5 (common practice, no
source); ``listed_graph`` writes down the user's own order. ``sequence`` walks any of them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from pourday.floor.strips import BAND, BEAM, EDGE, GAP, JOINT, Strip

if TYPE_CHECKING:
    import networkx as nx

# A circle of more strips than this is told in part.
_SHORT = 6
_BAYS = "bays follow one another"
_BANDS = "each band after the one before it"
_IN_TURN = "the hose crosses the spans of a band in turn"
_PHASE = {BEAM: 0, EDGE: 1, GAP: 1, JOINT: 2, BAND: 0}


class OrderError(ValueError):
    """An order that cannot be followed; the text says why, in words for the planner."""


@dataclass(frozen=True)
class BrokenRule:
    """A rule that a listed order breaks: ``later`` should have waited for ``earlier``."""

    earlier: str
    later: str
    rule: str
    consequence: str


CONSEQUENCE = {
    "beam strip before the gap beside it": (
        "the middle of the span is loaded while the beams beside it are bare: the deck sags more "
        "there and the neighbouring spans lift"
    ),
    "beam strip before the edge strip": (
        "the end span is loaded with nothing over the first inner beam to hold it down: more sag "
        "at the edge and uplift beyond the beam"
    ),
    "joint strip last in its bay": (
        "the ends of the sheets turn while concrete stands over them: the joint can open and leak, "
        "and the level over it moves"
    ),
    "bays follow one another": (
        "a fresh edge is left open at the bay that is skipped, and crew and hose cross it"
    ),
    _BANDS: (
        "the front is broken: the band stands alone in its span and opens a fresh edge on each side"
    ),
    _IN_TURN: "hose and crew walk past a span that they come back to",
    "each strip after its neighbour": (
        "the strip stands alone: it opens two fresh edges where one would have been opened"
    ),
}


def thirds_graph(strips: Sequence[Strip]) -> nx.DiGraph:
    """Beam strips, then gaps and edges, then the joint, bay after bay (design section 5)."""
    graph = _nodes(strips)
    for group in _by_bay(strips):
        joints = [s for s in group if s.kind == JOINT]
        others = [s for s in group if s.kind != JOINT]
        for strip in (s for s in others if s.joined and s.kind == BEAM):
            for beam in (s for s in others if s.kind == BEAM and _at_the_gap(s, strip)):
                _edge(graph, beam, strip, "beam strip before the gap beside it")
        for strip in (s for s in others if s.kind in (GAP, EDGE)):
            word = "gap beside it" if strip.kind == GAP else "edge strip"
            for beam in (s for s in others if s.kind == BEAM and _touch(s, strip)):
                _edge(graph, beam, strip, f"beam strip before the {word}")
        for joint in joints:
            for strip in others:
                _edge(graph, strip, joint, "joint strip last in its bay")
    _chain_bays(graph, strips)
    return graph


def spread_graph(strips: Sequence[Strip], begin_at: str) -> nx.DiGraph:
    """Strips side by side from the starting end, each after its neighbour."""
    graph = _nodes(strips)
    for group in _by_bay(strips):
        along = sorted(group, key=lambda s: s.x0, reverse=begin_at == "high_x")
        for before, after in pairwise(along):
            _edge(graph, before, after, "each strip after its neighbour")
    _chain_bays(graph, strips)
    return graph


def band_rules(strips: Sequence[Strip]) -> nx.DiGraph:
    """Order "across": every band after the one before it, pour after pour; strips as cut."""
    graph = _nodes(strips)
    last: dict[tuple[str, float], Strip] = {}
    for strip in strips:
        before = last.get((strip.bay, strip.x0))
        if before is not None:
            _edge(graph, before, strip, _BANDS)
        last[strip.bay, strip.x0] = strip
    _chain_bays(graph, strips)
    return graph


def across_graph(strips: Sequence[Strip]) -> nx.DiGraph:
    """The same with the hose crossing the spans in turn: the one order in which strips are cut."""
    graph = band_rules(strips)
    for before, after in pairwise(strips):
        if not graph.has_edge(before.name, after.name):
            _edge(graph, before, after, _IN_TURN)
    return graph


def listed_graph(strips: Sequence[Strip], names: Sequence[str]) -> nx.DiGraph:
    """The user's own order as a chain.

    Raises:
        OrderError: where a strip is unknown, missing, or named twice.
    """
    known = {s.name for s in strips}
    unknown = [n for n in names if n not in known]
    missing = [s.name for s in strips if s.name not in set(names)]
    twice = sorted({n for n in names if list(names).count(n) > 1})
    parts = []
    if unknown:
        parts.append(f"no strip is called {', '.join(map(repr, unknown))}")
    if missing:
        parts.append(f"the list leaves out {', '.join(map(repr, missing))}")
    if twice:
        parts.append(f"the list names twice {', '.join(map(repr, twice))}")
    if parts:
        raise OrderError("; ".join(parts))
    graph = _nodes(strips)
    for before, after in pairwise(names):
        graph.add_edge(before, after, reason="listed by the user")
    return graph


def add_wishes(graph: nx.DiGraph, pairs: Iterable[tuple[str, str]]) -> None:
    """Add the user's own "this before that" pairs.

    Raises:
        OrderError: where a pair names a strip that is not on the floor.
    """
    for before, after in pairs:
        for name in (before, after):
            if name not in graph:
                raise OrderError(f"no strip is called {name!r}")
        graph.add_edge(before, after, reason="asked for in place_before")


def sequence(graph: nx.DiGraph, begin_at: str) -> tuple[str, ...]:
    """Strip names in placing order.

    Of the strips that the graph allows next, the one of the earliest bay is taken, then by kind
    (beam, gap or edge, joint), then from the starting end; ties go to the shortest move.

    Raises:
        OrderError: where the graph has a cycle, naming it.
    """
    import networkx as nx

    if not nx.is_directed_acyclic_graph(graph):
        cycle = next(nx.simple_cycles(graph, length_bound=_SHORT), None)
        edges = list(pairwise([*cycle, cycle[0]])) if cycle else nx.find_cycle(graph)
        reasons = {graph.edges[a, b]["reason"] for a, b in edges}
        way = " -> ".join([edges[0][0], *(b for _, b in edges)][: _SHORT + 2])
        if len(edges) > _SHORT:
            way += " -> ..."
        advice = ""
        if "asked for in place_before" in reasons and _BAYS in reasons:
            advice = (
                "; the bays are poured one after another: use begin_at or lanes, or order = "
                '"listed"'
            )
        why = "; ".join(sorted(reasons))
        raise OrderError(f"the order goes round in a circle: {way} ({why}){advice}")
    sign = -1.0 if begin_at == "high_x" else 1.0
    strips: dict[str, Strip] = nx.get_node_attributes(graph, "strip")
    waiting_for = dict(graph.in_degree())
    ready = [name for name, count in waiting_for.items() if count == 0]
    order: list[str] = []
    while ready:
        here = strips[order[-1]] if order else None
        best = min(ready, key=lambda name: rank(strips[name], sign, here))
        ready.remove(best)
        order.append(best)
        for after in graph.successors(best):
            waiting_for[after] -= 1
            if waiting_for[after] == 0:
                ready.append(after)
    return tuple(order)


def broken_rules(rules: nx.DiGraph, order: Sequence[str]) -> tuple[BrokenRule, ...]:
    """Every rule (edge of ``rules``) that ``order`` breaks, in order of the strip placed early."""
    at = {name: index for index, name in enumerate(order)}
    broken = [
        BrokenRule(a, b, data["reason"], CONSEQUENCE.get(data["reason"], "a wish is not kept"))
        for a, b, data in rules.edges(data=True)
        if at[a] > at[b]
    ]
    return tuple(sorted(broken, key=lambda rule: at[rule.later]))


def rank(strip: Strip, sign: float, here: Strip | None) -> tuple[float, ...]:
    """Sorts strips that could come next, as :func:`sequence` says; ``sign`` -1 begins at high x."""
    move = 0.0
    if here is not None:
        apart = max(0.0, strip.y0 - here.y1, here.y0 - strip.y1)
        move = abs(strip.middle - here.middle) + apart
    return (strip.place, _PHASE[strip.kind], round(sign * strip.middle, 6), move)


def _nodes(strips: Sequence[Strip]) -> nx.DiGraph:
    import networkx as nx

    graph = nx.DiGraph()
    for strip in strips:
        graph.add_node(strip.name, strip=strip)
    return graph


def _edge(graph: nx.DiGraph, before: Strip, after: Strip, reason: str) -> None:
    graph.add_edge(before.name, after.name, reason=reason)


def _by_bay(strips: Sequence[Strip]) -> list[list[Strip]]:
    groups: dict[int, list[Strip]] = {}
    for strip in strips:
        groups.setdefault(strip.place, []).append(strip)
    return [groups[place] for place in sorted(groups)]


def _touch(a: Strip, b: Strip) -> bool:
    return abs(a.x1 - b.x0) < 1e-6 or abs(b.x1 - a.x0) < 1e-6


def _at_the_gap(beam: Strip, strip: Strip) -> bool:
    """Whether a beam strip borders the gap that is placed with another strip."""
    low, high = strip.joined or (math.nan, math.nan)
    return abs(beam.x1 - low) < 1e-6 or abs(beam.x0 - high) < 1e-6


def _chain_bays(graph: nx.DiGraph, strips: Sequence[Strip]) -> None:
    """Everything of a bay before anything of the next: last strips to first strips is enough."""
    groups = _by_bay(strips)
    inside = [graph.subgraph([s.name for s in group]).copy() for group in groups]
    for before, after in pairwise(inside):
        last = [n for n in before if before.out_degree(n) == 0]
        first = [n for n in after if after.in_degree(n) == 0]
        for a in last:
            for b in first:
                graph.add_edge(a, b, reason=_BAYS)
