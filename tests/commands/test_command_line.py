"""The commands as a user types them: exit codes, faults, JSON, widths, the caution."""

from __future__ import annotations

import json
import os
import subprocess
import sys

import pytest
from builders.commands import called
from builders.places import ROOT

CLINIC = ROOT / "scenarios" / "clinic_level_1.toml"
DEPOT = ROOT / "scenarios" / "depot_two_pumps.toml"
SCENARIOS = sorted((ROOT / "scenarios").glob("*.toml"))


def run(*arguments: object, width: int = 80) -> subprocess.CompletedProcess[str]:
    environment = os.environ | {"COLUMNS": str(width), "PYTHONUTF8": "1"}
    command = [sys.executable, "-m", "pourday", *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, env=environment, check=False)


def test_day_record_holds_every_documented_key_and_adds_up(tmp_path):
    path = tmp_path / "day.json"
    done = run("day", "--full", CLINIC, "--plan", "line, 27 min", "--seed", 3, "--json", path)
    assert done.returncode == 0, done.stderr
    record = json.loads(path.read_text())
    assert record["schema"] == "pourday.day/1"
    assert (record["plan"], record["seed"]) == ("line, 27 min", 3)
    pour = record["pour"]
    assert pour["ordered_m3"] == pytest.approx(
        pour["placed_m3"] + pour["rejected_m3"] + pour["returned_m3"] + pour["line_and_pump_m3"],
        abs=1e-4,
    )
    assert pour["duration_h"] == pytest.approx(pour["end_h"] - pour["start_h"], abs=1e-5)
    assert sum(record["pump"].values()) == pytest.approx(pour["duration_h"], abs=1e-4)
    assert pour["placed_m3"] == pytest.approx(
        sum(s["volume_m3"] for s in record["strips"]), abs=1e-4
    )
    assert pour["ordered_m3"] == pytest.approx(
        sum(t["volume_m3"] for t in record["trucks"]), abs=1e-4
    )
    truck = record["trucks"][0]
    assert {"id", "batched_h", "arrived_h", "discharge_start_h", "discharge_end_h", "wait_min",
            "age_at_end_min", "volume_m3", "outcome"} <= set(truck)  # fmt: skip
    assert {"first", "second", "length_m", "max_gap_min", "max_ratio", "cold"} <= set(
        record["edge_pairs"][0]
    )
    assert {"sag_moment_kNm_per_m", "hog_moment_kNm_per_m", "reaction_kN_per_m",
            "uplift_kN_per_m", "deflection_mm", "use"} == set(record["deck"]["peaks"])  # fmt: skip
    cost = record["cost"]
    parts = ("concrete", "pump", "labour", "waiting", "overtime", "cold_joints")
    assert cost["total"] == pytest.approx(sum(cost[part] for part in parts), abs=1e-3)
    assert record["evaporation_peak_kg_m2_h"] > 0


def test_compare_record_gives_spreads_chances_and_differences(tmp_path):
    path = tmp_path / "compare.json"
    done = run("compare", "--full", CLINIC, "--days", 6, "--json", path)
    assert done.returncode == 0, done.stderr
    record = json.loads(path.read_text())
    assert record["schema"] == "pourday.compare/2"
    assert record["days"] == record["verdict"]["days"] == 6
    assert record["verdict"]["tests"] == 8  # 4 plans; cold joints and curfew need days
    assert record["choice"]["plan"] is None  # six days decide nothing of 10 %
    assert record["choice"]["fresh_days"] == 0
    assert record["choice"]["not_decided"]["plan"] in [each["plan"] for each in record["plans"]]
    names = [plan["plan"] for plan in record["plans"]]
    assert [each["plan"] for each in record["differences"]] == names[1:]
    for plan in record["plans"]:
        for figure in ("duration_h", "mean_wait_min", "starved_h", "use", "cost_total"):
            spread = plan[figure]
            assert set(spread) == {"mean", "p10", "p50", "p90"}
            assert spread["p10"] <= spread["p50"] <= spread["p90"]
        chance = plan["cold_joint_probability"]
        assert 0 <= chance["low"] <= chance["value"] <= chance["high"] <= 1
    first, second = record["plans"][0], record["plans"][1]
    difference = record["differences"][0]["cost_total"]["value"]
    assert difference == pytest.approx(
        second["cost_total"]["mean"] - first["cost_total"]["mean"], abs=1e-3
    )


