"""Parts of a floor are floors in their own right, and together they are the floor."""

from __future__ import annotations

from itertools import cycle

import numpy as np
import pytest
from builders.places import SCENARIOS
from builders.pours import basis_of, pour

from pourday.floor.cut import floor_cut
from pourday.floor.layout import lay_out
from pourday.floor.part import part_of, part_plan, part_scenario
from pourday.outcome.base.basis import basis
from pourday.outcome.deck.checks import deck_checks
from pourday.scenario.model.scenario import FloorPart
from pourday.scenario.read import read_scenario
from pourday.study.days import one_day
from pourday.study.metrics import day_row

SHIPPED = sorted(SCENARIOS.glob("*.toml"))
SPAN, WIDE, DEPTH, WEIGHT = 3.0, 20.0, 0.15, 26e3


def laid(scenario, part, plan=None):
    own = part_scenario(scenario, part)
    return lay_out(own, part_plan(own, plan or scenario.plans[0]))


def two_parts(scenario, at, first_low=True):
    x = scenario.floor.supports
    return (
        FloorPart(x[0], at, high_hardened=not first_low),
        FloorPart(at, x[-1], low_hardened=first_low),
    )


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_the_parts_of_a_floor_add_up_to_it(path):
    scenario, _ = read_scenario(path)
    for plan in scenario.plans:
        whole = lay_out(scenario, plan)
        # On a joint, and a stop end's way before and behind it, in turn.
        beside = cycle((-0.6, 0.0, 0.6))
        for joint, off in zip(floor_cut(scenario.floor).joints, beside, strict=False):
            parts = [laid(scenario, part, plan) for part in two_parts(scenario, joint + off)]
            area = sum(each.cut.area for each in parts)
            assert area == pytest.approx(whole.cut.area, rel=1e-12)
            for each in parts:
                assert sum(s.area for s in each.strips) == pytest.approx(each.cut.area)
            theory = sum(each.theory.sum() for each in parts)
            assert theory == pytest.approx(whole.theory.sum(), rel=1e-9)
            # What the sag takes is not the same: the deck bends otherwise beside empty spans.
            assert sum(e.volume.sum() for e in parts) == pytest.approx(whole.volume.sum(), rel=0.01)


def test_struck_to_thickness_the_volumes_are_the_same_to_the_litre():
    scenario = pour(floor={"spans_m": [3.0] * 6, "sheet_runs": [2, 2, 2]})
    whole = lay_out(scenario, scenario.plans[0]).volume.sum()
    assert whole == pytest.approx(6 * SPAN * WIDE * DEPTH)
    for at in (5.4, 6.0, 6.6, 7.5, 11.0):
        parts = [laid(scenario, part).volume.sum() for part in two_parts(scenario, at)]
        assert parts[0] == pytest.approx(at * WIDE * DEPTH)
        assert sum(parts) == pytest.approx(whole)


@pytest.mark.parametrize("order", ["thirds", "spread", "across"])
def test_one_part_is_the_whole_floor_bit_for_bit(order):
    scenario = pour(
        floor={"spans_m": [3.0] * 4, "sheet_runs": [2, 2]},
        plan={"name": "p", "pump": "pump", "crew": "crew", "spacing_min": 12, "start": "07:00"}
        | {"order": order},
    )
    part = FloorPart(0.0, 12.0)
    assert part_of(scenario.floor, part) is scenario.floor
    own = part_scenario(scenario, part)
    plan = part_plan(own, scenario.plans[0])
    assert own == scenario
    assert plan == scenario.plans[0]
    of_part = one_day(basis(own, plan, lay_out(own, plan)), 3)
    np.testing.assert_array_equal(day_row(of_part), day_row(one_day(basis_of(scenario), 3)))


def test_no_strip_reaches_over_a_stop_end_and_a_narrow_rest_goes_to_its_neighbour():
    scenario = pour(floor={"spans_m": [3.0] * 4, "sheet_runs": [2, 2]})
    first, second = (laid(scenario, part).strips for part in two_parts(scenario, 6.6))
    assert max(s.x1 for s in first) == 6.6
    assert min(s.x0 for s in second) == 6.6
    (joint,) = (s for s in first if s.x1 == 6.6)
    # The joint strip of the whole floor, from a third of a span before the joint, to the stop end;
    # the gap before it is narrower than 1.2 m and placed with it.
    assert joint.name == "1/joint with gap 2"
    assert (joint.x0, joint.x1) == pytest.approx((4.0, 6.6))
    # The 400 mm that are left of it lie in the gap of the next run, that day.
    (start,) = (s for s in second if s.x0 == 6.6)
    assert start.bay == "2"
    assert all(s.x1 - s.x0 > 1.2 - 1e-9 for s in (*first, *second))


