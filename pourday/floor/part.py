"""A part of a floor as a floor in its own right: one day's pour between two stop ends.

The deck stays that of the whole floor: its supports, sheets and names are the same, and so is what
an empty span does to the one beside it. Strips end at the stop ends, beyond which nothing is placed
that day; what was poured on an earlier day lies there as dead weight. That it is hard by then, and
stiffens the deck under it, is left out, and on beams its weight too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pourday.floor.cut import floor_cut
from pourday.floor.cutting import strips_of
from pourday.floor.order.shares import bays_of_fronts
from pourday.floor.strips import Strip
from pourday.scenario.model.scenario import FloorPart, FloorPlan, Opening, Plan, Scenario, Stack

_NEAR = 1e-6
ANOTHER_DAY = "poured another day"
"""Name of what lies beyond a stop end; it takes no concrete, as an opening."""


def part_of(floor: FloorPlan, part: FloorPart) -> FloorPlan:
    """The floor of which only ``part`` is poured; the floor itself where that is all of it."""
    low, high = floor.supports[0], floor.supports[-1]
    beyond = [(a, b) for a, b in ((low, part.low), (part.high, high)) if b - a > _NEAR]
    if not beyond:
        return floor
    bare = tuple(Opening(ANOTHER_DAY, each, (0.0, floor.length_y)) for each in beyond)
    return replace(floor, part=part, openings=(*floor.openings, *bare))


def part_scenario(scenario: Scenario, part: FloorPart) -> Scenario:
    """The scenario of the day on which only ``part`` is poured.

    Stacks on what was poured before are gone; those on bare deck still lie there.
    """
    floor = part_of(scenario.floor, part)
    if floor.part is None:
        return scenario
    stacks = tuple(each for each in scenario.loads.stacks if not _is_gone(each, part))
    return replace(scenario, floor=floor, loads=replace(scenario.loads, stacks=stacks))


def part_plan(scenario: Scenario, plan: Plan) -> Plan:
    """The plan as it pours the part of ``scenario``'s floor: fronts without a bay stay at home.

    A listed order keeps those of its strips that the part has. The plan itself on a whole floor.
    """
    if scenario.floor.part is None:
        return plan
    cut = floor_cut(scenario.floor)
    here = {bay.name for bay in cut.bays}
    fronts = list(plan.fronts)
    kept = [
        replace(front, bays=tuple(name for name in front.bays if name in here))
        for front in fronts
        if not front.bays or here & set(front.bays)
    ] or fronts[:1]
    while True:
        plan = replace(plan, fronts=tuple(kept))
        strips = strips_of(cut, plan)
        of_bay = bays_of_fronts(cut, plan)
        busy = {of_bay[strip.bay] for strip in strips}
        if len(busy) == len(kept):
            return _of_strips(plan, strips)
        kept = [front for n, front in enumerate(kept) if n in busy]


def _of_strips(plan: Plan, strips: Sequence[Strip]) -> Plan:
    names = {strip.name for strip in strips}
    listed = plan.sequence
    wishes = tuple(pair for pair in plan.place_before if names >= set(pair))
    return replace(
        plan,
        sequence=None if listed is None else tuple(name for name in listed if name in names),
        place_before=wishes,
    )


def _is_gone(stack: Stack, part: FloorPart) -> bool:
    """Whether a stack lay, in part at least, on what an earlier day has poured."""
    low, high = stack.x
    return (part.low_hardened and low < part.low - _NEAR) or (
        part.high_hardened and high > part.high + _NEAR
    )
