"""How fast a forecast is made; run with ``pytest tests/benchmarks --benchmark-enable``."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
from pathlib import Path

from builders.places import SCENARIOS
from builders.told import ticket_text
from builders.under_way import moment_of

from pourday.day.front.ready import ready
from pourday.day.play import play_ready
from pourday.scenario.read import read_scenario
from pourday.study.prepare import prepare

LIBRARY = SCENARIOS / "library_level_2.toml"


def cpu_of_children() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def test_a_forecast_of_200_rests_from_the_middle_of_the_library(benchmark, tmp_path: Path):
    """The whole command, start-up and processes included; its CPU time beside the clock."""
    basis = prepare(read_scenario(LIBRARY)[0])[0]
    log = play_ready(ready(basis.scenario, basis.plan, basis.layout), 1)
    at = moment_of(log, 0.5)
    path = tmp_path / "tickets"
    path.write_text(ticket_text(log, basis, at))
    clock = "{}:{:02d}".format(*divmod(int(at // 60), 60))
    command = [sys.executable, "-m", "pourday", "forecast", str(LIBRARY), "--tickets", str(path)]
    command += ["--at", clock]

    def _run() -> float:
        before = cpu_of_children()
        subprocess.run(command, check=True, capture_output=True, env=os.environ)
        return cpu_of_children() - before

    cpu = benchmark(_run)
    benchmark.extra_info["cpu_s"] = cpu
    assert cpu > 0.0
