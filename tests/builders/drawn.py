"""What stands on a figure and where: texts and bars by their names, overlaps, files of the page."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.text import Text
from matplotlib.transforms import Bbox

PNG = b"\x89PNG\r\n\x1a\n"


def named(figure: Figure, kind: type, which: str = "") -> list[Any]:
    """Everything of a kind whose name (gid) begins so."""
    return [a for a in figure.findobj(kind) if (a.get_gid() or "").startswith(which)]


def texts(figure: Figure, which: str = "") -> list[Text]:
    """All that is written and seen, or what of it has a name that begins so."""
    return [t for t in named(figure, Text, which) if t.get_text().strip() and t.get_visible()]


def words(figure: Figure) -> str:
    """All that is written, a line each."""
    return "\n".join(t.get_text() for t in texts(figure))


def bars(figure: Figure, name: str) -> list[Rectangle]:
    """Bars of just this name."""
    return [a for a in figure.findobj(Rectangle) if a.get_gid() == name]


def boxes(figure: Figure, *which: str) -> list[Bbox]:
    """Where texts of these names stand (pixels)."""
    figure.canvas.draw()
    return [Text.get_window_extent(t) for name in which for t in texts(figure, name)]


def overlap(a: Bbox, b: Bbox, pixels: float = 0.5) -> bool:
    """Whether two boxes share more than so much, both ways."""
    wide = min(a.x1, b.x1) - max(a.x0, b.x0)
    high = min(a.y1, b.y1) - max(a.y0, b.y0)
    return wide > pixels and high > pixels


def stays_on_the_sheet(figure: Figure) -> bool:
    """Whether all that is drawn lies within the page."""
    drawn = figure.get_tightbbox()
    width, height = figure.get_size_inches()
    return min(drawn.x0, drawn.y0) >= 0 and drawn.x1 <= width and drawn.y1 <= height


def together(figure: Figure, pixels: float = 0.5) -> list[tuple[str, str]]:
    """Pairs of texts that lie on one another, and each that leaves the figure (with an empty one).

    Whoever would read them is told which; a figure that can be read has none.
    """
    figure.canvas.draw()  # which makes the numbers of the axes
    gone = _beyond(figure)
    written = [
        (t.get_text(), Text.get_window_extent(t)) for t in texts(figure) if id(t) not in gone
    ]
    width, height = figure.bbox.width, figure.bbox.height
    out = [
        (words, "")
        for words, box in written
        if min(box.x0, box.y0) < -pixels or box.x1 > width + pixels or box.y1 > height + pixels
    ]
    pairs = combinations(written, 2)
    return out + [(one, two) for (one, a), (two, b) in pairs if overlap(a, b, pixels)]


def _beyond(figure: Figure) -> set[int]:
    """Numbers (by id) of axes that end before them: they are kept, but not drawn."""
    out = set()
    for axes in figure.axes:
        for axis in (axes.xaxis, axes.yaxis):
            low, high = sorted(axis.get_view_interval())
            spare = 1e-6 * (high - low)
            for tick in axis.get_major_ticks():
                if not low - spare <= tick.get_loc() <= high + spare:
                    out |= {id(tick.label1), id(tick.label2)}
    return out


def least_type(figure: Figure) -> float:
    """Smallest type of all that is written and seen (pt)."""
    return min(t.get_fontsize() for t in texts(figure))


def is_half_a_page(path: Path) -> bool:
    """Whether a file is a PNG 85 mm wide, to be printed at its size."""
    data = path.read_bytes()
    at = data.index(b"pHYs") + 4
    a_metre = int.from_bytes(data[at : at + 4])
    width = int.from_bytes(data[16:20])
    return data.startswith(PNG) and width / a_metre == pytest.approx(0.085, rel=0.01)


def is_a_page(path: Path) -> bool:
    """Whether a file is a PNG of A4 lying, large enough to be printed."""
    data = path.read_bytes()
    width, height = (int.from_bytes(data[at : at + 4]) for at in (16, 20))
    lying = width / height == pytest.approx(2**0.5, rel=0.01)
    return data.startswith(PNG) and width >= 2000 and lying
