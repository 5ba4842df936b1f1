"""The same rows wherever they are worked out, the same cuts whatever runs before."""

from __future__ import annotations

import os
import pickle
import signal
import threading
import time
from collections.abc import Iterator
from concurrent.futures import BrokenExecutor, Future
from dataclasses import replace
from multiprocessing import get_all_start_methods

import numpy as np
import pytest
from builders.places import ROOT, SCENARIOS
from builders.pours import basis_of, exponential, pour

from pourday.scenario.model.scenario import Plan
from pourday.scenario.read import read_scenario
from pourday.study.days import one_day, study_of
from pourday.study.engine import jobs as engine_jobs
from pourday.study.engine.here import Here
from pourday.study.engine.jobs import Numbers, Rows, Work, job_size, jobs_of, work_on
from pourday.study.engine.ledger import Ledger, TooManyDaysError, said
from pourday.study.engine.processes import Processes
from pourday.study.engine.run import WorkersLostError, run
from pourday.study.metrics import NAMES, day_row, day_rows
from pourday.study.prepare import prepare


def two_plans():
    """A pour whose travel times vary, with its plan and the same plan at another spacing."""
    scenario = pour(plants=[
        {"name": "Mill Road", "trucks": 3, "batch_m3_h": 60, "travel_min": exponential(20)}
    ])  # fmt: skip
    first = scenario.plans[0]
    fronts = tuple(replace(f, spacing=f.spacing.scaled(1.3)) for f in first.fronts)
    plans = (first, replace(first, name="wider", fronts=fronts))
    return prepare(replace(scenario, plans=plans))


@pytest.fixture(scope="module")
def plans():
    return two_plans()


def bits(study) -> list[bytes]:
    return [each.values.tobytes() + each.pair_cold.tobytes() for each in study.plan_days]


def played(plans, engine, days=60, first_seed=5):
    study = study_of(plans, days, first_seed)
    try:
        run(engine, study.work, study.ledger)
    finally:
        engine.stop()
    return study


@pytest.fixture(scope="module")
def alone(plans):
    return bits(played(plans, Here()))


@pytest.mark.parametrize("method", get_all_start_methods())
def test_rows_are_the_same_bits_however_processes_start(plans, alone, method):
    assert bits(played(plans, Processes(2, method))) == alone


def very_wide(days):
    """Rows of 160 MB: a worker is at sending them for a good while."""
    return np.zeros((days.basis.days, 4_000_000))


def test_workers_stopped_in_the_middle_of_an_answer_leave_nobody_waiting_for_the_rest(plans):
    caught = 0
    for wait in (0.2, 0.4, 0.6, 0.8):
        engine = Processes(2, "fork" if "fork" in get_all_start_methods() else None)
        before = set(threading.enumerate())
        handle = engine.share(work_on(plans[:1], very_wide))
        asked = [engine.rows(handle, range(5 * n, 5 * n + 5)) for n in range(4)]
        time.sleep(wait)
        caught += not all(each.done() for each in asked)
        engine.stop()
        assert set(threading.enumerate()) <= before
    assert caught


def test_one_process_of_its_own_brings_the_same_bits(plans, alone):
    assert bits(played(plans, Processes(1))) == alone


def test_a_pool_takes_work_that_is_shared_after_it_has_begun(plans, alone):
    engine = Processes(2)
    try:
        for first in range(6):
            study = study_of(plans[:1], 3, first)
            run(engine, study.work, study.ledger)
        study = study_of(plans, 60, 5)
        run(engine, study.work, study.ledger)
    finally:
        engine.stop()
    assert bits(study) == alone


def test_work_travels_without_what_was_prepared_and_is_prepared_there(plans):
    work = work_on(plans, day_rows)
    sent = pickle.dumps(work)
    there: Work = pickle.loads(sent)
    assert len(sent) < len(pickle.dumps(plans)) / 2
    assert "bases" not in there.__dict__
    np.testing.assert_array_equal(there.rows(range(3)).values, work.rows(range(3)).values)
    assert there.bases is there.bases


