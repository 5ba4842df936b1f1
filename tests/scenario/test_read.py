"""A whole file: what it becomes, and that nothing but its own error ever comes out."""

from __future__ import annotations

import math
import os
import re
import sys
from datetime import date
from itertools import pairwise

import pytest
from builders.scenario_text import NUMBERS, VALID
from hypothesis import given, settings
from hypothesis import strategies as st

from pourday.scenario.base.distribution import fixed
from pourday.scenario.base.faults import ScenarioError
from pourday.scenario.model.scenario import Scenario
from pourday.scenario.read import parse_scenario, read_scenario
from pourday.scenario.tables.file import TABLES


def faults_of(text: str) -> tuple:
    with pytest.raises(ScenarioError) as caught:
        parse_scenario(text)
    return caught.value.faults


def test_the_valid_text_becomes_a_scenario_in_si(valid):
    scenario, warnings = parse_scenario(valid)
    assert warnings == ()
    assert scenario.title == "Second floor, west half"
    assert scenario.date == date(2026, 5, 4)
    assert scenario.floor.supports == (0.0, 3.0, 6.0, 9.0, 12.0)
    assert scenario.floor.openings[0].x == (3.5, 5.5)
    assert scenario.deck.bending_stiffness == 210_000.0
    assert scenario.slab.depth == pytest.approx(0.14)
    assert scenario.mix.open_time == 9000.0
    assert scenario.mix.retarder == 1800.0
    assert scenario.weather.at == (21_600.0, 43_200.0)
    assert scenario.weather.wind == pytest.approx((5 / 3.6, 4.0))
    assert scenario.supply.plants[0].batch == pytest.approx(60 / 3600)
    assert scenario.site.breaks[1].length == 1800.0
    assert scenario.site.curfew == 72_000.0
    assert list(scenario.pumps) == ["boom", "own_line"]
    assert scenario.pumps["own_line"].walk == pytest.approx(12.0)
    assert scenario.crews["four"].rate_per_placer == pytest.approx(0.0015)
    assert scenario.prices.labour == pytest.approx(0.015)
    assert scenario.plan("early").fronts[0].spacing == fixed(720.0)
    assert scenario.plan("late").start == 7.25 * 3600
    hash(scenario.floor)
    hash(scenario.plans)


def test_supports_may_be_given_instead_of_spans(change):
    text = change(("spans_m = [3.0, 3.0, 3.0, 3.0]", "supports_m = [0, 3, 6, 9, 12]"))
    assert parse_scenario(text)[0].floor == parse_scenario(VALID)[0].floor


def test_the_way_back_is_the_way_there_unless_given(valid):
    plants = parse_scenario(valid)[0].supply.plants
    assert plants[0].back == plants[0].travel
    assert plants[1].back != plants[1].travel


def test_tables_left_out_take_their_defaults(change):
    text = re.sub(r"\[site\].*?(?=\[pumps)", "", change(("most_on_site = 4", "")), flags=re.S)
    scenario, _ = parse_scenario(text)
    assert scenario.site.positions == 2
    assert scenario.site.gate == fixed(60.0)


def test_the_title_is_the_name_of_the_file_unless_given(tmp_path, change):
    path = tmp_path / "north tower.toml"
    path.write_text(change(('title = "Second floor, west half"\n', "")), "utf-8")
    assert read_scenario(path)[0].title == "north tower"


def test_a_file_with_a_byte_order_mark_or_windows_lines_reads_the_same(tmp_path, valid):
    path = tmp_path / "one.toml"
    path.write_bytes(b"\xef\xbb\xbf" + valid.replace("\n", "\r\n").encode())
    assert read_scenario(path)[0] == parse_scenario(valid)[0]


def test_a_date_in_quotes_is_read(change):
    text = change(("date = 2026-05-04", 'date = "2026-05-04"'))
    assert parse_scenario(text)[0].date == date(2026, 5, 4)


@pytest.mark.parametrize(
    "written", ["2026-05-04T07:00:00", '"4 May 2026"', "20260504", "0001-01-01", "07:00:00"]
)
def test_anything_else_is_no_date(change, written):
    (fault,) = faults_of(change(("date = 2026-05-04", f"date = {written}")))
    assert fault.path == "date"
    assert "without a time" in fault.text


FILES = [
    (lambda d: d / "nothing.toml", "no such file"),
    (lambda d: d, "a folder"),
    (lambda d: d / "latin.toml", "a letter on line 2 that is not UTF-8"),
    (lambda d: d / ("x" * 5000), "a path of more than 1000 letters"),
    (lambda d: d / ("x" * 500), "nothing that can be read"),
    (lambda d: str(d) + "\0", "nothing that can be read"),
    (lambda d: d / "syntax.toml", "line 2, column 5"),
]


@pytest.mark.parametrize(("place", "said"), FILES)
def test_a_file_that_cannot_be_read_says_why(tmp_path, place, said):
    (tmp_path / "latin.toml").write_bytes(b"a = 1\nb = '\xe9'\n")
    (tmp_path / "syntax.toml").write_text("a = 1\nb = x\n")
    with pytest.raises(ScenarioError) as caught:
        read_scenario(place(tmp_path))
    assert len(caught.value.faults) == 1
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("a = 1\nb = \n", "line 2"),
        ("a = 1\na = 2\n", "a second time"),
        ("[slab]\n[slab]\n", "a second time"),
        ("a = " + "[" * 100_000, "too deep"),
        ("a = " + "9" * 5000, "too long"),
        ("a = 2026-13-45", "TOML"),
    ],
)
def test_broken_toml_is_one_fault_with_its_place(text, said):
    (fault,) = faults_of(text)
    assert said in fault.text
    assert "\n" not in fault.text


