"""A study kept in a file and taken up from it: the same bits, or a sentence that says why not."""

from __future__ import annotations

import io
import pickle
import zipfile
from dataclasses import replace

import numpy as np
import pytest
from builders.commands import called
from builders.places import SCENARIOS
from builders.pours import exponential, pour
from builders.studies import days_came, program

from pourday.outcome.days import DaysOutcome
from pourday.study.days import study_of
from pourday.study.engine import resume
from pourday.study.engine.here import Here
from pourday.study.engine.jobs import Work
from pourday.study.engine.ledger import Ledger
from pourday.study.engine.resume import Keeper, KeptError, take_up, write_kept
from pourday.study.engine.run import run
from pourday.study.prepare import prepare

CLINIC = SCENARIOS / "clinic_level_1.toml"


def plans_of(**changes):
    scenario = pour(plants=[
        {"name": "Mill Road", "trucks": 3, "batch_m3_h": 60, "travel_min": exponential(20)}
    ])  # fmt: skip
    first = scenario.plans[0]
    plans = (first, replace(first, name="fewer", trucks=2))
    return prepare(replace(scenario, **({"plans": plans} | changes)))


@pytest.fixture(scope="module")
def plans():
    return plans_of()


def bits(study) -> list[bytes]:
    return [each.values.tobytes() + each.pair_cold.tobytes() for each in study.plan_days]


def whole(plans, days=60, first_seed=5):
    study = study_of(plans, days, first_seed)
    run(Here(), study.work, study.ledger)
    return study


def begun(plans, path, *which):
    """A study of 60 days of which these jobs are finished and kept."""
    study = study_of(plans, 60, 5)
    for number in which:
        job = study.ledger.jobs[number]
        study.ledger.enter(job, study.work.rows(job))
    write_kept(path, study.work, study.ledger)
    return study


@pytest.mark.parametrize("which", [(), (0,), (1,), (0, 2), (0, 1, 2)])
def test_a_study_taken_up_ends_with_the_same_bits(tmp_path, plans, which):
    path = tmp_path / "kept.npz"
    begun(plans, path, *which)
    study = study_of(plans, 60, 5)
    assert take_up(path, study.work, study.ledger) == sum(len(study.ledger.jobs[n]) for n in which)
    assert [n for n, done in enumerate(study.ledger.done) if done] == list(which)
    run(Here(), study.work, study.ledger)
    assert bits(study) == bits(whole(plans))


@pytest.mark.parametrize(("days", "kept"), [(200, 50), (60, 60), (50, 50), (30, 25)])
def test_a_longer_study_goes_on_from_a_shorter_one_and_the_other_way(tmp_path, plans, days, kept):
    path = tmp_path / "kept.npz"
    begun(plans, path, 0, 1, 2)
    study = study_of(plans, days, 5)
    assert take_up(path, study.work, study.ledger) == kept
    run(Here(), study.work, study.ledger)
    assert bits(study) == bits(whole(plans, days))


def test_no_file_is_a_new_study(tmp_path, plans):
    study = study_of(plans, 60, 5)
    assert take_up(tmp_path / "none.npz", study.work, study.ledger) == 0


def refused(path, plans, days=60, first_seed=5) -> str:
    study = study_of(plans, days, first_seed)
    with pytest.raises(KeptError) as fault:
        take_up(path, study.work, study.ledger)
    assert not study.ledger.done.any()
    return str(fault.value)


def test_a_file_of_another_study_is_refused_with_what_is_other(tmp_path, plans, monkeypatch):
    path = tmp_path / "kept.npz"
    begun(plans, path, 0)
    assert "--seed" in refused(path, plans, first_seed=6)
    assert "plans are other ones" in refused(path, plans[:1])
    other = plans_of(title="another")
    assert "scenario" in refused(path, other)
    monkeypatch.setattr(resume, "program_version", lambda: "0.2, numpy 9")
    assert "another version" in refused(path, plans)


def test_a_file_of_another_command_is_refused(tmp_path, plans):
    path = tmp_path / "kept.npz"
    study = begun(plans, path, 0)
    work = Work(study.work.scenario, study.work.plans, _other_row)
    with pytest.raises(KeptError, match="another command"):
        take_up(path, work, Ledger(work, 5, 60, 1))


def _other_row(outcome: DaysOutcome) -> np.ndarray:
    return np.zeros((outcome.basis.days, 1))


def test_a_day_that_comes_out_differently_is_refused(tmp_path, plans):
    path = tmp_path / "kept.npz"
    study = begun(plans, path, 1)
    # The least that a number can change by, in the second plan's first kept day.
    study.ledger.values[1, 25, 7] = np.nextafter(study.ledger.values[1, 25, 7], np.inf)
    write_kept(path, study.work, study.ledger)
    said = refused(path, plans)
    assert said.startswith('day 30 of plan "fewer" comes out differently now')


def as_archive(**arrays) -> bytes:
    file = io.BytesIO()
    np.savez(file, **arrays)
    return file.getvalue()


def changed(path, **changes) -> bytes:
    with np.load(path) as found:
        return as_archive(**{name: found[name] for name in found.files} | changes)


