"""Figures of the concrete of one day: weather with drying, and finishing; written to files.

Import this module only where a figure is drawn: it brings matplotlib with it.
"""

from __future__ import annotations

from pathlib import Path

from pourday.outcome.measure import Outcome
from pourday.report.figures.concrete.drying import weather_and_drying
from pourday.report.figures.concrete.finishing import finishing_bars
from pourday.report.figures.png import save_png
from pourday.report.units import SI, Units

__all__ = ["finishing_bars", "save_concrete_figures", "weather_and_drying"]


def save_concrete_figures(outcome: Outcome, folder: Path, units: Units = SI) -> list[Path]:
    """Write drying.png and finishing.png of a day.

    Args:
        outcome: the day.
        folder: where they go; made where it is missing.
        units: of the reader.

    Returns:
        The files written.

    Raises:
        OSError: where the folder cannot be written to.
    """
    folder.mkdir(parents=True, exist_ok=True)
    figures = {
        "drying.png": weather_and_drying(outcome, units),
        "finishing.png": finishing_bars(outcome, units),
    }
    return [save_png(figure, folder / name) for name, figure in figures.items()]
