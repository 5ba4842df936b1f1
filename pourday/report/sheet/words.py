"""Words that several pages of the sheet share."""

from __future__ import annotations

from pourday.outcome.edges.end_places import EndPlace
from pourday.report.sheet import amounts
from pourday.report.units import Units
from pourday.report.words import strip_words
from pourday.study.sheet.says import Sheet


def strip_named(sheet: Sheet, number: int) -> str:
    """The strip with this number, counted from 1."""
    return strip_words(number, sheet.strips[number - 1].name)


def end_words(sheet: Sheet, place: EndPlace, units: Units) -> str:
    """A stop end with its dimension from a grid line."""
    supports = sheet.basis.scenario.floor.supports
    number = min(range(len(supports)), key=lambda n: abs(supports[n] - place.joint)) + 1
    off = place.x - place.joint
    side = "past" if off > 0 else "short of"
    return (
        f"{sheet.letter(place)} at x {amounts.place(place.x, units)}: "
        f"{amounts.place(abs(off), units)} {side} the sheet joint on support {number} "
        f"(x {amounts.place(place.joint, units)})"
    )


ABOUT_BY = "about: the middle day; by: 9 days in 10 are not later"