def test_an_empty_file_names_everything_it_needs():
    paths = {fault.path for fault in faults_of("")}
    needed = {"date", "floor", "deck", "slab", "mix", "weather", "supply"}
    assert paths == needed | {"pumps", "crews", "plan"}


JUNK = {
    "text": '"x"',
    "nan": "nan",
    "endless": "inf",
    "yes": "true",
    "table": "{ a = 1 }",
    "nested": '[[["x"]]]',
    "deep distribution": '{ dist = { dist = "list" } }',
    "long whole number": "1" + "0" * 400,
    "hexadecimal": "0x" + "f" * 6000,
}


@pytest.mark.parametrize("junk", JUNK.values(), ids=JUNK.keys())
@pytest.mark.parametrize("at", range(len(NUMBERS)))
def test_junk_in_place_of_any_number_is_refused_and_nothing_else_happens(at, junk):
    here = NUMBERS[at]
    faults = faults_of(VALID[: here.start()] + junk + VALID[here.end() :])
    for fault in faults:
        assert "\n" not in fault.text
        assert not re.search(r"pydantic|validation|\bNone\b|\bstr\b|\bdict\b|\bfloat\b", fault.text)


numbers = st.one_of(
    st.floats(allow_nan=False, allow_infinity=False),
    st.integers(-(10**30), 10**30),
    st.sampled_from([0, -1, -0.0, 5e-324, -5e-324, 1e-9, 1.7e308, -1.7e308, 0.5, 1e6]),
)


def finite_scenario_or_faults(text: str) -> bool:
    """Whether the text became a scenario, which is then looked at; else it gave faults."""
    try:
        scenario, _ = parse_scenario(text)
    except ScenarioError as error:
        return not list(error.faults)
    x = scenario.floor.supports
    assert all(high > low for low, high in pairwise(x))
    for pump in scenario.pumps.values():
        assert math.isfinite(pump.output.mean)
        assert pump.output.mean > 0
        assert 0 < 1 - pump.output_loss_per_100m * pump.line_length / 100 <= 1
    return True


@settings(max_examples=400, deadline=None, derandomize=True)
@given(st.lists(st.tuples(st.integers(0, len(NUMBERS) - 1), numbers), min_size=1, max_size=3))
def test_any_numbers_at_all_give_a_finite_scenario_or_faults(swaps):
    text = VALID
    for at, number in sorted(dict(swaps).items(), reverse=True):
        here = NUMBERS[at]
        text = text[: here.start()] + repr(number) + text[here.end() :]
    finite_scenario_or_faults(text)


def test_numbers_near_the_valid_ones_mostly_give_a_finite_scenario():
    read = [
        finite_scenario_or_faults(
            VALID[: here.start()] + f"{float(here[0]) * factor:g}" + VALID[here.end() :]
        )
        for here in NUMBERS
        for factor in (0.5, 0.9, 1.1, 2)
    ]
    assert 0.7 < sum(read) / len(read) < 1  # both happen


def test_every_number_of_the_valid_text_was_found():
    assert len(NUMBERS) > 70


@pytest.mark.parametrize(
    "junk", ["1", '"x"', "[]", "[1]", "{}", "[{}]", "{ a = { b = 1 } }", "nan"]
)
@pytest.mark.parametrize("table", [*TABLES, "pumps", "crews", "plan"])
def test_junk_in_place_of_a_whole_table_gives_faults_or_defaults(table, junk):
    kept = re.split(r"(?m)^(?=\[)", VALID)
    kept = [part for part in kept if not re.match(rf"\[+{table}[.\]]", part)]
    text = f"{table} = {junk}\n" + "".join(kept)
    if junk == "{}" and table in TABLES and not TABLES[table][1]:
        assert isinstance(parse_scenario(text)[0], Scenario)
    else:
        assert any(table in fault.path for fault in faults_of(text))


WRITES: list[str] = []
WATCH = {"on": False}
CHANGES = ("os.mkdir", "os.rename", "os.remove", "os.rmdir", "os.truncate", "os.symlink")


def _watch(event: str, args: tuple) -> None:
    if not WATCH["on"]:
        return
    writes = event == "open" and args[2] & (os.O_WRONLY | os.O_RDWR | os.O_CREAT)
    if writes or event in CHANGES:
        WRITES.append(f"{event} {args[0]}")


def test_reading_never_writes(tmp_path, valid, change):
    sys.addaudithook(_watch)
    good, bad = tmp_path / "good.toml", tmp_path / "bad.toml"
    good.write_text(valid, "utf-8")
    bad.write_text(change(("depth_mm = 140", "depth_mm = 1")), "utf-8")
    WATCH["on"] = True
    try:
        read_scenario(good)
        with pytest.raises(ScenarioError):
            read_scenario(bad)
        seen = list(WRITES)
        (tmp_path / "own.txt").write_text("the watch sees this one")
    finally:
        WATCH["on"] = False
    assert seen == []
    assert len(WRITES) == 1
