"""The questions, in the order they are asked, and what is proposed where the user only says Enter.

Proposals come from the presets and from the answers before; none of them is a resistance.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import accumulate
from typing import Any

from pourday.scenario.begin import answers as read
from pourday.scenario.begin.answers import Answers
from pourday.scenario.presets import preset_names, weather_sample, weather_samples

Known = Mapping[str, Any]
"""Values of the questions before, by name."""
UNPROPPED = 3.6
"""Span, m, up to which a deck is mostly laid without props (common practice, no source)."""
HIGH = 30.0
"""Height, m, above which a crane is proposed in place of a boom (common practice, no source)."""
CREW_OF = {"truck_boom": "crew_medium", "line_pump": "crew_small", "crane_and_skip": "crew_small"}
"""The crew that goes with a pump: the notes of the presets."""
ROUND_PRICES = "140 40 1.5"
"""Round figures in any currency, no source, as the prices of the presets are."""
_RATE = {"truck_boom": 25.0, "line_pump": 15.0, "crane_and_skip": 9.0}
_BOOM_FROM = 100.0  # m³
_ON_SITE = 35.0
_AHEAD = timedelta(days=14)


@dataclass(frozen=True)
class Question:
    """One question: its name (that of the option), the words, what is proposed, how it is read.

    ``asked`` is whether it is put in a terminal; the others take their proposal unless an option
    says otherwise. ``keys`` begin the paths of the file's faults that another answer would mend.
    """

    name: str
    words: str
    propose: Callable[[Known], str]
    read: Callable[[str, Known], Any]
    keys: tuple[str, ...] = ()
    asked: bool = True


def questions(stem: str, today: date) -> tuple[Question, ...]:
    """All questions; ``stem`` names the floor and ``today`` the day, unless told."""
    return (*_of_the_floor(stem, today), *_of_the_pour())


def _of_the_floor(stem: str, today: date) -> tuple[Question, ...]:
    def _length(known: Known) -> float:
        spans: tuple[float, ...] = known["spans"]
        return list(accumulate(spans))[-1]  # as the file adds them up

    return (
        Question("title", "Name of the floor", lambda _: stem.replace("_", " ")[:80] or "Floor",
                 lambda text, _: read.title(text), ("title",), asked=False),
        Question("date", "Day of the pour", lambda _: (today + _AHEAD).isoformat(),
                 lambda text, _: read.day(text), ("date",), asked=False),
        Question("spans", "Spans of the deck along the sheets, m (6x3 is six of 3 m)",
                 lambda _: "6x3", lambda text, _: read.spans(text),
                 ("floor.spans", "floor.supports", "floor")),
        Question("sheets", "Spans under each length of sheet", _sheets,
                 lambda text, known: read.sheets(text, known["spans"]), ("floor.sheet_runs",)),
        Question("width", "Width of the floor across the sheets, m", lambda _: "20",
                 lambda text, _: read.within(read.numbers(text, 1, "one number")[0],
                                             read.LEAST_WIDTH, read.MOST_WIDTH, "The width in m"),
                 ("floor.length_y",)),
        Question("holes", "Holes, x from-to by y from-to in m, or none", lambda _: read.NONE,
                 lambda text, known: read.holes(text, _length(known), known["width"]),
                 ("floor.openings",)),
        Question("slab", "Slab: depth over the whole profile, mm, and what ribs take away, m³/m²",
                 lambda _: "130 0.028", lambda text, _: read.slab(text),
                 ("slab", "deck.void_volume")),
        Question("props", "Lines of props in each span", _props,
                 lambda text, _: read.whole(text, 0, 5, "The number of prop lines"), ("props",)),
        Question("stiffness", "Stiffness EI of the deck, kNm² per m (the supplier's table)",
                 lambda known: f"{proposed_stiffness(known):g}",
                 lambda text, _: read.within(read.numbers(text, 1, "one number")[0],
                                             1.1, 5000, "EI in kNm² per m"), ("deck",)),
    )  # fmt: skip


def _of_the_pour() -> tuple[Question, ...]:
    def _named(kind: str, what: str) -> Callable[[str, Known], str]:
        return lambda text, _: read.one_of(text, preset_names(kind), what)

    return (
        Question("mix", f"Mix ({', '.join(preset_names('mixes'))})", lambda _: "ordinary_c30",
                 _named("mixes", "mix"), ("mix", "batch")),
        Question("weather", f"Weather ({', '.join(weather_samples())})", lambda _: "mild",
                 lambda text, _: read.one_of(text, weather_samples(), "sample day"), ("weather",)),
        Question("height", "Height of the floor above the street, m", lambda _: "4",
                 lambda text, _: read.within(read.numbers(text, 1, "one number")[0],
                                             -20, 500, "The height in m"), ("site.floor_height",)),
        Question("pump", f"Pump ({', '.join(preset_names('pumps'))})", _pump,
                 _named("pumps", "pump"), ("pumps",)),
        Question("crew", f"Crew ({', '.join(preset_names('crews'))})",
                 lambda known: CREW_OF[known["pump"]], _named("crews", "crew"), ("crews",)),
        Question("trucks", "Trucks: how many, m³ in each, minutes on the road", _trucks,
                 lambda text, _: read.trucks(text), ("supply",)),
        Question("start", "First truck wanted at", lambda _: "07:00",
                 lambda text, _: read.clock(text), ("plan", "site")),
        Question("curfew", "Everybody gone by (or none)", lambda _: read.NONE,
                 lambda text, known: read.later(text, known["start"]), ("site.curfew",),
                 asked=False),
        Question("prices", "Prices: m³ of concrete, hour of one person, minute of a waiting truck",
                 lambda _: ROUND_PRICES, lambda text, _: read.prices(text), ("prices",),
                 asked=False),
        Question("currency", "Currency", lambda _: "EUR", lambda text, _: read.currency(text),
                 ("prices.currency",), asked=False),
    )  # fmt: skip


def answers_from(values: Known) -> Answers:
    """The answers, from a value for every question; the weather's rows are those of its sample."""
    rows = values.get("hours") or weather_sample(values["weather"])
    return Answers(**{**values, "hours": tuple(rows)})


