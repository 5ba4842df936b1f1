"""A rehearsal pressed key by key without a terminal, and its pages as lines."""

from __future__ import annotations

from dataclasses import replace
from io import StringIO

from rich.console import Console

from pourday.outcome.scene import scene
from pourday.report.rehearsal.rehearse import press
from pourday.report.rehearsal.view import Page, page_view

TWO = {"spans_m": [3.0, 3.0], "sheet_runs": [2], "length_y_m": 20.0}
PLAN = {"order": "spread", "strip_width_m": 3.0}


def typed(stand, line, replay):
    for key in ("u", *line, "enter"):
        stand = press(stand, key, replay)
    return stand


def after(stand, keys, replay):
    for key in keys:
        stand = press(stand, key, replay)
    return stand


def lines_of(page, width, height):
    console = Console(width=width, height=height, color_system=None, record=True, file=StringIO())
    console.print(page_view(page, width, height))
    return console.export_text().splitlines()


def shown(outcome, clock, width=80, height=24, **changes):
    """The page of a day at a clock time such as "07:20", in lines."""
    hours, minutes = map(int, clock.split(":"))
    now = replace(scene(outcome, hours * 3600.0 + minutes * 60.0), **changes)
    return lines_of(Page(outcome, now, ()), width, height)


def row(lines, label):
    """What stands beside a label on a page."""
    (found,) = (line for line in lines if line.startswith(label))
    return found[9:].rstrip()
