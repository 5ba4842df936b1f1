"""Kinds of strips and lines on the strip plan, and the legend that explains them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from matplotlib.artist import Artist
from matplotlib.figure import Figure
from matplotlib.legend_handler import HandlerBase
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.text import Text

from pourday.floor.cut import FloorCut
from pourday.floor.layout import Layout
from pourday.floor.strips import BAND, BEAM, EDGE, GAP, JOINT
from pourday.report.figures.floor import Sheet
from pourday.report.figures.page import POINTS
from pourday.report.figures.set_ups import number_style, number_words
from pourday.report.figures.style import FAINT, GREY, INK, PALE
from pourday.scenario.model.scenario import Scenario

KINDS = {
    BEAM: ("B", PALE, "///", "B  beam: at a support"),
    GAP: ("G", "white", "", "G  gap: middle of a span"),
    JOINT: ("J", FAINT, "xxx", "J  joint: at a sheet joint"),
    EDGE: ("E", FAINT, "...", "E  edge: at the floor edge"),
    BAND: ("", "white", "", "band within one span"),
}
"""Letter, fill, hatch and words for each kind of strip."""
LINES: dict[str, dict[str, Any]] = {
    "support": {"color": INK, "linewidth": 0.7, "linestyle": (0, (9, 2.5, 1.5, 2.5))},
    "primary": {"color": GREY, "linewidth": 3.0, "linestyle": "-"},
    "prop": {"color": INK, "linewidth": 0.9, "linestyle": (0, (1.5, 2.5))},
    "stop end": {"color": INK, "linewidth": 3.0, "linestyle": (0, (2.5, 1))},
}
"""Style of every line of the floor."""


class _Joint:
    """Stands for the double line of a sheet joint in the legend."""


class _Opening:
    """Stands for a crossed-out opening in the legend."""


class _Number:
    """Stands for the number of a strip in the legend, in the look of its front."""

    def __init__(self, look: dict[str, Any]) -> None:
        self.look = look


class _Written(HandlerBase):
    """Writes the number that stands in the legend."""

    def create_artists(self, *args: Any) -> list[Artist]:
        """A number in the middle of the box that matplotlib gives."""
        _, handle, x, y, width, height, size, transform = args
        style: dict[str, Any] = {"size": size, "weight": "bold", "color": INK, "ha": "center"}
        style |= {"va": "center", "transform": transform}
        at = (0.5 * width - x, 0.5 * height - y)
        return [Text(*at, "12", **(style | handle.look))]


class _Drawn(HandlerBase):
    """Draws what stands in the legend from lines, each (x0, x1, y0, y1) in shares of its box."""

    def __init__(self, *lines: tuple[float, float, float, float]) -> None:
        super().__init__()
        self._lines = lines

    def create_artists(self, *args: Any) -> list[Artist]:
        """Lines in the box that matplotlib gives: legend, handle, x, y, width, height, ..."""
        _, _, x, y, width, height, _, transform = args
        style: dict[str, Any] = {"color": INK, "linewidth": 1.0, "transform": transform}
        return [
            Line2D([a * width - x, b * width - x], [c * height - y, d * height - y], **style)
            for a, b, c, d in self._lines
        ]


_HANDLERS: dict[Any, HandlerBase] = {
    _Number: _Written(),
    _Joint: _Drawn((0, 1, 0.38, 0.38), (0, 1, 0.66, 0.66)),
    _Opening: _Drawn(
        (0, 1, 0, 0), (0, 1, 1, 1), (0, 0, 0, 1), (1, 1, 0, 1), (0, 1, 0, 1), (0, 1, 1, 0)
    ),
}


def joints(cut: FloorCut) -> list[float]:
    """x of every sheet joint, floor ends that are joints with another pour among them."""
    floor = cut.floor
    low = [floor.supports[0]] if floor.low_x_end == JOINT else []
    high = [floor.supports[-1]] if floor.high_x_end == JOINT else []
    return [*low, *cut.joints, *high]


def numbers_of_fronts(fronts: int) -> list[tuple[Any, str]]:
    """Handles and words for how the numbers of each front look; none where there is one."""
    if fronts == 1:
        return []
    return [(_Number(number_style(n, fronts)), number_words(n)) for n in range(fronts)]


def legend(
    figure: Figure,
    scenario: Scenario,
    layout: Layout,
    sheet: Sheet,
    extra: Sequence[tuple[Any, str]],
) -> None:
    """Everything on this plan, beside or below the floor; ``extra`` handles and words come last."""
    present = {strip.kind for strip in layout.strips}
    handles: list[Any] = []
    words: list[str] = []

    def _add(handle: Any, text: str) -> None:
        handles.append(handle)
        words.append(text)

    for kind, (_, fill, hatch, text) in KINDS.items():
        if kind in present:
            _add(Patch(facecolor=fill, edgecolor=GREY, hatch=hatch, linewidth=0.8), text)
    arrow: dict[str, Any] = {
        "color": INK,
        "linewidth": 0.9,
        "marker": ">",
        "markersize": 5,
        "markevery": [1],
    }
    _add(Line2D([0, 1], [0, 0], **arrow), "way of the front")
    _add(Line2D([], [], **LINES["support"]), "support (beam, wall)")
    if joints(layout.cut):
        _add(_Joint(), "sheet joint (double line)")
    if scenario.floor.primary_beams_y:
        _add(Line2D([], [], **LINES["primary"]), "primary beam")
    if scenario.props.lines_x:
        _add(Line2D([], [], **LINES["prop"]), "prop line")
    if scenario.floor.stop_ends_x:
        _add(Line2D([], [], **LINES["stop end"]), "stop end")
    if scenario.floor.openings:
        _add(_Opening(), "opening")
    for handle, text in extra:
        _add(handle, text)
    width, height = figure.get_size_inches() * POINTS
    style: dict[str, Any] = {"fontsize": 8, "handlelength": 3.2, "handleheight": 1.3}
    style |= {"handler_map": _HANDLERS}
    if sheet.beside:
        at = ((width - 162) / width, (height - 54) / height)
        style |= {"loc": "upper left", "bbox_to_anchor": at, "labelspacing": 0.9}
    else:
        at = (0.5, 22 / height)
        style |= {"loc": "lower center", "bbox_to_anchor": at, "ncols": 5, "columnspacing": 1.6}
    figure.legend(handles, words, frameon=False, **style)
