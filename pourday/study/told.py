"""How far a long piece of work is, told to whoever shows it: a share from 0 to 1."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar

Told = Callable[[float], None]
"""Hears how much of the work is done (0 to 1)."""
T = TypeVar("T")


def nobody(share: float) -> None:
    """Hears nothing of it."""


def within(told: Told, low: float, high: float) -> Told:
    """What a part of the work tells that goes from ``low`` to ``high`` of the whole."""
    return lambda share: told(low + share * (high - low))


def counted(items: Sequence[T], told: Told) -> Iterator[T]:
    """The items; tells after each how many of them are done."""
    for number, item in enumerate(items, start=1):
        yield item
        told(number / len(items))
