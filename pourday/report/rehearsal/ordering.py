"""Orders given in a rehearsal, taken back, and tried out side by side before they are given."""

from __future__ import annotations

import re
from dataclasses import replace

from pourday.day.log import Order
from pourday.day.orders.line import order_text, parse_order
from pourday.outcome.events import events, moments
from pourday.outcome.scene import scene
from pourday.report.rehearsal.answers import comparison, stop_page
from pourday.report.rehearsal.stand import CHOICES, ORDER, Replay, Stand, last_by, played
from pourday.report.rehearsal.unended import unended_text
from pourday.report.words import clock
from pourday.scenario.base.upsets import Upset
from pourday.study.choices.rehearsed import Rehearsed, moment_of
from pourday.study.choices.rests import Choice
from pourday.study.choices.ways import stands

NO_ORDERS = "no orders can be given in this rehearsal"
AS_IT_IS = "go on as it is"
_OR = re.compile(r"\s+or\s+|\s*\|\s*", re.IGNORECASE)
_AND = re.compile(r"\s+and\s+|\s*\+\s*", re.IGNORECASE)


def ask(stand: Stand, replay: Replay, what: str) -> Stand:
    """Begin to write an order, or choices to be tried."""
    if replay.rehearsed is None:
        return replace(stand, message=NO_ORDERS)
    return replace(stand, running=False, typing="", asking=what)


def give(stand: Stand, line: str, replay: Replay) -> Stand:
    """Give an order and play the rest of the day again; or say why it cannot be obeyed."""
    assert replay.rehearsed is not None
    try:
        asked = _read(stand, line)
        replay.rehearsed.check(stand.outcome.log.upsets, stand.orders, asked)
    except ValueError as error:
        return replace(stand, typing="", message=str(error))
    added = (*stand.added, *asked)
    orders = tuple(each for each in added if isinstance(each, Order))
    after, refused = played(replay, stand.outcome.log.upsets, orders)
    told, time = moments(events(after)), asked[-1].at
    fronts = len(after.basis.plan.fronts)
    said = " and ".join(order_text(each, fronts) for each in asked)
    change = f"ordered at {clock(time)}: {said}; x takes it back"
    return Stand(
        after, told, last_by(told, time), time, change=change, message=refused, added=added
    )


def take_off(stand: Stand, replay: Replay) -> Stand:
    """Take the last upset or order off: the day is as it was before it."""
    if not stand.added:
        return replace(stand, message="nothing was let go wrong here that could be taken off")
    *rest, last = stand.added
    upsets = list(stand.outcome.log.upsets)
    if isinstance(last, Upset):
        upsets.remove(last)
        message = f"taken off: {unended_text(last, replay.units)}"
    else:
        fronts = len(stand.outcome.basis.plan.fronts)
        message = f"taken back: {clock(last.at)} {order_text(last, fronts)}"
    orders = tuple(each for each in rest if isinstance(each, Order))
    after, refused = played(replay, tuple(upsets), orders)
    told = moments(events(after))
    message = "; ".join(text for text in (message, refused) if text)
    at = last_by(told, stand.time)
    return Stand(after, told, at, stand.time, message=message, added=tuple(rest))


def answers(stand: Stand, replay: Replay) -> Stand:
    """The page of all that helps at this moment, until the next key."""
    lines = stop_page(stand.outcome, scene(stand.outcome, stand.time), replay.units)
    return replace(stand, running=False, sheet=tuple(lines))


def choose(stand: Stand, line: str, replay: Replay) -> Stand:
    """Two choices to be tried out: of a single one, against going on as it is."""
    assert replay.rehearsed is not None
    try:
        words = [part for part in _OR.split(line.strip()) if part]
        if len(words) > 2:
            raise ValueError("two choices stand side by side: write one or two, with or between")
        choices = [_choice(stand, replay.rehearsed, part) for part in words]
    except ValueError as error:
        return replace(stand, typing="", message=str(error))
    if len(choices) == 1:
        choices.insert(0, Choice(AS_IT_IS, ()))
    rests = replay.rehearsed.rests
    message = f"plays {rests} rests of this day for each of the two: a moment"
    return replace(stand, typing=None, message=message, pending=tuple(choices))


def tried(stand: Stand, replay: Replay) -> Stand:
    """The choices tried out, side by side, until the next key."""
    assert replay.rehearsed is not None
    at = moment_of(stand.time)
    upsets = stand.outcome.log.upsets
    found = replay.rehearsed.compare(upsets, stand.orders, at, stand.pending)
    lines = comparison(stand.outcome, stand.time, found, replay.units)
    return replace(stand, pending=(), message="", sheet=tuple(lines))


def _choice(stand: Stand, rehearsed: Rehearsed, words: str) -> Choice:
    if words.lower() in (AS_IT_IS, "go on", "nothing"):
        return Choice(AS_IT_IS, ())
    asked = _read(stand, words)
    rehearsed.check(stand.outcome.log.upsets, stand.orders, asked)
    fronts = len(stand.outcome.basis.plan.fronts)
    return Choice(" and ".join(order_text(each, fronts) for each in asked), asked)


def _read(stand: Stand, line: str) -> tuple[Order, ...]:
    """The orders of a line, given right after what the page shows."""
    at = moment_of(stand.time)
    now = scene(stand.outcome, stand.time)
    standing = [front.number for front in now.fronts if stands(front)]
    parts = [part for part in _AND.split(line.strip()) if part]
    return tuple(parse_order(part, at, len(now.fronts), standing) for part in parts)


ASKS = {ORDER: give, CHOICES: choose}
"""What is done with a line that has been written."""
