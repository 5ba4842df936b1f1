"""The figure of what was learned: counts seen, the fit and the file, a panel a quantity."""

from __future__ import annotations

import numpy as np
import pytest
from builders.drawn import texts, words
from builders.poured import as_the_file_has_it
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.transforms import Bbox

from pourday.report.figures.learned import learned_figures
from pourday.study.learn.cells import cells_of
from pourday.study.learn.found import Learned, Row
from pourday.study.learn.seen import Length
from pourday.study.learn.trips import fit_short

COUNT = 120


def rows(count: int) -> tuple[Row, ...]:
    chance = np.random.default_rng(2)
    seen = 60.0 * np.round(chance.lognormal(0.6, 0.4, COUNT))
    fitted = fit_short(
        [Length(n % 4, float(t), (60.0, 60.0)) for n, t in enumerate(seen)], "lognormal"
    )
    what = "trips from a plant with a long name"
    one = Row("[site]", "change_min", what, "min", 1.5, new=2.0, mean=fitted.mean, sd=fitted.sd,
              count=COUNT, pours=4, fitted=fitted)  # fmt: skip
    return (one,) * count


def figures(count: int) -> list[Figure]:
    found = Learned(as_the_file_has_it(), 4, COUNT, rows(count), (), {}, ())
    return learned_figures(found)


def test_six_panels_a_sheet_and_nothing_written_stands_over_anything_else():
    one, two = figures(7)
    assert "Learned 1/2" in words(one)
    assert "Learned 2/2" in words(two)
    one.canvas.draw()
    long = [t for t in texts(one) if len(t.get_text()) > 8]
    boxes = [Text.get_window_extent(t) for t in long]
    for n, box in enumerate(boxes):
        for m, other in enumerate(boxes[:n]):
            shared = Bbox.intersection(box, other)
            both = (long[n].get_text(), long[m].get_text())
            assert shared is None or min(shared.width, shared.height) < 1.0, both


def test_nothing_learned_is_no_figure():
    assert figures(0) == []


def test_bars_and_fit_add_up_to_the_lengths_seen():
    """The fit gives up a share to odd lengths, half a per cent, and to the tail."""
    (row,) = rows(1)
    cells = cells_of(row.fitted, row.old)
    assert cells.seen.sum() == pytest.approx(COUNT, abs=3)
    assert cells.fitted.sum() == pytest.approx(COUNT, rel=0.03)
    assert cells.by_file is not None
    assert cells.by_file.sum() == pytest.approx(COUNT)
    assert float(np.abs(cells.seen - cells.fitted).max()) < 4.0 * COUNT**0.5
