"""One style for all pictures: greys and hatches with one accent, widths of lines, sizes of type.

Ink does the work: fills differ in lightness and hatch, lines in width and dashes, so that a black
and white print says the same as the screen. What can be named is named where it stands.
"""

from __future__ import annotations

from typing import Any

INK, GREY, LIGHT, FAINT = "#1a1a1a", "#8c8c8c", "#c9c9c9", "#e2e2e2"
"""Greys: writing and outlines, what stands behind, lines of the grid, fills under a hatch."""
DARK, MIDDLE, PALE = "#27466f", "#7f9fbe", "#d6e2ee"
"""The accent, a blue, and two tints of it."""

TYPE = 7.0
"""Smallest type (pt) of a picture that is printed at half the width of a page."""
NAME = 7.5
"""Type (pt) of names that stand at what they name."""
HEAD = 9.0
"""Type (pt) of a heading there."""

LIMIT: dict[str, Any] = {"color": INK, "linewidth": 1.6, "linestyle": (0, (5, 1.5))}
"""The line of a limit: of a curfew, an age, a share."""
LINE, GRID, EDGE = 1.8, 0.6, 0.6
"""Widths (pt) of a line of data, of the grid, and round a fill."""
PAPER: dict[str, Any] = {"boxstyle": "square,pad=0.12", "facecolor": "white", "edgecolor": "none"}
"""The white under words that stand on lines."""
