"""What went wrong on a day, what each upset did, and what helps in a long stop."""

from __future__ import annotations

import math
from collections.abc import Sequence

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from pourday.day.log import IDLE
from pourday.outcome.base.basis import Basis
from pourday.outcome.edges.end_places import StopEnd
from pourday.outcome.edges.stop_end import UNFINISHED, StopAdvice
from pourday.outcome.measure import Outcome
from pourday.report.screen import units_of
from pourday.report.units import SI, Units
from pourday.report.words import (
    ALL_UPSETS,
    clock,
    dim,
    heading,
    minutes,
    money,
    percent,
    strips_of,
    table,
)
from pourday.scenario.base.upsets import (
    PLANT_STOPPED,
    ROAD_CLOSED,
    Upset,
    check_upset,
    upset_text,
)
from pourday.scenario.model.scenario import Plan, Scenario
from pourday.study.effects import Effect

_A_MINUTE = 60.0
_NAMED = 3  # edge pairs called by name
_RULE = (
    "Stop ends: 600 mm from the beam centre line at a sheet joint (common practice, no source); "
    "times at the pace of the last hour before the stop (of all before it where that hour had no "
    "concrete). The engineer decides."
)


def upsets_report(
    console: Console,
    outcome: Outcome,
    effects: Sequence[Effect],
    advice: Sequence[StopAdvice],
) -> None:
    """Print both sections; a section with nothing to say is left out.

    A break that every open edge outlasts is part of the plan and is left out too.
    """
    units = units_of(console)
    if effects:
        _effects(console, outcome, effects)
    shown = [each for each in advice if each.kinds != (IDLE,) or each.outlasted]
    if shown:
        heading(console, "What helps in a long stop")
        for each in shown:
            first, *rest = advice_lines(outcome, each, units)
            console.print(Text(first))
            for line in rest:
                console.print(Padding(Text(line), (0, 0, 0, 2), expand=False))
        console.print(Text(units.said(_RULE), style="dim"))


def _effects(console: Console, outcome: Outcome, effects: Sequence[Effect]) -> None:
    units = units_of(console)
    heading(console, "What went wrong")
    console.print(
        dim(
            "each against the same day without it; a drawn upset is marked *\n"
            "later: last concrete, min; no truck: pump without a truck, min; stiff, cold:\n"
            "edge pairs and stopped fronts; too old: loads over age or slump, whole or in part"
        )
    )
    # Without the only upset and without all of them are the same day: one row is enough.
    listed = effects[:1] if len(effects) == 2 else effects
    if len(listed) > 1:
        console.print(dim("they need not add up: one may hide behind another"))
    currency = outcome.basis.scenario.prices.currency
    rows = table("", "later>", "no truck>", "stiff>", "cold>", "too old>", f"{currency}>")
    for effect in listed:
        if not effect.compares:
            rows.add_row(f"{_name(effect)}\n  {_not_placed(effect, units)}", *["-"] * 6)
            continue
        rows.add_row(
            _name(effect),
            _minutes_more(effect.lost),
            _minutes_more(effect.starved_more),
            _more(effect.stiff_more),
            _more(effect.cold_more),
            _more(effect.over_age_more),
            _money_more(effect.cost_more),
        )
    console.print(rows, highlight=False)
    left_out = len(outcome.log.upsets_met) - sum(effect.upset is not None for effect in effects)
    if left_out > 0:
        console.print(f"{left_out} more were not taken out one by one", highlight=False)
    for effect in listed:
        for line in _details(effect, units):
            console.print(Text(line))
    if not all(effect.compares for effect in listed):
        console.print(
            "where not the same is placed, neither times nor cold edges nor money compare",
            highlight=False,
        )
    _both_days(console, effects[-1], currency)


def _both_days(console: Console, every: Effect, currency: str) -> None:
    """The day beside the same day without any upset, as they are; with what each left out."""
    units = units_of(console)
    days = ("the day", every.day), ("without any upset", every.without)
    missing = any(day.unfinished > 0.0 for _, day in days)
    rows = table(
        "", "last concrete", *([f"not placed, {units.volume.word}>"] if missing else []),
        "stiff>", "cold>",
        "oldest edge, of its time>", f"{currency}>",
    )  # fmt: skip
    for name, day in days:
        left = [units.volume.figure(day.unfinished, 1)] if missing else []
        states = str(day.stiff + day.stiff_fronts), str(day.cold + day.cold_fronts)
        rows.add_row(name, clock(day.end), *left, *states, percent(day.ratio), money(day.cost))
    console.print(rows, highlight=False)


