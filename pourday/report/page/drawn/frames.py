"""A day as frames: what the page shows at each step of its slider, drawn and in words.

A frame says only what a reader sees then: places on the drawing (already in its units) and
sentences. What changed since the frame before is all that is said of strips, so that a long day on
a large floor stays small.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from pourday.floor.layout import Layout
from pourday.outcome.measure import Outcome
from pourday.outcome.scene import (
    AT_PUMP,
    GONE,
    LEAVING,
    ON_ROAD,
    WAITING,
    FrontScene,
    Scene,
    scene,
)
from pourday.report.basis import share_words
from pourday.report.page.drawn.ground import Ground
from pourday.report.page.numbers import (
    clock,
    hours,
    minutes,
    rate,
    strip_of,
    upset_words,
    volume_of,
)
from pourday.report.rehearsal.words import DOING
from pourday.report.units import SI, Units

LANES = (ON_ROAD, WAITING, AT_PUMP, LEAVING)
"""Where a truck may be, from left to right on the drawing."""
_STEPS = (60, 120, 300, 600, 900, 1800, 3600)
_MOST = 330
"""Frames of a day at the most: two minutes apart on a day of eleven hours."""
_HIDDEN = ("not ready", "washing", "finished")
Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Frame:
    """One moment (s) of a day, as the page shows it.

    ``strips`` are (strip, x, y, width, height) of concrete that grew since the frame before,
    ``fronts`` a place for each (None before it has one), ``edges`` are (x1, y1, x2, y2, state),
    ``trucks`` (number, lane, share still on it). ``share`` is that of the deck now, nan where
    nobody can judge it. The rest are sentences.
    """

    time: float
    strips: tuple[tuple[int, float, float, float, float], ...]
    fronts: tuple[tuple[float, float] | None, ...]
    edges: tuple[tuple[float, float, float, float, str], ...]
    trucks: tuple[tuple[int, int, float], ...]
    share: float
    doing: tuple[str, ...]
    placed: str
    supply: str
    open: str
    deck: str
    wrong: str


def frames_of(outcome: Outcome, ground: Ground, units: Units = SI) -> tuple[Frame, ...]:
    """Frames of a day at even steps, from before the first concrete to the last pump washed out."""
    times = _times(outcome)
    loads = {visit.number: visit.volume for visit in outcome.log.visits}
    out: list[Frame] = []
    before: dict[int, Box] = {}
    for time in times:
        now = scene(outcome, time)
        boxes = _boxes(ground, outcome, now)
        grown = tuple((k, *box) for k, box in boxes.items() if before.get(k) != box)
        before = boxes
        out.append(_frame(outcome, ground, now, grown, loads, units))
    return tuple(out)


def step_of(outcome: Outcome) -> float:
    """How far apart (s) the frames of a day are."""
    begin, end = _ends(outcome)
    return next((s for s in _STEPS if (end - begin) / s < _MOST), _STEPS[-1])


def _ends(outcome: Outcome) -> tuple[float, float]:
    log = outcome.log
    arrivals = [visit.arrived for visit in log.visits if math.isfinite(visit.arrived)]
    begin = min([log.ready, log.start, *arrivals[:1]])
    return begin, max(log.wash_out_end, log.end)


def _times(outcome: Outcome) -> list[float]:
    begin, end = _ends(outcome)
    step = step_of(outcome)
    first, last = math.floor(begin / step), math.ceil(end / step)
    # A day that never ends within reason is cut here, not in memory.
    return [n * step for n in range(first, min(last, first + 4 * _MOST) + 1)]


def _boxes(ground: Ground, outcome: Outcome, now: Scene) -> dict[int, Box]:
    """Where concrete lies in every strip that has some, on the drawing."""
    out = {}
    for k, (strip, state) in enumerate(zip(outcome.basis.layout.strips, now.strips, strict=True)):
        if math.isnan(state.low):
            continue
        # A strip that is full is drawn full, whatever the last hair of its profile says.
        low, high = (strip.low, strip.high) if state.share >= 1.0 else (state.low, state.high)
        aside = strip.sides
        out[k] = ground.box(*((low, high, *aside) if strip.along == "x" else (*aside, low, high)))
    return out


def _frame(
    outcome: Outcome,
    ground: Ground,
    now: Scene,
    grown: tuple[tuple[int, float, float, float, float], ...],
    loads: dict[int, float],
    units: Units,
) -> Frame:
    lanes = {state: n for n, state in enumerate(LANES)}
    return Frame(
        time=now.time,
        strips=grown,
        fronts=tuple(
            None if math.isnan(f.x) or f.doing in _HIDDEN else ground.at(f.x, f.y)
            for f in now.fronts
        ),
        edges=tuple((*ground.edge(each), each.state(now.time)) for each in now.edges),
        trucks=tuple(
            (t.number, lanes[t.state], round(t.left / loads[t.number], 2))
            for t in now.trucks
            if t.state != GONE
        ),
        share=now.deck.use,
        doing=tuple(_doing(outcome, f, units) for f in now.fronts),
        placed=volume_of(now.placed, now.total, units),
        supply=_supply(now),
        open=_open(outcome, now),
        deck=_deck(outcome, now),
        wrong=_wrong(now, units),
    )


def _doing(outcome: Outcome, front: FrontScene, units: Units) -> str:
    """What a front is at, at which strip, how fast."""
    layout = outcome.basis.layout
    head = f"pump {front.number + 1}: " if len(outcome.basis.plan.fronts) > 1 else ""
    text = head + DOING.get(front.doing, front.doing)
    if front.strip >= 0 and front.doing in ("placing", "moving"):
        text += f" {strip_of(layout, front.strip)}"
    if front.doing == "placing":
        text += f", {rate(front.rate, units)}"
    if front.truck >= 0:
        text += f", load {front.truck + 1}"
    return text


def _supply(now: Scene) -> str:
    """How many trucks are where, and the age of the oldest load here against what it may be."""
    parts = []
    for state in LANES:
        here = now.trucks_that(state)
        if here:
            parts.append(f"{len(here)} {state}")
    if not parts:
        return "no truck"
    text = ", ".join(parts)
    if math.isfinite(now.oldest):
        text += f"; oldest load here {minutes(now.oldest)} of {minutes(now.load_life)}"
    return text


def _open(outcome: Outcome, now: Scene) -> str:
    """How many edges wait, and the one that is lost first."""
    lost = f"; {now.cold} cold so far" if now.cold else ""
    if not now.edges:
        return f"none{lost}"
    layout, first = outcome.basis.layout, now.edges[0]
    left = first.lost_at - now.time
    who = strip_of(layout, first.older)
    waits = (
        f"the front of {who}"
        if first.pair < 0
        else f"{who} waits for {strip_of(layout, first.younger)}"
    )
    state = first.state(now.time)
    if left < 0:
        when = f"COLD since {clock(first.lost_at)}"
    elif math.isinf(left):
        when = state
    else:
        when = f"{state}, {hours(left)} left"
    return f"{len(now.edges)} open; first: {waits}, {when}{lost}"


def _deck(outcome: Outcome, now: Scene) -> str:
    """The share of resistance now, and behind which strip."""
    scenario, layout = outcome.basis.scenario, outcome.basis.layout
    text = share_words(now.deck.use, scenario)
    if math.isnan(now.deck.use):
        return text
    return f"{text}, {_behind(layout, now.deck.strip)}"


def _behind(layout: Layout, strip: int) -> str:
    return "bare deck" if strip < 0 else f"at {strip_of(layout, strip)}"


def _wrong(now: Scene, units: Units) -> str:
    """What goes wrong at this moment, empty where nothing does."""
    return "; ".join(upset_words(each, units) for each in now.upsets)


def as_values(frames: Sequence[Frame], across: Sequence[float]) -> list[dict[str, Any]]:
    """Frames as JSON holds them for the page's script; ``across`` is where each stands in time."""
    return [
        {
            "t": clock(frame.time),
            "s": frame.strips,
            "f": frame.fronts,
            "e": frame.edges,
            "q": frame.trucks,
            "w": [*frame.doing, frame.placed, frame.supply, frame.open, frame.deck, frame.wrong],
            "x": x,
        }
        for frame, x in zip(frames, across, strict=True)
    ]
