"""All strips of a plan: which of the ways of cutting it asks for."""

from __future__ import annotations

from dataclasses import replace

from pourday.floor.bands import cut_across
from pourday.floor.clipped import in_part
from pourday.floor.cut import FloorCut, floor_cut
from pourday.floor.order.shares import bays_of_fronts
from pourday.floor.strips import Strip, cut_spread, cut_thirds, way_of_cutting
from pourday.scenario.model.scenario import Plan


def strips_of(cut: FloorCut, plan: Plan) -> tuple[Strip, ...]:
    """The strips of a plan: those of "across" in placing order, others not yet in order."""
    whole = cut
    if cut.floor.part is not None:
        # A joint strip belongs to the sheet run that it closes, which may be another day's.
        whole = floor_cut(replace(cut.floor, part=None))
    match way_of_cutting(plan):
        case "across":
            return cut_across(cut, plan, bays_of_fronts(cut, plan))
        case "spread":
            strips = cut_spread(
                whole, plan.strip_width, plan.fraction, plan.begin_at, plan.lanes, plan.begin_y
            )
        case _:
            strips = cut_thirds(
                whole, plan.fraction, plan.begin_at, plan.lanes, plan.least_strip, plan.begin_y
            )
    return in_part(cut, strips, plan.least_strip)
