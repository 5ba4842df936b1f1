"""Reports in metric and in US units held against each other: what is left over, what differs.

Factors are those of ``scipy.constants``, not of the table in use.
"""

from __future__ import annotations

import re

import scipy.constants as c

# A number beside a metric unit, or a metric unit alone at the head of a column.
METRIC = re.compile(
    r"m³|m²|°C|kNm?\b|MPa|km/h|kg/|\bmm\b|(?<=[\d,(=] )m(?![\w²³/])|(?<=[xy] )m\b|, m\b"
)
_YARD = 1 / c.yard**3
TWINS = {
    "m³/h": ("yd³/h", _YARD, 0.0), "m³": ("yd³", _YARD, 0.0), "mm": ("in", 0.001 / c.inch, 0.0),
    "°C": ("°F", 1.8, 32.0), "m": ("ft", 1 / c.foot, 0.0),
    "kg/m²/h": ("lb/ft²/h", c.foot**2 / c.pound, 0.0), "m²": ("ft²", 1 / c.foot**2, 0.0),
}  # fmt: skip
"""Metric words of which reports are compared, each with its US twin: word, factor, zero."""
_END = r"(?![\w²³/])"
_OURS = re.compile(rf"(?<![\w.])(-?\d+(?:\.\d+)?) ({'|'.join(TWINS)}){_END}")
# "9 in 10" has no inches in it.
_THEIRS = re.compile(
    rf"(?<![\w.])(-?\d+(?:\.\d+)?) ({'|'.join(twin for twin, _, _ in TWINS.values())}){_END}(?! \d)"
)


def left_over(text: str) -> list[str]:
    """The lines of a US report that have a metric unit in them."""
    return [line for line in text.splitlines() if METRIC.search(line)]


def differing(ours: str, theirs: str) -> list[str]:
    """Amounts of a US report that are not those of the metric one, each beside its own.

    Both are to have been printed on screens so wide that no line is broken.
    """
    metric, us = _OURS.findall(ours), _THEIRS.findall(theirs)
    assert len(metric) == len(us), (len(metric), len(us))
    return [
        f"{number} {unit}: {other} {word}"
        for (number, unit), (other, word) in zip(metric, us, strict=True)
        if not _alike(number, unit, other, word)
    ]


def _alike(number: str, unit: str, other: str, word: str) -> bool:
    twin, factor, zero = TWINS[unit]
    within = _rounded(number) * factor + _rounded(other) + 1e-9
    return word == twin and abs(float(number) * factor + zero - float(other)) <= within


def _rounded(number: str) -> float:
    return 0.5 * 10.0 ** -len(number.partition(".")[2])