def spans_of_two(at, low_hardened=False, part="first"):
    """Two spans of one sheet; only what lies before or behind ``at`` is poured."""
    scenario = pour(
        floor={"spans_m": [SPAN, SPAN], "sheet_runs": [2]},
        deck={"self_weight_kN_m2": 0.0},
    )
    x = (0.0, at) if part == "first" else (at, 2 * SPAN)
    return laid(scenario, FloorPart(*x, low_hardened=low_hardened))


def moments_when_full(layout):
    (line,) = layout.lines
    full = len(line.states) - 1
    return line, line.base.moment[full], line.base.deflection[full]


def test_one_span_loaded_of_two_hogs_and_sags_as_the_closed_form_says():
    """Two equal spans, one loaded: M = -wL²/16 over the inner support, most 49 wL²/512 in the span.

    Clapeyron's theorem of three moments: 2 M (L + L) = -wL³/4. With M = -wL²/16 the end reaction is
    7 wL/16, the shear zero at 7L/16, and the moment there (7/16)²/2 wL² = 49 wL²/512. The empty
    span hogs over all of its length, and lifts.
    """
    line, moment, deflection = moments_when_full(spans_of_two(SPAN))
    w = DEPTH * WEIGHT
    at = line.deck.unit.stations
    assert moment[np.argmin(np.abs(at - SPAN))] == pytest.approx(-w * SPAN**2 / 16, rel=1e-6)
    place = np.argmin(np.abs(at - 7 / 16 * SPAN))
    assert moment.max() == pytest.approx(49 / 512 * w * SPAN**2, rel=2e-3)
    assert abs(at[np.argmax(moment)] - at[place]) < 0.1
    empty = (at > SPAN + 1e-6) & (at < 2 * SPAN - 1e-6)
    assert (moment[empty] < 0).all()
    assert (deflection[empty] < 0).all()


def test_the_later_part_beside_hardened_concrete_has_its_weight_from_the_start():
    """The second span poured beside the first: over the support -wL²/16 before it, -wL²/8 after."""
    w = DEPTH * WEIGHT
    (line,) = spans_of_two(SPAN, low_hardened=True, part="second").lines
    middle = np.argmin(np.abs(line.deck.unit.stations - SPAN))
    assert line.states[0].stage == "bare"
    assert line.base.moment[0][middle] == pytest.approx(-w * SPAN**2 / 16, rel=1e-6)
    assert line.base.moment[-1][middle] == pytest.approx(-w * SPAN**2 / 8, rel=1e-6)


def test_a_stop_end_600_mm_past_the_beam_loads_600_mm_of_the_next_span():
    """Single spans that sheets end on: 600 mm of load at one end, R = w a (L - a/2) / L."""
    scenario = pour(
        floor={"spans_m": [SPAN, SPAN], "sheet_runs": [1, 1]}, deck={"self_weight_kN_m2": 0.0}
    )
    first = laid(scenario, FloorPart(0.0, SPAN + 0.6))
    line = next(each for each in first.lines if each.bay.name == "2")
    w, a = DEPTH * WEIGHT, 0.6
    near = w * a * (SPAN - a / 2) / SPAN
    assert line.base.reaction[-1] == pytest.approx([near, w * a - near])
    # The moment is most where the shear is zero, within the loaded length.
    assert line.base.moment[-1].max() == pytest.approx(near**2 / (2 * w), rel=1e-2)


def test_fronts_without_a_bay_in_the_part_stay_at_home():
    scenario, _ = read_scenario(SCENARIOS / "depot_two_pumps.toml")
    plan = scenario.plans[0]
    assert len(plan.fronts) == 2
    for part in two_parts(scenario, 27.6):
        own = part_scenario(scenario, part)
        fronts = part_plan(own, plan).fronts
        names = {bay.name for bay in floor_cut(own.floor).bays}
        assert 1 <= len(fronts) <= 2
        assert all(set(front.bays) <= names for front in fronts)


def test_a_span_in_which_nothing_is_placed_is_not_judged_for_sag():
    """Two spans of one sheet, the first hard already: the sag limit is asked of the second only.

    Before: a span without a cell could be the worst one, and its ponding had nothing to average.
    """
    scenario = pour(floor={"spans_m": [SPAN, 2.0, SPAN], "sheet_runs": [3]})
    own = part_scenario(scenario, FloorPart(5.6, 8.0, low_hardened=True))
    plan = part_plan(own, scenario.plans[0])
    checks = deck_checks(basis(own, plan, lay_out(own, plan)))
    assert (checks.span_low, checks.span_high) == (5.0, 8.0)
