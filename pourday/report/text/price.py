"""A plan's price as an estimator reads it: lines that add up, what to allow, what is not in it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from rich.console import Console
from rich.text import Text

from pourday.outcome.base.basis import Basis
from pourday.outcome.price.items import GROUPS, item_of
from pourday.report.screen import units_of
from pourday.report.units import SI, Units
from pourday.report.words import (
    NOT_IN_COST,
    NOT_PRICED,
    caution,
    dim,
    heading,
    marked,
    money,
    table,
)
from pourday.scenario.base.upsets import upset_text
from pourday.study.price import PricedPlan, PriceLine
from pourday.study.statistics import Interval

WASTE_LABELS = {
    "over_age": "over its age or slump, sent away",
    "surplus": "surplus, sent back",
    "sag": "in the sag (stays in the floor)",
    "line": "left in pump and line",
    "plants_own": "refused, the plant pays",
}
_JOBS = {"operator": "others, operator"}
_TITLES = {
    "labour": "LABOUR",
    "plant": "PLANT",
    "concrete": "CONCRETE AND TRUCKS",
    "risk": "RISK",
}


def price_report(
    console: Console,
    basis: Basis,
    found: PricedPlan,
    warnings: Sequence[str] = (),
    everything: bool = False,
) -> None:
    """Print the price: lines and what to allow; with ``everything`` hours, waste and bays too."""
    units = units_of(console)
    scenario = basis.scenario
    console.print(
        marked((scenario.title, "bold"), f"   plan {found.plan!r}, {found.days:,} days priced")
    )
    for text in warnings:
        console.print(marked(("warning:", "bold"), f" {text}"))
    if scenario.upsets:
        told = "; ".join(upset_text(upset) for upset in scenario.upsets)
        console.print(Text(f"On every day goes wrong: {told}"))
    _lines(console, basis, found)
    _allowance(console, basis, found)
    for sentence in _figures(basis, found, units):
        console.print(Text(sentence), highlight=False)
    if everything:
        _waste(console, basis, found)
        _hours(console, found)
        _bays(console, basis, found)
    else:
        console.print(dim("--full: waste, hours by job and band, money by bay"))
    for sentence in _not_in_it(basis, found, units):
        console.print(Text(sentence), highlight=False)
    caution(console)


def added_up(amounts: Sequence[float]) -> list[int]:
    """Amounts in whole units that add up to their sum in whole units (largest remainders)."""
    out = [math.floor(amount) for amount in amounts]
    short = round(sum(amounts)) - sum(out)
    for n in sorted(range(len(out)), key=lambda n: out[n] - amounts[n])[:short]:
        out[n] += 1
    return out


def how_often(days: int, of: int) -> str:
    """On how many days: "3 of 200 days", "every day"."""
    return "every day" if days == of else f"{days:,} of {of:,} days"


def _lines(console: Console, basis: Basis, found: PricedPlan) -> None:
    heading(console, f"Price of a day, {basis.scenario.prices.currency}: means, which add up")
    rows = table("", "quantity>", "", "rate>", "amount>")
    rows.columns[0].no_wrap = True
    shown = [line for line in found.lines if line.amount]
    whole = dict(zip(shown, added_up([line.amount for line in shown]), strict=True))
    for group in GROUPS:
        mine = [line for line in shown if line.item.group == group]
        if mine:
            total = sum(whole[line] for line in mine)
            rows.add_row(
                marked((_TITLES[group], "bold")), "", "", "", marked((_amount(total), "bold"))
            )
        for line in mine:
            rows.add_row(*_cells(line, whole[line], found, units_of(console)))
    in_all = marked((money(sum(whole.values())), "bold"))
    rows.add_row(marked(("IN ALL", "bold")), "", "", "", in_all)
    console.print(rows, highlight=False)
    if any(line.days < found.days for line in shown):
        console.print(dim(f"(days): came up on so many of {found.days:,}, the mean is over all"))


def _cells(line: PriceLine, amount: int, found: PricedPlan, units: Units = SI) -> tuple[str, ...]:
    item = line.item
    unit = units.of(item.unit)
    seldom = "" if line.days == found.days else f" ({line.days:,} day{'s'[: line.days > 1]})"
    count = unit.value(line.quantity)
    quantity = f"{count:,.1f}".replace(",", " ") if count >= 0.05 else "<0.1"
    rate = f"{line.rate / unit.factor:.2f}"
    return f"  {item.label}{seldom}", quantity, unit.word, rate, _amount(amount)


def _amount(amount: int) -> str:
    """Whole money of a line that costs something: less than a unit is not nothing."""
    return money(amount) if amount else "<1"


def _allowance(console: Console, basis: Basis, found: PricedPlan) -> None:
    currency = basis.scenario.prices.currency
    console.print(
        Text(
            f"Half the days cost at most {money(found.half.value)}, 8 days in 10 at most "
            f"{money(found.eight.value)}, 9 in 10 at most {money(found.nine.value)}; the dearest "
            f"of {found.days:,} is {money(float(found.totals.max()))}."
        ),
        highlight=False,
    )
    allow = found.allowance
    share = allow.value / found.mean.value if found.mean.value > 0 else 0.0
    console.print(
        marked(
            (f"ALLOW {money(allow.value)} {currency}", "bold"),
            f" for risk beyond the mean ({share * 100:.1f} % of it; 95 % interval "
            f"{_range(allow)}): what 8 days in 10 stay within.",
        ),
        highlight=False,
    )


def _range(value: Interval) -> str:
    """An interval in whole money; an end that so few days cannot give says so."""
    if math.isinf(value.high):
        return f"{money(value.low)} up; more days would close it"
    return f"{money(value.low)} to {money(value.high)}"


def _figures(basis: Basis, found: PricedPlan, units: Units = SI) -> list[str]:
    """What estimators carry from job to job."""
    currency, mean = basis.scenario.prices.currency, found.mean.value
    if found.placed <= 0 or found.area <= 0:
        return [f"Nothing was placed, so there is no price of a {units.volume.word}."]
    placed, area = units.volume.value(found.placed), units.area.value(found.area)
    volume, surface = units.volume.word, units.area.word
    places = 3 if units.area.is_metric else 4  # a square foot is a tenth of a square metre
    pace = f"{units.volume_rate.text(found.placed / found.pour_h, 1)}" if found.pour_h > 0 else "no"
    return [
        f"{mean / placed:.2f} {currency}/{volume}, {mean / area:.2f} {currency}/{surface} "
        f"({units.volume.text(found.placed, 1)} placed on {units.area.text(found.area, 0)}); "
        f"{found.man_hours / placed:.2f} man-hours/{volume}, "
        f"{found.man_hours / area:.{places}f} man-hours/{surface}; {pace} from first to "
        "last concrete."
    ]


def _waste(console: Console, basis: Basis, found: PricedPlan) -> None:
    units = units_of(console)
    heading(console, "Concrete that is not floor as drawn, a day (it stands in the lines above)")
    rows = table("", f"{units.volume.word}>", f"{basis.scenario.prices.currency}>", "on")
    for line in found.waste:
        if line.days:
            days = how_often(line.days, found.days)
            rows.add_row(
                WASTE_LABELS[line.key],
                units.volume.figure(line.volume, 2),
                money(line.amount),
                days,
            )
    console.print(rows, highlight=False)


def _hours(console: Console, found: PricedPlan) -> None:
    heading(console, "Paid hours a day, by job and band")
    bands = list(dict.fromkeys(band for _, band in found.hours))
    bands = [b for b in bands if sum(h for (_, band), h in found.hours.items() if band == b) > 0]
    heads = {band: item_of(band).label.removeprefix("labour, ") for band in bands}
    heads = {
        band: head.replace("paid to the least call", "least call") for band, head in heads.items()
    }
    rows = table("", *(f"{heads[band]}>" for band in bands))
    for job in dict.fromkeys(job for job, _ in found.hours):
        cells = (f"{found.hours.get((job, band), 0.0):.1f}" for band in bands)
        rows.add_row(_JOBS.get(job, job), *cells)
    sums = (sum(h for (_, b), h in found.hours.items() if b == band) for band in bands)
    rows.add_row(marked(("all", "bold")), *(f"{each:.1f}" for each in sums))
    console.print(rows, highlight=False)
    if any(band in ("night", "weekend") for band in bands):
        console.print(dim("hours with a premium for night or weekend stand in the others too"))
    if found.relief_h > 0:
        console.print(
            Text(f"{found.relief_h:.1f} h of them are reliefs', after the longest shift."),
            highlight=False,
        )


def _bays(console: Console, basis: Basis, found: PricedPlan) -> None:
    units = units_of(console)
    heading(console, f"By bay, {basis.scenario.prices.currency}")
    rows = table(
        "bay",
        f"{units.area.word}>",
        f"{units.volume.word}>",
        "placing h>",
        "amount>",
        f"a {units.area.word}>",
    )
    for bay, amount in zip(found.bays, added_up([bay.amount for bay in found.bays]), strict=True):
        rows.add_row(
            bay.bay,
            units.area.figure(bay.area),
            units.volume.figure(bay.volume, 1),
            f"{bay.placing:.2f}",
            money(amount),
            f"{bay.amount / units.area.value(bay.area):.2f}" if bay.area > 0 else "",
        )
    console.print(rows, highlight=False)
    console.print(
        dim(
            f"concrete and trucks by {units.volume.word}, all else by the time of placing in the "
            "bay"
        )
    )


def _not_in_it(basis: Basis, found: PricedPlan, units: Units = SI) -> list[str]:
    """What the price leaves out: of the trade, and of this file."""
    out = [f"Not priced: {NOT_PRICED}."]
    free = [line.item.label for line in found.without_price]
    if free:
        out.append(f"No price in the file for: {'; '.join(free)} (docs/price.md).")
    volume, days = found.unfinished
    if days:
        out.append(
            f"NOT IN THIS PRICE: {units.volume.text(volume, 1)} a day "
            f"({how_often(days, found.days)}) "
            f"{NOT_IN_COST}."
        )
    return out
