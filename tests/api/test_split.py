"""``pourday.split``: the JSON of the command, and what a program reads from it."""

from __future__ import annotations

import pytest
from builders.commands import as_written, json_written
from builders.places import SCENARIOS

import pourday

TOWER = SCENARIOS / "tower_level_9.toml"


@pytest.fixture(scope="module")
def found() -> pourday.FloorSplit:
    return pourday.split(pourday.read(TOWER), days=4, workers=1)


def test_a_split_says_letter_by_letter_what_the_command_writes(found, tmp_path):
    written = json_written(tmp_path / "split.json", "split", TOWER, "--days", 4)
    assert as_written(found.to_dict()) == written


def test_a_program_reads_the_answer_and_the_parts(found):
    assert found.one_day_holds
    assert [end.x for end in found.best.ends] == pytest.approx([9.0])
    assert [pour.pouring.name for pour in found.best.pours] == ["pour 1", "pour 2"]
    assert found.best is found.study.splits[0]


def test_what_cannot_be_is_refused():
    tower = pourday.read(TOWER)
    with pytest.raises(ValueError, match="parts: found 1; allowed: 2 or more"):
        pourday.split(tower, parts=1)
    with pytest.raises(KeyError, match="the plans are"):
        pourday.split(tower, "nobody's")
