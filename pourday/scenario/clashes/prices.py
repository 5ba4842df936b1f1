"""What prices cannot mean, and what they never charge because something else is not said."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from pourday.scenario.base.faults import Fault, clock
from pourday.scenario.tables.concrete import MixTable
from pourday.scenario.tables.prices import PricesTable
from pourday.scenario.tables.site import SiteTable


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


Check = Callable[..., Iterator[Fault]]
PRICE_CHECKS: Sequence[tuple[tuple[str, ...], Check]] = (
    (("prices",), _shifts),
    (("prices",), _plant_hours),
    (("prices", "site"), _late_after_what),
    (("prices", "mix"), _retarder_for_what),
)
