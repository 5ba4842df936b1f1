"""Words, times, volumes and places of a line; what could be two of them is refused with both."""

from __future__ import annotations

import re
from dataclasses import dataclass

from pourday.tickets.line import FOOT, YARD3

TIME, VOLUME, PLACE, NUMBER, WORD = "time", "volume", "place", "number", "word"
# A word after which 3 or 4 digits are a time.
WANTS_TIME = frozenset(
    (
        "in", "on", "off", "away", "left", "loaded", "start", "full", "stop", "guess", "go",
        "break", "work", "hold", "send", "for", "at",
    )
)  # fmt: skip
_TIME = re.compile(r"(\d{1,2})[:.](\d{2})(?::(\d{2}))?")
_DIGITS = re.compile(r"\d{3,4}")
_NUMBER = re.compile(r"\d+")
_DECIMAL = re.compile(r"\d+[.,]\d+")
_MEASURE = re.compile(r"(\d+(?:[.,]\d+)?)(m3|m³|yd3|yd³|m|ft)")
# "7.5 m3" is one thing.
_APART = re.compile(
    r"(?<![\w.,:])(\d+(?:[.,]\d+)?)\s+(m3|m³|yd3|yd³|m|ft)(?![\w.,:])", re.IGNORECASE
)
_MOST_DIGITS = 12


class LineError(ValueError):
    """A line that says nothing that can be read; the text says why, and what to write."""


@dataclass(frozen=True)
class Token:
    """One word of a line. ``value`` is s, m³ or m, or the number; ``unit`` "m3" or "yd3"."""

    kind: str
    text: str
    value: float = 0.0
    unit: str = ""


def tokens(text: str) -> list[Token]:
    """The words of a line, in order; what follows "#" is a remark of the writer.

    Raises:
        LineError: for a number that could be a time or a volume, and for times that no clock shows.
    """
    found: list[Token] = []
    for word in _APART.sub(r"\1\2", text.split("#", 1)[0]).split():
        after = found[-1].text if found else ""
        found.append(_token(word, after))
    return found


def _token(word: str, after: str) -> Token:
    small = word.lower().rstrip(",;")
    measure = _MEASURE.fullmatch(small)
    if measure:
        return _measure(measure)
    time = _TIME.fullmatch(small)
    if time and (":" in small or int(time[2]) < 60):
        hour, minute, second = int(time[1]), int(time[2]), int(time[3] or 0)
        return Token(TIME, small, _clock(small, hour, minute, second))
    if _DIGITS.fullmatch(small) and after in WANTS_TIME:
        return Token(TIME, small, _clock(small, int(small[:-2]), int(small[-2:]), 0))
    if _DECIMAL.fullmatch(small):
        raise LineError(_two_readings(small))
    if _NUMBER.fullmatch(small) and len(small) <= _MOST_DIGITS:
        return Token(NUMBER, small, float(small))
    return Token(WORD, small)


def _clock(word: str, hour: int, minute: int, second: int) -> float:
    if hour > 23 or minute > 59 or second > 59:
        raise LineError(f'"{word}" is no time of a clock: 0:00 to 23:59')
    return 3600.0 * hour + 60.0 * minute + second


def _measure(found: re.Match[str]) -> Token:
    number, unit = float(found[1].replace(",", ".")), found[2].replace("³", "3")
    if not number < 1e6:
        raise LineError(f'"{found[0]}" is more than any floor takes')
    if unit in ("m", "ft"):
        return Token(PLACE, found[0], number * (FOOT if unit == "ft" else 1.0), unit)
    return Token(VOLUME, found[0], number * (YARD3 if unit == "yd3" else 1.0), unit)


def _two_readings(word: str) -> str:
    """Both readings of "7.5": the clock has two digits for the minutes, a volume its unit."""
    hour, _, rest = word.replace(",", ".").partition(".")
    times = []
    if int(hour) < 24 and len(rest) == 1:
        times = [f"{int(hour)}:0{rest}"] + ([f"{int(hour)}:{rest}0"] if rest < "6" else [])
    clock = f"the time {' or '.join(times)}, or " if times else ""
    return f'"{word}" may be {clock}the volume {word}m3 (or yd3): write which'
