"""The four figures of a report, and how they are written to files.

Import this module only where a figure is drawn: it brings matplotlib with it.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from matplotlib.figure import Figure

from pourday.floor.layout import Layout
from pourday.outcome.measure import Outcome
from pourday.report.figures.day.concrete_and_deck import deck_use, volume
from pourday.report.figures.day.time_line import time_line
from pourday.report.figures.png import save_png
from pourday.report.figures.strip_plan import strip_plan
from pourday.report.units import SI, Units
from pourday.scenario.model.scenario import Plan, Scenario
from pourday.study.told import Told, counted, nobody

__all__ = [
    "deck_use",
    "save_figures",
    "save_strip_plan",
    "strip_plan",
    "time_line",
    "volume",
]


def save_figures(
    outcome: Outcome, folder: Path, units: Units = SI, told: Told = nobody
) -> list[Path]:
    """Write strip_plan.png, time_line.png, volume.png and deck_use.png of a day.

    Args:
        outcome: the day.
        folder: where they go; made where it is missing.
        units: of the reader.
        told: hears how far it is.

    Returns:
        The files written.

    Raises:
        OSError: where the folder cannot be written to.
    """
    basis = outcome.basis
    folder.mkdir(parents=True, exist_ok=True)
    figures: dict[str, Callable[[], Figure]] = {
        "strip_plan.png": lambda: strip_plan(
            basis.scenario, basis.plan, basis.layout, outcome, units
        ),
        "time_line.png": lambda: time_line(outcome, units),
        "volume.png": lambda: volume(outcome, units=units),
        "deck_use.png": lambda: deck_use(outcome, units),
    }
    drawn = counted(list(figures.items()), told)
    return [save_png(draw(), folder / name) for name, draw in drawn]


def save_strip_plan(
    scenario: Scenario, plan: Plan, layout: Layout, path: Path, units: Units = SI
) -> Path:
    """Write the strip plan of a plan that no day was played for yet; returns ``path``.

    Raises:
        OSError: where the file cannot be written.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    return save_png(strip_plan(scenario, plan, layout, units=units), path)
