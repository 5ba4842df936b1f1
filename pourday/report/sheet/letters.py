"""Letters that the type of the paper lacks: from another font of the machine, else as an empty box.

DejaVu Sans, which comes with matplotlib, has Latin, Greek, Cyrillic and a good deal more, but no
Chinese, Japanese or Korean. Names of a file may hold anything.
"""

from __future__ import annotations

from functools import cache, lru_cache

from matplotlib.font_manager import findfont, fontManager, get_font

FAMILY = "DejaVu Sans"
NONE = "□"
"""What stands for a letter that no font here has."""


@lru_cache(maxsize=20000)
def shown(words: str) -> tuple[str, tuple[str, ...]]:
    """The words as they can be printed, and the fonts it takes, the paper's own first."""
    if words.isascii():
        return words, (FAMILY,)
    found = {letter: _font_of(letter) for letter in set(words)}
    out = "".join(letter if found[letter] else NONE for letter in words)
    others = sorted({font for font in found.values() if font} - {FAMILY})
    return out, (FAMILY, *others)


@cache
def _font_of(letter: str) -> str:
    """The font that has a letter: the paper's own, else the first by name; "" for none."""
    if ord(letter) in _letters(findfont(FAMILY)):
        return FAMILY
    return next((name for name, path in _others() if ord(letter) in _letters(path)), "")


@cache
def _others() -> tuple[tuple[str, str], ...]:
    """Upright fonts of the machine by name; the one that draws every letter as a box is none."""
    found = {
        each.name: each.fname
        for each in fontManager.ttflist
        if each.style == "normal" and not each.name.startswith("Last Resort")
    }
    return tuple(sorted(found.items()))


@cache
def _letters(path: str) -> frozenset[int]:
    try:
        return frozenset(get_font(path).get_charmap())
    except (OSError, RuntimeError):  # a font that is listed, but gone or broken
        return frozenset()
