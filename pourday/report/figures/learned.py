"""What was seen against what is fitted: counts of lengths by their length, and pour by pour."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from pourday.report.figures.page import page
from pourday.report.figures.png import save_png
from pourday.report.figures.style import DARK, INK, LIGHT, MIDDLE
from pourday.report.words import three_figures
from pourday.study.learn.cells import Cells, cells_of
from pourday.study.learn.found import Learned, Row
from pourday.study.learn.pace import Paced
from pourday.study.learn.trips import Fitted

_A_PAGE = 6
_MINUTE = 60.0


def learned_figures(found: Learned) -> list[Figure]:
    """Sheets with a panel a quantity, six a sheet; none where nothing was learned."""
    drawn = [row for row in found.learned if row.fitted is not None]
    sheets = [drawn[n : n + _A_PAGE] for n in range(0, len(drawn), _A_PAGE)]
    return [_sheet(found, rows, n, len(sheets)) for n, rows in enumerate(sheets)]


def _sheet(found: Learned, rows: Sequence[Row], at: int, of: int) -> Figure:
    basis = found.basis
    facts = (
        f"{found.pours} pours, {found.loads} loads. Bars: seen. Line: the fit, with the factor of "
        "each pour, rounded as the tickets are. Dashes: the file.",
        "Small squares above: each pour's own, against the mean of all (left: shorter trips, a "
        "slower pace).",
    )
    what = "Learned" if of == 1 else f"Learned {at + 1}/{of}"
    figure = page(what, basis.scenario.title, basis.plan.name, None, facts)
    for n, row in enumerate(rows):
        left, low = 0.055 + 0.32 * (n % 3), 0.53 - 0.43 * (n // 3)
        axes = figure.add_axes((left, low, 0.27, 0.27))
        _panel(axes, row)
        axes.set_title(_title(row), size=9, color=INK, loc="left", pad=16)
        if row.fitted is not None and float(np.ptp(row.fitted.own)) > 0.0:
            _pours(figure.add_axes((left, low + 0.272, 0.27, 0.025)), row)
    return figure


def _panel(axes: Axes, row: Row) -> None:
    cells = _cells(row)
    edges = cells.edges / _MINUTE
    middle = (edges[1:] + edges[:-1]) / 2
    width = edges[1] - edges[0]
    axes.bar(middle, cells.seen, width * 0.86, facecolor=MIDDLE, edgecolor=INK, lw=0.5)
    axes.plot(middle, cells.fitted, color=DARK, lw=1.6, marker="o", ms=2.5)
    if cells.by_file is not None:
        axes.plot(middle, cells.by_file, color=INK, lw=1.0, ls="--")
    axes.set_ylim(0.0, 1.15 * max(float(cells.seen.max()), float(cells.fitted.max()), 1.0))
    axes.set_xlim(max(float(edges[0]), -width / 2), float(edges[-1]))
    axes.tick_params(labelsize=7.5)
    axes.set_xlabel(_under(row), size=7.5)
    axes.set_ylabel(f"of {row.count}", size=7.5)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)


def _cells(row: Row) -> Cells:
    if isinstance(row.fitted, Paced):
        return row.fitted.cells
    assert isinstance(row.fitted, Fitted)
    return cells_of(row.fitted, row.old)


def _under(row: Row) -> str:
    assert row.mean is not None
    if isinstance(row.fitted, Paced):
        return "minutes from on to off, moves and stops taken off"
    sd = "" if row.sd is None else f", sd {three_figures(row.sd.about)}"
    return f"minutes; fitted: {row.fitted.form if row.fitted else ''} " + (
        f"mean {three_figures(row.mean.about)}{sd}"
    )


def _title(row: Row) -> str:
    return "at the pump" if isinstance(row.fitted, Paced) else row.what


def _pours(axes: Axes, row: Row) -> None:
    """The factor of every pour as a square on a line."""
    assert row.fitted is not None
    own = row.fitted.own
    axes.axhline(0.0, color=INK, lw=0.6)
    axes.plot(own, [0.0] * len(own), ls="", marker="s", ms=4, mfc=LIGHT, mec=INK, mew=0.6)
    reach = max(0.1, 1.15 * float(abs(own - 1.0).max()))
    axes.set_xlim(1.0 - reach, 1.0 + reach)
    axes.set_ylim(-1.0, 1.0)
    axes.text(1.0, 1.1, f"pours ×{1 - reach:.2f} to ×{1 + reach:.2f}", size=6.5, ha="right",
              va="bottom", transform=axes.transAxes, color=INK)  # fmt: skip
    axes.set_axis_off()


def save_learned_figures(found: Learned, folder: Path) -> list[Path]:
    """Write learned.png, learned_2.png ...; nothing where nothing was learned.

    Raises:
        OSError: where the folder cannot be written to.
    """
    folder.mkdir(parents=True, exist_ok=True)
    names = ("learned.png", *(f"learned_{n}.png" for n in range(2, 100)))
    return [
        save_png(figure, folder / name)
        for figure, name in zip(learned_figures(found), names, strict=False)
    ]
