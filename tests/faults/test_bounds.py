"""What would take all memory or never end is refused, or stopped, with the key that does it."""

from __future__ import annotations

import io
import os
import pickle

import pytest
from builders.pours import laid_out, pour
from builders.scenario_text import changed
from rich.console import Console

from pourday.day.bound import run_out
from pourday.day.play import open_day
from pourday.report.text.starts import starts_report
from pourday.scenario.base.disk import NoFileError, read_file
from pourday.scenario.base.faults import Fault, ScenarioError
from pourday.scenario.base.upsets import TRUCK_BROKEN, Upset
from pourday.scenario.model.scenario import Scenario
from pourday.scenario.read import MOST_BYTES, parse_scenario, read_scenario
from pourday.study.start_times import ranked, start_times

# Table, key, its floor: the least that a site could write.
FLOORS = (
    ("mix", "relaxation_h", 0.1),
    ("site", "round_the_block_min", 0.5),
    ("finishing", "power_float_m2_h", 5.0),
    ("finishing", "bull_float_m2_h", 5.0),
    ("finishing", "edge_m_h", 1.0),
    ("upsets", "plant_stop_every_h", 0.1),
    ("upsets", "truck_broken_every_h", 0.1),
    ("upsets", "road_closed_every_h", 0.1),
    ("upsets", "pump_down_every_h", 0.1),
    ("upsets", "crane_lost_every_h", 0.1),
)
PLACES = {"mix": 'preset = "ordinary_c30"\n', "site": "positions = 2\n"}
# The same for keys of tables that have names or stand in lists: what to put them beside.
BESIDE = (
    ("trucks = 6\nbatch_m3_h = 60\n", "trucks = 6\nbatch_m3_h = {}\n", 0.5),
    ("trucks = 3\n", "trucks = 3\nothers_every_min = {}\n", 0.5),
    ("walk_min_per_m = 0.2\n", "walk_min_per_m = 0.2\nother_lifts_every_min = {}\n", 0.5),
    ("walk_min_per_m = 0.2\n", "walk_min_per_m = 0.2\nbetween_blockages_h = {}\n", 0.1),
    ("rate_per_placer_m3_h = 5.4\n", "rate_per_placer_m3_h = {}\n", 0.1),
    ("front_speed_m_min = 1.2\n", "front_speed_m_min = {}\n", 0.015),
    ("load_step_m3 = 0.5\n", "load_step_m3 = {}\n", 0.01),
)


def with_key(table: str, line: str) -> str:
    if table in PLACES:
        return changed((PLACES[table], f"{PLACES[table]}{line}\n"))
    return changed(("[prices]\n", f"[{table}]\n{line}\n\n[prices]\n"))


def faults_of(text: str) -> list[Fault]:
    with pytest.raises(ScenarioError) as caught:
        parse_scenario(text)
    return list(caught.value.faults)


@pytest.mark.parametrize(("table", "key", "floor"), FLOORS)
def test_a_rate_or_interval_has_a_floor_that_its_fault_names(table, key, floor):
    parse_scenario(with_key(table, f"{key} = {floor}"))
    (fault,) = faults_of(with_key(table, f"{key} = {0.9 * floor}"))
    assert fault.path == f"{table}.{key}"
    assert f"from {floor:g} to" in fault.allowed


@pytest.mark.parametrize(("old", "new", "floor"), BESIDE)
def test_so_do_those_of_plants_pumps_and_crews(old, new, floor):
    parse_scenario(changed((old, new.format(floor))))
    (fault,) = faults_of(changed((old, new.format(0.9 * floor))))
    assert f"from {floor:g} to" in fault.allowed


def test_no_way_round_the_block_is_still_written_as_0():
    scenario, _ = parse_scenario(with_key("site", "round_the_block_min = 0"))
    assert scenario.site.round_the_block is None


def endless(scenario: Scenario, most: int, upsets: tuple[Upset, ...] = ()) -> Fault:
    day = open_day(scenario, scenario.plans[0], laid_out(scenario), 1, upsets)
    with pytest.raises(ScenarioError) as caught:
        run_out(day, most)
    (fault,) = caught.value.faults
    return fault


def test_a_day_that_comes_to_no_end_is_stopped_with_the_key_that_does_it():
    fault = endless(pour(), 20)
    assert fault.path == "supply.load_m3"
    assert "stopped after 20 events" in fault.text
    assert "comes to no end" in fault.text
    upsets = tuple(Upset(at, TRUCK_BROKEN, 0.0, drawn=True) for at in range(99))
    assert endless(pour(), 20, upsets).path == "upsets.truck_broken_every_h"


