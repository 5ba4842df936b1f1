"""Output files: whole or as they were, whatever happens while they are written."""

from __future__ import annotations

import json
import os
import random
import resource
import shutil
import signal
import stat
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest
from builders.forked import Trouble, forked, warm
from builders.places import ROOT

from pourday.scenario.base.written import replaced

CLINIC = ROOT / "scenarios" / "clinic_level_1.toml"
OLD = "old numbers, worth keeping\n"


@pytest.fixture(scope="module", autouse=True)
def _warm():
    warm()


@pytest.fixture
def old(tmp_path):
    path = tmp_path / "numbers.json"
    path.write_text(OLD)
    return path


def whole(path: Path) -> bool:
    """Whether a file is the old one, or the new one to its last line; and nothing lies beside."""
    text = path.read_text("utf-8")
    beside = [each.name for each in path.parent.iterdir() if each.name.endswith(".part")]
    return not beside and (text == OLD or json.loads(text)["schema"] == "pourday.day/1")


def test_a_file_is_written_anew_with_its_mode_and_through_its_link(tmp_path):
    real, link = tmp_path / "real", tmp_path / "link"
    real.write_text(OLD)
    real.chmod(0o640)
    link.symlink_to(real)
    with replaced(link) as file:
        file.write(b"new")
        assert real.read_text() == OLD  # until all of it is there
    assert (link.is_symlink(), real.read_bytes()) == (True, b"new")
    assert stat.S_IMODE(real.stat().st_mode) == 0o640
    assert sorted(each.name for each in tmp_path.iterdir()) == ["link", "real"]


def test_a_new_file_has_the_mode_that_the_user_has_set(tmp_path):
    plain, new = tmp_path / "plain", tmp_path / "new"
    plain.write_text("")
    with replaced(new) as file:
        file.write(b"new")
    assert new.stat().st_mode == plain.stat().st_mode


@pytest.mark.parametrize("error", [OSError(28, "full"), KeyboardInterrupt(), SystemExit(143)])
def test_what_is_broken_off_leaves_the_old_file_and_nothing_beside_it(old, error):
    def _half() -> None:
        with replaced(old) as file:
            file.write(b"half")
            raise error

    with pytest.raises(type(error)):
        _half()
    assert old.read_text() == OLD
    assert list(old.parent.iterdir()) == [old]


def small_files() -> None:
    resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))


def test_where_no_more_can_be_written_the_old_file_stays_and_the_report_is_told(tmp_path, old):
    outer = tmp_path / "outer"
    outer.mkdir()
    # The report itself is shorter than the limit; the JSON of the day is longer.
    ended = forked(outer, "day", CLINIC, "--json", old, trouble=Trouble(small_files))
    assert ended.code == 2
    assert "cannot be written (File too large)" in ended.complained
    assert "Planning aid:" in ended.said
    assert old.read_text() == OLD
    assert whole(old)


def test_a_full_disk_leaves_the_old_file(tmp_path):
    disk = tmp_path / "disk"
    disk.mkdir()
    if os.system(f"mount -t tmpfs -o size=64k tmpfs {disk} 2>/dev/null") != 0:
        pytest.skip("a small disk of its own needs root")
    try:
        path = disk / "numbers.json"
        path.write_text(OLD)
        (disk / "filler").write_bytes(b"\0" * 50_000)
        ended = forked(tmp_path, "day", CLINIC, "--json", path)
        assert (ended.code, path.read_text()) == (2, OLD)
        assert "No space left on device" in ended.complained
        assert whole(path)
    finally:
        assert os.system(f"umount {disk}") == 0


def test_a_device_that_is_full_is_told(tmp_path):
    ended = forked(tmp_path, "day", CLINIC, "--json", "/dev/full")
    assert ended.code == 2
    assert "/dev/full: cannot be written (No space left on device)" in ended.complained


def test_a_report_into_a_full_device_ends_with_a_word():
    with open("/dev/full", "w", encoding="utf-8") as full:
        done = subprocess.run(
            [sys.executable, "-m", "pourday", "check", str(CLINIC)],
            stdout=full, stderr=subprocess.PIPE, text=True, check=False,
        )  # fmt: skip
    assert done.returncode == 2
    assert "no room is left" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_closed_folder_and_a_closed_file_are_refused_before_anything_is_played():
    home = Path(tempfile.mkdtemp())
    try:
        home.chmod(0o755)
        folder, out = home / "closed", home / "out"
        for each in (folder, out):
            each.mkdir()
        scenario = home / "clinic.toml"
        shutil.copy(CLINIC, scenario)
        file = folder / "numbers.json"
        file.write_text(OLD)
        file.chmod(0o444)
        folder.chmod(0o555)
        ordinary = Trouble((lambda: os.setuid(65534)) if os.getuid() == 0 else lambda: None)
        for path in (file, folder / "new.json"):
            ended = forked(out, "day", scenario, "--json", path, trouble=ordinary)
            assert (ended.code, ended.said) == (2, "")
            assert f"{path}: cannot be written" in ended.complained
        assert file.read_text() == OLD
        folder.chmod(0o755)
    finally:
        shutil.rmtree(home)


def test_what_goes_to_the_output_of_the_program_goes_through_and_the_report_follows(tmp_path):
    ended = forked(tmp_path, "day", CLINIC, "--json", "/dev/stdout")
    assert ended.code == 0
    record, end = json.JSONDecoder().raw_decode(ended.said)
    assert record["schema"] == "pourday.day/1"
    assert ended.said[end:].strip().startswith("Clinic")
    assert ended.said.count("Planning aid:") == 1


