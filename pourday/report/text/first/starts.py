"""``starts``: when to begin, which hours are out, on one screen."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import Console

from pourday.report.screen import units_of
from pourday.report.text.first.screen import BLANK, LINES, Part, said, show, table_of, titled
from pourday.report.text.starts import ASKED, OUT
from pourday.report.units import Units
from pourday.report.words import clock, money, percent, runs_of_hours
from pourday.scenario.model.scenario import Scenario
from pourday.study.start_times import HOUR, Ranking, StartTimes

_ROWS = 8  # starts of which a screen has room


def first_starts(
    console: Console, scenario: Scenario, found: StartTimes, ranking: Ranking, warnings: list[str]
) -> None:
    """Print the best start or why there is none, a row a start, and what is out."""
    rows = []
    dry = units_of(console).evaporation
    for each in found.starts:
        cost = money(each.cost.mean) if each.cost.mean else "no prices"
        out = "out" if each.breaches else "open" if each.open else "within"
        ends = (each.last_concrete.p50, each.last_concrete.p90, each.finished.p90)
        rows.append(
            (
                clock(each.start),
                (
                    *(clock(end * HOUR) for end in ends),
                    dry.figure(each.drying.mean, 2),
                    percent(each.cold.value),
                    cost,
                    out,
                ),
            )
        )
    heads = ("last\nabout", "conc.\nby", "done\nby", f"drying\n{dry.word}", "cold\nedge",
             scenario.prices.currency, "limits")  # fmt: skip
    parts = [
        titled(scenario.title, f"plan {found.plan!r}, the same {found.days:,} days for each start"),
        BLANK,
        *_verdict(found, ranking),
        BLANK,
        table_of("start", heads, rows),
        Part("about: the middle day; by: 9 days in 10; cold edge: share of days", 2),
        BLANK,
        *_out(found, units_of(console)),
    ]
    if warnings:
        parts.append(said("WARNING", f"the file has {len(warnings)}: --full"))
    parts.append(said("NEXT", "every figure, what to change: --full   plans: compare"))
    show(console, parts, LINES + max(0, len(rows) - _ROWS))


def _verdict(found: StartTimes, ranking: Ranking) -> Iterator[Part]:
    if not ranking.best:
        yield said("NO START", "of these keeps the limits.")
        yield Part("Change the plan before the limits: --full says what.")
        return
    best = runs_of_hours(sorted(ranking.best))
    head = "BEST" if len(ranking.best) == 1 else "TIE"
    yield said(head, f"{best}: {ASKED[ranking.by]}, of the starts that are not out.")
    if len(ranking.best) > 1:
        yield Part("The days played cannot tell these starts apart.")
    elif any(each.open for each in found.starts if each.start in ranking.best):
        yield Part("Not decided yet whether it keeps every limit: more --days would tell.")
    else:
        yield Part("It keeps the limits on these days.")


def _out(found: StartTimes, units: Units) -> Iterator[Part]:
    kinds: dict[str, list[float]] = {}
    for each in found.starts:
        for breach in each.breaches:
            kinds.setdefault(breach.kind, []).append(each.start)
    for kind, starts in kinds.items():
        yield said("OUT", f"{runs_of_hours(starts)}: {units.said(OUT[kind])}")
