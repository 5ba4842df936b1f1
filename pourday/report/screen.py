"""The console of reports: text is text there, no number is broken in two, no table is cut."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import IO, Any

from rich.console import Console, ConsoleOptions, RenderableType
from rich.segment import Segment
from rich.table import Table
from rich.text import Text

from pourday.report.narrow import fitted, is_cut
from pourday.report.units import SI, Units

# Between the thousands of a number: 12 345 is one word.
_WITHIN = re.compile(r"(?<=\d) (?=\d{3}(?!\d))")
# A blank at which rich breaks no line; it is a plain one again before it is written.
_JOIN = "\u2800"


class Screen(Console):
    """A console on which names are shown as they are and the digits of a number stay together.

    Brackets or colons in a text mean nothing more; what is bold says so by its style. ``units``
    are those of its reader. A table that does not fit is told row by row (``report/narrow.py``).
    """

    def __init__(
        self,
        file: IO[str] | None = None,
        width: int | None = None,
        coloured: bool = True,
        units: Units = SI,
    ) -> None:
        self.units = units
        super().__init__(
            file=file,
            width=width,
            color_system="auto" if coloured else None,
            highlight=False,
            markup=False,
            emoji=False,
        )

    def render_str(self, text: str, **settings: Any) -> Text:
        """A text as :class:`rich.text.Text`, its numbers joined."""
        return super().render_str(_joined(text), **settings)

    def render(
        self, renderable: RenderableType, options: ConsoleOptions | None = None
    ) -> Iterable[Segment]:
        """The segments that are written; the joints are plain blanks again."""
        if isinstance(renderable, Text) and _joined(renderable.plain) != renderable.plain:
            renderable = renderable.copy()
            renderable.plain = _joined(renderable.plain)
        if isinstance(renderable, Table):
            renderable = self._whole(renderable, options or self.options)
        for part in super().render(renderable, options):
            yield part._replace(text=part.text.replace(_JOIN, " ")) if _JOIN in part.text else part

    def _whole(self, table: Table, options: ConsoleOptions) -> RenderableType:
        """The table, or what to print instead where it would not be whole."""
        said = fitted(self, table, options.max_width)
        if isinstance(said, Text) or said is table:
            return said
        as_it_is = "".join(part.text for part in super().render(table, options))
        return said if is_cut(as_it_is) else table


def units_of(console: Console) -> Units:
    """The units that the reader of a console wants; metric on a plain one."""
    return console.units if isinstance(console, Screen) else SI


def _joined(text: str) -> str:
    return _WITHIN.sub(_JOIN, text)