@pytest.mark.parametrize(
    ("path", "width"),
    # A wide terminal shows no other words: one floor does for it, and every second at 80.
    [(path, 80) for path in SCENARIOS[::2]] + [(DEPOT, 120)],
    ids=lambda value: getattr(value, "stem", value),
)
def test_every_report_keeps_the_width_and_ends_with_the_caution(monkeypatch, path, width):
    monkeypatch.setenv("COLUMNS", str(width))
    for command in (
        ["check", "--full"],
        ["day", "--full"],
        ["compare", "--full", "--days", 2, "--workers", 1],
    ):
        done = called(command[0], path, *command[1:])
        assert done.exit_code == 0, done.stderr
        assert max(map(len, done.stdout.splitlines())) <= width
        flat = " ".join(done.stdout.split())
        assert flat.endswith("clear the deck, prop, and ask the engineer.")
        assert flat.count("Planning aid only.") == 1
        assert " safe" not in flat.lower()
        assert "Traceback" not in done.stderr


def test_all_faults_at_once_exit_code_2_and_nothing_written(tmp_path):
    text = CLINIC.read_text()
    text = text.replace("depth_mm = 130", "depth_mm = 20").replace(
        'crew = "small"', 'crew = "smal"', 1
    )
    text = text.replace("self_weight_kN_m2", "self_wieght_kN_m2")
    broken, out = tmp_path / "broken.toml", tmp_path / "out.json"
    broken.write_text(text)
    done = run("day", "--full", broken, "--json", out)
    assert done.returncode == 2
    assert not out.exists()
    assert done.stdout == ""
    for words in ("slab.depth_mm: found 20", 'did you mean "small"?', 'mean "self_weight_kN_m2"?'):
        assert words in done.stderr
    assert "Traceback" not in done.stderr


def test_faults_of_an_order_are_told_like_faults_of_the_file(tmp_path):
    text = CLINIC.read_text().replace(
        'order = "across"\npour_width_m = 26\nband_m = 3',
        'order = "listed"\nsequence = ["1/beam 1", "9/gap"]',
    )
    broken = tmp_path / "listed.toml"
    broken.write_text(text)
    done = run("check", "--full", broken)
    assert done.returncode == 2
    assert 'plan[4].sequence (plan "line, across")' in done.stderr
    assert "no strip is called '9/gap'" in done.stderr


@pytest.mark.parametrize(
    "arguments",
    [("day", CLINIC, "--plan", "nobody"), ("check", "no_such_file.toml"), ("check", ROOT)],
)
def test_wrong_calls_end_with_code_2_and_a_sentence(arguments):
    done = run(*arguments)
    assert done.returncode == 2
    assert done.stderr.strip()
    assert "Traceback" not in done.stderr


def test_a_path_that_cannot_be_written_is_told(tmp_path):
    done = run("day", "--full", CLINIC, "--json", tmp_path / "no" / "such" / "folder.json")
    assert done.returncode == 2
    assert "cannot be written" in done.stderr


