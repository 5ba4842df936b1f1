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


_SHORT = 4


def strips_of(sheet: Sheet, bay: str) -> str:
    """The strips of a bay by number: "5 to 8", "1, 3, 6", "2, 10 … 62" where others lie between."""
    mine = [strip.number for strip in sheet.strips if strip.bay == bay]
    if len(mine) > 1 and mine[-1] - mine[0] + 1 == len(mine):
        return f"{mine[0]} to {mine[-1]}"
    if len(mine) <= _SHORT:
        return ", ".join(map(str, mine))
    return f"{mine[0]}, {mine[1]} … {mine[-1]}"


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
