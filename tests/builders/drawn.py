"""What stands on a figure and where: texts and bars by their names, overlaps, files of the page."""

from __future__ import annotations

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


def is_a_page(path: Path) -> bool:
    """Whether a file is a PNG of A4 lying, large enough to be printed."""
    data = path.read_bytes()
    width, height = (int.from_bytes(data[at : at + 4]) for at in (16, 20))
    lying = width / height == pytest.approx(2**0.5, rel=0.01)
    return data.startswith(PNG) and width >= 2000 and lying