def volume(known: Known) -> float:
    """About how much concrete the floor takes, m³: no hole, no sag."""
    depth, ribs = known["slab"]
    spans: tuple[float, ...] = known["spans"]
    thickness: float = depth / 1000 - ribs
    width: float = known["width"]
    return sum(spans) * width * thickness


def proposed_stiffness(known: Known) -> float:
    """EI (kN m² per m) with which one span stays within span/180 under the wet slab.

    5 w L⁴ / (384 EI) = L/180, EN 1994-1-1:2004 9.6(2) (value from memory), concrete at 25 kN/m³, L
    between props. A proposal that runs, not a property of any deck.
    """
    depth, ribs = known["slab"]
    load = 25.0 * (depth / 1000 - ribs) + 0.12
    fields = [
        span / (known["props"] + 1) if read.prop_lines([span], known["props"]) else span
        for span in known["spans"]
    ]
    needed: float = 180.0 * 5.0 * load * max(fields) ** 3 / 384.0
    return min(5000.0, max(50.0, math.ceil(needed / 10.0) * 10.0))


def _sheets(known: Known) -> str:
    """Two spans under a length, the last of three where they are odd."""
    pairs, odd = divmod(len(known["spans"]), 2)
    runs = [2] * pairs
    if odd and runs:
        runs[-1] = 3
    return " ".join(map(str, runs or [1]))


def _props(known: Known) -> str:
    return str(max(0, math.ceil(max(known["spans"]) / UNPROPPED - 1e-9) - 1))


def _pump(known: Known) -> str:
    if known["height"] > HIGH:
        return "crane_and_skip"
    return "truck_boom" if volume(known) > _BOOM_FROM else "line_pump"


def _trucks(known: Known) -> str:
    """As many trucks as go round in the time that the pump takes for their loads."""
    load, travel = 6.0, 20.0
    spacing = load / _RATE[known["pump"]] * 60.0
    return f"{math.ceil((2 * travel + _ON_SITE) / spacing) + 1} {load:g} {travel:g}"
