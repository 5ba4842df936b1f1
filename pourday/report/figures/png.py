"""How a picture becomes a file: PNG, every text in it as it is written, whole or not at all."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import matplotlib as mpl
from matplotlib.figure import Figure
from matplotlib.text import Text

from pourday.scenario.base.written import replaced

DPI = 200
# The user's own settings of matplotlib may say otherwise. Tick labels are made while it is drawn.
_AS_WRITTEN: dict[Any, Any] = {"text.parse_math": False, "text.usetex": False}


def save_png(figure: Figure, path: Path) -> Path:
    """Write a figure as PNG; a "$" in a name is a dollar, not mathematics. Returns ``path``.

    Raises:
        OSError: where the file cannot be written.
    """
    for text in figure.findobj(Text):
        assert isinstance(text, Text)
        text.set_parse_math(False)
        text.set_usetex(False)
    with mpl.rc_context(_AS_WRITTEN), replaced(path) as file:
        figure.savefig(file, dpi=figure.dpi, format="png", metadata={"Software": None})
    return path
