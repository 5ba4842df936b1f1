"""Days of some plans of a study: the same rows as in a study of all, wherever they are played."""

from __future__ import annotations

import numpy as np
import pytest
from builders.places import SCENARIOS

from pourday.scenario.read import read_scenario
from pourday.study.days import study_of
from pourday.study.engine.jobs import pieces_of
from pourday.study.engine.ledger import Part
from pourday.study.engine.run import engine_for, run
from pourday.study.prepare import prepare

BASES = prepare(read_scenario(SCENARIOS / "library_level_2.toml")[0])


@pytest.mark.parametrize("workers", [1, 2])
def test_some_plans_have_the_rows_that_they_have_among_all(workers):
    study = study_of(BASES, 8, 3)
    told: list[int] = []
    with engine_for(workers, 8) as engine:
        run(engine, study.work, study.ledger)
        part = Part(study.work, (2, 0), range(5, 10))
        run(engine, study.work, part, told.append)
    both = study.ledger.values[[2, 0], 2:7]
    assert np.array_equal(part.values, both, equal_nan=True)
    assert sum(told) == 2 * 5
    assert [len(cold) for cold in part.cold] == [
        len(BASES[n].pair_first) for n in (2, 0)
    ]  # fmt: skip


def test_a_work_that_was_shared_is_not_shared_again():
    work = study_of(BASES, 8).work
    other = study_of(BASES, 8).work
    with engine_for(2, 8) as engine:
        first = engine.share(work)
        assert engine.share(other) != first
        assert engine.share(work) == first


def test_pieces_are_all_days_of_a_few_plans_and_cover_each_day_of_each_once():
    of, days = (2, 0, 1), range(3, 63)
    pieces = pieces_of(BASES, of, days)
    assert sorted((n, day) for each in pieces for n in each.of for day in each.days) == sorted(
        (n, day) for n in of for day in days
    )
    assert all(len(each.of) < len(of) for each in pieces)
    assert {len(each.days) for each in pieces} <= {25, 10}
