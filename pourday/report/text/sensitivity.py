"""What moves the result, in words: sources of chance by their share, swings of inputs."""

from __future__ import annotations

import math
from collections.abc import Sequence

from rich.console import Console

from pourday.report.moves import LABELS, LITTLE, listed
from pourday.report.screen import units_of
from pourday.report.words import clock, dim, heading, money, percent, table
from pourday.study.sensitivity import FIGURES, LOW_HIGH, Sensitivity
from pourday.study.statistics import Interval


def sensitivity_report(console: Console, found: Sequence[Sensitivity]) -> None:
    """Print what moves each plan's figures, and how far inputs swing their means."""
    for each in found:
        heading(console, f"What moves the result: plan {each.plan!r}, {each.days} days")
        told = [name for name in FIGURES if each.tells(name)]
        if not told:
            console.print("nothing that could be told apart: no figure varies enough in these days")
        else:
            _sources(console, each, told)
        for name in FIGURES:
            if name not in told:
                console.print(f"{LABELS[name]}: {why_not_told(each, name)}", highlight=False)
        if each.swings:
            _swings(console, each)


def why_not_told(found: Sensitivity, figure: str) -> str:
    """Why nothing is said of what moves a figure."""
    days = found.not_zero[figure]
    if not days:
        return "none on any of these days"
    if days < found.days:
        return f"on {days} of {found.days} days: too few to say what brings them"
    return "too few days to say, or the same on all of them"


def _sources(console: Console, found: Sensitivity, told: Sequence[str]) -> None:
    much, little = listed(found)
    rows = table("drawn anew, all else kept", *(f"{LABELS[name]}>" for name in told))
    for each in much:
        rows.add_row(each.name, *(_share(each.index[name]) for name in told))
    console.print(rows)
    if little:
        names = ", ".join(each.name for each in little)
        console.print(dim(f"no more than {percent(LITTLE)} of any: {names}"))
    spread = [f"finish by {found.sd['end_h'] * 60:.0f} min around {_finish(found)}"]
    spread.append(f"cost by {money(found.sd['cost_total'])} around {money(_cost(found))}")
    console.print(
        dim(
            f"Days differ (standard deviation): {', '.join(spread)}. A share is of what varies "
            "(its square): so much would be left of it if all else were known; with the 95 % "
            "interval. What sources do together counts in each, so shares may add up to more "
            "than 100 %."
        )
    )


def _finish(found: Sensitivity) -> str:
    return clock(found.mean["end_h"] * 3600.0)


def _cost(found: Sensitivity) -> float:
    return found.mean["cost_total"]


def _share(index: Interval) -> str:
    if math.isnan(index.value):
        return "-"
    return f"{percent(index.value)} ({index.low * 100:.0f}-{index.high * 100:.0f})"


def _swings(console: Console, found: Sensitivity) -> None:
    units = units_of(console)
    cold = found.not_zero["cold_length_m"] > 0
    console.print()
    columns = ["finish, min>", "cost>", *([f"cold edges, {units.length.word}>"] if cold else [])]
    rows = table("the mean moves", "with", *columns)
    for each in found.swings:
        for at, moved in zip(each.at, (each.low, each.high), strict=True):
            cells = [_moved(moved["end_h"], 60.0), _moved(moved["cost_total"], 1.0)]
            cells += [_moved(moved["cold_length_m"], units.length.factor, 1)] if cold else []
            rows.add_row(each.name if at == each.at[0] else "", at, *cells)
    console.print(rows)
    low, high = (f"{share:.0%}".replace("%", " %") for share in LOW_HIGH)
    console.print(
        dim(
            "Of the day: each held at the value that "
            f"{low} and {high} of days stay below. Means of the same days, with the 95 % interval."
        )
    )


def _moved(by: Interval, factor: float, digits: int = 0) -> str:
    """How far a mean moves, and half the width of its interval."""
    half = (by.high - by.low) / 2.0
    if not math.isfinite(half):
        return f"{by.value * factor:+.{digits}f}"
    return f"{by.value * factor:+.{digits}f} ± {half * factor:.{digits}f}"
