"""``pourday.sheet`` and ``to_html``: what the commands write, for programs."""

from __future__ import annotations

from datetime import date

import pytest
from builders.commands import called
from builders.places import SCENARIOS

import pourday

CLINIC = SCENARIOS / "clinic_level_1.toml"
MADE = date(2027, 4, 1)


@pytest.fixture(scope="module")
def found() -> pourday.SiteSheet:
    return pourday.sheet(pourday.read(CLINIC), "line, 27 min", days=2, workers=1)


def test_a_sheet_is_byte_for_byte_what_the_command_writes(found, tmp_path):
    ours, theirs = tmp_path / "ours.pdf", tmp_path / "theirs.pdf"
    plan = ("--plan", found.plan, "--days", "2", "--workers", "1", "--made-on", f"{MADE}")
    done = called("sheet", CLINIC, "--pdf", theirs, *plan, "--paper", "letter", "--units", "us")
    assert done.exit_code == 0, done.output
    data = found.to_pdf(ours, paper="letter", units="us", made_on=MADE)
    assert data == ours.read_bytes() == theirs.read_bytes()
    assert data.startswith(b"%PDF")


def test_what_a_sheet_says_is_there_as_values(found):
    assert len(found.says.strips) == 9
    assert found.says.strips[-1].so_far == pytest.approx(found.says.volume)


def test_a_page_is_letter_by_letter_what_the_command_writes(tmp_path):
    path = tmp_path / "day.html"
    done = called("day", CLINIC, "--html", path, "--units", "us")
    assert done.exit_code == 0, done.output
    assert pourday.play(pourday.read(CLINIC)).to_html(units="us") == path.read_text("utf-8")


def test_what_cannot_be_is_refused(found):
    with pytest.raises(ValueError, match="paper: found 'a3'; allowed: 'a4' or 'letter'"):
        found.to_pdf(paper="a3")
    with pytest.raises(ValueError, match="units: found 'ells'"):
        found.to_pdf(units="ells")
    with pytest.raises(ValueError, match="days: found 0; allowed: 1 or more"):
        pourday.sheet(pourday.read(CLINIC), days=0)
    with pytest.raises(KeyError, match="the plans are"):
        pourday.sheet(pourday.read(CLINIC), "nobody's")
