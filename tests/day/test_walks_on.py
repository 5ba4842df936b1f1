"""Across: within a band the hose walks on from span to span; nobody moves it there."""

from __future__ import annotations

import pytest
from builders.pours import played, played_open, pour

from pourday.day import log
from pourday.day.front.forecast import expected
from pourday.floor.layout import lay_out

MOVE, WALK = 5.0, 0.5  # min, min/m


def _scenario(alternate: bool):
    return pour(
        floor={"spans_m": [3.0, 3.0], "sheet_runs": [2], "length_y_m": 4.0},
        pumps={"pump": {"move_min": MOVE, "walk_min_per_m": WALK}},
        plan={"order": "across", "band_m": 2.0, "alternate": alternate},
    )


# Two bands of two spans. With the hose going to and fro it walks on three times: within a band no
# way at all, to the next band 2 m at once (1 min). One that begins every band at low x goes back
# 6 m and up 2 m: 5 + 0.5 x 8 = 9 min (hand-worked).
@pytest.mark.parametrize(("alternate", "minutes"), [(True, [0, 1, 0]), (False, [0, 9, 0])])
def test_a_hose_is_moved_only_where_it_does_not_walk_on(alternate, minutes):
    scenario = _scenario(alternate)
    layout = lay_out(scenario, scenario.plans[0])
    moves = [s.end - s.start for s in played(scenario).stops if s.kind == log.MOVING]
    assert moves == pytest.approx([60.0 * m for m in minutes])
    pump, crew = scenario.pumps["pump"], scenario.crews["crew"]
    planned = expected(scenario, layout, 0, pump, crew)
    assert list(planned.before[1:]) == pytest.approx([60.0 * m for m in minutes])


def test_the_end_is_in_sight_when_the_last_band_begins():
    # Two bands of two spans: strips 2 and 3 are the last band.
    scenario = _scenario(alternate=True)
    layout = lay_out(scenario, scenario.plans[0])
    _, day = played_open(scenario, layout, seed=1)
    assert day.fronts[0].last_strips == {2, 3}