def test_a_day_that_ends_at_its_last_event_is_no_endless_one():
    scenario = pour()
    day = open_day(scenario, scenario.plans[0], laid_out(scenario), 1)
    count = 0
    while day.env.peek() < float("inf"):
        day.env.step()
        count += 1
    again = open_day(scenario, scenario.plans[0], laid_out(scenario), 1)
    run_out(again, count)
    assert "stopped after" in endless(scenario, count - 1).text


def test_faults_go_from_one_process_to_another_whole():
    error = ScenarioError([Fault("a.b", "x", "y"), Fault("c", "d")])
    again = pickle.loads(pickle.dumps(error))
    assert (again.faults, str(again)) == (error.faults, str(error))


def test_pipes_devices_and_files_of_any_size_are_not_read(tmp_path):
    pipe, large = tmp_path / "pipe.toml", tmp_path / "large.toml"
    os.mkfifo(pipe)
    large.write_bytes(b"#" * (MOST_BYTES + 1))
    for path, said in (
        (pipe, "a pipe or a device"),
        ("/dev/zero", "a pipe or a device"),
        (large, f"more than {MOST_BYTES} bytes"),
        (tmp_path / ("x" * 1500), "a path of more than 1000 letters"),
    ):
        with pytest.raises(ScenarioError, match=said):
            read_scenario(path)
    large.write_bytes(b"#" * MOST_BYTES)
    assert len(read_file(large, MOST_BYTES)) == MOST_BYTES
    with pytest.raises(NoFileError):
        read_file(large, MOST_BYTES - 1)


HEAD = "time,air_C,humidity,wind_km_h\n"


@pytest.mark.parametrize(
    ("csv", "said"),
    [
        (HEAD + '06:00,"' + "9" * 200_000 + '",0.5,10\n', "a field too long to read"),
        (HEAD + "²:³,9,0.5,10\n", 'a time such as "06:30"'),
        (HEAD + "9" * 5000 + ":00,9,0.5,10\n", 'a time such as "06:30"'),
        (HEAD + "06:00,9,0.5\n", "empty"),
        (HEAD + "x,9,0.5,1\n" * 5000, "more faults further down"),
    ],
)
def test_a_csv_of_any_kind_is_told_in_few_lines(tmp_path, csv, said):
    (tmp_path / "air.csv").write_text(csv, encoding="utf-8")
    rows = changed(("[weather]\nhours = [\n", '[weather]\ncsv = "air.csv"\nold = [\n'))
    head, tail = rows.index("old = ["), rows.index("]\n", rows.index("old = ["))
    with pytest.raises(ScenarioError) as caught:
        parse_scenario(rows[:head] + rows[tail + 2 :], folder=tmp_path)
    assert said in str(caught.value)
    assert len(str(caught.value)) < 5000


def test_a_csv_may_be_no_pipe_nor_have_a_path_without_end(tmp_path):
    os.mkfifo(tmp_path / "air.csv")
    for name, said in (("air.csv", "a pipe or a device"), ("x" * 3000, "a path of more than")):
        rows = changed(("[weather]\nhours = [\n", f'[weather]\ncsv = "{name}"\nold = [\n'))
        head, tail = rows.index("old = ["), rows.index("]\n", rows.index("old = ["))
        with pytest.raises(ScenarioError, match=said) as caught:
            parse_scenario(rows[:head] + rows[tail + 2 :], folder=tmp_path)
        assert len(str(caught.value)) < 500


def test_starts_that_place_nothing_are_told_and_none_is_called_best():
    scenario = pour(mix={"reject_share": 1.0}, site={"test_every": 1})
    plan = scenario.plans[0]
    found = start_times(scenario, plan, (6 * 3600.0, 7 * 3600.0), range(2), workers=1)
    out = io.StringIO()
    ranking = ranked(found, "drying")
    starts_report(Console(file=out, width=100), scenario, found, ranking)
    said = " ".join(out.getvalue().split())
    assert "NOT ALL PLACED when begun at 06:00 to 07:00: 100 % of days." in said
    assert "none is better than another" in said
    assert "None of these starts. What to change: longer hours of the plant" in said
    assert ranking.best == ()
    assert "Best:" not in said
    assert "Tie:" not in said
