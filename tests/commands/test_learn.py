"""``pourday learn`` as people use it: 80 columns, lines to paste, a record, a figure."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from builders.commands import called
from builders.poured import file_text, told_of
from click.testing import Result

from pourday.scenario.read import read_scenario

POURS = 4


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A scenario and the tickets of four pours."""
    folder = tmp_path_factory.mktemp("site")
    (folder / "floor.toml").write_text(file_text(), encoding="utf-8")
    for day in range(POURS):
        (folder / f"pour_{day}.txt").write_text(told_of(day), encoding="utf-8")
    return folder


def tickets(site: Path) -> list[Path]:
    return sorted(site.glob("pour_*.txt"))


@pytest.fixture(scope="module")
def learned(site: Path) -> Result:
    done = called(
        "learn", site / "floor.toml", *tickets(site), "--json", site / "out.json", "--toml",
        site / "paste.toml", "--figures", site / "figures",
    )  # fmt: skip
    assert done.exit_code == 0, done.output
    return done


def test_the_screen_says_file_tickets_interval_and_what_stands_behind_in_80_columns(learned):
    assert all(len(line) <= 80 for line in learned.output.splitlines())
    assert re.search(
        r"trips, Mill Road, min +20\.0 +\d\d\.\d +\S+ to \S+ +1\d\d +4", learned.output
    )
    assert "waiting: it comes of all the rest, and is never fitted" in learned.output
    assert "Planning aid only" in learned.output
    assert "safe" not in learned.output.lower()


def test_the_lines_pasted_over_the_old_ones_are_a_file_that_check_takes(learned, site):
    lines = (site / "paste.toml").read_text(encoding="utf-8").splitlines()
    text = file_text()
    pasted = dict(line.split(" = ", 1) for line in lines if " = " in line and line[0] != "#")
    assert {"travel_min", "change_min", "move_min", "travel_sd"} <= set(pasted)
    for key, value in pasted.items():
        text, count = re.subn(rf"^{key} = .*$", f"{key} = {value}", text, flags=re.MULTILINE)
        assert count == 1, key
        assert any(line.startswith("# was ") for line in lines)
    (site / "pasted.toml").write_text(text, encoding="utf-8")
    done = called("check", site / "pasted.toml")
    assert done.exit_code == 0, done.output
    travel = read_scenario(site / "pasted.toml")[0].supply.plants[0].travel
    rows = json.loads((site / "out.json").read_text(encoding="utf-8"))["rows"]
    new = next(row["new"] for row in rows if row["key"] == "travel_min")
    assert (travel.kind, travel.mean / 60) == (new["dist"], pytest.approx(new["mean"]))
    assert '# [[supply.plants]], name = "Mill Road"' in lines
    assert any(re.match(r"# was \{ dist = \"lognormal\", mean = 20, sd = 4 \}", x) for x in lines)


def test_the_record_has_every_row_with_its_interval_and_why_others_stay(learned, site):
    record = json.loads((site / "out.json").read_text(encoding="utf-8"))
    assert record["schema"] == "pourday.learn/1"
    assert record["pours"] == POURS
    for row in record["rows"]:
        assert (row["new"] is None) == bool(row["why_it_stays"])
        if row["new"] is not None:
            assert row["mean"]["low"] <= row["mean"]["about"] <= row["mean"]["high"]
    assert {each["file"] for each in record["remarks"]} <= {path.name for path in tickets(site)}


def test_a_figure_is_written(learned, site):
    assert (site / "figures" / "learned.png").read_bytes()[:4] == b"\x89PNG"


def test_one_pour_teaches_nothing_and_says_so(site):
    done = called("learn", site / "floor.toml", tickets(site)[0], "--figures", site / "none")
    assert done.exit_code == 0, done.output
    assert "too few" in done.output
    assert "To paste" not in done.output
    assert not list((site / "none").glob("*.png"))


def test_what_cannot_be_is_refused(site):
    one = tickets(site)[0]
    twice = called("learn", site / "floor.toml", one, one)
    assert twice.exit_code == 2
    assert "a pour counts once" in twice.stderr
    over = called("learn", site / "floor.toml", one, "--json", one)
    assert over.exit_code == 2
    assert "would be lost" in over.stderr
    assert called("learn", site / "floor.toml", site / "nowhere.txt").exit_code == 2
    assert called("learn", site / "floor.toml", one, "--toml", site / "a.txt").exit_code == 2
    (site / "pour_x.txt").write_bytes(b"\xff\xfe\x00rubbish\n7 in\n")
    odd = called("learn", site / "floor.toml", site / "pour_x.txt")
    assert odd.exit_code == 0, odd.output
