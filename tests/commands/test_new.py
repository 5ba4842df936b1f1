"""`pourday new`: by options, by a file that there is, and in a real terminal."""

from __future__ import annotations

import os
import select
import signal
import subprocess
import sys
import time
import tomllib
from pathlib import Path

import pytest
from builders.commands import called
from builders.places import SCENARIOS

ASKED = ("spans", "sheets", "width", "holes", "slab", "props", "stiffness", "mix", "weather",
         "height", "pump", "crew", "trucks", "start")  # fmt: skip
OPTIONS = ["--spans", "2x3.2 2x3", "--sheets", "2 2", "--width", "12", "--holes", "none",
           "--slab", "130 0.028", "--props", "0", "--stiffness", "190", "--mix", "ordinary_c30",
           "--weather", "mild", "--height", "4", "--pump", "line_pump", "--crew", "crew_small",
           "--trucks", "4 6 20", "--start", "07:00"]  # fmt: skip


@pytest.fixture
def path(tmp_path):
    return tmp_path / "own floor.toml"


def test_options_for_all_questions_write_a_file_that_runs_at_once(path):
    done = called("new", path, *OPTIONS)
    assert done.exit_code == 0, done.stderr
    for command in (("check", path), ("day", path), ("compare", path, "--days", 3)):
        ran = called(*command)
        assert ran.exit_code == 0, ran.stderr
    assert "share of resistance" in called("deck", path).output
    assert "not judged" in " ".join(called("day", path).output.split())


def test_without_a_terminal_every_question_without_an_answer_is_named(path):
    done = called("new", path, "--spans", "2x3", "--width", "0")
    assert done.exit_code == 2
    for name in ("sheets", "slab", "start"):
        assert f"--{name} has no answer: " in done.stderr
    assert "--spans has no answer" not in done.stderr
    assert "--width '0': The width in m is from 0.6 to 300; you typed 0." in done.stderr
    assert not path.exists()


def test_the_proposals_answer_for_whoever_says_so(path):
    assert called("new", path, "--proposed").exit_code == 0
    assert tomllib.loads(path.read_text("utf-8"))["title"] == "own floor"


def test_an_old_file_is_written_over_only_by_force(path):
    path.write_text("mine", encoding="utf-8")
    done = called("new", path, "--proposed")
    assert (done.exit_code, path.read_text("utf-8")) == (2, "mine")
    assert "--force" in done.stderr
    assert called("new", path, "--proposed", "--force").exit_code == 0
    assert "[floor]" in path.read_text("utf-8")


def test_a_name_that_is_no_toml_is_refused(tmp_path):
    done = called("new", tmp_path / "floor.txt", "--proposed")
    assert done.exit_code == 2
    assert ".toml" in done.stderr


@pytest.mark.parametrize("name", ["clinic", "depot", "frost", "hot", "library", "market", "tower"])
def test_a_file_like_a_shipped_one_has_its_floor_and_none_of_its_resistances(path, name):
    done = called("new", path, "--like", name, "--force")
    assert done.exit_code == 0, done.stderr
    old = tomllib.loads(next(SCENARIOS.glob(f"{name}_*.toml")).read_text("utf-8"))
    new = tomllib.loads(path.read_text("utf-8"))
    assert new["floor"]["sheet_runs"] == old["floor"]["sheet_runs"]
    assert new["floor"]["length_y_m"] == old["floor"]["length_y_m"]
    assert new["slab"]["depth_mm"] == old["slab"]["depth_mm"]
    assert len(new["floor"].get("openings", [])) == len(old["floor"].get("openings", []))
    assert new["plan"][0]["start"] == old["plan"][0]["start"]
    assert not [key for key in new["deck"] if "resistance" in key]
    if "hours" in old["weather"]:
        assert new["weather"]["hours"] == old["weather"]["hours"]


def test_an_option_goes_before_the_file_it_is_like(path):
    assert called("new", path, "--like", "clinic", "--weather", "cool_damp").exit_code == 0
    again = path.with_name("again.toml")
    done = called("new", again, "--like", path, "--width", "10", "--holes", "none")
    assert done.exit_code == 0, done.stderr
    new = tomllib.loads(again.read_text("utf-8"))
    assert new["floor"]["length_y_m"] == 10
    assert new["weather"]["hours"][0] == {
        "at": "05:00", "air_C": 5, "humidity": 0.92, "wind_km_h": 5,
    }  # fmt: skip


def test_a_file_to_be_like_that_is_not_there_says_what_there_is(path):
    done = called("new", path, "--like", "clinik")
    assert done.exit_code == 2
    assert 'did you mean "clinic"?' in done.stderr


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_a_shell_is_given_its_script(shell):
    done = _completion(f"source_{shell}")
    assert "_POURDAY_COMPLETE" in done.stdout


def test_a_shell_that_asks_is_told_the_commands():
    done = _completion("complete_bash", COMP_WORDS="pourday che", COMP_CWORD="1")
    assert done.stdout.split() == ["check"]


