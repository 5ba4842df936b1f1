"""Orders as lines in plain words: ``hold``, ``away 7``, ``end after 12``, ``pump 2 stand-by``."""

from __future__ import annotations

import re
from collections.abc import Sequence

from pourday.day.log import AWAY, BREAK, CANCEL, END, END_BAY, HOLD, SEND, STANDBY, Order

FORMS: tuple[tuple[str, str], ...] = (
    ("hold", "no more loads until send, or the stop is over and no truck waits"),
    ("send", "one load at once, and the calls go on; send 2: two of them"),
    ("cancel 2", "the last 2 loads called whose loading has not begun; held from then on"),
    ("away 7", "truck 7 leaves with what is on it"),
    ("stand-by", "call the stand-by of the file (the first, or the one that is named)"),
    ("end here", "stop end where the pump stands; the rest is not poured today"),
    ("end after 12", "stop end once strip 12 is full; the rest is not poured today"),
    ("end bay", "stop end where the pump stands; the rest of this bay is not poured today"),
    ("break", "the crew takes its next break now"),
)
"""What may be ordered: an example, and what it does."""
_FRONT = re.compile(r"(?:pump|crane) +(\d{1,2}) +(.*)")
_NUMBERED = re.compile(r"(send|cancel|away|end after)(?: +(\d{1,3}))?(?: +(?:loads?|at once))?")
_PLAIN = {"hold": HOLD, "end here": END, "end": END, "end bay": END_BAY, "break": BREAK}


class OrderLineError(ValueError):
    """A line that is no order; its text says what was found and what may be ordered."""


def parse_order(line: str, at: float, fronts: int = 1, standing: Sequence[int] = ()) -> Order:
    """The order that a line says, given at ``at`` (s).

    Args:
        line: case and extra spaces do not matter; ``pump 2`` (``crane 2``) before it says whose.
        at: when it is given (s since midnight).
        fronts: how many the plan has.
        standing: fronts (index) that stand now; the only one is meant where none is named.

    Raises:
        OrderLineError: saying what was found and what may be ordered.
    """
    words = " ".join(line.split())
    front, said = _whose(words, fronts, standing)
    low = said.lower().replace("standby", "stand-by").replace("stand by", "stand-by")
    if low in _PLAIN:
        return Order(at, _PLAIN[low], front)
    if low.split(" ")[0] == "stand-by":
        return Order(at, STANDBY, front, name=said.split(" ", 1)[1] if " " in low else "")
    found = _NUMBERED.fullmatch(low)
    if found is None:
        raise OrderLineError(f'found "{words}"; orders: ' + ", ".join(form for form, _ in FORMS))
    word, number = found[1], int(found[2]) if found[2] else 0
    if word in ("send", "cancel"):
        return Order(at, SEND if word == "send" else CANCEL, front, number=max(1, number))
    if number < 1:
        what = "truck" if word == "away" else "strip"
        raise OrderLineError(f'"{word}" needs the number of the {what}, as on the page')
    if word == "away":
        return Order(at, AWAY, front, number=number - 1)
    return Order(at, END, front, strip=number - 1)


def order_text(order: Order, fronts: int = 1) -> str:
    """The order in the words :func:`parse_order` reads, without its time."""
    text = {
        SEND: f"send {order.number}",
        CANCEL: f"cancel {order.number}",
        AWAY: f"away {order.number + 1}",
        STANDBY: f"stand-by {order.name}".strip(),
        END: f"end after {order.strip + 1}" if order.strip >= 0 else "end here",
    }.get(order.kind, order.kind)
    return f"pump {order.front + 1} {text}" if fronts > 1 else text


def _whose(words: str, fronts: int, standing: Sequence[int]) -> tuple[int, str]:
    named = _FRONT.fullmatch(words.lower())
    if named is not None:
        number = int(named[1])
        if not 1 <= number <= fronts:
            raise OrderLineError(f"no pump {number}; the plan has {fronts}")
        return number - 1, words[len(words) - len(named[2]) :]
    if fronts == 1 or not words:
        return 0, words
    if len(standing) == 1:
        return standing[0], words
    raise OrderLineError(f'whose order? Say "pump 1 {words}", up to pump {fronts}')
