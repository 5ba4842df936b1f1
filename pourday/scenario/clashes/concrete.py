"""What the concrete's temperature and cement cannot be, or would be looked at twice."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Literal

from pourday.scenario.base.faults import Fault, clock
from pourday.scenario.model.concrete import DeliveryRule
from pourday.scenario.presets import delivery_rule
from pourday.scenario.tables.concrete import MeasuresTable, MixTable, WeatherTable

CLASS_OF: dict[str, str] = {
    "32.5N": "S", "32.5R": "N", "42.5N": "N", "42.5R": "R", "52.5N": "R", "52.5R": "R",
}  # fmt: skip
"""Cement by its strength class -> class S, N or R (EN 1992-1-1:2004 3.1.2(6))."""


def delivery_of(table: MixTable) -> DeliveryRule:
    """The rule for the temperature at delivery, with the file's own numbers in their place."""
    rule = delivery_rule(table.delivery_rule)
    least, cold = rule.get("least_C"), rule.get("least_in_cold_C")
    if table.least_delivered_C is not None:
        least, cold = table.least_delivered_C, None
    own = table.least_delivered_C is not None and table.most_delivered_C is not None
    return DeliveryRule(
        name="the file's own" if own else table.delivery_rule,
        least=least,
        most=rule.get("most_C") if table.most_delivered_C is None else table.most_delivered_C,
        cold_air=None if cold is None else rule.get("cold_air_C"),
        least_in_cold=cold,
        strict=table.outside_delivery == "fault",
    )


def _older_keys(mix: MixTable) -> Iterator[Fault]:
    if mix.relaxation_h is not None:
        yield Fault(
            "mix.relaxation_h",
            f"{mix.relaxation_h:g}",
            "left out",
            "h",
            "it is no longer used: the slab cools by its depth, the wind, the air above and below",
            "warning",
        )


def _cement_of_one_class(mix: MixTable) -> Iterator[Fault]:
    if mix.cement_strength is None or "cement_class" not in mix.model_fields_set:
        return
    fits = CLASS_OF[mix.cement_strength]
    if fits != mix.cement_class:
        yield Fault(
            "mix.cement_class",
            f'"{mix.cement_class}"',
            f'"{fits}", the class of cement_strength "{mix.cement_strength}"',
            "",
            "strength in the calendar goes by the class, standing frost by the strength class",
            "warning",
        )


def _delivered_within_its_rule(
    mix: MixTable, measures: MeasuresTable, weather: WeatherTable
) -> Iterator[Fault]:
    """The mix as delivered on average, in the coldest air of the rows."""
    rule = delivery_of(mix)
    if rule.least is not None and rule.most is not None and rule.least > rule.most:
        allowed = f"at most most_delivered_C, {rule.most:g} ({rule.name})"
        yield Fault("mix.least_delivered_C", f"{rule.least:g}", allowed, "°C")
        return
    coldest = min(row.air_C for row in weather.hours)
    warm = mix.delivered_C.mean + measures.warmer_C - measures.cooler_C
    least = rule.least_at(coldest)
    severity: Literal["fault", "warning"] = "fault" if rule.strict else "warning"
    low = least is not None and warm < least
    if not low and (rule.most is None or warm <= rule.most):
        return
    allowed = f"at least {least:g}" if low else f"at most {rule.most:g}"
    if low and least != rule.least:
        allowed += f" in air below {rule.cold_air:g}"
    yield Fault(
        "mix.delivered_C",
        f"{warm:g} on average, measures counted",
        f"{allowed} ({rule.name})",
        "°C",
        "single loads outside are counted in the day report",
        severity,
    )


def _frost_in_the_rows(weather: WeatherTable) -> Iterator[Fault]:
    coldest = min(weather.hours, key=lambda row: row.air_C)
    if coldest.air_C < 0.0:
        yield Fault(
            "weather.hours",
            f"{coldest.air_C:g} at {clock(coldest.at)}",
            "0 or more while the concrete cannot stand frost",
            "°C",
            "FROST: `pourday day` says which strips freeze, and what each measure does",
            "warning",
        )


# Air (°C) in the rows from which a night without rows, or a clear one, may bring frost (common
# practice, no source: a night takes off up to ten degrees, a clear sky some more).
_NIGHT_MAY_FREEZE, _SKY_MAY_FREEZE = 8.0, 3.0
_MOST_OF_A_DAY = 20 * 3600.0


def _nights_that_are_not_told(weather: WeatherTable) -> Iterator[Fault]:
    """Frost that the rows hide: they end before the night, or the sky is taken to be covered."""
    least = min(row.air_C for row in weather.hours)
    times = [row.at for row in weather.hours]
    if least < _NIGHT_MAY_FREEZE and max(times) - min(times) < _MOST_OF_A_DAY:
        yield Fault(
            "weather.hours",
            f"{clock(min(times))} to {clock(max(times))}, down to {least:g} °C",
            "rows through the night after the pour (to 30:00)",
            "",
            "frost that comes after the last row is not seen: COLD and FROST count what the rows "
            "say",
            "warning",
        )
    if 0.0 <= least < _SKY_MAY_FREEZE and not weather.sky_loss_W_m2:
        yield Fault(
            "weather.sky_loss_W_m2",
            f"0 with air down to {least:g} °C",
            "about 60 under a clear sky",
            "",
            "a clear night takes the top of a slab below the air: a floor that stays above "
            "freezing under clouds may freeze under stars",
            "warning",
        )


Check = Callable[..., Iterator[Fault]]
CONCRETE_CHECKS: Sequence[tuple[tuple[str, ...], Check]] = (
    (("mix",), _older_keys),
    (("mix",), _cement_of_one_class),
    (("mix", "measures", "weather"), _delivered_within_its_rule),
    (("weather",), _frost_in_the_rows),
    (("weather",), _nights_that_are_not_told),
)
