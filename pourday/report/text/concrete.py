"""Sections of the day report on the concrete: drying, measures, finishing windows.

The calendar's section stands in :mod:`pourday.report.text.calendar`.
"""

from __future__ import annotations

import numpy as np
from rich.console import Console

from pourday.concrete.evaporation import ACT, WATCH
from pourday.outcome.concrete.drying import Drying, MeasureEffect, StripDrying, Window
from pourday.outcome.concrete.finishing import Finishing, FinishJob
from pourday.outcome.measure import Outcome
from pourday.report.screen import units_of
from pourday.report.text.calendar import calendar_section
from pourday.report.text.cold import cold_section
from pourday.report.text.heat import heat_section
from pourday.report.words import clock, dim, heading, hours, marked, percent, strips_of, table
from pourday.study.heat import Heat

_WIDE = 116  # columns that hold every window
_WORST = 5
_AFTER_CURFEW = ", after the curfew"
_NO_WATER = (
    "Water is never added, to a load or to a surface, to win time; what to do with concrete that "
    "is late the engineer decides."
)


def concrete_report(
    console: Console, outcome: Outcome, everything: bool = False, hot: Heat | None = None
) -> None:
    """All sections of this module and the calendar, one after the other."""
    names = strips_of(outcome.basis.layout)
    cold_section(console, outcome, everything)
    drying_section(console, outcome.drying, names, everything)
    for start, end in outcome.basis.rain:
        console.print(
            f"rain: under cover from {clock(start)} to {clock(end)}; nothing dries, nobody finishes"
        )
    if hot is None:
        measures_section(console, outcome.measure_effects)
    else:
        heat_section(console, hot)
    finishing_section(console, outcome, everything)
    calendar_section(console, outcome.calendar)


def drying_section(
    console: Console, day: Drying, names: list[str], everything: bool = False
) -> None:
    """Evaporation against bleed: summary, and the worst strips (all of them if told).

    ``names`` are those of the layout's strips, in placing order.
    """
    units = units_of(console)
    heading(console, "Drying, from screed to cover")
    watch, act = (units.evaporation.figure(limit, 1) for limit in (WATCH, ACT))
    lost = units.mesh  # water, in mass for each area
    if not day.strips:
        console.print("nothing was placed: nothing dries")
        return
    word = "act" if day.peak >= ACT else "watch" if day.peak >= WATCH else "below the watch line"
    console.print(
        f"evaporation up to {units.evaporation.text(day.peak, 2)} at {clock(day.peak_time)} on "
        f"{names[day.peak_strip]}: {word} (watch at {watch}, act at {act})\n"
        f"over {watch}: {units.area.text(day.area_watch, 0)}; over {act}: "
        f"{units.area.text(day.area_act, 0)}; more "
        f"lost than bled: {units.area.text(day.area_short, 0)}; both that and over {watch}, to "
        "cover or "
        f"film: {units.area.text(day.area_cover, 0)}, of {units.area.text(day.area, 0)}",
        highlight=False,
    )
    shown = day.strips if everything else sorted(day.strips, key=_urgency)[:_WORST]
    wide = console.width >= _WIDE
    more = ("behind>", "dry", f"over {watch}", f"over {act}") if wide else ()
    rows = table(
        "strip", "screeded", "covered", "peak>", "at", "lost>", "bled>", *more, "cover or film"
    )
    for strip in shown:
        rest = (lost.figure(strip.shortfall, 2), *map(_window, (strip.dry, strip.watch, strip.act)))
        rows.add_row(
            names[strip.strip],
            clock(strip.screeded),
            clock(strip.covered),
            units.evaporation.figure(strip.peak, 2),
            clock(strip.peak_time),
            lost.figure(strip.loss, 2),
            lost.figure(strip.bleed, 2),
            *(rest if wide else ()),
            _window(strip.cover),
        )
    console.print(
        dim(
            f"peak in {units.evaporation.word} (Uno, ACI Materials Journal 95-M34, 1998); lost and "
            "bled in "
            f"{units.mesh.word} "
            "at the worst place (bleed: common practice, no source)"
        )
    )
    console.print(rows)
    if len(shown) < len(day.strips):
        console.print(dim(f"the worst {len(shown)} of {len(day.strips)} strips"))


def measures_section(console: Console, effects: tuple[MeasureEffect, ...]) -> None:
    """What each measure does in the model, beside none."""
    units = units_of(console)
    watch, act = (units.evaporation.figure(limit, 1) for limit in (WATCH, ACT))
    heading(console, "Measures against drying, each by itself")
    rows = table(
        "",
        "peak>",
        "of none>",
        "at",
        f"{units.area.word} over {watch}>",
        f"{units.area.word} over {act}>",
        f"{units.area.word} to cover>",
    )
    none = effects[0].peak
    for each in effects:
        rows.add_row(
            units.said(each.name),
            units.evaporation.figure(each.peak, 2),
            percent(each.peak / none) if none > 0 else "-",
            clock(each.peak_time),
            units.area.figure(each.area_watch),
            units.area.figure(each.area_act),
            units.area.figure(each.area_cover),
        )
    console.print(rows, highlight=False)
    console.print(
        dim(
            f"peak in {units.evaporation.word}; effects in the model (common practice, no source), "
            "not "
            "promises"
        )
    )


