"""From final set to the 28th day: what is planned and what is expected, with dates.

Nothing in it permits anything. When a prop goes, or when the floor takes a load, is decided by
the engineer, on tests.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, time, timedelta
from typing import cast

import numpy as np

from pourday.concrete.age import clock_time_at_equivalent_age, equivalent_age
from pourday.concrete.curing import least_curing
from pourday.concrete.strength import (
    CementClass,
    characteristic_strength,
    mean_strength,
    mean_strength_28,
    strength_ratio,
)
from pourday.concrete.temperature import Air, Relaxation
from pourday.floor.strips import strip_words
from pourday.outcome.base.basis import Basis, Floats
from pourday.outcome.base.fronts import Fronts
from pourday.outcome.concrete.cold import Cold
from pourday.outcome.concrete.finishing import Finishing
from pourday.outcome.concrete.later import DAY, later_air, later_mean, season_words
from pourday.scenario.model.scenario import Mix

AGES = (1, 3, 7, 14, 28)
"""Ages (days after the last concrete) at which the strength is looked up."""

PRACTICE = "common practice, no source"
STRENGTH = "EN 1992-1-1:2004 3.1.2(5), (6); equivalent age ASTM C1074"
RESISTANCE = "5 MPa by DIN 1045-3; times by betontechnische-daten.de, 10.4"
ENGINEER = "early loading and the removal of props are the engineer's decision, on tests"
# From an age of 3 days on the clause gives a characteristic strength.
_LEAST_DAYS = 3.0
_TOO_COLD = 5.0


@dataclass(frozen=True)
class CalendarLine:
    """One moment: local date and time, what it is, what is known of it, and its source."""

    when: datetime
    what: str
    detail: str
    source: str


@dataclass(frozen=True)
class StrengthAt:
    """Expected strength of the youngest concrete of the floor, ``days`` after it was placed.

    ``time`` s since midnight of the pour day; ``age`` equivalent age in days at 20 °C; ``mean``
    fcm(t) and ``characteristic`` fck(t), Pa, the latter nan up to 3 days of equivalent age.
    """

    days: int
    time: float
    age: float
    mean: float
    characteristic: float


@dataclass(frozen=True)
class _Youngest:
    """The concrete placed last: when batched and placed (s), how warm delivered (°C)."""

    batched: float
    placed: float
    temperature: float


def strengths(basis: Basis, found: Fronts, air: Air) -> tuple[StrengthAt, ...]:
    """Expected strength at :data:`AGES`; empty where nothing was placed.

    The concrete follows the day's ``air`` to midnight, then the mean temperature of later days;
    the warmth that hardening gives is left out, and so is any gain past 28 days. Source: EN
    1992-1-1:2004 3.1.2(5), (6) on equivalent age (ASTM C1074).
    """
    if not len(found.strip):
        return ()
    mix, youngest = basis.scenario.mix, _youngest(found)
    relax = later_air(air, basis.scenario.curing.later, basis.slab)
    when = youngest.placed + DAY * np.array(AGES)
    age = (
        equivalent_age(relax, youngest.batched, when, youngest.temperature, mix.strength_activation)
        / DAY
    )
    cement, strong = cast(CementClass, mix.cement_class), mean_strength_28(mix.strength)
    mean = mean_strength(strong, np.minimum(age, 28.0), cement)
    characteristic = characteristic_strength(strong, age, cement)
    return tuple(
        StrengthAt(days, *map(float, row))
        for days, *row in zip(AGES, when, age, mean, characteristic, strict=True)
    )


FROZE = "FROST in fresh concrete"


def calendar(
    basis: Basis,
    found: Fronts,
    air: Air,
    relax: Relaxation,
    finish: Finishing | None = None,
    chill: Cold | None = None,
) -> tuple[CalendarLine, ...]:
    """Dates after a pour, in order of time; empty where nothing was placed.

    Args:
        basis: the plan's basis.
        found: where the front stood that day.
        air: that day's air.
        relax: the same air, for the concrete's temperature.
        finish: that day's finishing, for its end and for the cover of every strip where given.
        chill: that day's cold; frost gets a line that takes the strengths back.

    Curing starts strip by strip, at final set of its latest concrete or after its last pass, where
    that is later. Damp curing and the time of props count from the last of them.
    """
    if not len(found.strip):
        return ()
    scenario, curing = basis.scenario, basis.scenario.curing
    placed = _youngest(found).placed
    rows: list[tuple[float, str, str, str]] = [
        (placed, "last concrete placed", "end of placing in the day played", "the day played")
    ]
    if finish is not None and np.isfinite(finish.end):
        rows.append(
            (finish.end, "finishing ends", "last pass of the power float", "the day played")
        )
    starts = curing_starts(basis, found, relax, finish)
    surface = float(np.nanmax(starts))
    rows += _curing_rows(basis, starts, air)
    if curing.props > 0:
        none = "" if scenario.props.lines_x else "; the scenario has no line of props"
        rows.append(
            (
                surface + curing.props,
                "props stay at least to here",
                f"{_days(curing.props)} from the start of curing{none}; this date releases none: "
                f"{ENGINEER}",
                PRACTICE,
            )
        )
    later = later_mean(air, curing.later)
    rows.append(_later_row(basis, placed, later))
    rows += [_strength_row(each, scenario.mix, later) for each in strengths(basis, found, air)]
    rows += _strip_row(basis, found, air)
    if chill is not None and chill.area_frost > 0:
        rows.append(_frost_row(chill))
    # Whoever opens his calendar weeks later has to read it there too.
    frozen = " (NOT where it froze)" if chill is not None and chill.area_frost > 0 else ""
    start = datetime.combine(scenario.date, time())
    return tuple(
        CalendarLine(
            when=start + timedelta(minutes=round(when / 60.0)),
            what=what if what == FROZE else what + frozen,
            detail=detail,
            source=source,
        )
        for when, what, detail, source in sorted(rows, key=lambda row: row[0])
    )


def curing_starts(
    basis: Basis, found: Fronts, relax: Relaxation, finish: Finishing | None = None
) -> Floats:
    """When curing starts on every strip (strips,) s, nan for strips without concrete.

    At final set of its latest concrete, or after its last pass where that is later.
    """
    out = np.full(len(basis.layout.strips), -np.inf)
    np.maximum.at(out, found.strip, basis.final_set.at(found.batched, found.temperature, relax))
    if finish is not None:
        out = np.fmax(out, finish.covered)
    return np.where(np.isfinite(out), out, np.nan)


def _curing_rows(basis: Basis, starts: Floats, air: Air) -> list[tuple[float, str, str, str]]:
    """Start of curing on the first and the last strip, its planned end, and the least by DIN."""
    curing, mix = basis.scenario.curing, basis.scenario.mix
    first, last = float(np.nanmin(starts)), float(np.nanmax(starts))
    why = "final set of its last concrete, finishing done: the surface resists damage"
    source = f"final set ASTM C403; {PRACTICE}"
    rows = []
    if last - first >= 60.0:
        n = int(np.nanargmin(starts))
        name = strip_words(n + 1, basis.layout.strips[n].name)
        rows.append((first, f"curing starts on the first strip, {name}", why, source))
    detail = f"{why}; earlier strips sooner, strip by strip"
    rows.append((last, "curing starts on the last strip", detail, source))
    if curing.damp > 0:
        kept = f"kept damp for {_days(curing.damp)} from the start of curing"
        rows.append((last + curing.damp, "damp curing is planned to here", kept, PRACTICE))
    mean, inside = later_mean(air, curing.later), curing.exposure in ("X0", "XC1")
    least = least_curing(mean, mix.strength_development, inside)
    of = f"a surface at {round(mean)} °C, strength development {mix.strength_development}"
    where = f"exposure {curing.exposure}" if inside else "exposures other than X0 and XC1"
    if least is None:
        what, told = last, f"no value below 5 °C ({of}): the time below 5 °C comes on top"
    else:
        what, told = last + least, f"{_days(least)}: {of}, {where}"
    rows.append((what, "least damp curing of DIN 1045-3", told, "DIN 1045-3, duration of curing"))
    return rows


def _later_row(basis: Basis, placed: float, later: float) -> tuple[float, str, str, str]:
    """What later days are taken to be, and what the season says of it."""
    own = basis.scenario.curing.later is None
    whose = "the mean of the file's own 24 hours" if own else "curing.later_C"
    season = season_words(basis.scenario.date.month, later, own)
    more = f"; {season}" if season else ""
    source = "the scenario's weather" if own else "the scenario"
    return placed, "later days", f"taken at {later:.1f} °C, {whose}{more}", source


def _frost_row(chill: Cold) -> tuple[float, str, str, str]:
    detail = (
        f"{chill.area_frost:.0f} m² freeze before they can stand it, without more protection than "
        f"the file has: no curing, strength or date below counts for them; {ENGINEER}"
    )
    return chill.frost_from, FROZE, detail, RESISTANCE


def _youngest(found: Fronts) -> _Youngest:
    end = np.maximum(found.time_low, found.time_high)
    last = int(np.argmax(end))
    return _Youngest(float(found.batched[last]), float(end[last]), float(found.temperature[last]))


def _strength_row(each: StrengthAt, mix: Mix, later: float) -> tuple[float, str, str, str]:
    known = f"mean fcm {each.mean / 1e6:.1f} MPa on cylinders"
    if np.isfinite(each.characteristic):
        known = f"characteristic fck {each.characteristic / 1e6:.1f} MPa, {known}"
    else:
        known += "; no fck up to 3 days of equivalent age: the clause asks for tests"
    detail = (
        f"expected {known}; {each.age:.1f} days of equivalent age, cement {mix.cement_class}, "
        f"later days at {later:.1f} °C{_cold(later)}"
    )
    plural = "day" if each.days == 1 else "days"
    return each.time, f"{each.days} {plural} after the last concrete", detail, STRENGTH


def _strip_row(basis: Basis, found: Fronts, air: Air) -> list[tuple[float, str, str, str]]:
    """When the expected fck reaches the strength asked for; one row, or none for no strength."""
    scenario, youngest = basis.scenario, _youngest(found)
    mix, curing = scenario.mix, scenario.curing
    wanted = curing.strip_at
    if wanted <= 0:
        return []
    name = f"expected strength reaches {wanted / 1e6:g} MPa"
    days = age_at_strength(wanted, mix.strength, cast(CementClass, mix.cement_class))
    if not np.isfinite(days):
        return [
            (
                youngest.placed + 28 * DAY,
                f"{wanted / 1e6:g} MPa not expected",
                f"the mix is expected to reach {mix.strength / 1e6:g} MPa; {ENGINEER}",
                STRENGTH,
            )
        ]
    later = later_mean(air, curing.later)
    relax = later_air(air, later, basis.slab)
    when = clock_time_at_equivalent_age(
        relax, youngest.batched, youngest.temperature, days * DAY, mix.strength_activation
    )
    early = "" if days > _LEAST_DAYS else "; sooner by the formula, but it gives no fck before then"
    detail = (
        f"characteristic, on cylinders, at {days:.1f} days of equivalent age, later days at "
        f"{later:.1f} °C{_cold(later)}{early}; a model's expectation: {ENGINEER}"
    )
    return [(float(when), name, detail, STRENGTH)]


def age_at_strength(wanted: float, strength_28: float, cement: CementClass) -> float:
    """Equivalent age (days at 20 °C) at which fck(t) reaches ``wanted``; both strengths fck in Pa.

    At least 3 days, where the clause begins; 28 for the strength at 28 days; inf beyond it.
    Source: EN 1992-1-1:2004 3.1.2(5), (6) solved for t: 28 / (1 - ln(fcm(t) / fcm) / s)²,
    fcm = fck + 8 MPa.
    """
    if wanted > strength_28:
        return float("inf")
    share = float(mean_strength_28(wanted) / mean_strength_28(strength_28))
    s = -float(np.log(strength_ratio(7.0, cement)))  # exp(s (1 - sqrt(28 / 7))) = exp(-s)
    return max(_LEAST_DAYS, 28.0 / (1.0 - float(np.log(share)) / s) ** 2)


def _days(seconds: float) -> str:
    return f"{seconds / DAY:g} days"


def _cold(later: float) -> str:
    if later >= _TOO_COLD:
        return ""
    return f" (below {_TOO_COLD:g} °C the formula says too much; common practice, no source)"
