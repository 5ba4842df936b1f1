"""Figures of the concrete of one day: weather with drying, and finishing; written to files.

Import this module only where a figure is drawn: it brings matplotlib with it.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from matplotlib.figure import Figure

from pourday.outcome.measure import Outcome
from pourday.report.figures.concrete.drying import weather_and_drying
from pourday.report.figures.concrete.finishing import finishing_bars
from pourday.report.figures.png import save_png
from pourday.report.units import SI, Units
from pourday.study.told import Told, counted, nobody

__all__ = ["finishing_bars", "save_concrete_figures", "weather_and_drying"]


def save_concrete_figures(
    outcome: Outcome, folder: Path, units: Units = SI, told: Told = nobody
) -> list[Path]:
    """Write drying.png and finishing.png of a day.

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
    folder.mkdir(parents=True, exist_ok=True)
    figures: dict[str, Callable[[], Figure]] = {
        "drying.png": lambda: weather_and_drying(outcome, units),
        "finishing.png": lambda: finishing_bars(outcome, units),
    }
    drawn = counted(list(figures.items()), told)
    return [save_png(draw(), folder / name) for name, draw in drawn]
