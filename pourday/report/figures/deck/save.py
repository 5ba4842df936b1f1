"""The four figures of the deck, and how they are written to files.

Import this module only where a figure is drawn: it brings matplotlib with it.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from matplotlib.figure import Figure

from pourday.outcome.base.basis import Basis
from pourday.outcome.deck.peaks import group_peaks
from pourday.report.figures.deck.level import level_survey
from pourday.report.figures.deck.moments import moment_envelope
from pourday.report.figures.deck.shape import deflected_shape
from pourday.report.figures.deck.use import use_plan
from pourday.report.figures.png import save_png
from pourday.report.units import SI, Units
from pourday.study.told import Told, counted, nobody

__all__ = [
    "deflected_shape",
    "level_survey",
    "moment_envelope",
    "save_deck_figures",
    "use_plan",
]


def save_deck_figures(
    basis: Basis, seed: int | None, folder: Path, units: Units = SI, told: Told = nobody
) -> list[Path]:
    """Write deck_moments.png, deck_shape.png, deck_plan.png and level_survey.png of a plan.

    Args:
        basis: the plan.
        seed: of the day; it draws the heaps (None: their mean). The level survey needs no day.
        folder: where they go; made where it is missing.
        units: of the reader.
        told: hears how far it is.

    Returns:
        The files written.

    Raises:
        OSError: where the folder cannot be written to.
    """
    folder.mkdir(parents=True, exist_ok=True)
    by_group = group_peaks(basis, seed)
    figures: dict[str, Callable[[], Figure]] = {
        "deck_moments.png": lambda: moment_envelope(basis, by_group, seed, units),
        "deck_shape.png": lambda: deflected_shape(basis, seed, units),
        "deck_plan.png": lambda: use_plan(basis, by_group, seed, units),
        "level_survey.png": lambda: level_survey(basis, units),
    }
    drawn = counted(list(figures.items()), told)
    return [save_png(draw(), folder / name) for name, draw in drawn]
