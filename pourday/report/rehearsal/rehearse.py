"""Step through a played day in the terminal, and let things go wrong on the way.

A terminal gets a page that follows the keys; anything else gets one plain line for each event.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace
from time import monotonic

from rich.console import Console
from rich.live import Live

from pourday.outcome.base.basis import Basis
from pourday.outcome.events import UPSET_BEGINS, events, moments
from pourday.outcome.measure import Outcome
from pourday.outcome.scene import scene
from pourday.report.narrow import NARROW
from pourday.report.rehearsal.keys import (
    BACK,
    CLEAR,
    ENTER,
    ESCAPE,
    OVER,
    ReadKey,
    can_read_keys,
    keys,
)
from pourday.report.rehearsal.lines import laid
from pourday.report.rehearsal.ordering import ASKS, answers, ask, take_off, tried
from pourday.report.rehearsal.stand import (
    CHOICES,
    ORDER,
    UPSET,
    Replay,
    Stand,
    last_by,
    opening,
    played,
)
from pourday.report.rehearsal.view import Page, page_view
from pourday.report.rehearsal.words import (
    change_words,
    event_words,
    left_lines,
    summary_lines,
    title_words,
)
from pourday.report.screen import Screen, units_of
from pourday.report.units import SI, Units
from pourday.report.words import caution, clock
from pourday.scenario.base.upsets import Upset
from pourday.study.prepare import read_upset

PACE = 0.5
"""Time from one event to the next while a rehearsal runs (s)."""

HELP = (
    "That key does nothing here. space or Enter: next event; b back; p run, pause; m 10 minutes "
    "on; u goes wrong; o order; x takes it off; a what can be done; c tries orders; q leave"
)
_ON = 600.0
# How often to look whether the terminal has changed its size (s).
_LOOK = 0.25
_CLOCK = re.compile(r"\s*\d{1,2}:\d")


def rehearse(
    console: Console, outcome: Outcome, replay: Replay, pace: float | None = None
) -> Outcome:
    """Step through a day; returns it as it was at the end, with what went wrong on the way.

    Args:
        console: where to; its file decides between a page and plain lines.
        outcome: the day to begin with.
        replay: how a line becomes an upset, and how the day is played again with it.
        pace: seconds from event to event; starts running where given.
    """
    at_terminal = console.file.isatty() and not console.is_dumb_terminal
    if not at_terminal or not can_read_keys():
        print_events(console, outcome)
        return outcome
    stand = replace(opening(outcome), running=pace is not None)
    replay = replace(replay, units=units_of(console))
    try:
        with keys() as read_key, Live(console=console, screen=True,
                                                     auto_refresh=False) as live:  # fmt: skip
            stand = _follow(console, live, stand, read_key, replay, pace or PACE)
    except KeyboardInterrupt:
        pass  # before the first page or after the last; the terminal is restored
    _close(console, stand.outcome, stand.time)
    return stand.outcome


def upset_reader(basis: Basis) -> Callable[[str], Upset]:
    """Reads a line as something that can go wrong in this plan; ``ValueError`` says why not."""
    return lambda line: read_upset(line, basis.scenario, (basis.plan,))


def in_order(before: tuple[Upset, ...], new: tuple[Upset, ...]) -> tuple[Upset, ...]:
    """Upsets of two lists by time; those of the first list first where they come at once."""
    return tuple(sorted((*before, *new), key=lambda upset: upset.at))


def print_events(console: Console, outcome: Outcome) -> None:
    """The day as plain lines: which it is, one for each event, a summary. No escape codes."""
    units = units_of(console)
    plain = Screen(console.file, console.width, coloured=False, units=units)

    def _say(text: str, indent: int = 0) -> None:
        # A line each, for whatever reads them; where only a few columns are, in lines of those.
        lines = laid(text, plain.width, indent) if plain.width < NARROW else [text]
        plain.out("\n".join(lines))

    _say(f"{title_words(outcome)} (--seed {outcome.log.seed})")
    _say("")
    for event in events(outcome):
        _say(f"{clock(event.time)}  {event_words(outcome, event, units)}", 7)
    _say("")
    _close(plain, outcome)


def press(stand: Stand, key: str, replay: Replay) -> Stand:
    """Where a rehearsal stands after a key."""
    if stand.sheet:
        return replace(stand, sheet=(), over=key == OVER)
    if stand.typing is not None:
        return _typed(stand, stand.typing, key, replay)
    stand = replace(stand, message="")
    match key:
        case " " | "enter":
            return replace(onward(stand), running=False)
        case "b":
            return replace(_back(stand), running=False)
        case "p":
            return replace(stand, running=not stand.running)
        case "m":
            return replace(_later(stand), running=False)
        case "u":
            return replace(stand, running=False, typing="", asking=UPSET)
        case "o":
            return ask(stand, replay, ORDER)
        case "c":
            return ask(stand, replay, CHOICES)
        case "a":
            return answers(stand, replay)
        case "x":
            return replace(take_off(stand, replay), running=False)
        case "q" | "over":
            return replace(stand, over=True)
        case _:
            return replace(stand, message=HELP)


def onward(stand: Stand) -> Stand:
    """The next moment; at the last one, a word that it is the last."""
    if stand.at + 1 >= len(stand.told):
        last = stand.told[-1][0].time
        message = "That was the last thing of this day. b: back; q: leave"
        return replace(stand, time=last, running=False, message=message)
    return _moved(stand, stand.at + 1)


def page_of(stand: Stand, units: Units = SI) -> Page:
    """What to show of where a rehearsal stands, in the reader's units."""
    return Page(
        outcome=stand.outcome,
        scene=scene(stand.outcome, stand.time),
        happened=stand.told[: stand.at + 1],
        running=stand.running,
        typing=stand.typing,
        asking=stand.asking,
        sheet=stand.sheet,
        message=stand.message,
        change=units.said(stand.change),
        units=units,
    )


