"""What prices cannot mean, and what they never charge because something else is not said."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

from pourday.scenario.base.faults import Fault, clock
from pourday.scenario.tables.concrete import MixTable
from pourday.scenario.tables.prices import PricesTable
from pourday.scenario.tables.site import PlanTable, SiteTable, SupplyTable


def _shifts(prices: PricesTable) -> Iterator[Fault]:
    after = [band.after_h for band in prices.overtime]
    if after != sorted(set(after)):
        found = ", ".join(f"{each:g}" for each in after)
        yield Fault("prices.overtime", f"after_h {found}", "each band after the one before")
    if prices.longest_shift_h < prices.shift_h:
        rule = f"at least the paid shift, prices.shift_h, {prices.shift_h:g}"
        yield Fault("prices.longest_shift_h", f"{prices.longest_shift_h:g}", rule, "h")


def _plant_hours(prices: PricesTable) -> Iterator[Fault]:
    if prices.normal_until <= prices.normal_from:
        rule = f"later than normal_from, {clock(prices.normal_from)}"
        yield Fault("prices.normal_until", clock(prices.normal_until), rule)


def _late_after_what(prices: PricesTable, site: SiteTable) -> Iterator[Fault]:
    if prices.late_after is None and site.curfew is None:
        for key in ("late_charge", "late_per_h"):
            if getattr(prices, key):
                found = "no finish is ever late: neither late_after nor site.curfew says when"
                yield Fault(f"prices.{key}", found, severity="warning")


def _retarder_for_what(prices: PricesTable, mix: MixTable) -> Iterator[Fault]:
    if prices.retarder_per_m3_h and not mix.retarder_min:
        found = "nothing is charged: the mix has no retarder (mix.retarder_min)"
        yield Fault("prices.retarder_per_m3_h", found, severity="warning")


def _trucks_cost_nothing(
    prices: PricesTable, plans: Mapping[int, PlanTable], supply: SupplyTable
) -> Iterator[Fault]:
    fleet = sum(plant.trucks for plant in supply.plants)
    kept = sorted({fleet if plan.trucks is None else plan.trucks for plan in plans.values()})
    if len(kept) > 1 and not (prices.truck_booked or prices.truck_per_h):
        found = f"plans keep {kept[0]} to {kept[-1]} trucks, and more of them cost no more"
        advice = "give truck_booked or truck_per_h where the supplier charges for them"
        yield Fault("prices.truck_booked", found, advice=advice, severity="warning")


Check = Callable[..., Iterator[Fault]]
PRICE_CHECKS: Sequence[tuple[tuple[str, ...], Check]] = (
    (("prices",), _shifts),
    (("prices",), _plant_hours),
    (("prices", "site"), _late_after_what),
    (("prices", "mix"), _retarder_for_what),
    (("prices", "plans", "supply"), _trucks_cost_nothing),
)
