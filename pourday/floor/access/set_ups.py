"""What the pump or crane of a front needs to get at each of its strips: set-ups, pipes, lifts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from pourday.floor.access.means import (
    CraneSpeeds,
    hoist_cycle,
    line_course,
    output_share,
    pipes_changed,
    pipes_in,
    pipes_put_on,
    slew_angle,
)
from pourday.floor.access.reach import Leg, legs, reachable
from pourday.floor.strips import Strip
from pourday.scenario.base.trade import LINE, SKIP
from pourday.scenario.model.scenario import FrontPlan, Pump, Scenario, SetUp

LEAST_OUTPUT = 0.1
"""Least share of the output that a line may leave before the entry is taken for a slip."""


class ReachError(ValueError):
    """A pump that does not reach all of its strips; the text says which, for the planner."""


@dataclass(frozen=True)
class Change:
    """A change of the pump's place before, or inside, strip ``strip`` (index in the front's order).

    ``before`` and ``to`` are places (index); ``at`` (m along the way of the front) is where it
    stands then, None before the strip begins. ``forced`` says that ``before`` does not reach all
    of the strip: it is the strip that the change is for.
    """

    strip: int
    before: int
    to: int
    at: float | None
    forced: bool


@dataclass(frozen=True)
class FrontAccess:
    """Strip by strip in the order of the front; S strips.

    ``legs`` (S) say from which set-up place (index into ``places``) each part is placed, ``share``
    (S) of the rated output is left, ``pipes`` (S) are taken off or put on, ``lift`` (S) is hoisting
    and slewing of one skip (s; 0 without a skip). ``fill`` (S) is the concrete (m³) that pipes put
    on before and along a strip take, ``held_at`` (S) what pump and line hold where it begins.
    ``line_length`` (m) is the longest line laid. Of a boom with places, ``whole`` (S) are those
    that reach all of a strip, and ``reach_for_all`` (m) is the reach that each place would need to
    serve every strip without a change; both empty without.
    """

    places: tuple[SetUp, ...]
    legs: tuple[tuple[Leg, ...], ...]
    share: tuple[float, ...]
    pipes: tuple[int, ...]
    fill: tuple[float, ...]
    lift: tuple[float, ...]
    line_length: float
    held_at: tuple[float, ...]
    whole: tuple[frozenset[int], ...] = ()
    reach_for_all: tuple[float, ...] = ()

    @property
    def changes(self) -> tuple[Change, ...]:
        """Every change of place, in order."""
        out: list[Change] = []
        last: int | None = None
        for k, own in enumerate(self.legs):
            for n, leg in enumerate(own):
                if last is not None and leg.place != last:
                    forced = last not in self.whole[k]
                    out.append(Change(k, last, leg.place, leg.begin if n else None, forced))
                last = leg.place
        return tuple(out)

    @property
    def held(self) -> float:
        """Concrete that fills pump and line before the first strip (m³)."""
        return self.held_at[0]

    @property
    def line_volume(self) -> float:
        """Concrete that pump and line take over the whole pour (m³), washing out not counted."""
        return self.held + sum(self.fill)

    @property
    def set_up_moves(self) -> int:
        """How often the pump changes its place."""
        order = [leg.place for each in self.legs for leg in each]
        return sum(a != b for a, b in pairwise(order))


def front_access(
    scenario: Scenario, front: FrontPlan, strips: Sequence[Strip], upward: Sequence[bool]
) -> FrontAccess:
    """Work out the access of a front to its strips (in placing order).

    Raises:
        ReachError: naming what no set-up place of the front reaches.
    """
    pump, site = scenario.pumps[front.pump], scenario.site
    places = tuple(site.set_up(name) for name in front.set_ups)
    whole = tuple((_whole(strip, up),) for strip, up in zip(strips, upward, strict=True))
    parts: tuple[tuple[Leg, ...], ...] = whole
    length = pump.line_length
    shares = [_share(scenario, pump, length)] * len(strips)
    whole_from: tuple[frozenset[int], ...] = ()
    for_all: tuple[float, ...] = ()
    pipes: tuple[int, ...] = (0,) * len(strips)
    fill = [0.0] * len(strips)
    laid = [pump.line_length] * len(strips)
    if places and pump.means == LINE:
        entry = (places[0].x, places[0].y)
        courses = [
            line_course(strip, up, entry, max(0.0, site.floor_height))
            for strip, up in zip(strips, upward, strict=True)
        ]
        length = max(max(course) for course in courses)
        shares = [_share(scenario, pump, sum(course) / len(course)) for course in courses]
        pipes = pipes_changed(courses, pump.pipe_length)
        laid = [pipes_in(course[0], pump.pipe_length) * pump.pipe_length for course in courses]
        put_on = pipes_put_on(courses, pump.pipe_length)
        fill = [n * pump.pipe_length * pump.line_content for n in put_on]
    elif places and pump.reach is not None:
        found = legs(strips, upward, [(each.x, each.y) for each in places], pump.reach)
        if found.out_of_reach:
            way = strips[0].along
            raise ReachError(_out_of_reach(front, pump.reach, found.out_of_reach, way))
        parts = found.of
        whole_from = tuple(_reach_all_of(strip, places, pump.reach) for strip in strips)
        for_all = tuple(max(_farthest(strip, place) for strip in strips) for place in places)
    if min(shares) < LEAST_OUTPUT:
        raise ReachError(
            f"{front.pump}: {length:.0f} m of line and {site.floor_height:g} m of rise leave "
            f"{min(shares):.0%} of the output; check the losses of the pump"
        )
    lifts = [0.0] * len(strips)
    if pump.means == SKIP and pump.skip is not None:
        lifts = [_lift(scenario, pump, places, strip) for strip in strips]
    return FrontAccess(
        places=places,
        legs=parts,
        share=tuple(shares),
        pipes=pipes,
        fill=tuple(fill),
        lift=tuple(lifts),
        line_length=length,
        held_at=tuple(pump.hopper + each * pump.line_content for each in laid),
        whole=whole_from,
        reach_for_all=for_all,
    )


def _reach_all_of(strip: Strip, places: Sequence[SetUp], reach: float) -> frozenset[int]:
    """Places from which a boom reaches all of a strip."""
    found = [reachable(strip, (place.x, place.y), reach) for place in places]
    return frozenset(k for k, part in enumerate(found) if part == (strip.low, strip.high))


def _farthest(strip: Strip, place: SetUp) -> float:
    """Distance (m) from a place to the farthest corner of a strip."""
    x = max(abs(strip.x0 - place.x), abs(strip.x1 - place.x))
    return math.hypot(x, max(abs(strip.y0 - place.y), abs(strip.y1 - place.y)))


def _whole(strip: Strip, upward: bool) -> Leg:
    low, high = strip.low, strip.high
    return Leg(0, low, high) if upward else Leg(0, high, low)


def _share(scenario: Scenario, pump: Pump, length: float) -> float:
    rise = max(0.0, scenario.site.floor_height)
    return output_share(length, rise, pump.output_loss_per_100m, pump.output_loss_per_10m_height)


def _lift(scenario: Scenario, pump: Pump, places: Sequence[SetUp], strip: Strip) -> float:
    """Hoisting and slewing of one skip; without a place for the crane it turns half round."""
    angle = math.pi
    if places:
        crane = places[0]
        loading = crane.loading or (crane.x, crane.y)
        angle = slew_angle((crane.x, crane.y), loading, (strip.middle, (strip.y0 + strip.y1) / 2.0))
    height = abs(scenario.site.floor_height)
    return hoist_cycle(CraneSpeeds(pump.hoist, pump.slew), height, angle)


def _out_of_reach(
    front: FrontPlan, reach: float, parts: Sequence[tuple[str, float, float]], way: str
) -> str:
    shown = [
        f"{name} from {way} = {min(a, b):.1f} to {max(a, b):.1f} m" for name, a, b in parts[:4]
    ]
    more = f" and {len(parts) - 4} more parts" if len(parts) > 4 else ""
    places = ", ".join(front.set_ups)
    return (
        f"{front.pump} reaches {reach:g} m from {places}, but not {'; '.join(shown)}{more}: add a "
        "place in site.set_ups, or take a longer boom"
    )
