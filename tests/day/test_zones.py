"""No two crews in one zone, ever: on random sites with two or three fronts, at every moment.

Between two events every crew that places moves evenly along its strip, so how far two crews are
apart is the length of a vector that changes evenly: its least is worked out in closed form, from
the log and the profiles of the strips, not from the rule that the day model follows.
"""

from __future__ import annotations

import math
from itertools import combinations, pairwise
from typing import NamedTuple
from unittest.mock import patch

import numpy as np
import pytest
from builders.pours import played_open, pour
from builders.sites import SLOW, Case, cases
from hypothesis import given, settings

from pourday.day.log import DayLog
from pourday.day.site.ground import Ground
from pourday.floor.layout import Layout, lay_out
from pourday.scenario.model.scenario import FloorPlan, Scenario

# A part of a strip ends when all but 1e-9 m³ are in; on strips as narrow as these that is less
# than 1e-7 m of way.
HAIR = 1e-7
SEVEN = 7 * 3600.0


class Way(NamedTuple):
    """A crew that places from ``begin`` to ``end`` (s) and goes evenly along its way (m)."""

    front: int
    strip: int
    begin: float
    end: float
    y_begin: float
    y_end: float

    def at(self, time: float) -> float:
        if self.end == self.begin:
            return self.y_begin
        share = (time - self.begin) / (self.end - self.begin)
        return self.y_begin + share * (self.y_end - self.y_begin)


def ways(layout: Layout, log: DayLog) -> list[Way]:
    """Where the crews went, cut where a strip changes its width."""
    out = []
    for s in log.stretches:
        if s.strip < 0:
            continue
        profile, total = layout.profiles[s.strip], log.strip_volumes[s.strip]
        share = profile.volume / profile.volume[-1]  # from low y
        up = layout.upward[s.strip]
        marks = share if up else 1.0 - share[::-1]
        y = profile.at if up else profile.at[::-1]
        a, b = s.volume_start / total, s.volume_end / total
        inner = [m for m in marks.tolist() if a < m < b]
        cuts = [a, *inner, b]
        for low, high in pairwise(cuts):
            # Where an opening takes the whole width, the crew steps over it without placing.
            middle = (low + high) / 2
            k = max(i for i in range(len(marks) - 1) if marks[i] <= middle)
            slope = (y[k + 1] - y[k]) / (marks[k + 1] - marks[k])
            times = [s.start + (m - a) / (b - a) * (s.end - s.start) for m in (low, high)]
            place = [y[k] + (m - marks[k]) * slope for m in (low, high)]
            out.append(Way(s.front, s.strip, *times, *place))
    return out


def on_one_run(floor: FloorPlan, layout: Layout, one: int, other: int) -> bool:
    """Whether some sheet run lies under both strips."""
    ends = np.cumsum([0, *floor.sheet_runs])
    a, b = layout.strips[one], layout.strips[other]
    for first, last in pairwise(floor.supports[i] for i in ends):
        under = [s.x0 < last - 1e-6 and s.x1 > first + 1e-6 for s in (a, b)]
        if all(under):
            return True
    return False


def least_distance(layout: Layout, one: Way, other: Way) -> float:
    """How near two crews come while both place (m); ``inf`` where they never do."""
    begin, end = max(one.begin, other.begin), min(one.end, other.end)
    if begin >= end:
        return math.inf
    a, b = layout.strips[one.strip], layout.strips[other.strip]
    across = max(0.0, a.x0 - b.x1, b.x0 - a.x1)
    if a.along == "x":  # in bands the crews go along x and stand across y
        across = max(0.0, a.y0 - b.y1, b.y0 - a.y1)
    first, last = (one.at(t) - other.at(t) for t in (begin, end))
    along = 0.0 if first * last <= 0 else min(abs(first), abs(last))
    return math.hypot(across, along)


def too_near(scenario: Scenario, layout: Layout, log: DayLog) -> list[tuple[Way, Way, float]]:
    """Every pair of ways on which two crews came nearer than they may."""
    site = scenario.site
    found = []
    for one, other in combinations(ways(layout, log), 2):
        if one.front == other.front or one.end <= other.begin or other.end <= one.begin:
            continue
        least = site.working_zone
        if on_one_run(scenario.floor, layout, one.strip, other.strip):
            least = max(least, site.crews_apart)
        distance = least_distance(layout, one, other)
        if distance < least - HAIR:
            found.append((one, other, distance))
    return found


