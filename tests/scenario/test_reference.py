"""The key reference: a sentence for every key, true defaults, and pages that are as printed."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest
from builders.places import ROOT

from pourday.report.text.keys import keys_markdown, presets_markdown
from pourday.scenario.base.distribution import Distribution, fixed, parse
from pourday.scenario.base.quantities import Table
from pourday.scenario.base.units import ending_of
from pourday.scenario.presets import (
    KIND_OF,
    KINDS,
    preset,
    preset_names,
    weather_sample,
    weather_samples,
)
from pourday.scenario.reference import (
    EMPTY,
    FILE,
    LEFT_OUT,
    MUST,
    key_lines,
    meanings,
    preset_lines,
    tables,
    title,
)
from pourday.scenario.tables import concrete, deck, file, prices, search, site

DOCS = ROOT / "docs"
MODELS = {path: model for path, model in tables().items() if model is not None}
FIELDS = [(path, key) for path, model in MODELS.items() for key in model.model_fields]
LINES = {(line.table, line.key): line for line in key_lines()}


def run(*arguments: object, width: int = 80) -> subprocess.CompletedProcess[str]:
    environment = os.environ | {"COLUMNS": str(width), "PYTHONUTF8": "1"}
    command = [sys.executable, "-m", "pourday", "keys", *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, env=environment, check=False)


def test_every_model_of_the_file_is_in_the_reference():
    models = {
        found
        for module in (concrete, deck, file, prices, search, site)
        for found in vars(module).values()
        if isinstance(found, type) and issubclass(found, Table) and found is not Table
    }
    assert set(MODELS.values()) == models


def test_every_key_has_a_sentence_and_no_sentence_is_left_over():
    written = {(table, key) for table, keys in meanings().items() for key in keys}
    assert written == {*FIELDS, *((FILE, key) for key in file.PLAIN_KEYS)}
    assert written == set(LINES)


def test_a_sentence_is_short_plain_text_without_an_end_mark():
    for line in LINES.values():
        where = f"{line.table}.{line.key}"
        assert 8 < len(line.meaning) <= 200, where
        assert not line.meaning.endswith(".") or line.meaning.endswith("..."), where
        assert line.meaning[0].islower() or line.meaning.startswith("EI"), where
        assert "|" not in line.meaning, where
        assert "safe" not in line.meaning, where
        assert line.allowed != "a key of this table", where


def read_back(shown: str) -> Distribution:
    """A quantity from its words: a number, or "lognormal: mean 1, sd 0.3"."""
    kind, spread, parameters = shown.partition(": ")
    if not spread:
        return fixed(float(shown))
    pairs = (each.split(" ") for each in parameters.split(", "))
    return parse({"dist": kind} | {name: float(number) for name, number in pairs})


@pytest.mark.parametrize("path", MODELS)
def test_every_default_shown_is_that_of_the_model(path):
    for key, field in MODELS[path].model_fields.items():
        shown = LINES[path, key].default
        default = field.get_default(call_default_factory=True)
        if field.is_required():
            assert shown.startswith(MUST), key
        elif default is None:
            assert shown == LEFT_OUT, key
        elif default == []:
            assert shown == EMPTY, key
        elif isinstance(default, bool):
            assert shown == ("true" if default else "false"), key
        elif isinstance(default, str):
            assert shown == f'"{default}"', key
        elif shown.startswith('"'):  # a clock time
            hours, minutes = shown.strip('"').split(":")
            assert int(hours) * 3600 + int(minutes) * 60 == default, key
        elif isinstance(default, int | float):
            assert float(shown) == pytest.approx(default, rel=1e-5), key
        else:
            assert read_back(shown) == default, key


def test_what_is_allowed_and_its_unit_come_from_the_model():
    depth = LINES["slab", "depth_mm"]
    assert (depth.allowed, depth.unit) == ("a number from 60 to 500", "mm")
    spacing = LINES["plan", "spacing_min"]
    assert (spacing.allowed, spacing.unit) == ("number or distribution from 0 to 240", "min")
    assert LINES["floor", "openings"].allowed == "a list of tables, [[floor.openings]]"
    assert LINES["loads", "stacks"].allowed == "a list of tables, [[loads.stacks]]"
    assert LINES["beams", "primary"].allowed == "a table, [beams.primary]"
    assert LINES["supply.plants", "opens"].default == '"00:00"'
    for (path, key), line in LINES.items():
        if path != FILE:
            assert line.unit == ending_of(key)[1]


def test_tables_are_called_as_they_stand_in_a_file():
    assert [title(path) for path in ("floor", "plan", "pumps", "beams.secondary")] == [
        "[floor]", "[[plan]]", "[pumps.NAME]", "[beams.secondary]"
    ]  # fmt: skip
    assert title("weather.rain") == "[[weather.rain]]"


def test_a_preset_gives_every_key_that_it_can_stand_in_for():
    for table, kind in KIND_OF.items():
        needed = {k for (path, k), line in LINES.items() if path == table and MUST in line.default}
        for name in preset_names(kind):
            assert needed <= preset(kind, name).keys()
    assert set(KINDS) == {"mixes", "pumps", "crews", "finishing"}


def test_a_table_brings_the_tables_inside_it_and_may_be_asked_for_in_brackets():
    assert {line.table for line in key_lines("beams")} == {
        "beams", "beams.secondary", "beams.primary", "beams.lines"
    }  # fmt: skip
    assert key_lines("[[floor.openings]]") == key_lines("floor.openings")
    assert key_lines("[pumps.NAME]") == key_lines("pumps")


def test_an_unknown_table_is_told_with_those_there_are():
    with pytest.raises(KeyError, match=r'did you mean "plan"\? the tables are: file, floor'):
        key_lines("plans")
    with pytest.raises(KeyError, match="pumps, crews, mix, finishing, weather"):
        preset_lines("plan")


def test_every_value_of_every_preset_is_listed_with_a_source():
    lines = preset_lines()
    assert all(line.source for line in lines)
    values = sum(len(preset(kind, name)) for kind in KINDS for name in preset_names(kind))
    rows = sum(len(weather_sample(name)) for name in weather_samples())
    assert len(lines) == values + rows
    boom = {line.key: line for line in preset_lines("pumps") if line.name == "truck_boom"}
    assert boom["output_m3_h"].value == "triangular: low 40, mode 50, high 60"
    assert boom["hopper_m3"].value == "0.5"
    assert boom["hopper_m3"].source == "common practice, no source"


@pytest.mark.parametrize(
    ("name", "printed"), [("keys.md", keys_markdown), ("presets.md", presets_markdown)]
)
def test_the_page_in_docs_is_what_the_program_prints(name, printed):
    found = (DOCS / name).read_text("utf-8")
    assert found == printed(), f"write docs/{name} anew from report.text.keys.{printed.__name__}()"


def test_the_pages_are_linked_and_hold_every_key():
    scenario = (DOCS / "scenario.md").read_text("utf-8")
    assert "(keys.md)" in scenario
    assert "(presets.md)" in scenario
    page = keys_markdown()
    for path, key in LINES:
        assert f"| `{key}` |" in page, path


@pytest.mark.parametrize("arguments", [("plan",), (), ("--presets",), ("mix", "--presets")])
@pytest.mark.parametrize("width", [80, 120])
def test_the_command_keeps_the_width(arguments, width):
    done = run(*arguments, width=width)
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    assert max(map(len, done.stdout.splitlines())) <= width


def test_keys_of_a_plan_are_printed_whole_at_80_columns():
    done = run("plan")
    flat = " ".join(done.stdout.split())
    assert "[[plan]]" in flat
    for line in key_lines("plan"):
        assert line.key in flat
        assert " ".join(line.meaning.split()) in flat
        assert " ".join(line.allowed.split()) in flat
    assert "…" not in flat


def test_an_unknown_table_ends_with_code_2_and_a_sentence():
    for arguments in (("nowhere",), ("plan", "--presets")):
        done = run(*arguments)
        assert done.returncode == 2
        assert done.stdout == ""
        assert "the tables are:" in done.stderr
        assert "Traceback" not in done.stderr
