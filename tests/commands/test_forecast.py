"""``pourday note`` and ``pourday forecast`` as people use them: files, a terminal, a page."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import time
from datetime import UTC, datetime
from pathlib import Path

import pytest
from builders.places import ROOT
from builders.told import ticket_text
from builders.under_way import moment_of

from pourday.day.front.ready import ready
from pourday.day.play import play_ready
from pourday.report.text.forecast_page import forecast_page
from pourday.scenario.read import read_scenario
from pourday.study.forecast.forecast import forecast
from pourday.study.prepare import prepare
from pourday.tickets.read import parse_tickets

CLINIC = ROOT / "scenarios" / "clinic_level_1.toml"
# A slow machine under load takes so long (s), and more.
PATIENCE = 120.0


def run(*arguments: object, width: int = 80) -> subprocess.CompletedProcess[str]:
    environment = os.environ | {"COLUMNS": str(width), "PYTHONUTF8": "1"}
    command = [sys.executable, "-m", "pourday", *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, env=environment, check=False)


@pytest.fixture(scope="module")
def tickets(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """Tickets of a clinic's day to half of it, and the time of the last line."""
    basis = prepare(read_scenario(CLINIC)[0])[0]
    log = play_ready(ready(basis.scenario, basis.plan, basis.layout), 1)
    at = moment_of(log, 0.5)
    path = tmp_path_factory.mktemp("hut") / "tickets.txt"
    path.write_text(ticket_text(log, basis, at))
    return path, "{}:{:02d}".format(*divmod(int(at // 60), 60))


def test_a_note_is_stamped_and_written_and_a_bad_one_writes_nothing(tmp_path):
    path = tmp_path / "tickets"
    done = run("note", path, "7 in")
    assert done.returncode == 0, done.stderr
    assert re.fullmatch(r"7 in \d{1,2}:\d\d\n", path.read_text())
    assert done.stdout == path.read_text()
    bad = run("note", path, "7 off 7.5")
    assert bad.returncode == 2
    assert "7:05 or 7:50" in bad.stderr
    assert len(path.read_text().splitlines()) == 1
    nowhere = run("note", tmp_path / "none" / "tickets", "7 in")
    assert nowhere.returncode == 2
    assert "Traceback" not in nowhere.stderr


def test_the_first_screen_is_one_screen(tickets, tmp_path):
    path, at = tickets
    page, numbers = tmp_path / "f.html", tmp_path / "f.json"
    done = run("forecast", CLINIC, "--tickets", path, "--at", at, "--rests", 30, "--html", page,
               "--json", numbers)  # fmt: skip
    assert done.returncode == 0, done.stderr
    lines = done.stdout.splitlines()
    assert len(lines) <= 24
    assert all(len(line) <= 80 for line in lines)
    for word in ("last concrete about", "plan", "Call", "Balance", "so far", "trips take"):
        assert word in done.stdout
    assert "Planning aid" in done.stdout
    record = json.loads(numbers.read_text())
    assert record["schema"] == "pourday.forecast/1"
    assert record["finish_h"]["low"] <= record["finish_h"]["about"] <= record["finish_h"]["by"]
    assert page.read_text().startswith("<!DOCTYPE html>")


def test_everything_is_listed_where_it_is_asked_for(tickets):
    path, at = tickets
    done = run("forecast", CLINIC, "--tickets", path, "--at", at, "--rests", 10, "--full")
    assert done.returncode == 0, done.stderr
    for word in ("Open edges", "Loads to call", "How this was worked out"):
        assert word in done.stdout


def test_an_empty_file_gives_the_plan_and_says_so(tmp_path):
    path = tmp_path / "tickets"
    path.write_text("")
    done = run("forecast", CLINIC, "--tickets", path, "--rests", 10)
    assert done.returncode == 0, done.stderr
    assert "NO TICKET" in done.stdout


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--at", "25:10"), "no time of a clock"),
        (("--at", "soon"), "a clock time such as 10:30"),
        (("--html", "page.txt"), "ends in .html"),
        (("--plan", "nobody"), "nobody"),
    ],
)
def test_faults_of_the_call_are_told(tickets, arguments, said):
    done = run("forecast", CLINIC, "--tickets", tickets[0], "--rests", 5, *arguments)
    assert done.returncode == 2
    assert said in done.stderr
    assert "Traceback" not in done.stderr


def test_tickets_that_are_not_there_are_told(tmp_path):
    done = run("forecast", CLINIC, "--tickets", tmp_path / "none")
    assert done.returncode == 2
    assert "cannot be read" in done.stderr


def test_the_page_turns_old_ten_minutes_after_it_was_made(tickets):
    basis = prepare(read_scenario(CLINIC)[0])[0]
    told = parse_tickets(tickets[0].read_text())
    found = forecast(basis, told, 10 * 3600.0, 5, workers=1)
    page = forecast_page(found, datetime(2027, 4, 20, 10, 0, tzinfo=UTC))
    assert "limit = 600000" in page
    assert "location.reload()" in page
    assert "OLD: made 10:00" in page
    assert f"made = {int(datetime(2027, 4, 20, 10, 0, tzinfo=UTC).timestamp()) * 1000}" in page
    hostile = page.replace("</script>", "", 1)
    assert hostile.count("<script") == 1  # names and remarks are text there


@pytest.mark.skipif(os.name != "posix", reason="needs a pseudo-terminal")
def test_follow_paints_anew_and_its_line_is_stamped_and_written(tickets, tmp_path):
    import pty

    path = tmp_path / "tickets"
    path.write_text(tickets[0].read_text())
    before = path.read_text()
    page = tmp_path / "page.html"
    master, slave = pty.openpty()
    environment = os.environ | {"COLUMNS": "80", "LINES": "24", "PYTHONUTF8": "1", "TERM": "xterm"}
    command = [sys.executable, "-m", "pourday", "forecast", str(CLINIC), "--tickets", str(path)]
    # At a time told, so that the hour at which the test runs is nothing to it.
    hour, minute = map(int, tickets[1].split(":"))
    command += ["--follow", "--rests", "40", "--workers", "2", "--html", str(page)]
    command += ["--at", f"{hour + (minute + 3) // 60}:{(minute + 3) % 60:02d}"]
    process = subprocess.Popen(
        command, stdin=slave, stdout=slave, stderr=slave, env=environment, close_fds=True
    )
    os.close(slave)
    seen = _Seen(master, process)
    try:
        seen.until("Type a line")
        os.write(master, f"stop {tickets[1]} blocked\n".encode())
        seen.until("written: stop")
        seen.until("STOPPED")
        os.write(master, b"people 5\n")
        seen.until("written: people 5 ")
        os.write(master, b"7 off 7.5\n")
        seen.until("NOT written")
        os.write(master, b"q\n")
        assert process.wait(PATIENCE) == 0
    finally:
        if process.poll() is None:
            process.kill()
            process.wait()
        os.close(master)
    added = path.read_text().removeprefix(before)
    # One line had its time, the other is stamped.
    assert re.fullmatch(rf"stop {tickets[1]} blocked\npeople 5 \d{{1,2}}:\d\d\n", added)
    assert "OLD: made" in page.read_text()


class _Seen:
    """What a terminal has shown, read in whatever parts it comes."""

    def __init__(self, master: int, process: subprocess.Popen[bytes]) -> None:
        self._master, self._process, self._text = master, process, ""

    def until(self, word: str) -> None:
        import select

        end = time.monotonic() + PATIENCE
        while word not in self._text:
            assert time.monotonic() < end, self._text[-2000:]
            if select.select([self._master], [], [], 0.5)[0]:
                try:
                    self._text += os.read(self._master, 4096).decode("utf-8", "replace")
                except OSError:
                    assert word in self._text, self._text[-2000:]
            else:
                assert self._process.poll() is None, self._text[-2000:]


@pytest.mark.skipif(shutil.which("node") is None, reason="needs a JavaScript engine")
def test_the_script_of_the_page_says_old_by_the_reader_s_clock(tickets):
    basis = prepare(read_scenario(CLINIC)[0])[0]
    found = forecast(basis, parse_tickets(tickets[0].read_text()), 10 * 3600.0, 3, workers=1)
    page = forecast_page(found, datetime(2027, 4, 20, 10, 0, tzinfo=UTC))
    script = page.split("<script>")[1].split("</script>")[0]
    # A page of a browser, as far as the script asks for one.
    around = """
var clock = %d, every = null, loads = 0, wait = null;
var document = { body: { className: "" } }, location = { reload: function () { loads++; } };
Date.now = function () { return clock; };
function setInterval(f) { every = f; }
function setTimeout(f, ms) { wait = [f, ms]; }
"""
    after = """
var seen = [document.body.className];
[599, 601].forEach(function (s) { clock = made + s * 1000; every();
  seen.push(document.body.className); });
wait[0]();
console.log(JSON.stringify([seen, loads, wait[1]]));
"""
    made = int(datetime(2027, 4, 20, 10, 0, tzinfo=UTC).timestamp() * 1000)
    done = subprocess.run(
        ["node", "-e", around % made + script + after], capture_output=True, text=True, check=False
    )
    assert json.loads(done.stdout) == [["", "", "old"], 1, 20000], done.stderr
