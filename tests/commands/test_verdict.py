"""``compare --until-decided``: rounds until it is decided; what cannot be is said beforehand."""

from __future__ import annotations

import json

import pytest
from builders.commands import called
from builders.places import SCENARIOS

FROST, CLINIC = SCENARIOS / "frost_night.toml", SCENARIOS / "clinic_level_1.toml"


@pytest.fixture
def kept(tmp_path):
    """The frosty floor with heat below and mats: two plans, of which one is clearly dearer."""
    text = FROST.read_text("utf-8")
    for line in ("[measures]", "heated_below_C = 16", "mats_m2K_W = 0.5"):
        assert f"\n# {line}" in text
        text = text.replace(f"\n# {line}", f"\n{line}")
    path = tmp_path / "kept.toml"
    path.write_text(text, encoding="utf-8")
    return path


def record_of(tmp_path, *arguments):
    written = tmp_path / "out.json"
    done = called("compare", "--full", *map(str, arguments), "--json", str(written))
    assert done.exit_code == 0, done.stderr
    return json.loads(written.read_text("utf-8")), done.output


@pytest.mark.parametrize("workers", [1, 2])
def test_it_stops_at_the_look_that_decides_whoever_plays(tmp_path, kept, workers):
    options = ("--until-decided", "--most-days", 500, "--fresh", 10, "--workers", workers)
    record, text = record_of(tmp_path, kept, *options)
    verdict = record["verdict"]
    assert verdict["decided"]
    assert record["days"] == verdict["days"] == 75
    assert [each["standing"] for each in verdict["plans"]] == ["within", "within"]
    assert [each["given_up_for"] for each in verdict["plans"]] == [None, "morning, 08:00"]
    assert record["choice"]["plan"] == "morning, 08:00"
    assert record["choice"]["fresh_days"] == 10
    assert [each["days"] for each in record["plans"]] == [10, 10]
    assert "within: 0 %" in text
    assert "10 fresh days, which had no part in choosing" in " ".join(text.split())


def test_a_limit_that_the_days_cannot_show_is_named_before_they_are_played(tmp_path):
    text = CLINIC.read_text("utf-8").replace("cold_joint_share = 0.10", "cold_joint_share = 0.02")
    path = tmp_path / "strict.toml"
    path.write_text(text, encoding="utf-8")
    record, said = record_of(tmp_path, path, "--days", 2, "--workers", 1)
    first = " ".join(said.split("Clinic, level 1")[0].split())
    # 4 plans, cold joints and curfew: K = 8; 466 days at 2 %, 82 at 10 %.
    assert "at most 2 % of days) is kept: that takes 466 days without one." in first
    assert "at most 10 % of days) is kept: that takes 82 days without one." in first
    assert "LIKELY" in said
    assert record["choice"]["plan"] is None


def test_money_in_print_adds_up(tmp_path, kept):
    _, text = record_of(tmp_path, kept, "--days", 7, "--workers", 1)
    rows = {}
    for line in text.splitlines():
        label, _, rest = line.partition("  ")
        if label.startswith("cost: ") or label == "COST IN ALL":
            numbers = rest.replace(" ", " ").split("  ")
            rows[label] = [int(n.replace(" ", "")) for n in numbers if n.strip()]
    total = rows.pop("COST IN ALL")
    assert len(total) == 2
    assert [sum(column) for column in zip(*rows.values(), strict=True)] == total
