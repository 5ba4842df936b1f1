"""Words on what moves the result that table and figure share."""

from __future__ import annotations

import math

from pourday.study.sensitivity import Sensitivity, Source, Swing

LABELS = {"end_h": "finish", "cost_total": "cost", "cold_length_m": "cold edges"}
"""What the figures are called, a word or two each."""
LITTLE = 0.02
"""A source whose share can be no more than this in any figure is named, not listed."""


def listed(found: Sensitivity) -> tuple[list[Source], list[Source]]:
    """The sources worth a row, and those that hardly move any figure."""
    much: list[Source] = []
    little: list[Source] = []
    for each in found.sources:
        largest = max((i.high for i in each.index.values() if not math.isnan(i.high)), default=0.0)
        (much if largest > LITTLE else little).append(each)
    return much, little


def swing_label(swing: Swing) -> str:
    """A swing as a figure names it, in two lines: the input, and its two values."""
    return f"{swing.name}\n{swing.at[0]}, {swing.at[1]}"
