"""``--units us`` on the commands that play many days: no metric word is left in what they print."""

from __future__ import annotations

import re

import pytest
from builders.places import SCENARIOS
from builders.units import left_over
from typer.testing import CliRunner

from pourday.cli import app

FEW = ("--days", "2", "--workers", "1")


@pytest.mark.parametrize(
    "call",
    [
        ("compare", "clinic_level_1", "--full", *FEW), ("price", "clinic_level_1", "--full", *FEW),
        ("starts", "clinic_level_1", "--from", "6", "--to", "7", *FEW),
        ("split", "clinic_level_1", "--parts", "2", *FEW), ("check", "depot_two_pumps"),
        ("rehearse", "hot_roof"), ("rehearse", "depot_two_pumps"),
    ],
    ids=lambda call: call[0],
)  # fmt: skip
def test_no_metric_word_is_left(call):
    command, name, *more = call
    said = CliRunner().invoke(app, [command, f"{SCENARIOS / name}.toml", *more, "--units", "us"])
    assert said.exit_code == 0, said.output
    assert left_over(said.output) == []
    assert "yd³" in said.output or "ft²" in said.output


def test_rates_of_a_price_are_of_the_us_unit():
    call = ["price", f"{SCENARIOS / 'clinic_level_1'}.toml", "--full", *FEW]
    ours, theirs = (CliRunner().invoke(app, call + more).output for more in ([], ["--units", "us"]))
    line = re.compile(r"concrete placed +([\d.]+) +\S+ +([\d.]+) +([\d ]+)$", re.M)
    (m3, per_m3, amount), (yd3, per_yd3, same) = (line.search(t).groups() for t in (ours, theirs))
    assert amount == same
    assert float(yd3) == pytest.approx(float(m3) / 0.764554857984, abs=0.12)
    assert float(per_yd3) == pytest.approx(float(per_m3) * 0.764554857984, abs=0.0051)


def test_keys_are_listed_as_a_us_file_has_them():
    said = CliRunner().invoke(app, ["keys", "slab", "--units", "us"]).output
    assert "depth_in" in said
    assert "depth_mm" not in said
    assert CliRunner().invoke(app, ["keys", "slab", "--units", "ells"]).exit_code == 2
