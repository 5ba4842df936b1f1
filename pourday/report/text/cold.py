"""Cold and frost in the day report: the section, the shout at its head, the look-out, the loads."""

from __future__ import annotations

import math

import numpy as np
from rich.console import Console
from rich.text import Text

from pourday.concrete.frost import COLD, FROST, RESISTS_FROM, time_to_resist
from pourday.outcome.concrete.cold import DAYS, Cold, ColdEffect, StripCold
from pourday.outcome.measure import Outcome
from pourday.report.screen import units_of
from pourday.report.units import SI, Units
from pourday.report.words import clock, cold_words, dim, heading, marked, strips_of, table
from pourday.scenario.model.scenario import Mix

_WORST = 5
_MATTERS = (
    "keep the face of the deck at 5 °C until the concrete has 5 MPa (Concrete Society; value from "
    "memory): enclosure with heat below, mats after the last pass, warmer concrete, a "
    "chloride-free accelerator; never cooler concrete"
)
_ICE = "do: deck free of ice and above 0 °C before the first load; no concrete on frozen steel"


def cold_head(outcome: Outcome, units: Units = SI) -> tuple[tuple[Text, str], ...]:
    """Rows for the head of the day report; none on days on which nothing gets cold."""
    day, rows = outcome.cold, []
    if day.level:
        word, said = cold_words(day, units).split(": ", 1)
        rows.append((marked((word, "bold")), said.removesuffix(".")))
    if day.icy:
        rows.append((marked(("ICE", "bold")), f"{_deck(day, units)}: no concrete on frozen steel"))
    return tuple(rows)


def cold_section(console: Console, outcome: Outcome, everything: bool = False) -> None:
    """The colder face of the strips until they can stand frost, and what each measure does."""
    units = units_of(console)
    day = outcome.cold
    if not day.area:
        return
    heading(console, "Cold and frost, until the concrete can stand frost")
    if day.icy:
        console.print(marked(("ICE:", "bold"), f" {_deck(day, units)}"))
    if not day.strips:
        console.print(
            f"no face of fresh concrete falls below {units.temperature.short_text(COLD)}",
            highlight=False,
        )
        return
    names = strips_of(outcome.basis.layout)
    console.print(
        marked(
            (f"{day.level}:", "bold"),
            f" below {units.temperature.short_text(FROST)} {units.area.text(day.area_frost, 0)}, "
            f"below {units.temperature.short_text(COLD)} "
            f"{units.area.text(day.area_cold, 0)}, of {units.area.text(day.area, 0)}; down to "
            f"{units.temperature.text(day.lowest, 1)} at "
            f"{clock(day.lowest_time)} on {names[day.lowest_strip]}",
        )
    )
    console.print(_resistance(outcome.basis.scenario.mix, day, units), highlight=False)
    shown = day.strips if everything else sorted(day.strips, key=_urgency)[:_WORST]
    rows = table(
        "strip",
        f"below {units.temperature.short(COLD)}",
        f"below {units.temperature.short(FROST)}",
        "lowest>",
        "at",
        "stands it",
        f"{units.area.word} frozen>",
    )
    for each in shown:
        rows.add_row(
            names[each.strip],
            *map(clock, (each.cold_from, each.frost_from)),
            f"{units.temperature.text(each.lowest, 1)}",
            clock(each.lowest_time),
            _stands(each.resists, each.area_frost),
            units.area.figure(each.area_frost) if each.area_frost > 0 else "",
        )
    console.print(rows, highlight=False)
    if len(shown) < len(day.strips):
        console.print(dim(f"the coldest {len(shown)} of {len(day.strips)} strips"))
    _effects(console, outcome.cold_effects)


def cold_look_out(console: Console, outcome: Outcome) -> None:
    """What to look at because of cold: the deck before the pour, the first strips to freeze."""
    units = units_of(console)
    day, names = outcome.cold, strips_of(outcome.basis.layout)
    if day.icy:
        console.print(
            marked(("ICE", "bold"), f" before {clock(outcome.log.start)}: {_deck(day, units)}")
        )
        console.print(units.said(_ICE), highlight=False)
    if not day.strips:
        return
    freezing = [each for each in day.strips if not math.isnan(each.frost_from)]
    for word, level, found in (("FROST", FROST, freezing), ("COLD", COLD, list(day.strips))):
        if found:
            first = min(
                found, key=lambda each: each.frost_from if level == FROST else each.cold_from
            )
            when = first.frost_from if level == FROST else first.cold_from
            console.print(
                marked(
                    (word, "bold"),
                    f" from {clock(when)}: {names[first.strip]} first, then {len(found) - 1} more "
                    f"strips below {units.temperature.short_text(level)}; thermometer on the "
                    "slab's top and under the deck",
                )
            )
    console.print(f"do: {units.said(_MATTERS)}", highlight=False)


