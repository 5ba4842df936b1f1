"""What moves the result: days played again with one source of chance drawn anew."""

from __future__ import annotations

import numpy as np
import pytest
from builders.pours import basis_of, pour

from pourday.study.engine.here import Here
from pourday.study.engine.run import run
from pourday.study.prepare import prepare
from pourday.study.sensitivity import FIGURES, sensitivity_from, sensitivity_of, sensitivity_study

SLOW_CREW = {"crew": {"rate_per_placer_m3_h": 5}}


def told(scenario, days=60):
    study = sensitivity_study([basis_of(scenario)], days)
    run(Here(), study.work, study.ledger)
    return sensitivity_of(study)[0]


def test_where_only_the_crew_varies_all_comes_from_the_crew():
    found = told(pour(crews=SLOW_CREW, day_to_day={"crew_pace_sd": 0.1}))
    assert [each.name for each in found.sources] == ["crew pace of the day"]
    index = found.sources[0].index["end_h"]
    # One source alone: its index is 1, and two days are as far apart as any two.
    assert index.low <= 1.0 <= index.high
    assert index.value > 0.6
    assert np.isnan(found.sources[0].index["cold_length_m"].value)
    assert not found.tells("cold_length_m")


def test_where_nothing_varies_nothing_moves_anything():
    found = told(pour(), days=12)
    assert found.sources == ()
    assert not any(found.tells(figure) for figure in FIGURES)


def test_a_source_that_only_gates_a_truck_moves_the_finish_less_than_a_slow_crew():
    found = told(
        pour(
            crews=SLOW_CREW,
            day_to_day={"crew_pace_sd": 0.2},
            site={"gate_min": {"dist": "uniform", "low": 0.5, "high": 1.5}},
        )
    )
    names = [each.name for each in found.sorted_by("end_h")]
    assert names[:2] == ["crew pace of the day", "gate, positions, wash"]
    crew, gate = (each.index["end_h"] for each in found.sorted_by("end_h")[:2])
    assert gate.high < crew.low


def test_the_days_as_played_are_those_of_any_other_study():
    from pourday.study.days import study_plans

    scenario = pour(crews=SLOW_CREW, day_to_day={"crew_pace_sd": 0.2})
    bases = prepare(scenario)
    study = sensitivity_study(bases, 12, first_seed=3)
    run(Here(), study.work, study.ledger)
    plain = study_plans(bases, 12, 3, workers=1)[0]
    for n, name in enumerate(FIGURES):
        assert study.ledger.rows_of(0)[:, n] == pytest.approx(plain.of(name), rel=1e-12)


def test_rare_cold_edges_are_not_put_down_to_anything():
    rng = np.random.default_rng(1)
    columns = sensitivity_study([basis_of(pour())], 100).ledger.values.shape[2]
    rows = np.repeat(rng.normal(12.0, 0.3, (100, 1)), columns, axis=1)
    rows[:, 2::3] = 0.0
    rows[:9, 2] = 4.0
    found = sensitivity_from("plan", rows)
    assert found.not_zero["cold_length_m"] == 9
    assert not found.tells("cold_length_m")
    assert all(np.isnan(each.index["cold_length_m"].value) for each in found.sources)
