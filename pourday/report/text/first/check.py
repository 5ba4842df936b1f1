"""``check``: can the file be played, and does each plan ask what its people can take."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.console import Console

from pourday.outcome.base.basis import Basis
from pourday.outcome.capacity import TOO_MUCH, Capacity, capacities
from pourday.outcome.deck.peaks import mean_peaks, most_used
from pourday.report.basis import NOT_JUDGED, why_not_judged
from pourday.report.screen import units_of
from pourday.report.text.first.screen import BLANK, LINES, Part, said, show, table_of, titled
from pourday.report.units import Units
from pourday.report.words import named_plans, percent
from pourday.scenario.model.scenario import Scenario

_HOUR = 3600.0
_FEW = 4
_NOTE = (
    "asks: what the trucks bring; takes: what pump, crew and truck let through, less moves and "
    "breaks; deck used: of its resistance, at the mean heap"
)


def first_check(
    console: Console, scenario: Scenario, plans: Sequence[Basis], warnings: Sequence[str]
) -> None:
    """Print whether it can be played, what to look at, and a row for every plan."""
    units = units_of(console)
    fronts = [capacities(basis) for basis in plans]
    used = [most_used(mean_peaks(basis)) for basis in plans]
    look = list(_to_look_at(scenario, plans, fronts, used, warnings))
    count = len(look) + len(warnings)
    many = f"{count} thing{'s' * (count != 1)} to look at" if count else "Nothing stands out"
    parts = [
        titled(
            scenario.title, f"{scenario.date:%d %b %Y}   {len(plans)} plan{'s' * (len(plans) > 1)}"
        ),
        BLANK,
        Part(f"The file can be played: no fault. {many}."),
        Part(_to_place(plans[0], fronts[0], units)),
        BLANK,
        _table(console, plans, fronts, used),
        Part(_NOTE, 2),
        BLANK,
        said("FLOOR", _floor(scenario, plans[0], units)),
        *(said(head, text) for head, text in look),
        *(said("WARNING", text) for text in warnings[:1]),
    ]
    if len(warnings) > 1:
        parts.append(said("WARNING", f"{len(warnings) - 1} more: --full"))
    parts.append(said("NEXT", "all of it: --full   draw it: --draw   plans: compare"))
    show(console, parts, LINES + 2 * max(0, len(plans) - _FEW))


def _to_place(basis: Basis, fronts: Sequence[Capacity], units: Units) -> str:
    layout, volume = basis.layout, units.volume
    text = (
        f"To place: {volume.text(layout.volume.sum(), 1)}, {volume.figure(layout.ponding, 1)} of "
        "it in the sag"
    )
    if len(fronts) > 1:
        return f"{text}."
    whole = int(layout.volume.sum() // fronts[0].load)
    load = volume.text(fronts[0].load, 1)
    return f"{text}: {whole} loads of {load} and a balance load at least."


def _table(
    console: Console,
    plans: Sequence[Basis],
    fronts: Sequence[Sequence[Capacity]],
    used: Sequence[float],
) -> Part:
    units, rows = units_of(console), []
    for basis, its, use in zip(plans, fronts, used, strict=True):
        asks, takes = (
            units.volume_rate.figure(sum(getattr(f, k) for f in its) * _HOUR)
            for k in ("asks", "takes")
        )
        mark = " !" if any(each.warns for each in its) else ""
        share = f"{percent(max(each.share for each in its))}{mark}"
        judged = NOT_JUDGED if use != use else percent(use) + (" !" if use > 1.0 else "")
        length = units.length.text(basis.pair_length.sum(), 0)
        strips = str(len(basis.layout.strips))
        rows.append(
            (basis.plan.name, (basis.plan.order, strips, length, asks, takes, share, judged))
        )
    rate = units.volume_rate.word
    heads = ("order", "strips", "open\nedge", f"asks\n{rate}", f"takes\n{rate}", "asks of\ntakes",
             "deck\nused")  # fmt: skip
    return table_of("plan", heads, rows)


def _floor(scenario: Scenario, basis: Basis, units: Units) -> str:
    floor, cut = scenario.floor, basis.layout.cut
    holes = f", {len(floor.openings)} opening{'s' * (len(floor.openings) != 1)}"
    return (
        f"{units.length.figure(floor.supports[-1] - floor.supports[0], 1)} x "
        f"{units.length.text(floor.length_y, 1)}, {len(floor.supports) - 1} spans, "
        f"{len(cut.bays)} bays{holes if floor.openings else ''}"
    )


def _to_look_at(
    scenario: Scenario,
    plans: Sequence[Basis],
    fronts: Sequence[Sequence[Capacity]],
    used: Sequence[float],
    warnings: Sequence[str],
) -> Iterator[tuple[str, str]]:
    """What somebody should look at before the day, each with its word."""
    broken = sum(len(basis.layout.broken) for basis in plans)
    if broken:
        times = "once" if broken == 1 else f"{broken} times"
        yield "RULES", f"of placing are broken {times}: --full says which."
    over = [basis.plan.name for basis, use in zip(plans, used, strict=True) if use > 1.0]
    if over:
        yield "DECK", f"past its resistance: ask the engineer ({named_plans(over)})"
    for too_much, what in ((True, "trucks will queue"), (False, "the pump will wait")):
        off = [
            f"{basis.plan.name!r} ({min(f.spacing for f in its) / 60:.0f} min would feed it)"
            for basis, its in zip(plans, fronts, strict=True)
            if any(f.warns and (f.share > TOO_MUCH) is too_much for f in its)
        ]
        if off:
            yield "PACE", f"{what}: {', '.join(off)}"
    if why_not_judged(scenario) and not any("resistance" in text for text in warnings):
        yield "DECK", why_not_judged(scenario)
