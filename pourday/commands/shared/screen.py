"""The screen: reports on standard output, complaints on standard error; text stays text there."""

from __future__ import annotations

import codecs
import io
import os
import shutil
import sys
import unicodedata
from textwrap import wrap
from typing import TYPE_CHECKING

from pourday.scenario.base.text import printable

if TYPE_CHECKING:
    from rich.console import Console

_SUBSTITUTE = "pourday-substitute"
# Letters of the reports for which an output may have none; others lose their accents.
_PLAIN = {
    "²": "2", "³": "3", "°": "deg ", "·": ".", "–": "-", "—": "-", "−": "-", "×": "x", "÷": "/",
    "≤": "<=", "≥": ">=", "≈": "~", "→": "->", "←": "<-", "µ": "u", "μ": "u", "€": "EUR",
    "£": "GBP", "…": "...", "“": '"', "”": '"', "„": '"', "‘": "'", "’": "'", "ß": "ss", "æ": "ae",
    "ø": "o", "ł": "l", "Æ": "AE", "Ø": "O", "Ł": "L", "█": "#", "▓": "#", "▒": "+", "░": ".",
    "━": "-", "─": "-", "│": "|", "┃": "|", "●": "o", "■": "#", "▲": "^", "▼": "v",
}  # fmt: skip


def console(units: str | None = None) -> Console:
    """The console that reports go to, in units "si" or "us"; it reads no markup in names."""
    from pourday.report.screen import Screen
    from pourday.report.units import units_named

    return Screen(units=units_named(units))


def warn(console: Console, warnings: list[str]) -> None:
    """Print the warnings of a scenario, a line each."""
    from pourday.report.words import marked

    for text in warnings:
        console.print(marked(("warning:", "bold"), f" {text}"))


def complain(text: str) -> None:
    """One line on standard error; a terminal gets it broken between words, the rest indented."""
    line = printable(text)
    for part in wrapped(line, columns()) if sys.stderr.isatty() else [line]:
        print(part, file=sys.stderr)


def columns() -> int:
    """Columns of the terminal, as the user or the system says; 80 where nobody does."""
    return shutil.get_terminal_size().columns


def wrapped(text: str, width: int) -> list[str]:
    """A line in as many as its words need; a word longer than a line, such as a path, stays one."""
    indent = " " * (len(text) - len(text.lstrip()))
    if len(text) <= width:
        return [text]
    return wrap(
        text, width, subsequent_indent=f"{indent}  ", break_long_words=False,
        break_on_hyphens=False,
    )  # fmt: skip


def typed(text: str) -> str:
    """A text of the command line as the scenario file would hold it.

    Where the system says that it knows ASCII only, other letters come as bytes that it could not
    read; nearly always they are UTF-8.
    """
    with_bytes = any("\udc80" <= c <= "\udcff" for c in text)
    return printable(os.fsencode(text).decode("utf-8", "replace") if with_bytes else text)


def substitute_letters() -> None:
    """Let both outputs write a substitute for a letter that they lack, whatever the system says."""
    codecs.register_error(_SUBSTITUTE, _substitute)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors=_SUBSTITUTE)


def _substitute(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    lacking = error.object[error.start : error.end]
    return "".join(map(_plain, lacking)), error.end


def _plain(letter: str) -> str:
    if letter in _PLAIN:
        return _PLAIN[letter]
    bare = unicodedata.normalize("NFKD", letter).encode("ascii", "ignore").decode("ascii")
    return bare if bare.isprintable() and bare else "?"
