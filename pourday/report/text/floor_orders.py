"""Orders by ways of striking on the whole floor, and in words which of the two did what."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import Console

from pourday.outcome.deck.level import AT_COLUMNS, LevelSurvey
from pourday.report.basis import basis_of_shares, why_not_judged
from pourday.report.screen import units_of
from pourday.report.units import Units
from pourday.report.words import money, percent, table
from pourday.scenario.model.scenario import Scenario
from pourday.study.orders.floor_orders import FloorOrders, FloorRow, OrderOfFloor

_STRUCK = {"datum": "datum", "pins": "pins", "guides": "guides", "thickness": "even"}
_TO = {
    "datum": "to the datum",
    "pins": "on pins",
    "guides": "on guides",
    "thickness": "to an even thickness",
}
_POINTS = 0.05  # points of a share below which two are alike
_VOLUME = 0.05  # m³ below which two take the same concrete
_LITTLE = 0.002  # of the floor's concrete: less is lost in any load (common practice, no source)


def floor_orders_report(console: Console, scenario: Scenario, found: FloorOrders) -> None:
    """Print the table and what it says."""
    units = units_of(console)
    console.print(_under(found, units))
    columns = (
        "share %>",
        f"sag {units.depth.word}>",
        f"lift {units.per_width.word}>",
        f"{units.volume.word} more>",
        f"top {units.depth.word}>",
        "open>",
    )
    rows = table("order", "struck", *columns)
    times = {each.order: f"{each.open_time / 3600:.1f} h" for each in found.orders}
    for row in found.rows:
        if row.heap is None or row.bare is None or row.level is None:
            continue
        level = row.level
        rows.add_row(
            row.order,
            _name(found, row),
            f"{_share(row.heap.use)}/{_share(row.bare.use)}",
            "/".join(units.depth.figure(each.sag * 1e3, 1) for each in (row.heap, row.bare)),
            "/".join(units.per_width.figure(each.uplift / 1e3, 1) for each in (row.heap, row.bare)),
            units.volume.figure(level.extra, 1, "+"),
            f"{units.depth.figure(-level.low * 1e3, 0, '+')} "
            f"{units.depth.figure(-level.high * 1e3, 0, '+')}",
            times[row.order],
        )
    console.print(rows)
    judged = not why_not_judged(scenario)
    of = f"of {basis_of_shares(scenario)}" if judged else "not judged"
    console.print(
        f"share: {of}; sag and lift ({units.per_width.word} per {units.length.word} that lifts a "
        "support) unfactored; each with the "
        f"heap/without any; {units.volume.word} more than theory; top: lowest and highest place "
        "against the datum; "
        "open: longest that an edge between two strips waits on one mean day (every quantity at "
        "its mean, nothing going wrong)"
    )
    for line in (*_plans(found, units), *_said(scenario, found, units)):
        console.print(line)


def _under(found: FloorOrders, units: Units) -> str:
    low, high = found.spans
    spans = (
        f"spans of {units.length.text(low, 2)}"
        if high - low < 0.005
        else f"spans of {units.length.figure(low, 2)} to {units.length.text(high, 2)}"
    )
    preset = " or the preset's heaping, the worse of the two" if found.heaping else ""
    return (
        f"Whole floor, {spans}, heap {found.heap:.2f} x the thickness over "
        f"{units.length.short_text(found.heap_length)}"
        f"{preset}: what is said below holds under these."
    )


def _plans(found: FloorOrders, units: Units) -> Iterator[str]:
    for each in found.orders:
        low, high = each.strips
        wide = (
            f"{units.length.text(low, 2)}"
            if high - low < 0.005
            else f"{units.length.figure(low, 2)} to {units.length.text(high, 2)}"
        )
        what = "bands" if each.order == "across" else "strips"
        who = f'plan "{each.plan}"' if each.own else f'no plan of the file, "{each.plan}" changed'
        yield f"{each.order}: {what} of {wide} ({who})"


def _name(found: FloorOrders, row: FloorRow) -> str:
    same = [r.strike for r in found.rows if r.order == row.order and r.same_as == row.strike]
    name = ", ".join(_STRUCK[how] for how in (row.strike, *same))
    return f"{name} *" if row.refused else name


def _share(use: float | None) -> str:
    return "-" if use is None else f"{use * 100:.0f}"


def _said(scenario: Scenario, found: FloorOrders, units: Units) -> Iterator[str]:
    for row in found.rows:
        if row.refused and not row.same_as:
            limit = (
                f", past the ±{units.depth.text(AT_COLUMNS * 1e3, 0)} at columns"
                if row.level
                else ""
            )
            yield (
                f"* {row.order} {_TO[row.strike]}: {units.said(row.refused)}{limit}; refused, it "
                "takes no part "
                "below."
            )
    base = found.orders[0]
    yield from _by_order(scenario, found, base, units)
    yield from _by_strike(scenario, found, base, units)
    yield from _by_heap(found, base, units)


def _by_order(
    scenario: Scenario, found: FloorOrders, base: OrderOfFloor, units: Units
) -> Iterator[str]:
    """What the order alone does, struck alike."""
    mine = found.row(base.order, base.strike)
    for each in found.orders[1:]:
        other = found.row(each.order, base.strike)
        if mine is None or other is None:
            continue
        saved = _level(other).extra - _level(mine).extra
        little = ", too little to choose by" if abs(saved) < _LITTLE * found.concrete else ""
        yield (
            f"Order alone, both {_TO[base.strike]}: {base.order} {_takes(scenario, saved, units)} "
            "than "
            f"{each.order} ({units.volume.figure(_level(mine).extra, 1)} and "
            f"{units.volume.text(_level(other).extra, 1)}){little}"
            f"{_points(mine, other)}."
        )


def _by_strike(
    scenario: Scenario, found: FloorOrders, base: OrderOfFloor, units: Units
) -> Iterator[str]:
    """What the way of striking alone does, in the same order."""
    mine = found.row(base.order, "datum")
    for how in ("pins", "guides", "thickness"):
        other = found.row(base.order, how)
        if mine is None or other is None:
            continue
        saved = _level(mine).extra - _level(other).extra
        lower = (_level(other).mean - _level(mine).mean) * 1e3
        lowest = (_level(other).low, _level(mine).low)
        word = "lower" if lower >= 0 else "higher"
        why = " because the top follows the sag" if saved > _VOLUME and lower > 0 else ""
        yield (
            f"Striking alone, {base.order} {_TO[how]} instead of to the datum: "
            f"{_takes(scenario, saved, units)}{why}: it ends {units.depth.text(abs(lower), 1)} "
            f"{word} in the mean, its "
            f"lowest place "
            f"{units.depth.figure(-lowest[0] * 1e3, 1, '+')}, not "
            f"{units.depth.text(-lowest[1] * 1e3, 1, '+')}."
        )


def _by_heap(found: FloorOrders, base: OrderOfFloor, units: Units) -> Iterator[str]:
    """What the heap adds, order by order: beams first is meant against heaps in mid-span."""
    parts = []
    for each in found.orders:
        row = found.row(each.order, base.strike)
        if row is None or row.heap is None or row.bare is None:
            continue
        sag = f"{units.depth.text((row.heap.sag - row.bare.sag) * 1e3, 1)} of sag"
        if row.heap.use is None or row.bare.use is None:
            parts.append(f"{sag} to {each.order}")
        else:
            points = (row.heap.use - row.bare.use) * 100
            parts.append(f"{points:.1f} points and {sag} to {each.order}")
    if parts:
        yield (
            "Beams first is meant against heaps in mid-span. Here heaps add "
            + ", ".join(parts)
            + "; the strips and bands are those above."
        )
        yield from _turn_by_heap(found, base)


def _turn_by_heap(found: FloorOrders, base: OrderOfFloor) -> Iterator[str]:
    """Heap at which two orders use the deck alike: shares between the two are taken as straight."""
    mine = found.row(base.order, base.strike)
    for each in found.orders[1:]:
        other = found.row(each.order, base.strike)
        pair = [_uses(mine), _uses(other)]
        if pair[0] is None or pair[1] is None:
            continue
        with_heap, without = pair[0][0] - pair[1][0], pair[0][1] - pair[1][1]
        first, last = (base.order, each.order) if without < 0 else (each.order, base.order)
        if with_heap * without < 0 and found.heaping:
            yield (
                f"By share, {first} is better without heaps and {last} with them: it turns in "
                "between."
            )
        elif with_heap * without < 0:
            factor = 1 + (found.heap - 1) * without / (without - with_heap)
            yield (
                f"By share, {first} is better without a heap and {last} with this one: it turns "
                f"at a heap of about {factor:.2f} x the thickness."
            )
        elif min(abs(with_heap), abs(without)) * 100 > _POINTS:
            yield f"By share, {first} is better than {last} with this heap and without any."


def _uses(row: FloorRow | None) -> tuple[float, float] | None:
    if row is None or row.heap is None or row.bare is None:
        return None
    if row.heap.use is None or row.bare.use is None:
        return None
    return row.heap.use, row.bare.use


def _points(mine: FloorRow, other: FloorRow) -> str:
    pair = [_uses(mine), _uses(other)]
    if pair[0] is None or pair[1] is None:
        return ", share not judged"
    gap = (pair[0][0] - pair[1][0]) * 100
    if abs(gap) < _POINTS:
        return f", uses the deck alike ({percent(pair[0][0])})"
    return f", uses {abs(gap):.1f} points {'more' if gap > 0 else 'less'} of the resistance"


def _takes(scenario: Scenario, saved: float, units: Units) -> str:
    if abs(saved) < _VOLUME:
        return "takes no other concrete"
    cost = f"{money(abs(saved) * scenario.prices.concrete)} {scenario.prices.currency}"
    return f"takes {units.volume.text(abs(saved), 1)} ({cost}) {'less' if saved > 0 else 'more'}"


def _level(row: FloorRow) -> LevelSurvey:
    assert row.level is not None
    return row.level
