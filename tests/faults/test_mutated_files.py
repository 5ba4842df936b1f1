"""Shipped files broken at random: each is played or refused in words, soon, in little memory."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest
from builders.forked import Ended, forked, warm
from builders.mutated import mutated
from builders.places import ROOT

FILES = sorted((ROOT / "scenarios").glob("*.toml"))
FEW, ALL = 60, 2000
# 500 MB, of which the program as it stands takes 150 before it reads a file.
MOST_CPU, MOST_MEMORY = 10.0, 350e6
# What each file is given to; `compare` in one process, so that all of it is counted.
COMMANDS = (
    ["check"], ["day"], ["day"], ["day", "--full"], ["deck"],
    ["compare", "--days", "2", "--workers", "1"],
)  # fmt: skip


def wrong(ended: Ended) -> str:
    """What is wrong with how a command ended; empty where nothing is."""
    if ended.code not in (0, 2):
        return f"exit code {ended.code}"
    if "Traceback" in ended.said + ended.complained:
        return "a traceback"
    if ended.cpu > MOST_CPU:
        return f"{ended.cpu:.1f} s of CPU"
    if ended.memory > MOST_MEMORY:
        return f"{ended.memory / 1e6:.0f} MB"
    if ended.code == 2 and not ended.complained.strip():
        return "refused without a word"
    placed = re.search(r"(?m)^placed +([\d.]+) m³", ended.said)
    if placed and float(placed[1]) == 0 and "NOT PLACED" not in ended.said.replace("HING WAS", ""):
        return "no concrete placed, and not a word of it"
    return ""


def broken(folder: Path, seed: int) -> str:
    """Break the file of this seed and run its command; what is wrong."""
    source = FILES[seed % len(FILES)]
    file = folder / "broken.toml"
    file.write_bytes(mutated(source.read_text("utf-8"), seed))
    command = COMMANDS[seed // len(FILES) % len(COMMANDS)]
    said = wrong(ended := forked(folder, command[0], file, *command[1:]))
    tail = "\n".join(ended.complained.splitlines()[-3:])
    return f"seed {seed}, {source.stem}, {' '.join(command)}: {said}\n{tail}" if said else ""


@pytest.mark.parametrize("part", range(4))
def test_files_broken_at_random_are_played_or_refused_in_words(tmp_path, part):
    warm()
    found = [broken(tmp_path, seed) for seed in range(part, FEW, 4)]
    assert not [each for each in found if each]


@pytest.mark.slow
@pytest.mark.skipif("POURDAY_ALL_FILES" not in os.environ, reason="ten minutes: asked for by name")
@pytest.mark.parametrize("part", range(20))
def test_two_thousand_of_them(tmp_path, part):
    warm()
    found = [broken(tmp_path, seed) for seed in range(FEW + part, FEW + ALL, 20)]
    assert not [each for each in found if each]


def test_the_same_seed_breaks_a_file_in_the_same_way():
    text = FILES[0].read_text("utf-8")
    assert mutated(text, 7) == mutated(text, 7) != mutated(text, 8)
    changed = [mutated(text, seed) != text.encode() for seed in range(100)]
    assert sum(changed) > 90