def finishing_section(console: Console, outcome: Outcome, everything: bool = False) -> None:
    """Windows of the strips and the passes in them; the late ones, or all of them if told."""
    units = units_of(console)
    work, scenario = outcome.finishing, outcome.basis.scenario
    names = strips_of(outcome.basis.layout)
    heading(console, "Finishing")
    if outcome.cold.area_frost > 0.0:
        console.print(
            marked(
                ("FROST:", "bold"),
                f" from {clock(outcome.cold.frost_from)} on concrete of this floor freezes; no "
                "pass and no water on what is frozen.",
            )
        )
    finishers = scenario.finishers(outcome.basis.plan)
    if not len(work.strip):
        why = (
            "nothing was placed" if np.isnan(work.covered).all()
            else "the crew has no finishers" if finishers == 0
            else "no pass of the power float is asked for"
        )  # fmt: skip
        console.print(f"{why}: no finishing to plan")
        if np.isfinite(work.leave):
            console.print(
                f"finishers leave at {clock(work.leave)}, when the bull float is through"
                + (_AFTER_CURFEW if work.past_curfew else "")
            )
        return
    _finishing_summary(console, outcome, work)
    jobs = sorted(work.jobs, key=lambda job: -job.late_area)
    late = [job for job in jobs if job.late_area > 0]
    shown = work.jobs if everything else sorted((late or jobs)[: 2 * _WORST], key=_by_start)
    rows = table(
        "strip",
        f"{outcome.basis.layout.along} {units.length.word}",
        "pass>",
        f"{units.area.word}>",
        "opens",
        "closes",
        "from",
        "to",
        f"late {units.area.word}>",
    )
    for job in shown:
        rows.add_row(
            names[job.strip],
            f"{units.length.figure(job.low, 1)}-{units.length.figure(job.high, 1)}",
            str(job.pass_no),
            units.area.figure(job.area),
            *map(clock, (job.opens, job.closes, job.start, job.end)),
            units.area.figure(job.late_area) if job.late_area > 0 else "",
        )
    console.print(rows)
    console.print(
        dim(
            "a window opens when the latest concrete of a strip leaves no more than "
            f"{units.said('6 mm')} of "
            "footprint and no bleed water stands (ASCC Position Statement 15), and closes at final "
            "set of its earliest (ASTM C403)"
        )
    )
    if len(shown) < len(work.strip):
        which = f"the {len(shown)} latest of {len(late)} late passes" if late else "the first"
        console.print(dim(f"{which}, of {len(work.strip)} passes in all"))
    if work.missed_area > 0:
        console.print(_NO_WATER, highlight=False)


def _finishing_summary(console: Console, outcome: Outcome, work: Finishing) -> None:
    units = units_of(console)
    scenario = outcome.basis.scenario
    finishers = scenario.finishers(outcome.basis.plan)
    rows = table("", "")
    rows.add_row("bull float through", clock(float(np.nanmax(work.bull_floated))))
    rows.add_row(
        "power float",
        f"{clock(float(work.start.min()))} to {clock(work.end)}, {scenario.finishing.passes} "
        f"passes by {finishers} finishers",
    )
    come = min(mine.bull_float_from for mine in outcome.hours)
    rest = min(mine.finishers_from for mine in outcome.hours)
    more = f", the others come at {clock(rest)}" if finishers > len(outcome.hours) else ""
    rows.add_row(
        "people", f"at the bull float from {clock(come)}{more}, all leave {clock(work.end)}"
    )
    worked = float(np.sum(work.work_end - work.start))
    rows.add_row("at work", f"{hours(worked)} of {hours(work.end - float(work.start.min()))}")
    if work.missed_area > 0:
        placed = float(work.area[work.pass_no == 1].sum())
        rows.add_row(
            marked(("LATE", "bold")),
            f"{units.area.figure(work.missed_area, 0)} of {units.area.text(placed, 0)} floated "
            "after the window has closed",
        )
    if scenario.finishing.shift_end is not None:
        over = "ends within it"
        if work.overtime > 0:
            over = f"{hours(work.overtime)} beyond it (overtime is paid by prices.shift_h)"
        rows.add_row(f"shift to {clock(scenario.finishing.shift_end)}", over)
    if work.past_curfew:
        curfew = clock(scenario.site.curfew or 0.0)
        what = marked(("PAST THE CURFEW", "bold"))
        rows.add_row(what, f"of {curfew}: finishing goes on after it")
    console.print(rows, highlight=False)


def _urgency(strip: StripDrying) -> tuple[bool, float, float]:
    """Strips to cover first, then by peak, then by how far they fall behind."""
    return strip.cover is None, -strip.peak, -strip.shortfall


def _by_start(job: FinishJob) -> float:
    return job.start


def _window(window: Window | None) -> str:
    return "-" if window is None else f"{clock(window[0])}-{clock(window[1])}"
