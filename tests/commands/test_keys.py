"""``pourday keys --schema``: the file it writes, and how docs/scenario.md says to use it."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys

import pytest
from builders.places import ROOT, SCENARIOS

from pourday.scenario.schema import file_schema

CLINIC = SCENARIOS / "clinic_level_1.toml"


def run(*arguments: object, folder=ROOT) -> subprocess.CompletedProcess[str]:
    environment = os.environ | {"COLUMNS": "80", "PYTHONUTF8": "1"}
    command = [sys.executable, *map(str, arguments)]
    return subprocess.run(
        command, capture_output=True, text=True, env=environment, check=False, cwd=folder
    )


def keys(*arguments: object) -> subprocess.CompletedProcess[str]:
    return run("-m", "pourday", "keys", *arguments)


def test_the_schema_is_written_and_nothing_is_printed(tmp_path):
    path = tmp_path / "scenario.schema.json"
    path.write_text("old")
    done = keys("--schema", path)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    assert json.loads(path.read_text("utf-8")) == file_schema()


@pytest.mark.parametrize(
    ("name", "beside", "said"),
    [
        ("schema.toml", [], "a schema is a .json file; give it a name that ends in .json"),
        ("schema", [], "ends in .json"),
        ("no/such/folder.json", [], "cannot be written"),
        ("a.json", ["plan"], "leave out the table and --presets"),
        ("a.json", ["--presets"], "leave out the table and --presets"),
    ],
)
def test_a_schema_that_cannot_be_written_is_told_and_nothing_is(tmp_path, name, beside, said):
    done = keys(*beside, "--schema", tmp_path / name)
    assert (done.returncode, done.stdout) == (2, "")
    assert said in done.stderr
    assert "Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_the_lines_in_docs_find_what_is_wrong_in_a_file(tmp_path):
    page = (ROOT / "docs" / "scenario.md").read_text("utf-8")
    (code,) = re.findall(r"```python\n(.*?)```", page, flags=re.S)
    (tmp_path / "scenarios").mkdir()
    copied = tmp_path / "scenarios" / CLINIC.name
    assert keys("--schema", tmp_path / "scenario.schema.json").returncode == 0
    copied.write_text(CLINIC.read_text("utf-8"), "utf-8")
    done = run("-c", code, folder=tmp_path)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    broken = copied.read_text("utf-8").replace("depth_mm = 130", "depth_mm = 20")
    copied.write_text(broken.replace('curfew = "19:00"', "curfew = 19:00:00"), "utf-8")
    done = run("-c", code, folder=tmp_path)
    assert done.returncode == 0, done.stderr
    assert {line.split()[0] for line in done.stdout.splitlines()} == {
        "$.slab.depth_mm", "$.site.curfew"
    }  # fmt: skip
    assert "$.slab.depth_mm 20 is less than the minimum of 60" in done.stdout