def delivered_words(outcome: Outcome, units: Units = SI) -> Text:
    """How warm the loads were at discharge, by which rule, and how many lay outside it."""
    loads, rule = outcome.delivered, outcome.basis.scenario.mix.delivery
    degrees = units.temperature.short
    if not loads:
        return Text("no load was discharged")
    warm = [load.temperature for load in loads]
    least = min((load.least for load in loads if load.least is not None), default=None)
    most = next((load.most for load in loads if load.most is not None), None)
    asked = " and ".join(
        [f"at least {degrees(least)}" for least in [least] if least is not None]
        + [f"at most {degrees(most)}" for most in [most] if most is not None]
    )
    if rule.cold_air is not None and rule.least_in_cold is not None:
        asked += f" ({degrees(rule.least_in_cold)} in air below {degrees(rule.cold_air)})"
    out = [load for load in loads if load.outside]
    said = (
        f"temperature at discharge {units.temperature.figure(min(warm), 0)} to "
        f"{units.temperature.text(max(warm), 0)}; {asked or 'no limit'} {units.temperature.word} "
        f"({rule.name}): "
    )
    if not out:
        return Text(f"{said}none outside.")
    first = out[0]
    plural = "load is" if len(out) == 1 else "loads are"
    return marked(
        said,
        (f"{len(out)} {plural} outside", "bold"),
        f", the first no. {first.truck + 1} with {units.temperature.text(first.temperature, 0)} in "
        "air of "
        f"{units.temperature.text(first.air, 0)}.",
    )


def _deck(day: Cold, units: Units) -> str:
    return (
        f"the bare deck is at {units.temperature.text(day.deck, 1)} before the first load, "
        f"{units.temperature.text(day.deck_lowest, 1)} at "
        "the lowest in the 12 hours before"
    )


def _resistance(mix: Mix, day: Cold, units: Units) -> str:
    days = time_to_resist(
        np.array([5.0, 12.0, 20.0]), mix.cement_strength, mix.water_cement_ratio
    ) / 86400.0  # fmt: skip
    last = "" if day.area_frost > 0 else f"; the last of it {_stands(day.resists, 0.0)}"
    return (
        f"it stands frost from {units.strength.short_text(RESISTS_FROM / 1e6)} on (DIN 1045-3; EN "
        "13670, value "
        f"from memory; ACI 306R takes 3.5, value from memory): with {mix.cement_strength} and w/c "
        f"{mix.water_cement_ratio:g} after "
        f"{days[0]:.2g} days at {units.temperature.short_text(5)}, {days[1]:.2g} at "
        f"{units.temperature.short(12)}, {days[2]:.2g} at {units.temperature.short(20)} "
        f"(betontechnische-daten.de, 10.4){last}; later days are taken to be like this one"
    )


def _effects(console: Console, effects: tuple[ColdEffect, ...]) -> None:
    units = units_of(console)
    heading(console, "Measures against frost, each by itself")
    rows = table(
        "",
        "lowest>",
        f"{units.area.word} below {units.temperature.short(FROST)}>",
        f"{units.area.word} below {units.temperature.short(COLD)}>",
        "stands frost",
    )
    for each in effects:
        never = math.isnan(each.lowest)
        rows.add_row(
            units.said(each.name),
            f"above {units.temperature.short_text(COLD)}"
            if never
            else f"{units.temperature.text(each.lowest, 1)}",
            units.area.figure(each.area_frost),
            units.area.figure(each.area_cold),
            "-" if never else _stands(each.resists, each.area_frost),
        )
    console.print(rows, highlight=False)
    enough = next((each for each in effects if each.area_frost == 0.0), None)
    if effects[0].area_frost > 0.0:
        console.print(
            Text("none of these keeps frost out: pour on another day", style="bold")
            if enough is None
            else f"in the model {units.said(enough.name)!r} keeps frost out",
            highlight=False,
        )
    console.print(
        dim(
            "effects in the model (common practice, no source), not promises; cooler concrete is "
            "none of them. What has frozen young is lost: the engineer decides about it"
        )
    )


def _stands(time: float, frozen: float) -> str:
    """When it stands frost, unless some of it (m²) has frozen before."""
    if frozen > 0:
        return "frozen"
    return clock(time) if math.isfinite(time) else f"not in {DAYS} days"


def _urgency(strip: StripCold) -> tuple[float, float]:
    """Those that freeze first, then the coldest."""
    return (math.inf if math.isnan(strip.frost_from) else strip.frost_from, strip.lowest)