def _details(effect: Effect, units: Units) -> list[str]:
    """What a table cannot hold: which edges, and concrete not placed."""
    name, day, without = _name(effect), effect.day, effect.without
    out = []
    if effect.gone_cold:
        out.append(f"{name}: cold by it {_pairs(effect.gone_cold)}")
    # An edge that was never poured is not saved.
    if effect.saved and effect.compares:
        out.append(f"{name}: cold only without it {_pairs(effect.saved)}")
    if effect.compares and (effect.cost_more < -0.5 or effect.lost < -_A_MINUTE):
        out.append(f"{name}: {_why_a_gain(effect, units)}")
    if not effect.compares:
        out.append(
            f"{name}: {units.volume.text(day.unfinished, 1)} not placed, "
            f"{units.volume.text(without.unfinished, 1)} without it"
        )
    return out


def _why_a_gain(effect: Effect, units: Units) -> str:
    """Why an upset reads as a gain on this day; on the mean of many days it is none."""
    day, without = effect.day, effect.without
    fewer = without.loads - day.loads
    less = without.ordered - day.ordered
    cause = "the rest of the day met other loads"
    if fewer > 0:
        loads, what = f"{fewer} load{'s' if fewer > 1 else ''} fewer", units.volume.text(less, 1)
        cause = f"{loads}, {what}, were called after it"
    elif less > 0.05:
        cause = f"{units.volume.text(less, 1)} less was called after it"
    elif day.over_age < without.over_age:
        cause = "loads that stood too long without it were held back"
    return f"reads as a gain on this day ({cause}): one day of many, compare plays the mean"


def _not_placed(effect: Effect, units: Units) -> str:
    more = "more" if effect.unfinished_more > 0 else "less"
    return f"NOT PLACED {units.volume.text(abs(effect.unfinished_more), 1)} {more}"


def advice_lines(outcome: Outcome, advice: StopAdvice, units: Units = SI) -> list[str]:
    """A long stop in plain words: where, until when the edge lasts, where to end the pour."""
    names = strips_of(outcome.basis.layout)
    front = f"Front {advice.front + 1}" if len(outcome.log.fronts) > 1 else "The front"
    said = {"starved": "no truck"}
    kinds = ", ".join(
        said.get(kind, kind.replace("_", " ")) for kind in advice.kinds if kind != UNFINISHED
    )
    why = f" ({kinds})" if kinds else ""
    if math.isfinite(advice.until):
        stood = f"stood {clock(advice.begin)} to {clock(advice.until)}{why}"
    else:
        stood = f"stopped at {clock(advice.begin)}{why} and never went on,"
    at = units.length.text
    in_band = advice.x[0] == advice.x[1]
    place = f"x = {at(advice.x[0], 1)}" if in_band else f"y = {at(advice.y, 1)}"
    out = [f"{front} {stood} in strip {names[advice.strip]} at {place}."]
    out.append(_lost(names, advice))
    if not advice.ends:
        out.append("Emergency stop end: no place by the rule here; ask the engineer.")
    for turn, end in enumerate(advice.ends):
        head = "Emergency stop end" if end.places else "No stop end"
        if turn:
            head = "Or" if end.places else "Or no stop end"
        out.append(f"{head}: {_end(advice, end, units)}")
    if advice.sides:
        places = " and ".join(f"y = {units.length.text(y, 1)}" for y in advice.sides)
        out.append(
            f"Along the primary beam at {places} concrete ends in the open too: the rule has "
            "no place there; ask the engineer."
        )
    return out


def _lost(names: list[str], advice: StopAdvice) -> str:
    before = ""
    if advice.lost_before:
        noun = "edge was" if advice.lost_before == 1 else "edges were"
        before = f" {advice.lost_before} {noun} lost before the stop began."
    if not math.isfinite(advice.lost):
        return f"No edge that could still be saved was open.{before}"
    which = "The stopped front itself"
    if advice.newer >= 0:
        which = f"The open edge {names[advice.older]} - {names[advice.newer]}"
    spare = f"the stop ended {minutes(advice.lost - advice.until)} min sooner"
    stiff = f"stiff from {clock(advice.stiff)}" if advice.stiff > advice.begin else "stiff already"
    return (
        f"{which} is {stiff} and lost at {clock(advice.lost)}, {minutes(advice.left)} min after "
        f"the stop began; {'THE STOP OUTLASTED IT' if advice.outlasted else spare}. "
        f"{_what_became_of_it(advice)}{before}"
    )


