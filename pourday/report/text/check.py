"""The floor as the program understands it: areas, volumes, strips, order, broken rules."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from rich.console import Console

from pourday.floor.strips import Strip
from pourday.outcome.base.basis import Basis
from pourday.outcome.edges.meaning import times_in_the_day, times_of_first_load
from pourday.report.screen import units_of
from pourday.report.text.capacity import capacity_lines
from pourday.report.text.check_people import finishing_words, slump_words
from pourday.report.text.fronts import plan_fronts
from pourday.report.words import (
    caution,
    clock,
    edge_rule_words,
    heading,
    heat_caution,
    marked,
    span,
    strip_words,
    strips_of,
    table,
)
from pourday.scenario.model.scenario import Scenario

RULES = {
    "thirds": "beam strips first, then gaps and edges, the joint last in its bay",
    "spread": "strips side by side, each after its neighbour",
    "across": "one front over the width of a pour, band after band along y, span by span",
    "listed": "the user's own order",
}


def check_report(
    console: Console, scenario: Scenario, plans: Sequence[Basis], warnings: Sequence[str]
) -> None:
    """Print floor and plans."""
    units = units_of(console)
    floor = scenario.floor
    spans = [b - a for a, b in zip(floor.supports, floor.supports[1:], strict=False)]
    area = plans[0].layout.theory.sum() / (scenario.slab.depth - scenario.deck.void_volume)
    head = f"   pour date {scenario.date:%d %b %Y}"
    console.print(marked((scenario.title, "bold"), head))
    _warnings(console, warnings)
    heading(console, "Floor")
    facts = table("", "")
    facts.add_row(
        "size",
        f"{units.length.text(floor.supports[-1] - floor.supports[0], 1)} along x, "
        f"{units.length.text(floor.length_y, 1)} along y",
    )
    facts.add_row(
        "spans",
        f"{len(spans)}, from {units.length.figure(min(spans), 2)} to "
        f"{units.length.text(max(spans), 2)}",
    )
    facts.add_row("sheet runs", f"{len(floor.sheet_runs)}, of {_counts(floor.sheet_runs)} spans")
    bays = plans[0].layout.cut.bays
    facts.add_row("bays", f"{len(bays)}: {_names([bay.name for bay in bays])}")
    holes = ", ".join(hole.name for hole in floor.openings) or "none"
    facts.add_row("openings", holes)
    facts.add_row("area of concrete", f"{units.area.text(area, 1)}")
    depth = (scenario.slab.depth - scenario.deck.void_volume) * 1e3
    facts.add_row(
        "mean thickness",
        f"{units.depth.text(depth, 0)} ({units.depth.text(scenario.slab.depth * 1e3, 0)} less the "
        "ribs)",
    )
    facts.add_row("concrete in theory", f"{units.volume.text(plans[0].layout.theory.sum(), 1)}")
    facts.add_row("slump", slump_words(scenario.mix, units))
    console.print(facts)
    _edges(console, plans[0])
    alike: dict[tuple[object, ...], list[Basis]] = {}
    for basis in plans:
        key = (basis.plan.order, basis.layout.strips, basis.layout.upward, *_gear(basis))
        alike.setdefault(key, []).append(basis)
    for group in alike.values():
        _plan(console, group)
    caution(console)


def _edges(console: Console, basis: Basis) -> None:
    """When an edge is lost: the rule, and what it means for this mix on this day."""
    units = units_of(console)
    heading(console, "Fresh edges")
    console.print(edge_rule_words(basis.scenario.mix, units), highlight=False)
    caution_in_heat(console, basis)
    for each in times_in_the_day(basis):
        console.print(
            f"stiff after {span(each.stiff)}, cold after {span(each.cold)} at "
            f"{units.temperature.digits(each.temperature)} {units.temperature.word}",
            highlight=False,
        )
    first, by_age = times_of_first_load(basis), basis.edge_rule.cold is not None
    what = "loaded" if by_age else "placed"
    warm = f"{units.temperature.digits(first.temperature)} {units.temperature.word}"
    warm = f"delivered at {warm}" if by_age else f"in {warm}"
    start = basis.plan.start
    console.print(
        f"{what} at {clock(start)} and {warm}: stiff at {clock(start + first.stiff)}, cold at "
        f"{clock(start + first.cold)}",
        highlight=False,
    )


def caution_in_heat(console: Console, basis: Basis) -> None:
    """The caution on set times, on days with air in which it counts; by interval no set does."""
    said = heat_caution(float(basis.air.temperature.max()), units_of(console))
    if said and basis.edge_rule.cold is not None:
        console.print(said, highlight=False)


def _gear(basis: Basis) -> tuple[object, ...]:
    """What of the fronts of a plan is printed here; nothing where it has one in one place."""
    if len(basis.plan.fronts) == 1 and not basis.layout.access[0].places:
        return ()
    names = tuple((front.pump, front.crew) for front in basis.plan.fronts)
    return (names, basis.layout.access, basis.layout.front_of)


def _plan(console: Console, group: Sequence[Basis]) -> None:
    units = units_of(console)
    basis, names = group[0], [each.plan.name for each in group]
    layout, plan = basis.layout, basis.plan
    heading(console, ("Plan: " if len(names) == 1 else "Plans: ") + "; ".join(names))
    console.print(f"order {plan.order}: {RULES[plan.order]}", highlight=False)
    console.print(
        f"{len(layout.strips)} strips, {len(layout.pairs)} edge pairs "
        f"({units.length.text(basis.pair_length.sum(), 0)} of fresh edge); "
        f"{units.volume.text(layout.volume.sum(), 1)} to place, "
        f"{units.volume.text(layout.ponding, 1)} of it in the sag",
        highlight=False,
    )
    for each in group:
        capacity_lines(console, each, named=len(group) > 1)
    plan_fronts(console, basis)
    finishing_words(console, group)
    rows = table("bay", "strips in placing order", f"{units.volume.word}>")
    for bay in dict.fromkeys(strip.bay for strip in layout.strips):
        mine = [k for k, strip in enumerate(layout.strips) if strip.bay == bay]
        listed = ", ".join(_in_turn(layout.strips, mine))
        rows.add_row(bay, listed, units.volume.figure(layout.volume[mine].sum(), 1))
    console.print(rows)
    _joined(console, basis)
    if not layout.broken:
        console.print("no rule of placing is broken", highlight=False)
    number = dict(zip((strip.name for strip in layout.strips), strips_of(layout), strict=True))
    for broken in layout.broken:
        console.print(
            marked(
                ("rule broken:", "bold"),
                f" {number[broken.later]} comes before {number[broken.earlier]} ({broken.rule}): "
                f"{broken.consequence}",
            )
        )


def _in_turn(strips: Sequence[Strip], mine: Sequence[int]) -> Iterator[str]:
    """Numbers and names of strips in placing order, each on one line; bands as one entry each."""
    for _, group in groupby(mine, key=lambda k: (strips[k].band, k if strips[k].band < 0 else 0)):
        every = list(group)
        number, name = f"{every[0] + 1}", strips[every[0]].name.split("/", 1)[1]
        if len(every) > 1:
            spans = [strips[k].name.rsplit(" ", 1)[1] for k in (every[0], every[-1])]
            number, name = f"{number}-{every[-1] + 1}", f"{name}-{spans[1]}"
        yield f"{number} {name}".replace(" ", "\u00a0")


def _joined(console: Console, basis: Basis) -> None:
    """Gaps too narrow to be strips, and what they are placed with."""
    strips = [(n, strip) for n, strip in enumerate(basis.layout.strips, 1) if strip.joined]
    if not strips:
        return
    units = units_of(console)
    width = [strip.joined[1] - strip.joined[0] for _, strip in strips if strip.joined]
    size = units.length.figure(min(width), 2)
    if max(width) - min(width) > 5e-3:
        size += f" to {units.length.figure(max(width), 2)}"
    console.print(
        f"least_strip_{units.length.word} = {units.length.short(basis.plan.least_strip)}: "
        f"{len(strips)} gap"
        f"{'s' if len(strips) > 1 else ''} of {size} {units.length.word} placed with a neighbour: "
        f"{_names([strip_words(n, strip.name) for n, strip in strips])}",
        highlight=False,
    )


def _warnings(console: Console, warnings: Sequence[str]) -> None:
    for text in warnings:
        console.print(marked(("warning:", "bold"), f" {text}"))


def _counts(runs: Sequence[int]) -> str:
    return str(runs[0]) if len(set(runs)) == 1 else " + ".join(map(str, runs))


def _names(names: Sequence[str]) -> str:
    return ", ".join(names) if len(names) <= 16 else f"{', '.join(names[:15])} ..."