def test_a_file_that_is_none_is_refused_in_a_sentence(tmp_path, plans):
    path = tmp_path / "kept.npz"
    begun(plans, path, 0)
    good = path.read_bytes()
    wrong = {
        "empty": b"",
        "text": b"not an archive",
        "half": good[: len(good) // 2],
        "turned": bytes(b ^ 255 if 3000 < n < 3100 else b for n, b in enumerate(good)),
        "other": as_archive(a=np.zeros(3)),
        "format": changed(path, format=np.array("pourday study 99")),
        "shape": changed(path, values=np.zeros((2, 3, 4))),
        "kind": changed(path, values=np.zeros((2, 25, 53), dtype=np.float32)),
        "cold": changed(path, cold_1=np.zeros((9, 9), dtype=np.int64)),
        "jobs": changed(path, jobs=np.zeros((1, 3), dtype=np.int64)),
        "no days": changed(path, jobs=np.array([[30, 5]])),
    }
    for name, content in wrong.items():
        path.write_bytes(content)
        said = refused(path, plans)
        assert said, name
        assert "\n" not in said, name


class Bomb:
    """Would leave a mark where a pickle of it is read."""

    def __reduce__(self):
        return (open, (self.mark, "w"))

    mark = ""


def test_reading_a_file_runs_nothing(tmp_path, plans):
    path = tmp_path / "kept.npz"
    begun(plans, path, 0)
    bomb = Bomb()
    Bomb.mark = str(tmp_path / "mark")
    assert pickle.dumps(bomb)
    path.write_bytes(changed(path, values=np.array([bomb], dtype=object)))
    assert "can be read" in refused(path, plans)
    assert not (tmp_path / "mark").exists()


def test_an_archive_that_unpacks_to_more_than_memory_is_refused(tmp_path, plans, monkeypatch):
    path = tmp_path / "kept.npz"
    begun(plans, path, 0)
    assert resume.MOST_BYTES == 10**9
    monkeypatch.setattr(resume, "MOST_BYTES", 10**6)
    with zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("more.npy", b"\0" * (2 * 10**6))
    assert path.stat().st_size < 10**5
    assert "larger than any study" in refused(path, plans)


def test_a_file_that_cannot_be_written_stays_as_it_was(tmp_path, plans, monkeypatch):
    path = tmp_path / "kept.npz"
    study = begun(plans, path, 0)
    before = path.read_bytes()

    def _full(file, **arrays):
        file.write(b"half of it")
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(resume.np, "savez", _full)
    keeper = Keeper(path, study.work, study.ledger)
    keeper.write()
    assert keeper.fault is not None
    assert keeper.fault.strerror == "No space left on device"
    assert path.read_bytes() == before
    assert [each.name for each in tmp_path.iterdir()] == ["kept.npz"]
    monkeypatch.undo()
    keeper.write()
    assert keeper.fault is None


def test_a_keeper_writes_every_ten_seconds_and_never_most_of_the_time(tmp_path, plans, monkeypatch):
    study = study_of(plans, 60, 5)
    now, written = [0.0], []

    def _write(*args):
        written.append(now[0])
        now[0] += 2.0  # a slow disk

    monkeypatch.setattr(resume, "write_kept", _write)
    keeper = Keeper(tmp_path / "k.npz", study.work, study.ledger, clock=lambda: now[0])
    for _ in range(100):
        now[0] += 1.0
        keeper.when_due()
    # After 10 s; then 2 s of writing want 40 s between.
    assert written == [10.0, 52.0, 94.0]


def test_a_stopped_command_goes_on_from_its_file(tmp_path):
    kept, out = tmp_path / "kept.npz", [tmp_path / "a.json", tmp_path / "b.json"]
    asked = ("compare", "--full", CLINIC, "--days", 120, "--fresh", 0)
    process = program(tmp_path, *asked, "--workers", 2, "--resume", kept)
    days_came(process)
    process.terminate()
    process.communicate(timeout=60)
    assert process.returncode in (143, 0)  # 0 where it was quicker than the signal
    first = kept.read_bytes()
    done = called(*asked, "--workers", 1, "--resume", kept, "--json", out[0])
    assert done.exit_code == 0, done.stderr
    assert "of 120 days were played before" in done.stderr
    assert called(*asked, "--workers", 1, "--json", out[1]).exit_code == 0
    assert out[0].read_text("utf-8") == out[1].read_text("utf-8")
    # Once more: nothing is left to play, nothing is written.
    second = kept.read_bytes()
    assert second != first or process.returncode == 0
    assert called(*asked, "--resume", kept).exit_code == 0
    assert kept.read_bytes() == second


def test_a_killed_command_leaves_a_whole_file(tmp_path):
    kept = tmp_path / "kept.npz"
    asked = ("compare", "--full", CLINIC, "--days", 60, "--fresh", 0)
    assert called(*asked, "--workers", 1, "--resume", kept).exit_code == 0
    process = program(tmp_path, *asked[:4], 50000, "--workers", 2, "--resume", kept)
    days_came(process)
    process.kill()
    process.communicate(timeout=60)
    done = called(*asked, "--workers", 1, "--resume", kept)
    assert done.exit_code == 0
    assert "days were played before" in done.stderr


def test_what_cannot_be_gone_on_from_leaves_with_two(tmp_path):
    kept = tmp_path / "kept.npz"
    kept.write_bytes(b"old shopping list")
    done = called("compare", "--full", CLINIC, "--days", 2, "--resume", kept)
    assert done.exit_code == 2
    assert "no study can be read from it" in done.stderr
    assert kept.read_bytes() == b"old shopping list"
    assert (
        called(
            "compare", "--full", CLINIC, "--days", 2, "--resume", tmp_path / "kept.txt"
        ).exit_code
        == 2
    )