def test_a_named_pipe_is_written_through(tmp_path):
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    reader = os.fork()
    if reader == 0:
        (tmp_path / "read").write_bytes(pipe.read_bytes())
        os._exit(0)
    ended = forked(tmp_path, "day", CLINIC, "--json", pipe)
    os.waitpid(reader, 0)
    assert ended.code == 0
    assert json.loads((tmp_path / "read").read_text("utf-8"))["schema"] == "pourday.day/1"
    assert stat.S_ISFIFO(pipe.stat().st_mode)


def closed_pipe() -> None:
    read, write = os.pipe()
    os.close(read)
    sys.stdout = os.fdopen(os.dup(write), "w", encoding="utf-8")
    os.dup2(write, 1)


def test_nobody_who_reads_the_report_costs_no_file(tmp_path, old):
    ended = forked(tmp_path, "day", CLINIC, "--json", old, trouble=Trouble(closed_pipe))
    assert "Traceback" not in ended.complained
    assert json.loads(old.read_text("utf-8"))["schema"] == "pourday.day/1"


def test_two_options_that_name_one_file_are_refused_before_anything_is_played(tmp_path):
    path = tmp_path / "both.ics"
    other = tmp_path / "link.json"
    for second in (path, tmp_path / "." / "both.ics", other):
        other.unlink(missing_ok=True)
        other.symlink_to(path)
        ended = forked(tmp_path, "day", CLINIC, "--calendar", path, "--json", second)
        assert (ended.code, ended.said) == (2, "")
        assert "two outputs would go to this file" in ended.complained
    assert not path.exists()


@pytest.mark.parametrize("command", ["day", "deck", "compare", "starts"])
def test_the_scenario_and_its_weather_are_not_written_over(tmp_path, command):
    scenario, weather = tmp_path / "clinic.toml", tmp_path / "weather.csv"
    weather.write_text("time,air_C,humidity,wind_km_h\n06:00,12,0.6,10\n12:00,20,0.5,12\n")
    text = CLINIC.read_text("utf-8")
    head, tail = text.index("[weather]"), text.index("\n[", text.index("[weather]"))
    scenario.write_text(f'{text[:head]}[weather]\ncsv = "weather.csv"\n{text[tail:]}')
    before = scenario.read_bytes(), weather.read_bytes()
    (tmp_path / "hard.json").hardlink_to(scenario)
    for path in (scenario, weather, tmp_path / "hard.json"):
        ended = forked(tmp_path, command, scenario, "--json", path)
        assert (ended.code, ended.said) == (2, "")
        assert "it is read here, and would be lost" in ended.complained
    assert (scenario.read_bytes(), weather.read_bytes()) == before


def test_a_folder_of_figures_or_series_swallows_no_other_file(tmp_path):
    weather = tmp_path / "concrete.csv"
    weather.write_text("time,air_C,humidity,wind_km_h\n06:00,12,0.6,10\n12:00,20,0.5,12\n")
    scenario = tmp_path / "clinic.toml"
    text = CLINIC.read_text("utf-8")
    head, tail = text.index("[weather]"), text.index("\n[", text.index("[weather]"))
    scenario.write_text(f'{text[:head]}[weather]\ncsv = "concrete.csv"\n{text[tail:]}')
    ended = forked(tmp_path, "day", scenario, "--series", tmp_path)
    assert (ended.code, ended.said) == (2, "")
    assert "a file there may be called concrete.csv" in ended.complained


def broken_off(folder: Path, number: int, after: float, *figures: object) -> None:
    """Send a day a signal while it is played or written; what is left has to be whole."""
    path = folder / "numbers.json"
    path.write_text(OLD)
    trouble = Trouble(signal=number, after=after)
    ended = forked(folder, "day", CLINIC, "--json", path, *figures, trouble=trouble)
    assert "Traceback" not in ended.complained
    assert ended.code in (0, 1, 130, 143, -number)
    assert number == signal.SIGKILL or whole(path)
    assert path.read_text() == OLD or json.loads(path.read_text("utf-8"))
    for picture in folder.glob("figures/*.png"):
        assert picture.read_bytes().endswith(b"IEND\xaeB`\x82")
    shutil.rmtree(folder / "figures", ignore_errors=True)


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGKILL])
def test_a_signal_at_any_moment_leaves_whole_files(tmp_path, number):
    chance = random.Random(int(number))
    for _ in range(4):
        broken_off(tmp_path, number, chance.uniform(0.0, 0.6))


@pytest.mark.slow
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_signal_while_figures_are_drawn_leaves_whole_files(tmp_path, number):
    chance = random.Random(int(number))
    for _ in range(3):
        broken_off(tmp_path, number, chance.uniform(0.3, 3.0), "--figures", tmp_path / "figures")


@pytest.mark.parametrize("more", [1, 4, 16, 64])
def test_little_memory_leaves_whole_files_and_is_told(tmp_path, old, more):
    def _tight() -> None:
        taken = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
        most = taken + more * 2**20
        resource.setrlimit(resource.RLIMIT_AS, (most, most))

    ended = forked(tmp_path, "day", CLINIC, "--json", old, trouble=Trouble(_tight))
    assert whole(old)
    assert "Traceback" not in ended.complained
    # Where not even a library of C gets what it needs, it may end the process by itself.
    assert ended.code in (0, 2) or ended.code < 0
    assert ended.code != 2 or "memory" in ended.complained
