"""The pictures of many days as files."""

from __future__ import annotations

from pathlib import Path

from pourday.report.figures.many.days import concrete_figure, waits_figure
from pourday.report.figures.png import save_png
from pourday.study.pictures import Pictured


def save_many_days(found: Pictured, folder: Path) -> list[Path]:
    """Write placed_delivered.png and waits.png of a plan.

    Raises:
        OSError: where the folder cannot be written to.
    """
    folder.mkdir(parents=True, exist_ok=True)
    figures = {
        "placed_delivered.png": concrete_figure(found),
        "waits.png": waits_figure(found),
    }
    return [save_png(figure, folder / name) for name, figure in figures.items()]
