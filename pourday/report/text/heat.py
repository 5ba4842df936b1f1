"""What to do about a hot day, in the order in which a technologist says it."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console

from pourday.concrete.mix_temperature import MOST_COOLING, MOST_ICE
from pourday.report.screen import units_of
from pourday.report.units import Units
from pourday.report.words import clock, dim, heading, hours, percent, runs_of_hours, table
from pourday.study.heat import Heat, HeatMeasure


def heat_section(console: Console, found: Heat) -> None:
    """The measures in order, what each does to this day, and what it takes."""
    units = units_of(console)
    heading(console, "The heat: what to do about it, in this order, each by itself")
    console.print(
        f"air up to {units.temperature.text(found.air, 0)} and wind up to "
        f"{units.speed.text(found.wind * 3.6, 0)} from the first "
        "load to the last cover",
        highlight=False,
    )
    rows = table(
        "",
        "peak>",
        f"{units.area.word} to cover>",
        f"late {units.area.word}>",
        f"stiff {units.length.word}>",
        f"cold {units.length.word}>",
    )
    for number, each in enumerate(found.measures):
        name = each.kind if number == 0 else _name(each, units)
        rows.add_row(name, *_figures(each, units))
    console.print(rows, highlight=False)
    for line in _lines(found, units):
        console.print(line, highlight=False)
    console.print(
        dim(
            f"peak evaporation in {units.evaporation.word} from screed to cover; late: floated "
            "after the window has "
            "closed; the same day measured again with just that in it: effects in the model "
            "(common practice, no source), not promises. Sun on deck and aggregate is not in it."
        )
    )


def _figures(each: HeatMeasure, units: Units) -> Sequence[str]:
    if each.refused is not None:
        return "-", "-", "-", "-", "-"
    return (
        units.evaporation.figure(each.peak, 2),
        *(units.area.figure(value) for value in (each.cover, each.late)),
        *(units.length.figure(value) for value in (each.stiff, each.cold)),
    )


def _name(each: HeatMeasure, units: Units) -> str:
    return {
        "start": f"start at {clock(each.amount)}",
        "retarder": f"retarder, {hours(each.amount)} more",
        "cooler": f"concrete {units.warmer.short_text(each.amount)} cooler",
        "windbreak": "windbreak: half the wind",
        "film": "film: half the evaporation",
        "fog": "fog: 90 % in still air",
    }[each.kind]


def _lines(found: Heat, units: Units) -> Sequence[str]:
    """What each measure takes, or why it cannot be had."""
    by = {each.kind: each for each in found.measures}
    said = []
    if found.works:
        said.append(
            f"start: {runs_of_hours(found.works)} work on this day (finished, no cold joint, under "
            f"{units.evaporation.figure(1.0, 1)} while plastic); `pourday starts` tries many days"
        )
    else:
        said.append("start: no hour from 16:00 to 07:00 works on this day by itself")
    said.append("retarder: dosed at the plant, never on the floor; try the mix before the day")
    if by["cooler"].refused is not None:
        said.append(f"cooler concrete: refused: {units.said(by['cooler'].refused)}")
    else:
        said.append(
            f"cooler concrete: {units.content.text(found.ice, 0)} of ice, "
            f"{percent(found.ice / found.water)} of "
            f"the batch water, {units.mass.text(found.ice_all / 1e3, 1)} in all (heat balance, ACI "
            "305R-99, "
            f"value from memory; at most {MOST_ICE:.0%} and "
            f"{units.warmer.short_text(MOST_COOLING)})"
        )
    said.append("windbreak: before the first load; what it does to edge beams, ask the engineer")
    said.append("film: sprayed at once and after each pass; it is no finishing aid and no curing")
    windy = found.wind * 3.6
    said.append(
        "fog: in still air only, as a mist, no water on the slab; wind carries it off, all of it "
        f"from {units.speed.text(15)} on, and there are {units.speed.figure(windy)} (common "
        "practice, no source)"
    )
    return said