@settings(max_examples=100, suppress_health_check=SLOW)
@given(cases(least_fronts=2))
def test_no_two_crews_in_one_zone_ever(case: Case):
    log, day = played_open(case.scenario, case.layout, case.seed)
    assert too_near(case.scenario, case.layout, log) == []
    assert all(front.finished for front in day.fronts), "crews wait for each other for ever"


def two_crews(**changes) -> Scenario:
    """Two sheet runs of 3 m side by side, a crew on each; both begin at the joint between them.

    The second begins a minute later, but works faster, and so catches up with the first.
    """
    floor = {"spans_m": [3.0, 3.0], "sheet_runs": [1, 1], "length_y_m": 20.0}
    plant = {"name": "Near", "trucks": 20, "batch_m3_h": 600, "travel_min": 5}
    outward = [f"1/strip {n}" for n in (3, 2, 1)] + [f"2/strip {n}" for n in (1, 2, 3)]
    plan = {
        "pump": "slow",
        "fronts": [{"pump": "pump", "crew": "crew"}],
        "spacing_min": 3,
        "order": "listed",
        "cut": "spread",
        "sequence": outward,
    }
    fast = {"output_m3_h": 60, "move_min": 0, "hopper_m3": 0.5}
    pumps = {"slow": fast | {"output_m3_h": 20, "hopper_m3": 0.1}, "pump": fast}
    values = {"floor": floor, "plants": [plant], "plan": plan, "pumps": pumps}
    return pour(**(values | {"site": {"positions": 4}} | changes))


def played_on(scenario: Scenario) -> tuple[Layout, DayLog]:
    layout = lay_out(scenario, scenario.plans[0])
    log, _ = played_open(scenario, layout, 1)
    return layout, log


def test_without_the_rule_two_crews_do_come_too_near():
    # The strips at the joint between the runs touch, and both crews place at the same time.
    scenario = two_crews()
    layout, log = played_on(scenario)
    assert too_near(scenario, layout, log) == []
    with patch.object(Ground, "enter", lambda *_: None):
        layout, log = played_on(scenario)
    assert too_near(scenario, layout, log)


def test_crews_that_must_meet_wait_for_each_other_and_both_get_done():
    scenario = two_crews()
    layout, log = played_on(scenario)
    held = sum(stop.end - stop.start for stop in log.stops if stop.kind == "held")
    assert held > 0.0
    assert log.unfinished == 0.0
    assert log.placed == pytest.approx(layout.volume.sum())


def test_crews_far_apart_never_wait():
    # Three runs: the outer two are 3 m apart, and nobody is on the middle one at the time.
    floor = {"spans_m": [3.0, 3.0, 3.0], "sheet_runs": [1, 1, 1], "length_y_m": 20.0}
    fronts = [
        {"pump": "pump", "crew": "crew", "bays": ["3"]},
        {"pump": "pump", "crew": "crew", "bays": ["2"], "start": "15:00"},
    ]
    plan = {"fronts": fronts, "spacing_min": 3, "order": "spread", "bays": ["1"]}
    scenario = two_crews(floor=floor, plan=plan)
    _, log = played_on(scenario)
    assert log.unfinished == 0.0
    assert not [stop for stop in log.stops if stop.kind == "held"]


def test_a_crew_that_is_held_takes_its_break_at_the_stated_time():
    # Front 2 waits for a strip of front 1 from 07:00 on, until 07:44 or later.
    plan = {
        "fronts": [{"pump": "pump", "crew": "crew"}],
        "spacing_min": 12,
        "order": "spread",
        "strip_width_m": 3.0,
        "place_before": [["1/strip 1", "2/strip 1"]],
    }
    floor = {"spans_m": [3.0, 3.0], "sheet_runs": [1, 1], "length_y_m": 40.0}
    # Pump and line of front 2 are full by 07:10: from then on its stops count.
    site = {"positions": 4, "breaks": [{"at": "07:20", "length_min": 5}]}
    log = played_on(two_crews(plan=plan, floor=floor, site=site))[1]
    mine = [(s.kind, s.start, s.end) for s in log.stops if s.front == 1 and s.kind != "moving"]
    first_break = next(stop for stop in mine if stop[0] == "idle")
    assert first_break == ("idle", SEVEN + 20 * 60.0, SEVEN + 25 * 60.0)
    around = [stop[0] for stop in mine[: mine.index(first_break) + 2]]
    assert around == ["held", "idle", "held"]
