"""The fronts of a plan and a day: pump, crew, bays, places, and how each spent its time."""

from __future__ import annotations

import math
from collections.abc import Sequence

from rich.console import Console

from pourday.day.front.people import break_times
from pourday.floor.access.set_ups import Change, FrontAccess
from pourday.floor.strips import Strip
from pourday.outcome.base.basis import Basis
from pourday.outcome.measure import Outcome, pump_times
from pourday.report.screen import units_of
from pourday.report.units import Units
from pourday.report.words import clock, heading, hours, percent, strip_words, table
from pourday.scenario.model.site import IN_TURN

_CHANGES_TOLD = 6
LONGEST_BOOM = 60
"""Reach (m) beyond which nobody looks for a longer boom; common practice, no source."""
_ALWAYS = {
    "placing": "concrete flows",
    "starved": "there is none on the site",
    "changing": "truck at gate, positioning, test",
    "moving": "moves between strips",
}
_OFTEN = {
    "down": "broken, blocked or washed out",
    "idle": "crew on its break",
    "rain": "rain: covered and waiting",
}
_SELDOM = {
    "setting_up": "to another place, or pipes changed",
    "held": "waits for another crew",
    "short": "too few people to place",
    "lent": "crane lifts for other trades",
}


def plan_fronts(console: Console, basis: Basis) -> None:
    """What each front of a plan has and does; nothing for one front without set-up places."""
    units = units_of(console)
    plan, layout = basis.plan, basis.layout
    many = len(plan.fronts) > 1
    if not many and not any(access.places for access in layout.access):
        return
    rows = table("front", "pump", "crew", "bays", "place", "changes>", f"{units.volume.word}>")
    for number, (front, access) in enumerate(zip(plan.fronts, layout.access, strict=True)):
        mine = [k for k, f in enumerate(layout.front_of) if f == number]
        bays = dict.fromkeys(layout.strips[k].bay for k in mine)
        used = dict.fromkeys(leg.place for legs in access.legs for leg in legs)
        places = [access.places[k].name for k in used] if access.places else ["-"]
        rows.add_row(
            str(number + 1),
            front.pump,
            front.crew,
            ", ".join(bays),
            ", ".join(places),
            str(access.set_up_moves),
            units.volume.figure(layout.volume[mine].sum(), 1),
        )
    console.print(rows, highlight=False)
    for number, access in enumerate(layout.access, start=1):
        which = f"front {number}: " if many else ""
        if any(access.pipes):
            console.print(
                f"{which}{units.length.text(access.line_length, 0)} of line at the longest, "
                f"{sum(access.pipes)} pipes changed; {min(access.share):.0%} to "
                f"{max(access.share):.0%} of the output, at the middle of the strips",
                highlight=False,
            )
        mine = [k for k, f in enumerate(layout.front_of) if f == number - 1]
        for line in _changes(access, [(layout.strips[k], k + 1) for k in mine], units):
            console.print(which + line, highlight=False)
        lifts = [lift for lift in access.lift if lift]
        if lifts:
            console.print(
                f"{which}the hook is {min(lifts) / 60:.1f} to {max(lifts) / 60:.1f} min on its way "
                "there and back, filling and emptying come on top",
                highlight=False,
            )
    kept = max(basis.scenario.site.working_zone, basis.scenario.site.crews_apart)
    if any(part.shared for parts in layout.parts for part in parts):
        console.print(
            f"crews keep {units.length.short_text(kept)} apart on one sheet run, "
            f"{units.length.short_text(basis.scenario.site.working_zone)} elsewhere: one waits "
            "where they meet",
            highlight=False,
        )


def _changes(access: FrontAccess, strips: Sequence[tuple[Strip, int]], units: Units) -> list[str]:
    """The changes of place, the strips that force them, and the boom that would need none."""
    changes, names = access.changes, [place.name for place in access.places]
    if not changes:
        return []
    told = [
        _change(change, names, *strips[change.strip], units) for change in changes[:_CHANGES_TOLD]
    ]
    more = len(changes) - len(told)
    out = [
        f"{len(changes)} change{'s' if len(changes) > 1 else ''} of place: {'; '.join(told)}"
        + (f"; and {more} more" if more else "")
    ]
    least = min(range(len(names)), key=lambda k: access.reach_for_all[k])
    reach = math.ceil(access.reach_for_all[least] - 1e-6)
    if reach <= LONGEST_BOOM:
        out.append(
            f"a boom of {units.length.text(reach)} reach at {names[least]} would need no move"
        )
    else:
        out.append(
            f"no boom up to {units.length.text(LONGEST_BOOM)} of reach (common practice, no "
            "source) does without"
        )
    return out


def _change(change: Change, names: Sequence[str], strip: Strip, number: int, units: Units) -> str:
    name = strip_words(number, strip.name)
    way = f"{names[change.before]} to {names[change.to]}"
    if change.at is not None:
        return f"{way} inside {name} at {strip.along} = {units.length.text(change.at, 1)}"
    why = f", out of reach of {names[change.before]}" if change.forced else ""
    return f"{way} before {name}{why}"


def _break_lines(outcome: Outcome) -> list[str]:
    """When the crews eat, where the table does not say it: in turn the front goes on."""
    scenario, plan, log = outcome.basis.scenario, outcome.basis.plan, outcome.log
    out = []
    for number, (front, done) in enumerate(zip(plan.fronts, log.fronts, strict=True), start=1):
        which = f"front {number}: " if len(plan.fronts) > 1 else ""
        due = [
            f"{clock(at)} to {clock(at + 3 * length)}"
            for at, length in break_times(scenario.site, front.start)
            if at < done.end
        ]
        if due and scenario.crews[front.crew].breaks_taken == IN_TURN:
            out.append(f"{which}breaks in turn, a third away at a time: {', '.join(due)}")
    return out


def pump_report(console: Console, outcome: Outcome) -> None:
    """How every front spent the time from its first to its last concrete."""
    log, plan = outcome.log, outcome.basis.plan
    many = len(log.fronts) > 1
    whose = "Pumps, first to last concrete of each" if many else "Pump, first to last concrete"
    heading(console, whose)
    times = [pump_times(log, number) for number in range(len(log.fronts))]
    whole = [max(front.end - front.start, 1.0) for front in log.fronts]
    names = [f"{n}: {front.pump}>" for n, front in enumerate(plan.fronts, start=1)]
    rows = table("", "", *(names if many else [">"]))
    for kind, meaning in (_ALWAYS | _SELDOM | _OFTEN).items():
        spent = [getattr(each, kind) for each in times]
        if any(spent) or kind not in _SELDOM:
            rows.add_row(
                {"starved": "no truck"}.get(kind, kind.replace("_", " ")),
                meaning,
                *(f"{hours(s)}   {percent(s / w)}" for s, w in zip(spent, whole, strict=True)),
            )
    if many:
        rows.add_row("from, to", "", *(f"{clock(f.start)} to {clock(f.end)}" for f in log.fronts))
    console.print(rows, highlight=False)
    for line in _break_lines(outcome):
        console.print(line, highlight=False)
    for number, front in enumerate(log.fronts, start=1):
        if front.standby:
            console.print(f"front {number}: a stand-by pump came", highlight=False)
