"""The sheet in US units: every number is the metric one times its factor, readings go up."""

from __future__ import annotations

import math
import re
from datetime import date

import pytest
from builders.shipped import shipped
from builders.us_numbers import compared
from scipy import constants

import pourday
from pourday.report.sheet import amounts
from pourday.report.sheet.save import sheet_pages
from pourday.report.units import SI, US

YARD3 = constants.yard**3


@pytest.fixture(scope="module")
def says():
    return pourday.sheet(shipped("clinic_level_1"), days=2, workers=1).says


def words_of(pages, subject=""):
    """All that is drawn on the pages of a subject, in order."""
    return " ".join(
        text.get_text()
        for page in pages
        if page.subject.startswith(subject)
        for text in page.axes.texts
    )


def test_numbers_with_a_unit_are_the_metric_ones_times_the_factor(says):
    ours, theirs = (words_of(sheet_pages(says, "a4", units)) for units in (SI, US))
    for gauge in says.gauges:
        reading = amounts.reading(gauge.sag, US)
        assert 0.0 <= float(reading.removesuffix(" in")) - gauge.sag / constants.inch <= 0.05
        ours = ours.replace(f" {amounts.reading(gauge.sag, SI)} ", " ")
        theirs = theirs.replace(f" {reading} ", " ")
    assert compared(ours, theirs) == {"m³", "m", "mm", "km/h", "°C"}
    assert not re.search(r"m³|°C|km/h|\bmm\b|\d m\b", theirs)


def test_tables_without_a_unit_in_their_cells_are_in_yards_too(says):
    pages = sheet_pages(says, "a4", US)
    strips, after = words_of(pages, "Strips"), words_of(pages, "Before")
    for strip in says.strips:
        assert f" {strip.volume / YARD3:.1f} {strip.so_far / YARD3:.1f} " in strips
    loads = words_of(pages, "Loads")
    for load in says.loads:
        if not load.balance:
            assert f" {load.volume / YARD3:.1f} {load.so_far / YARD3:.1f} " in loads
    for bay in says.finish:
        assert f" {bay.volume / YARD3:.1f} " in after
    stops = words_of(pages, "If it stops")
    for row in (row for part in says.stops for row in part.rows):
        for way in row.ways[:2]:
            for volume in (way.needed, way.removed):
                assert volume <= 0.05 or f" {volume / YARD3:.1f} " in stops


def test_a_reading_is_never_rounded_down():
    assert amounts.reading(0.0, US) == "0.00 in"
    assert amounts.reading(0.0254, US) == "1.00 in"
    assert amounts.reading(0.0255, US) == "1.05 in"
    assert amounts.reading(0.0255, SI) == "26 mm"
    assert math.isclose(constants.inch, 0.0254)


def test_dates_and_clock_times_know_no_units():
    assert amounts.day(date(2027, 4, 20)) == "Tue 20 Apr 2027"
    assert amounts.temperatures(0.0, 20.0, US) == "32 to 68 °F"
    assert amounts.temperatures(0.0, 20.0, SI) == "0 to 20 °C"