def test_plans_played_together_come_out_as_each_day_alone(plans):
    rows = work_on(plans, day_rows).rows(range(7, 12))
    for n, basis in enumerate(plans):
        for k, seed in enumerate(range(7, 12)):
            assert rows.values[n, k].tolist() == list(day_row(one_day(basis, seed)))


@pytest.mark.parametrize(
    "name", ["clinic_level_1", "depot_two_pumps", "library_level_2", "market_hall", "tower_level_9"]
)
def test_shipped_plans_together_come_out_as_each_alone(name):
    scenario, _ = read_scenario(SCENARIOS / f"{name}.toml")
    bases = prepare(scenario)
    rows = work_on(bases, day_rows).rows(range(2))
    for n, plan in enumerate(scenario.plans):
        (alone,) = prepare(scenario, (plan,))
        for seed in range(2):
            assert rows.values[n, seed].tolist() == list(day_row(one_day(alone, seed)))


def test_jobs_are_cut_at_every_25th_day_from_the_first_seed(plans):
    assert jobs_of(work_on(plans, day_rows), 7, 60) == (
        range(7, 32), range(32, 57), range(57, 67),
    )  # fmt: skip


@pytest.mark.parametrize("count", [1, 3, 9, 40, 300])
def test_many_plans_make_shorter_jobs_cut_inside_the_25_days(plans, count):
    bases = plans[:1] * count
    size = job_size(bases)
    cut = jobs_of(work_on(bases, day_rows), 3, 110)
    assert [seed for job in cut for seed in job] == list(range(3, 113))
    assert all((job.start - 3) % 25 % size == 0 for job in cut)
    assert {(job.start - 3) % 25 for job in cut} == set(range(0, 25, size))
    # By the rough cost of a day: 25 days would take so many times half a second.
    parts = 25 * count * engine_jobs._cost(plans[0]) / 0.5
    assert size == (25 if parts <= 1 else -(-25 // min(25, -(-parts // 1))))


def test_the_cut_of_a_longer_study_begins_as_that_of_a_shorter_one(plans):
    work = work_on(plans, day_rows)
    assert jobs_of(work, 7, 400)[:2] == jobs_of(work, 7, 60)[:2]


def test_a_ledger_counts_the_days_that_are_there_without_a_gap(plans):
    study = study_of(plans, 60)
    first, second, third = study.ledger.jobs
    rows = study.work.rows(range(25))
    assert study.ledger.complete_days == study.ledger.entered_days == 0
    study.ledger.enter(second, rows)
    assert (study.ledger.complete_days, study.ledger.entered_days) == (0, 25)
    assert list(study.ledger.missing()) == [first, third]
    with pytest.raises(ValueError, match="no day"):
        _ = study.plan_days
    study.ledger.enter(first, rows)
    assert study.ledger.complete_days == 50
    assert not study.ledger.finished
    assert [each.days for each in study.plan_days] == [50, 50]


def test_a_study_cut_short_says_what_a_shorter_one_would_say(plans):
    study = study_of(plans, 60, 5)
    for job in study.ledger.jobs[:2]:
        study.ledger.enter(job, study.work.rows(job))
    assert bits(study) == bits(played(plans, Here(), days=50))


def test_more_than_a_gigabyte_is_refused_before_it_begins(plans):
    work = work_on(plans, day_rows)
    most = 10**9 // (8 * len(NAMES) * 2)
    said = f"{8 * len(NAMES) / 1e3:.1g} kB"  # eight bytes a figure
    assert f"A day of a plan takes {said} of memory." in (ROOT / "docs" / "cluster.md").read_text(
        "utf-8"
    )
    assert Ledger(work, 0, most, len(NAMES)).days == most
    with pytest.raises(TooManyDaysError, match=rf"\({said} a day and plan\).*{most:,} days"):
        Ledger(work, 0, most + 1, len(NAMES))


@pytest.mark.parametrize(
    ("jobs", "words"),
    [
        ([range(7, 8)], "day 7"),
        ([range(25, 50), range(0, 25)], "days 0 to 49"),
        ([range(0, 5), range(10, 15)], "days 0 to 4, 10 to 14"),
        ([range(3, 4), range(9, 10)], "days 3, 9"),
    ],
)
def test_days_are_named_by_their_seeds(jobs, words):
    assert said(jobs) == words


class Mortal:
    """An engine in this process whose worker dies over some jobs, so many times each."""

    at_once = 3

    def __init__(self, deaths: dict[int, int]) -> None:
        self.deaths = deaths
        self.renewed = 0

    def share(self, work: Work) -> Work:
        return work

    def rows(self, handle: Work, days: range, of: Numbers = None) -> Future[Rows]:
        future: Future[Rows] = Future()
        if self.deaths.get(days.start, 0) > 0:
            self.deaths[days.start] -= 1
            future.set_exception(BrokenExecutor("died"))
        else:
            future.set_result(handle.rows(days, of))
        return future

    def renew(self) -> None:
        self.renewed += 1

    def stop(self) -> None:
        pass


def test_after_a_death_all_begins_anew_once_and_nothing_is_lost(plans, alone):
    engine = Mortal({30: 1})
    assert bits(played(plans, engine)) == alone
    assert engine.renewed == 1


def test_after_a_second_death_the_days_are_named_and_the_others_kept(plans, alone):
    study = study_of(plans, 60, 5)
    with pytest.raises(WorkersLostError, match="days 30 to 54") as lost:
        run(Mortal({30: 2}), study.work, study.ledger)
    assert lost.value.jobs == (range(30, 55),)
    assert study.ledger.complete_days == 25
    # Another engine goes on from there.
    run(Here(), study.work, study.ledger)
    assert bits(study) == alone


def test_a_fault_in_a_worker_is_not_taken_for_its_death(plans):
    work = Work(plans[0].scenario, (plans[0].plan,), _no_row)
    engine = Processes(2)
    try:
        with pytest.raises(ZeroDivisionError):
            run(engine, work, Ledger(work, 0, 30, 1))
    finally:
        engine.stop()


def _no_row(outcome: object) -> np.ndarray:
    raise ZeroDivisionError


@pytest.fixture
def pool(plans) -> Iterator[Processes]:
    engine = Processes(2)
    yield engine
    engine.stop()


def test_a_killed_worker_breaks_its_jobs_and_a_renewed_pool_plays_them(pool, plans):
    handle = pool.share(work_on(plans, day_rows))
    first = pool.rows(handle, range(3)).result()
    assert pool._pool is not None
    os.kill(next(iter(pool._pool._processes)), signal.SIGKILL)
    with pytest.raises(BrokenExecutor):
        _ask_again_and_again(pool, handle)
    pool.renew()
    np.testing.assert_array_equal(pool.rows(handle, range(3)).result().values, first.values)


def _ask_again_and_again(engine: Processes, handle: int) -> None:
    for _ in range(1000):
        engine.rows(handle, range(3)).result()


def test_stopping_leaves_no_process_and_may_be_asked_for_twice(pool, plans):
    handle = pool.share(work_on(plans, day_rows))
    waiting = [pool.rows(handle, range(k, k + 25)) for k in range(0, 200, 25)]
    assert pool._pool is not None
    workers = list(pool._pool._processes.values())
    assert len(workers) == 2
    pool.stop()
    pool.stop()
    assert not any(worker.is_alive() and _there(worker.pid) for worker in workers)
    assert any(each.cancelled() or each.exception() for each in waiting)


def _there(pid: int | None) -> bool:
    assert pid is not None
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True


def test_plans_that_differ_in_spacing_start_or_supply_share_their_layout(plans):
    a, b = plans
    assert a.layout is b.layout
    basis = basis_of(pour())
    base = basis.plan
    others: list[Plan] = [
        replace(base, name="later").starting_at(base.start + 3600.0),
        replace(base, name="fewer", trucks=2, most_on_site=1, hold_back_at=1, load=5.0),
        replace(base, name="stand-by", standby_after=600.0, standby_call_out=1.0),
        replace(base, name="half", fraction=0.5 * base.fraction),
    ]
    scenario = replace(basis.scenario, plans=(base, *others))
    first, *rest = prepare(scenario)
    assert [each.layout is first.layout for each in rest] == [True, True, True, False]
