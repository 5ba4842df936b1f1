"""A real cluster: a scheduler and two worker processes on this machine."""

from __future__ import annotations

import os
import signal
import sys
import threading
from collections.abc import Iterator
from typing import Any

import pytest
from builders.commands import called
from builders.places import SCENARIOS

from pourday.scenario.read import read_scenario
from pourday.study.days import study_of
from pourday.study.engine import cluster as engine_cluster
from pourday.study.engine.cluster import Cluster, ClusterError
from pourday.study.engine.here import Here
from pourday.study.engine.run import run
from pourday.study.prepare import prepare

distributed = pytest.importorskip("distributed", reason="the extra `cluster` is not installed")
DAYS = 150


@pytest.fixture(scope="module")
def plans():
    scenario, _ = read_scenario(SCENARIOS / "clinic_level_1.toml")
    return prepare(scenario, scenario.plans[:2])


@pytest.fixture(scope="module")
def two_workers() -> Iterator[Any]:
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=":0"
    ) as cluster:
        yield cluster


def bits(study) -> list[bytes]:
    return [each.values.tobytes() + each.pair_cold.tobytes() for each in study.plan_days]


@pytest.fixture(scope="module")
def alone(plans):
    study = study_of(plans, DAYS, 5)
    run(Here(), study.work, study.ledger)
    return bits(study)


def test_a_cluster_brings_the_same_rows(plans, alone, two_workers):
    engine = Cluster(two_workers.scheduler_address)
    study = study_of(plans, DAYS, 5)
    try:
        run(engine, study.work, study.ledger)
    finally:
        engine.stop()
        engine.stop()
    assert bits(study) == alone


def test_a_worker_killed_in_mid_run_loses_nothing(plans, alone, two_workers):
    engine = Cluster(two_workers.scheduler_address)
    study = study_of(plans, DAYS, 5)
    killed = threading.Event()

    def _kill_one(days: int) -> None:
        if not killed.is_set():
            killed.set()
            os.kill(two_workers.workers[0].process.pid, signal.SIGKILL)

    try:
        run(engine, study.work, study.ledger, _kill_one)
    finally:
        engine.stop()
    assert killed.is_set()
    assert bits(study) == alone


@pytest.mark.skipif(sys.platform == "win32", reason="kills")
def test_all_workers_killed_are_waited_for_until_others_come(plans, alone, two_workers):
    engine = Cluster(two_workers.scheduler_address)
    study = study_of(plans, DAYS, 5)
    killed = threading.Event()

    def _kill_all(days: int) -> None:
        if not killed.is_set():
            killed.set()
            for nanny in two_workers.workers.values():
                if nanny.process is not None and nanny.process.pid:
                    os.kill(nanny.process.pid, signal.SIGKILL)

    try:
        run(engine, study.work, study.ledger, _kill_all)
    finally:
        engine.stop()
    assert bits(study) == alone


def test_the_command_plays_on_a_cluster(two_workers, tmp_path):
    file, out = SCENARIOS / "clinic_level_1.toml", [tmp_path / "a.json", tmp_path / "b.json"]
    asked = ("compare", "--full", file, "--days", 30)
    assert called(*asked, "--workers", 1, "--json", out[0]).exit_code == 0
    done = called(*asked, "--cluster", two_workers.scheduler_address, "--json", out[1])
    assert done.exit_code == 0, done.stderr
    assert out[0].read_text("utf-8") == out[1].read_text("utf-8")


@pytest.mark.parametrize("address", ["", "here", "a host:80", "tcp://10.0.0.5", "x:y", "a:1; b"])
def test_what_is_no_address_is_refused(address):
    with pytest.raises(ClusterError, match="a host and a port"):
        Cluster(address)


def test_a_scheduler_without_workers_is_refused(monkeypatch):
    monkeypatch.setattr(engine_cluster, "_LOOK", 2.0)
    with (
        distributed.LocalCluster(n_workers=0, dashboard_address=":0") as empty,
        pytest.raises(ClusterError, match="has no workers"),
    ):
        Cluster(empty.scheduler_address)


def test_a_scheduler_that_is_not_there_is_a_fault_of_the_call(monkeypatch):
    monkeypatch.setattr(engine_cluster, "_LOOK", 1.0)
    done = called(
        "compare", SCENARIOS / "clinic_level_1.toml", "--days", 2, "--cluster", "127.0.0.1:9"
    )
    assert done.exit_code == 2
    assert done.stderr.startswith("--cluster 127.0.0.1:9: no scheduler answers there")