def _what_became_of_it(advice: StopAdvice) -> str:
    """What the day did with the edge that is lost first, so that no stop reads better than it was.

    The time is that where the edge was oldest, which may have been covered before the stop began.
    """
    if not math.isfinite(advice.ratio):
        return "The front never went on." if advice.newer < 0 else "It was never covered."
    came = ", in time"
    if advice.cold or advice.was_stiff:
        came = ", too late: COLD" if advice.cold else ", in time but stiff"
    before = advice.covered <= advice.begin + 1.0  # or just where the front stood
    at = "" if before else f" at {clock(advice.covered)}"
    if advice.newer < 0:
        return f"The front went on{at}{came}."
    if not advice.whole:
        when = " before the stop" if before else at
        return f"Part of it was covered{when}{came}; the rest never."
    if before and advice.cold:
        return f"What was covered before the stop, by {clock(advice.covered)}, came too late: COLD."
    return f"It was covered{at}{came}."


def _end(advice: StopAdvice, end: StopEnd, units: Units) -> str:
    places = " and ".join(
        f"x = {units.length.text(place.x, 2)} "
        f"({units.depth.text(abs(place.x - place.joint) * 1e3, 0)} beyond the sheet joint at "
        f"{units.length.text(place.joint, 2)})"
        for place in end.places
    )
    if places:
        place, what = (
            f"{places}, y {units.length.figure(end.low, 1)} to {units.length.text(end.high, 1)}",
            "everything up to it",
        )
    else:
        what = "it"
        along = f"y {units.length.figure(end.low, 1)} to {units.length.text(end.high, 1)}"
        place = f"pour {along} on to the end of the floor"
    if end.needed < 0.05:
        more = f"{what} is full"
    else:
        more = f"{units.volume.text(end.needed, 1)} more fill {what}, about {minutes(end.time)} min"
        if end.time > advice.left:
            more += ", longer than the edge lasts"
        elif math.isfinite(end.latest):
            more += f": start by {clock(end.latest)} to have all of it in before the edge is lost"
    out = (
        f"; {units.volume.text(end.removed, 1)} beyond it must come out while fresh"
        if end.removed >= 0.05
        else ""
    )
    return f"{place}: {more}{out}."


def _name(effect: Effect) -> str:
    if effect.upset is None:
        return ALL_UPSETS
    return upset_text(effect.upset) + (" *" if effect.upset.drawn else "")


def _pairs(pairs: Sequence[tuple[str, str]]) -> str:
    # An opening cuts the side of two strips into several pairs of one name.
    names = list(dict.fromkeys(f"{first} - {second}" for first, second in pairs))
    shown, rest = ", ".join(names[:_NAMED]), len(names) - _NAMED
    return f"{shown} and {rest} more" if rest > 0 else shown


def _minutes_more(seconds: float) -> str:
    return _more(round(seconds / 60.0))


def _more(count: int) -> str:
    return f"{count:+d}" if count else "0"


def _money_more(amount: float) -> str:
    return ("+" if amount >= 0.5 else "") + money(amount) if abs(amount) >= 0.5 else "0"


def not_hit(scenario: Scenario, plans: Sequence[Basis]) -> list[str]:
    """A line for every plan that something going wrong cannot touch, and why."""
    out = []
    for upset in scenario.upsets:
        by = f" by {upset_text(upset)}" if len(scenario.upsets) > 1 else ""
        for plan in (basis.plan for basis in plans):
            why = _why_not(scenario, plan, upset)
            if why:
                out.append(f"  not hit{by}: {plan.name!r} ({why})")
    return out


def _why_not(scenario: Scenario, plan: Plan, upset: Upset) -> str:
    every = [plant.name for plant in scenario.supply.plants]
    called = {name for front in plan.fronts for name in front.plants or every}
    if upset.kind in (PLANT_STOPPED, ROAD_CLOSED) and upset.who in set(every) - called:
        return f"it calls nothing from {upset.who}"
    means = scenario.means(plan)
    found = check_upset(upset, every, means) or ""
    return found.split("; did you mean")[0]
