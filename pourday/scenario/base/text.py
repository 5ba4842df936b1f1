"""Text from outside, made fit to be shown: what would steer a terminal stands as its escape."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from unicodedata import category

# Cc: control characters; Cs: halves of letters; Zl, Zp: ends of line and paragraph.
_STEER = ("Cc", "Cs", "Zl", "Zp")
# They turn round the order of whatever follows, the report's own words and numbers too.
_TURN = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff")


def printable(text: str) -> str:
    r"""The text in one line, with ``\x1b``, ``\n``, ``\u202e`` for what cannot be shown."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(
        c.encode("unicode_escape").decode("ascii") if category(c) in _STEER or c in _TURN else c
        for c in text
    )


def all_printable(raw: Any) -> Any:
    """Parsed TOML with every key and every text in it made printable."""
    if isinstance(raw, str):
        return printable(raw)
    if isinstance(raw, Mapping):
        return {printable(key): all_printable(value) for key, value in raw.items()}
    return [all_printable(each) for each in raw] if isinstance(raw, list) else raw
