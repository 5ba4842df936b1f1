"""What was typed, made into values: each reader refuses with a sentence that says what to type."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from pourday.scenario.base.faults import nearest
from pourday.scenario.base.text import printable

NONE = "none"
"""What is typed for nothing: no hole, no curfew, no prices."""
LEAST_SPAN, MOST_SPAN, MOST_SPANS, MOST_WIDTH, LEAST_WIDTH = 0.31, 12.0, 60, 300.0, 0.6
"""Limits of a floor that can be typed here: those of the file, and no more than sixty spans."""
_LEAST_FIELD = 0.6
"""Spans are not propped into fields shorter than this, m."""
_NUMBER = r"[0-9]+(?:\.[0-9]+)?"
_SPANS = re.compile(rf"(?:([0-9]{{1,3}}) ?[xX×*] ?)?({_NUMBER})")
_HOLE = re.compile(rf"({_NUMBER}) ?- ?({_NUMBER}) by ({_NUMBER}) ?- ?({_NUMBER})")
_CLOCK = re.compile(r"([0-9]{1,2}):([0-9]{2})")
_COMMA = re.compile(r"\d,\d")
_LAST_START = 24
_YEARS = (2000, 2199)


class RefusedError(ValueError):
    """An answer that cannot be taken; its text is the sentence to show."""


@dataclass(frozen=True)
class Hole:
    """A rectangle without concrete, m: low and high along the sheets, low and high across them."""

    x: tuple[float, float]
    y: tuple[float, float]


@dataclass(frozen=True)
class Answers:
    """Everything a first file is written from, in the units of the file.

    ``spans`` (m) and ``sheets`` (spans under each length) along x, ``width`` (m) along y; ``slab``
    is depth (mm) and what the ribs take away (m³/m²); ``stiffness`` is EI (kN m² per m); ``props``
    counts lines in a span; ``trucks`` is their number, m³ in each and minutes on the road;
    ``prices`` are those of a m³, an hour of one person and a minute of a waiting truck, or nothing.
    ``hours`` are the rows of the weather, ``weather`` what they are called.
    """

    title: str
    date: date
    spans: tuple[float, ...]
    sheets: tuple[int, ...]
    width: float
    holes: tuple[Hole, ...]
    slab: tuple[float, float]
    props: int
    stiffness: float
    mix: str
    weather: str
    hours: tuple[Mapping[str, Any], ...]
    height: float
    pump: str
    crew: str
    trucks: tuple[int, float, float]
    start: str
    curfew: str
    prices: tuple[float, float, float] | None
    currency: str


def title(text: str) -> str:
    """A name of at most eighty letters."""
    if not text.strip() or len(text) > 80:
        raise RefusedError("The name takes 1 to 80 letters.")
    return printable(text.strip())


def currency(text: str) -> str:
    """A currency of at most eight letters."""
    if not 1 <= len(text.strip()) <= 8:
        raise RefusedError("A currency takes 1 to 8 letters, such as EUR.")
    return printable(text.strip())[:8]


def day(text: str) -> date:
    """A date as 2027-05-12."""
    try:
        found = date.fromisoformat(text.strip())
    except ValueError:
        raise RefusedError("Write the date as 2027-05-12.") from None
    if not _YEARS[0] <= found.year <= _YEARS[1]:
        raise RefusedError(f"The year is from {_YEARS[0]} to {_YEARS[1]}.")
    return found


def numbers(text: str, count: int, what: str) -> list[float]:
    """So many plain numbers with blanks between; ``what`` says in a refusal what they are."""
    _no_comma(text)
    words = text.replace(",", " ").replace(";", " ").split()
    if len(words) != count or not all(re.fullmatch(rf"-?{_NUMBER}", word) for word in words):
        raise RefusedError(f"Type {what}, without units.")
    found = [float(word) for word in words]
    if not all(math.isfinite(each) for each in found):
        raise RefusedError(f"Type {what}, without units.")
    return found


def within(value: float, low: float, high: float, what: str) -> float:
    """The value, where it lies from low to high."""
    if not low <= value <= high:
        raise RefusedError(f"{what} is from {low:g} to {high:g}; you typed {value:g}.")
    return value


def spans(text: str) -> tuple[float, ...]:
    """Spans as "3.2 3 3" or "2x3.2 4x3", m."""
    _no_comma(text)
    found: list[float] = []
    joined = re.sub(r" *([xX×*]) *", r"\1", text.replace(",", " ").replace(";", " "))
    for word in joined.split():
        match = _SPANS.fullmatch(word)
        if match is None:
            raise RefusedError('Type the spans in m, such as "2x3.2 4x3.0" or "3.2 3 3".')
        within(length := float(match[2]), LEAST_SPAN, MOST_SPAN, "A span in m")
        found += [length] * int(match[1] or 1)
    if not 1 <= len(found) <= MOST_SPANS:
        raise RefusedError(f"A floor here has 1 to {MOST_SPANS} spans; you typed {len(found)}.")
    return tuple(found)


def sheets(text: str, of: Sequence[float]) -> tuple[int, ...]:
    """Spans under each length of sheet, which add up to all of them."""
    words = text.replace(",", " ").replace(";", " ").split()
    if not words or not all(re.fullmatch("[1-8]", word) for word in words):
        raise RefusedError('Type the spans under each length of sheet, 1 to 8, such as "2 2 3".')
    found = tuple(int(word) for word in words)
    if sum(found) != len(of):
        raise RefusedError(f"They add up to {sum(found)}; the floor has {len(of)} spans.")
    return found


def holes(text: str, length: float, width: float) -> tuple[Hole, ...]:
    """Holes as "12.8-15 by 10-12.4", parted by semicolons, or none."""
    if text.strip().lower() == NONE:
        return ()
    _no_comma(text)
    found = []
    for part in text.split(";"):
        match = _HOLE.fullmatch(" ".join(part.split()))
        if match is None:
            raise RefusedError(
                'Type "none", or each hole as x from-to by y from-to: "12.8-15 by 10-12.4", '
                "a semicolon between two."
            )
        x0, x1, y0, y1 = (float(match[n]) for n in (1, 2, 3, 4))
        if not (x0 < x1 <= length + 1e-9 and y0 < y1 <= width + 1e-9):
            raise RefusedError(
                f"A hole lies inside the floor, {length:g} by {width:g} m, its smaller end first."
            )
        found.append(Hole((x0, min(x1, length)), (y0, min(y1, width))))
    return tuple(found)


def slab(text: str) -> tuple[float, float]:
    """Depth in mm and what the ribs take away in m³/m²."""
    depth, ribs = numbers(
        text, 2, 'the depth in mm and what the ribs take away in m³/m², such as "130 0.028"'
    )
    within(depth, 60, 500, "The depth in mm")
    within(ribs, 0, 0.2, "What the ribs take away, in m³/m²,")
    if ribs * 1000 >= depth - 20:
        raise RefusedError(f"Ribs that take away {ribs:g} m³/m² leave no slab of {depth:g} mm.")
    return depth, ribs


def trucks(text: str) -> tuple[int, float, float]:
    """How many trucks, m³ in each, minutes on the road."""
    count, load, travel = numbers(
        text, 3, 'how many trucks, m³ in each and minutes on the road, such as "4 6 20"'
    )
    if count != int(count):
        raise RefusedError("Trucks are a whole number.")
    within(count, 1, 200, "The number of trucks")
    within(load, 1, 15, "A load in m³")
    within(travel, 0, 240, "The way in minutes")
    return int(count), load, travel


def whole(text: str, low: int, high: int, what: str) -> int:
    """A whole number from low to high."""
    if not re.fullmatch("[0-9]{1,6}", text.strip()):
        raise RefusedError(f"{what} is a whole number from {low} to {high}.")
    return int(within(int(text), low, high, what))


def clock(text: str) -> str:
    """A clock time as 07:00, before midnight."""
    match = _CLOCK.fullmatch(text.strip())
    if match is None or int(match[1]) >= _LAST_START or int(match[2]) > 59:
        raise RefusedError("Write a clock time of 24 hours, such as 07:00.")
    return f"{int(match[1]):02d}:{match[2]}"


def later(text: str, start: str) -> str:
    """A clock time after another, or nothing for none."""
    if text.strip().lower() == NONE:
        return ""
    match = _CLOCK.fullmatch(text.strip())
    found = f"{int(match[1]):02d}:{match[2]}" if match else ""
    if not start < found <= "47:59" or int(found[3:]) > 59:
        raise RefusedError(f'Later than the first truck, {start} ("25:00" is 1 am), or none.')
    return found


def prices(text: str) -> tuple[float, float, float] | None:
    """Prices of a m³, an hour of one person and a minute of a waiting truck, or none."""
    if text.strip().lower() == NONE:
        return None
    found = numbers(
        text, 3, 'a m³ of concrete, an hour of one person, a minute of a waiting truck, or "none"'
    )
    one, two, three = (within(each, 0, 1e9, "A price") for each in found)
    return one, two, three


def one_of(text: str, known: Sequence[str], what: str) -> str:
    """One of the names there are."""
    name = text.strip().lower()
    if name not in known:
        raise RefusedError(f"No {what} of that name; {nearest(name, known, 'there are')}")
    return name


def prop_lines(spans: Sequence[float], count: int) -> tuple[float, ...]:
    """x of so many lines of props in every span that is long enough for them, m."""
    found, low = [], 0.0
    for span in spans:
        if count and span / (count + 1) >= _LEAST_FIELD:
            found += [low + span * n / (count + 1) for n in range(1, count + 1)]
        low += span
    return tuple(round(x, 3) for x in found)


def _no_comma(text: str) -> None:
    if _COMMA.search(text):
        raise RefusedError("Write 3.2 with a point, and blanks between numbers.")
