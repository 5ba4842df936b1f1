"""Edges of a pour under way that are lost already, open or covered since."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourday.outcome.edges.open_edges import OpenEdge
from pourday.outcome.measure import Outcome
from pourday.outcome.scene import Scene


@dataclass(frozen=True)
class LostEdge:
    """The edge of strip ``older`` (index) beside ``younger``, the same where its own front stood.

    ``since`` (s) is when it was lost; where it is ``covered`` by now, when that was: too late.
    """

    older: int
    younger: int
    since: float
    covered: bool


def lost_edges(outcome: Outcome, now: Scene) -> tuple[LostEdge, ...]:
    """Edge pairs and stopped fronts lost by the moment of ``now``, each once, the first lost first.

    A side of which a part still is open and lost counts as open.
    """
    done, start = outcome.edges, outcome.strip_start
    pairs: dict[int, LostEdge] = {}
    for n in np.flatnonzero((done.ratio > 1.0) & (done.time <= now.time)).tolist():
        pair = outcome.basis.layout.pairs[n]
        older, younger = sorted((pair.first, pair.second), key=lambda strip: float(start[strip]))
        pairs[n] = LostEdge(older, younger, float(done.time[n]), True)
    out: list[LostEdge] = []
    for edge in reversed(now.edges):  # the first lost of a pair counts
        if edge.lost_at >= now.time:
            continue
        if edge.pair < 0:
            out.append(_open(edge))
        else:
            pairs[edge.pair] = _open(edge)
    for k in np.flatnonzero((done.stop_ratio > 1.0) & (done.stop_time <= now.time)).tolist():
        strip = int(done.stop_strip[k])
        out.append(LostEdge(strip, strip, float(done.stop_time[k]), True))
    return tuple(sorted([*out, *pairs.values()], key=lambda each: (each.since, each.older)))


def _open(edge: OpenEdge) -> LostEdge:
    return LostEdge(edge.older, edge.younger, edge.lost_at, False)