def _follow(
    console: Console, live: Live, stand: Stand, read_key: ReadKey, replay: Replay, pace: float
) -> Stand:
    """Show, read a key, move on, until the user leaves."""
    shown: tuple[Stand, tuple[int, int]] | None = None
    due = monotonic() + pace
    try:
        while not stand.over:
            size = console.size
            if shown != (stand, size):
                view = page_view(page_of(stand, units_of(console)), size.width, size.height)
                shown = (stand, size)  # before it is drawn: an interrupt may come right after
                live.update(view, refresh=True)
            if stand.pending:
                stand = tried(stand, replay)
                continue
            wait = min(_LOOK, max(0.0, due - monotonic())) if stand.running else _LOOK
            key = read_key(wait)
            if key is not None:
                was_running = stand.running
                stand = press(stand, key, replay)
                due = due if was_running else monotonic() + pace
            elif stand.running and monotonic() >= due:
                stand = onward(stand)
                due = monotonic() + pace
    except KeyboardInterrupt:
        # Leaves as q does, with the day that is on the page.
        return shown[0] if shown is not None else stand
    return stand


def _moved(stand: Stand, at: int) -> Stand:
    return replace(stand, at=at, time=stand.told[at][0].time)


def _back(stand: Stand) -> Stand:
    if stand.time > stand.told[stand.at][0].time:
        return _moved(stand, stand.at)  # after "10 minutes on" the last event comes first
    return _moved(stand, max(0, stand.at - 1))


def _later(stand: Stand) -> Stand:
    time = min(stand.time + _ON, stand.told[-1][0].time)
    return replace(stand, at=last_by(stand.told, time), time=time)


def _typed(stand: Stand, line: str, key: str, replay: Replay) -> Stand:
    """A key while a line is being written."""
    if key == ENTER:
        if not line.strip():
            return replace(stand, typing=None)
        return ASKS.get(stand.asking, _drop)(stand, line, replay)
    if key in (ESCAPE, OVER):
        return replace(stand, typing=None, message="")
    if key == BACK:
        return replace(stand, typing=line[:-1])
    if key == CLEAR:
        return replace(stand, typing="")
    if len(key) == 1 and key.isprintable():
        return replace(stand, typing=line + key)
    return stand


def _drop(stand: Stand, line: str, replay: Replay) -> Stand:
    """Let something go wrong and play the rest of the day again; or say why it cannot."""
    minute = round(stand.time / 60.0)  # as the clock on the page shows it
    now = f"{minute // 60:02d}:{minute % 60:02d}"
    timed = _CLOCK.match(line) is not None
    try:
        upset = replay.read(line if timed else f"{now} {line.strip()}")
    except ValueError as error:
        return replace(stand, message=str(error))
    if round(upset.at / 60.0) < minute:
        message = f"it is {now} already; what is past stays as it was"
        return replace(stand, message=message)
    # The present minute began before now; what has happened in it stays too.
    upset = replace(upset, at=stand.time if not timed else max(upset.at, stand.time))
    upsets = in_order(stand.outcome.log.upsets, (upset,))
    after, refused = played(replay, upsets, stand.orders)
    told = moments(events(after))
    at = next(
        (n for n, moment in enumerate(told) for e in moment
         if e.kind == UPSET_BEGINS and e.upset == upset and e.time <= stand.time),
        last_by(told, stand.time),
    )  # fmt: skip
    added = (*stand.added, upset)
    change = change_words(upset)
    return Stand(after, told, at, stand.time, change=change, message=refused, added=added)


def _close(console: Console, outcome: Outcome, time: float = math.inf) -> None:
    """The day in a few lines; left before everybody has gone, only what has happened by then."""
    units = units_of(console)
    lines = summary_lines(outcome, units)
    if time < outcome.log.wash_out_end:
        lines = left_lines(outcome, scene(outcome, time), units)
    for line in lines:
        console.print(line, highlight=False)
    caution(console)