def test_help_imports_nothing_heavy():
    code = (
        "import sys\nsys.argv = ['pourday', '--help']\n"
        "from pourday.cli import app\n"
        "try:\n    app()\nexcept SystemExit:\n    pass\n"
        "heavy = {'matplotlib', 'networkx', 'pydantic', 'numpy', 'scipy', 'simpy', 'rich',\n"
        "         'pygments', 'markdown_it'}\n"
        "heavy &= set(sys.modules)\n"
        "print('HEAVY', sorted(heavy))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert "HEAVY []" in done.stdout


@pytest.mark.parametrize(("mine", "seen"), [(None, "1"), ("3", "3")])
def test_algebra_has_one_thread_a_process_unless_the_user_says_otherwise(mine, seen):
    program = (
        "import atexit, os; atexit.register(lambda: print(os.environ['OPENBLAS_NUM_THREADS']));"
        "from pourday.cli import main; main()"
    )
    environment = {k: v for k, v in os.environ.items() if k != "OPENBLAS_NUM_THREADS"}
    if mine is not None:
        environment["OPENBLAS_NUM_THREADS"] = mine
    done = subprocess.run(
        [sys.executable, "-c", program, "--help"],
        capture_output=True, text=True, env=environment, check=True,
    )  # fmt: skip
    assert done.stdout.splitlines()[-1] == seen


def test_help_says_what_each_command_does_within_80_columns():
    done = run("--help")
    assert done.returncode == 0
    assert "..." not in done.stdout.replace("[ARGS]...", "")
    assert max(map(len, done.stdout.splitlines())) <= 80
    for command in (
        "check", "deck", "day", "rehearse", "starts", "compare", "price", "split", "keys",
    ):  # fmt: skip
        assert f"\n  {command} " in done.stdout
        assert run(command, "--help").returncode == 0


def test_networkx_is_loaded_where_an_order_is_laid_out(tmp_path):
    broken = tmp_path / "broken.toml"
    broken.write_text(CLINIC.read_text().replace("depth_mm = 130", "depth_mm = 20"))
    for path, loaded in ((broken, False), (CLINIC, True)):
        code = (
            f"import sys\nsys.argv = ['pourday', 'check', {str(path)!r}]\n"
            "from pourday.cli import app\n"
            "try:\n    app()\nexcept SystemExit:\n    pass\n"
            "print('LOADED', 'networkx' in sys.modules)"
        )
        done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
        assert f"LOADED {loaded}" in done.stdout


@pytest.mark.parametrize(("command", "loaded"), [("check", False), ("compare", True)])
def test_scipy_is_loaded_where_an_interval_is_asked_for_and_its_stats_nowhere(command, loaded):
    days = ["--days", "2"] if command == "compare" else []
    code = (
        f"import sys\nsys.argv = {['pourday', command, str(CLINIC), *days]}\n"
        "from pourday.cli import app\n"
        "try:\n    app()\nexcept SystemExit:\n    pass\n"
        "print('LOADED', 'scipy.special' in sys.modules, 'scipy.stats' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert f"LOADED {loaded} False" in done.stdout


def test_a_json_file_of_any_name_may_be_written_over(tmp_path):
    path = tmp_path / "numbers.txt"
    path.write_text("old")
    assert run("day", "--full", CLINIC, "--json", path).returncode == 0
    assert json.loads(path.read_text())["schema"] == "pourday.day/1"


def test_a_folder_for_a_file_and_a_file_for_a_folder_are_refused_before_anything_is_played(
    tmp_path,
):
    (tmp_path / "old").write_text("a file")
    for arguments in (["--json", tmp_path], ["--figures", tmp_path / "old"]):
        done = run("day", "--full", CLINIC, *arguments)
        assert (done.returncode, done.stdout) == (2, "")
        assert "cannot be written" in done.stderr


def test_a_calendar_of_a_day_on_which_nothing_was_placed_is_not_written(tmp_path):
    mix = 'preset = "ordinary_c30"'
    text = CLINIC.read_text().replace(mix, f"{mix}\nreject_share = 1.0\n", 1)
    scenario, path = tmp_path / "none.toml", tmp_path / "dates.ics"
    # Every load is tested: one that is not would be placed.
    assert "[site]\n" in text
    text = text.replace("[site]\n", "[site]\ntest_every = 1\n", 1)
    scenario.write_text(text)
    done = run("day", "--full", scenario, "--calendar", path)
    assert done.returncode == 2
    assert "NOTHING WAS PLACED" in done.stdout
    assert "there are no dates" in done.stderr
    assert not path.exists()


def test_props_that_are_not_there_cannot_be_left_out():
    done = run("deck", CLINIC, "--without-props")
    assert done.returncode == 2
    assert "no prop line there to leave out" in done.stderr


def test_upsets_of_the_command_line_are_played_told_and_recorded(tmp_path):
    path = tmp_path / "day.json"
    lines = ("--upset", "10:15 pump 2 down 75 min", "--upset", "8:30 load rejected")
    done = run("day", "--full", DEPOT, "--seed", 2, *lines, "--json", path)
    assert done.returncode == 0, done.stderr
    assert "10:15 pump 2 down 1 h 15 min" in done.stdout
    assert "What helps in a long stop" in done.stdout
    record = json.loads(path.read_text())
    given = [each["text"] for each in record["upsets"]["upsets"] if not each["drawn"]]
    assert given == ["08:30 load rejected", "10:15 pump 2 down 1 h 15 min"]
    effects = record["upsets"]["effects"]
    assert effects[-1]["without"] == "all of them"
    for effect in effects:
        lost = effect["day_with"]["end_h"] - effect["day_without"]["end_h"]
        assert effect["lost_min"] == pytest.approx(60 * lost, abs=1e-2)
    # Two fronts: the time of each is its own, and all of it together is what "pump" has.
    fronts = record["fronts"]
    assert len(fronts) == 2
    for front in fronts:
        assert sum(front["pump"].values()) == pytest.approx(
            front["end_h"] - front["start_h"], abs=1e-4
        )
    for kind, hours in record["pump"].items():
        assert hours == pytest.approx(sum(front["pump"][kind] for front in fronts), abs=1e-4)
    assert fronts[1]["pump"]["down_h"] >= 1.25 - 1e-6


def test_lines_that_are_no_upsets_are_all_told_at_once_with_code_2():
    done = run(
        "day", "--full", DEPOT, "--upset", "10:15 pomp down 1 h", "--upset", "10:15 pump 3 down 1 h"
    )
    assert done.returncode == 2
    assert done.stdout == ""
    assert "2 faults" in done.stderr
    assert 'did you mean "pump"?' in done.stderr
    assert "no front 3; the plan has fronts 1 to 2" in done.stderr


def test_a_comparison_says_what_goes_wrong_on_every_day():
    done = run("compare", "--full", CLINIC, "--days", 2, "--upset", "10:15 pump down 1 h")
    assert done.returncode == 0, done.stderr
    assert "On every day goes wrong: 10:15 pump down 1 h" in done.stdout


def test_what_no_place_reaches_is_a_fault_of_the_plan(tmp_path):
    file = tmp_path / "short.toml"
    file.write_text(DEPOT.read_text().replace("reach_m = 40", "reach_m = 20"))
    done = run("check", "--full", file)
    assert done.returncode == 2
    assert 'plan[1].set_ups (plan "two pumps")' in done.stderr
    assert "boom reaches 20 m from south yard, south gate, but not" in done.stderr


def test_starts_run_over_midnight_and_say_what_was_asked(tmp_path):
    # It was refused until starts could be the next day's: --to before --from.
    path = tmp_path / "starts.json"
    hot = ROOT / "scenarios" / "hot_roof.toml"
    done = run("starts", hot, "--from", 22, "--to", 1, "--days", 2, "--by", "cost", "--json", path)
    assert done.returncode == 0, done.stderr
    record = json.loads(path.read_text())
    assert [each["start_h"] for each in record["starts"]] == [22.0, 23.0, 24.0, 25.0]
    assert record["by"] == "cost"
    assert record["best_h"]
    assert {"drying_kg_m2_h", "on_site_h", "cost_total", "out", "behind_best"} <= set(
        record["starts"][0]
    )
    assert "01:00+1d" in done.stdout
    refused = run("starts", hot, "--by", "luck")
    assert refused.returncode == 2