def test_the_plans_of_the_file_on_the_line_are_completed():
    line = f"pourday day {SCENARIOS / 'clinic_level_1.toml'} --plan cra"
    done = _completion("complete_bash", COMP_WORDS=line, COMP_CWORD="4")
    assert done.stdout.strip() == "crane, 44 min"


def _completion(what: str, **words: str) -> subprocess.CompletedProcess[str]:
    run = "import sys; sys.argv = ['pourday']; from pourday.cli import main; main()"
    return subprocess.run(
        [sys.executable, "-c", run],
        env=os.environ | {"_POURDAY_COMPLETE": what, **words},
        capture_output=True, text=True, check=False,
    )  # fmt: skip


# A real terminal

pty = pytest.importorskip("pty", reason="pseudo-terminals are POSIX")


class Terminal:
    """The command in a pseudo-terminal; reads until a text comes, never sleeps."""

    def __init__(self, *arguments: object) -> None:
        self.master, slave = pty.openpty()
        self.shown, self.seen = "", 0
        self.process = subprocess.Popen(
            [sys.executable, "-m", "pourday", "new", *map(str, arguments)],
            stdin=slave, stdout=slave, stderr=slave,
            env=os.environ | {"TERM": "dumb", "PYTHONUTF8": "1"},
            start_new_session=True,
            preexec_fn=_own_terminal,
        )  # fmt: skip
        os.close(slave)

    def wait_for(self, wanted: str, seconds: float = 60.0) -> str:
        """The text since the last line typed, once it holds ``wanted``."""
        until = time.monotonic() + seconds
        while wanted not in self.shown[self.seen :]:
            assert self._read(until), f"{wanted!r} did not come:\n{self.shown[self.seen :]}"
        return self.shown[self.seen :]

    def type(self, line: str) -> None:
        self.seen = len(self.shown)
        os.write(self.master, line.encode())

    def alive(self) -> bool:
        return self.process.poll() is None

    def wait_or_end(self, seconds: float) -> None:
        until = time.monotonic() + seconds
        while self.alive() and time.monotonic() < until:
            self._read(min(until, time.monotonic() + 0.2))

    def ended(self, seconds: float = 60.0) -> int:
        until = time.monotonic() + seconds
        while self._read(until):
            pass
        return self.process.wait(timeout=max(1.0, until - time.monotonic()))

    def close(self) -> None:
        if self.process.poll() is None:
            self.process.kill()
            self.process.wait()
        os.close(self.master)

    def _read(self, until: float) -> bool:
        if not select.select([self.master], [], [], max(0.0, until - time.monotonic()))[0]:
            return False
        try:
            part = os.read(self.master, 65536)
        except OSError:  # nobody holds the other end any more
            return False
        self.shown += part.decode("utf-8", "replace")
        return bool(part)


def _own_terminal() -> None:
    """Ctrl-C is heard, whatever the parent did with it, and comes from this terminal."""
    import fcntl
    import termios

    signal.signal(signal.SIGINT, signal.default_int_handler)
    fcntl.ioctl(0, termios.TIOCSCTTY, 0)


@pytest.fixture
def terminal(path):
    opened: list[Terminal] = []

    def _open(*arguments: object) -> Terminal:
        opened.append(Terminal(path, *arguments))
        return opened[-1]

    yield _open
    for each in opened:
        each.close()


def test_a_dozen_times_enter_writes_a_file(terminal, path: Path):
    shown = terminal()
    shown.wait_for("[6x3] ")
    for _ in ASKED[1:]:
        shown.type("\n")
        shown.wait_for("] ")
    shown.type("\n")
    assert shown.ended() == 0
    assert tomllib.loads(path.read_text("utf-8"))["floor"]["spans_m"] == [3] * 6


def test_a_bad_answer_is_refused_and_asked_again(terminal, path):
    shown = terminal(*OPTIONS[2:])
    shown.wait_for("[6x3] ")
    shown.type("3,2\n")
    assert "with a point" in shown.wait_for("[6x3] ")
    shown.type("4x3.5\n")
    assert shown.ended() == 0
    assert tomllib.loads(path.read_text("utf-8"))["floor"]["spans_m"] == [3.5] * 4


def test_answers_that_clash_are_told_and_the_question_comes_again(terminal, path):
    soft = [*OPTIONS[:12], "--stiffness", "2", *OPTIONS[14:]]
    shown = terminal(*soft)
    assert "do not go together" in shown.wait_for("(the supplier's table)")
    shown.wait_for("] ")
    shown.type("200\n")
    assert shown.ended() == 0
    deck = tomllib.loads(path.read_text("utf-8"))["deck"]
    assert deck["bending_stiffness_kNm2_per_m"] == 200


@pytest.mark.parametrize("key", ["\x03", "\x04"])
def test_ctrl_c_and_the_end_of_typing_leave_no_file(terminal, path, key):
    shown = terminal()
    shown.wait_for("[6x3] ")
    # A signal between the prompt and the reading behind it is heard with the next key only.
    until = time.monotonic() + 60.0
    while shown.alive() and time.monotonic() < until:
        shown.type(key)
        shown.wait_or_end(3.0)
    assert shown.ended() == 130
    assert "no file was written" in shown.shown
    assert list(path.parent.iterdir()) == []
