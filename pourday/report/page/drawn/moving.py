"""The day under a slider: floor, trucks, deck and words of a moment, and the same by the hour."""

from __future__ import annotations

import math
from collections.abc import Sequence

from pourday.outcome.measure import Outcome
from pourday.report.basis import basis_of_shares, why_not_judged
from pourday.report.page.drawn.drawing import (
    deck_chart,
    floor_drawing,
    places_in_time,
    trucks_drawing,
)
from pourday.report.page.drawn.frames import Frame, as_values, frames_of, step_of
from pourday.report.page.drawn.ground import ground_of
from pourday.report.page.html import Cell, Html, embedded, table, tag
from pourday.report.page.numbers import HOUR, clock, minutes, percent
from pourday.report.units import SI, Units

ONE_DAY = "ONE day of many, not a forecast"
_KEY = (
    ("key-bare", "bare deck"),
    ("key-wet", "concrete"),
    ("key-fresh", "open edge, fresh"),
    ("key-stiff", "stiff: vibrator and care"),
    ("key-cold", "cold: too late"),
)


def moving_day(block: str, outcome: Outcome, units: Units = SI) -> Html:
    """One day of one plan with its slider; ``block`` begins every id in it."""
    ground = ground_of(outcome.basis.scenario.floor)
    frames = frames_of(outcome, ground, units)
    log = outcome.log
    judged = not why_not_judged(outcome.basis.scenario) and not any(
        math.isnan(frame.share) for frame in frames
    )
    chart = (
        tag(
            "figure",
            deck_chart(block, outcome, frames),
            tag("figcaption", f"Deck in use, of {basis_of_shares(outcome.basis.scenario)}"),
        )
        if judged
        else tag("p", why_not_judged(outcome.basis.scenario) or "The deck's share: not judged.")
    )
    across = places_in_time(frames)
    values = {"block": block, "frames": as_values(frames, across)}
    return tag(
        "div",
        tag("h3", f"{log.plan}, day {log.seed}: ", tag("strong", ONE_DAY)),
        _slider(block, outcome, frames),
        tag(
            "div",
            tag("figure", floor_drawing(block, outcome, ground, frames), _key()),
            tag("div", _words(block, outcome), _trucks(block, outcome, frames), chart),
            class_="beside",
        ),
        _by_the_hour(block, frames),
        tag("script", embedded(values), type="application/json", class_="frames"),
        class_="day",
        id=block,
        data_plan=log.plan,
    )


def _slider(block: str, outcome: Outcome, frames: Sequence[Frame]) -> Html:
    """The slider, and buttons beside it for whoever wears gloves."""
    first = _first_shown(outcome, frames)
    step = minutes(step_of(outcome))
    return tag(
        "div",
        tag("label", "Time of day ", tag("output", clock(frames[first].time), id=f"{block}-clock",
            for_=f"{block}-time"), for_=f"{block}-time"),
        tag(
            "div",
            tag("button", "earlier", type="button", id=f"{block}-less",
                aria_label=f"{step} earlier"),
            tag("input", type="range", id=f"{block}-time", min="0", max=str(len(frames) - 1),
                value=str(first), step="1"),
            tag("button", "later", type="button", id=f"{block}-more", aria_label=f"{step} later"),
            class_="slide",
        ),
        class_="hand",
    )  # fmt: skip


def _first_shown(outcome: Outcome, frames: Sequence[Frame]) -> int:
    """The frame shown at first: while the deck carries most, or the middle of the pour."""
    shares = [-1.0 if math.isnan(frame.share) else frame.share for frame in frames]
    middle = (outcome.log.start + outcome.log.end) / 2
    best = max(range(len(frames)), key=lambda n: (shares[n], -abs(frames[n].time - middle)))
    return best if shares[best] > 0 else len(frames) // 2


def _key() -> Html:
    items = [
        tag("li", tag("span", "", class_=f"swatch {name}", aria_hidden="true"), words)
        for name, words in _KEY
    ]
    front = tag("li", tag("b", "P1"), " pump and crew stand here")
    return tag("figcaption", tag("ul", *items, front, class_="key"))


def _words(block: str, outcome: Outcome) -> Html:
    """What the page's script fills in: a line for each front, then concrete to deck."""
    fronts = len(outcome.basis.plan.fronts)
    heads = ["Crew"] * fronts + ["In place", "Loads", "Edges", "Deck", "Goes wrong"]
    rows = []
    for n, head in enumerate(heads):
        row = tag("dt", head), tag("dd", "", id=f"{block}-w{n}")
        rows.append(tag("div", *row, id=f"{block}-r{n}"))
    return tag("dl", *rows, class_="now-words")


def _trucks(block: str, outcome: Outcome, frames: Sequence[Frame]) -> Html:
    return tag(
        "figure",
        trucks_drawing(block, outcome, frames),
        tag("figcaption", "Loads by number; the bar below a number is what is still on the truck"),
    )


def _by_the_hour(block: str, frames: Sequence[Frame]) -> Html:
    """The same at every whole hour, for paper and for whoever would rather read."""
    rows = []
    for n, frame in enumerate(frames):
        whole = abs(frame.time / HOUR - round(frame.time / HOUR)) < 1e-9
        if not (whole or n in (0, len(frames) - 1)):
            continue
        share = percent(frame.share)
        texts = (
            clock(frame.time), "; ".join(frame.doing), frame.placed, frame.supply, frame.open, share
        )  # fmt: skip
        rows.append([Cell(each) for each in texts])
    heads = ("time", "crew", "in place", "loads", "edges", "deck>")
    return table(f"{block}-hours", "The day hour by hour", heads, rows, sorts=False)
