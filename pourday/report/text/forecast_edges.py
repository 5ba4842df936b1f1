"""Edges of a pour under way in words: those lost, those that may be, and when the next one is."""

from __future__ import annotations

import math

from rich.console import Console

from pourday.floor.layout import Layout
from pourday.report.screen import units_of
from pourday.report.units import Units
from pourday.report.words import clock, heading, hours, percent, span, strip_words, table
from pourday.study.forecast.forecast import EdgeAhead, Forecast
from pourday.study.forecast.lost import LostEdge

_EDGES, _LOST = 2, 3
# Edges with so long (s) left, or lost in so many rests, are worth a line before all others.
_SOON, _LIKELY = 3600.0, 0.05


def edge_words(edge: EdgeAhead, units: Units) -> str:
    """Where an open edge is: "strips 24 and 33, x 22.8 m"."""
    one = edge.edge
    across = "x" if one.along == "y" else "y"
    where = f"{across} {units.length.text(one.at, 1)}"
    if one.pair < 0:
        return f"the front in strip {one.older + 1}, {where}"
    return f"strips {one.older + 1} and {one.younger + 1}, {where}"


def edge_lines(found: Forecast, units: Units) -> list[tuple[str, str, bool]]:
    """Label, text and whether it is loud, of each line of the first screen about edges."""
    fresh = [edge for edge in found.edges if edge.left > 0.0]
    lost = [("LOST", _lost_words(found), True)] if found.lost else []
    if not fresh:
        return lost or [("Edges", "none is open", False)]
    soon = [e for e in fresh if e.left < _SOON or e.lost_share >= _LIKELY]
    if not soon:
        first = fresh[0]
        text = f"{len(fresh)} open, first lost {edge_words(first, units)}: "
        text += f"{clock(first.edge.lost_at)}, {span(first.left)} left"
        return [*lost, ("Edges", text, False)]
    head = f"{len(soon)} of {len(fresh)} open may be lost: {_chance(found)}"
    lines = [*lost, ("EDGES", head, True)]
    lines += [("", _edge(found, edge, units), False) for edge in soon[:_EDGES]]
    if len(soon) > _EDGES:
        lines.append(("", f"and {len(soon) - _EDGES} more: --full", False))
    return lines


def _lost_words(found: Forecast) -> str:
    """The strips whose edges are lost: "3 edges, of strips 3 (1a edge 1) ..."."""
    names = list(dict.fromkeys(_name(found.basis.layout, each.older) for each in found.lost))
    text = f"{len(found.lost)} edge{'s' if len(found.lost) > 1 else ''}, of "
    text += f"strip{'s' if len(names) > 1 else ''} {', '.join(names[:_LOST])}"
    more = f" and {len(names) - _LOST} more" if len(names) > _LOST else ""
    return f"{text}{more}, the first since {clock(found.lost[0].since)}: --full"


def _name(layout: Layout, strip: int) -> str:
    return strip_words(strip + 1, layout.strips[strip].name)


def _chance(found: Forecast) -> str:
    return f"one more is in {percent(found.new_cold)} of rests"


def _edge(found: Forecast, edge: EdgeAhead, units: Units) -> str:
    share = "" if math.isnan(edge.lost_share) else f", in {percent(edge.lost_share)} of rests"
    left = hours(edge.left) if edge.left < 2 * 3600.0 else span(edge.left)
    words = edge_words(edge, units)
    return f"{words}: lost {clock(edge.edge.lost_at)}, {left} left{share}"


def edges_tables(console: Console, found: Forecast) -> None:
    """Print the lost edges, strip by strip, and below them the open ones that are not."""
    if found.lost:
        heading(console, "LOST edges, the first lost first")
        lost = table("strip", "beside", "lost>", "now")
        for each in found.lost:
            lost.add_row(*_lost_row(found.basis.layout, each))
        console.print(lost)
    fresh = [edge for edge in found.edges if edge.left > 0.0]
    if not fresh:
        return
    heading(console, "Open edges, the nearest to be lost first")
    out = table("edge", "stiff>", "lost>", "left>", "lost in>")
    for edge in fresh:
        share = "-" if math.isnan(edge.lost_share) else percent(edge.lost_share)
        words = edge_words(edge, units_of(console))
        times = clock(edge.edge.stiff_at), clock(edge.edge.lost_at), span(edge.left)
        out.add_row(words, *times, share)
    console.print(out)


def _lost_row(layout: Layout, each: LostEdge) -> tuple[str, str, str, str]:
    beside = "its own front" if each.younger == each.older else _name(layout, each.younger)
    when = f"by {clock(each.since)}" if each.covered else clock(each.since)
    return _name(layout, each.older), beside, when, "covered" if each.covered else "open"
