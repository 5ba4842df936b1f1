"""Studies stopped from outside: by Ctrl-C, by SIGTERM, by the death of workers or of all."""

from __future__ import annotations

import json
import os
import re
import signal
import sys
from pathlib import Path

import pytest
from builders.commands import called
from builders.places import SCENARIOS
from builders.studies import days_came, gone, program, session_of, until, workers_of

from pourday.study.metrics import NAMES

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="asks /proc who is alive")

CLINIC = SCENARIOS / "clinic_level_1.toml"
ENDLESS = ("compare", "--full", CLINIC, "--days", 50000)


def stopped_days(text: str) -> int:
    """Of a report that says it was stopped: after how many days; it is about so many."""
    found = re.search(r"stopped after ([\d,]+) of 50,000 days", text)
    assert found, text
    days = int(found[1].replace(",", ""))
    return days


@pytest.mark.parametrize("workers", [1, 2])
@pytest.mark.parametrize(
    ("number", "code"), [(signal.SIGINT, 130), (signal.SIGTERM, 143)], ids=["ctrl-c", "sigterm"]
)
def test_a_stopped_comparison_says_what_its_days_say_and_leaves_nobody(
    tmp_path, workers, number, code
):
    written = tmp_path / "all.json"
    process = program(tmp_path, *ENDLESS, "--workers", workers, "--json", written)
    days_came(process)
    others = workers_of(process)
    assert len(others) == (workers if workers > 1 else 0)
    process.send_signal(number)
    out, err = process.communicate(timeout=60)
    assert process.returncode == code
    days = stopped_days(out)
    assert days > 0
    assert f"{days} days each" in out
    assert "Traceback" not in out + err
    assert not written.exists()
    assert "all.json: not written" in err
    until(lambda: gone(others), "workers still there")


def test_ctrl_c_at_a_prompt_reaches_the_workers_too_and_they_leave_it_to_the_program(tmp_path):
    process = program(tmp_path, *ENDLESS, "--workers", 2)
    days_came(process)
    others = workers_of(process)
    os.killpg(process.pid, signal.SIGINT)
    out, err = process.communicate(timeout=60)
    assert process.returncode == 130
    assert stopped_days(out) > 0
    assert "Traceback" not in out + err
    until(lambda: gone(others), "workers still there")


def test_a_stop_before_the_first_day_says_so(tmp_path):
    process = program(tmp_path, *ENDLESS, "--workers", 2)
    until(lambda: len(workers_of(process)) == 2 or process.poll() is not None, "no workers")
    process.send_signal(signal.SIGTERM)
    out, err = process.communicate(timeout=60)
    assert process.returncode == 143
    # The days may have been as quick as the signal.
    assert "stopped before the first of 50,000 days" in err or stopped_days(out) > 0
    assert "Traceback" not in out + err


@pytest.mark.parametrize("method", ["fork", "spawn", "forkserver"])
def test_a_killed_program_leaves_no_worker(tmp_path, method):
    process = program(tmp_path, *ENDLESS, "--workers", 2, START_METHOD=method)
    days_came(process)
    family = session_of(process)
    assert len(family) >= 3
    process.kill()
    process.communicate(timeout=60)
    until(lambda: gone(family), "workers still there")


@pytest.mark.parametrize("method", ["spawn", "forkserver"])
def test_ctrl_c_ends_workers_that_were_not_forked(tmp_path, method):
    process = program(tmp_path, *ENDLESS, "--workers", 2, START_METHOD=method)
    days_came(process)
    family = session_of(process)
    os.killpg(process.pid, signal.SIGINT)
    out, err = process.communicate(timeout=60)
    assert process.returncode == 130
    assert stopped_days(out) > 0
    assert "Traceback" not in out + err
    until(lambda: gone(family), "somebody still there")


def test_one_killed_worker_is_replaced_and_no_day_is_lost(tmp_path):
    asked = ("compare", "--full", CLINIC, "--days", 60, "--fresh", 0, "--workers", 2)
    alone = tmp_path / "alone.json"
    assert called(*asked[:-1], 1, "--json", alone).exit_code == 0
    written = tmp_path / "with.json"
    go_on = tmp_path / "go on"
    process = program(tmp_path, *asked, "--json", written, HOLD_UNTIL=str(go_on))
    days_came(process)
    before = workers_of(process)
    os.kill(min(before), signal.SIGKILL)
    go_on.touch()
    out, err = process.communicate(timeout=120)
    assert process.returncode == 0, err
    assert "stopped" not in out
    assert err.strip().endswith("complete days: 60")
    assert json.loads(written.read_text()) == json.loads(alone.read_text())


def test_a_worker_killed_a_second_time_ends_the_study_with_the_days_named(tmp_path):
    process = program(tmp_path, *ENDLESS, "--workers", 2)
    days_came(process)
    before = workers_of(process)
    os.kill(min(before), signal.SIGKILL)
    until(lambda: len(workers_of(process) - before) == 2, "no new workers")
    after = workers_of(process) - before
    os.kill(min(after), signal.SIGKILL)
    out, err = process.communicate(timeout=60)
    assert process.returncode == 1
    assert stopped_days(out) > 0
    assert re.search(r"died twice, the second time on\s+days\s+\d+\s+to\s+\d+", out)
    assert "Traceback" not in out + err
    until(lambda: gone(before | after), "workers still there")


def test_starts_can_be_stopped_too(tmp_path):
    process = program(tmp_path, "starts", CLINIC, "--days", 50000, "--from", 6, "--to", 8)
    days_came(process)
    others = workers_of(process)
    process.send_signal(signal.SIGINT)
    out, err = process.communicate(timeout=60)
    assert process.returncode == 130
    assert stopped_days(out) > 0
    assert "Traceback" not in out + err
    until(lambda: gone(others), "workers still there")


def test_a_study_beyond_memory_is_refused_before_it_begins(tmp_path):
    text = CLINIC.read_text("utf-8")
    first = text.index("[[plan]]")
    plan = text[first : text.index("[[plan]]", first + 1)]
    name = re.search(r'name = "([^"]*)"', plan)
    assert name
    many = "".join(plan.replace(name[1], f"plan {n}") for n in range(30))
    file = Path(tmp_path / "many.toml")
    file.write_text(text[:first] + many, encoding="utf-8")
    done = called("compare", "--full", file, "--days", 100000)
    assert done.exit_code == 2
    a_day = 8 * len(NAMES)  # bytes, eight a figure
    total = f"{100000 * 30 * a_day / 1e9:.1f} GB"
    assert f"--days: 100,000 days of 30 plans would take {total}" in done.stderr
    assert f"{a_day / 1e3:.1g} kB a day and plan" in done.stderr
