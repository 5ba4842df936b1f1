"""The pictures of many days as files."""

from __future__ import annotations

from pathlib import Path

from pourday.report.figures.many.days import concrete_figure, waits_figure
from pourday.report.figures.png import save_png
from pourday.report.units import SI, Units
from pourday.study.pictures import Pictured


def save_many_days(found: Pictured, folder: Path, units: Units = SI) -> list[Path]:
    """Write placed_delivered.png and waits.png of a plan, in the reader's units.

    Raises:
        OSError: where the folder cannot be written to.
    """
    folder.mkdir(parents=True, exist_ok=True)
    figures = {
        "placed_delivered.png": concrete_figure(found, units),
        "waits.png": waits_figure(found),
    }
    return [save_png(figure, folder / name) for name, figure in figures.items()]
