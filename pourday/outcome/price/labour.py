"""Lines of labour, and the same hours by job and band."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pourday.day.front.people import break_times
from pourday.outcome.base.basis import Basis
from pourday.outcome.price.hours import Paid, paid_time
from pourday.outcome.price.items import HOUR, OVERTIME, Line
from pourday.outcome.price.people import Hours, Shift, jobs_of, shifts_of
from pourday.scenario.model.prices import Prices
from pourday.scenario.model.site import AFTER_POUR


@dataclass(frozen=True)
class Labour:
    """Lines, and hours: ``by_job`` (job, band) -> h, ``reliefs`` those of them by reliefs (h)."""

    lines: tuple[Line, ...]
    by_job: dict[tuple[str, str], float]
    reliefs: float


def labour(basis: Basis, hours: Sequence[Hours]) -> Labour:
    """What people are paid for.

    Everybody is paid from coming to going (``people.presences``); after the longest shift somebody
    else is paid instead, for the least paid time or more.
    """
    prices = basis.scenario.prices
    quantity: dict[str, float] = defaultdict(float)
    amount: dict[str, float] = defaultdict(float)
    by_job: dict[tuple[str, str], float] = defaultdict(float)
    relieved, bands = 0.0, overtime_keys(prices)
    for shift, paid in _paid(basis, hours):
        crew = basis.scenario.crews[basis.plan.fronts[shift.there.front].crew]
        jobs = jobs_of(crew, shift.there)
        pay = sum(persons * prices.rate(job) for job, persons in jobs.items())
        parts = tuple(_parts(prices, bands, paid))
        for key, time, as_plain in parts:
            quantity[key] += shift.there.persons * time / HOUR
            amount[key] += pay * as_plain
        for job, persons in jobs.items():
            for key, time, _ in parts:
                by_job[job, key] += persons * time / HOUR
        quantity["travel"] += shift.there.persons * prices.travel_paid / HOUR
        amount["travel"] += pay * prices.travel_paid
        quantity["fares"] += shift.there.persons
        amount["fares"] += shift.there.persons * prices.fare
        relieved += shift.there.persons * paid.all / HOUR * shift.relief
    lines = tuple(Line(key, quantity[key], amount[key]) for key in labour_keys(prices))
    return Labour(lines, dict(by_job), relieved)


def labour_keys(prices: Prices) -> tuple[str, ...]:
    """Keys of the lines of labour, in order."""
    return ("plain", *overtime_keys(prices), "night", "weekend", "least", "travel", "fares")


def overtime_keys(prices: Prices) -> tuple[str, ...]:
    """Keys of the overtime lines, a band each."""
    return tuple(f"{OVERTIME}{band.after / HOUR:g}" for band in prices.bands)


def _parts(
    prices: Prices, overtime: Sequence[str], paid: Paid
) -> Iterator[tuple[str, float, float]]:
    """Key of the line, time in it (s), and the pay for it as plain time (s)."""
    yield "plain", paid.plain, paid.plain
    yield "least", paid.least, paid.least
    bands = zip(overtime, prices.bands, paid.overtime, strict=True)
    for key, band, time in bands:
        yield key, time, time * band.factor
    yield "night", paid.night, paid.night_extra
    yield "weekend", paid.weekend, paid.weekend_extra


def _paid(basis: Basis, hours: Sequence[Hours]) -> Iterator[tuple[Shift, Paid]]:
    scenario = basis.scenario
    weekday = scenario.date.weekday()
    for shift in shifts_of(basis, hours):
        front = basis.plan.fronts[shift.there.front]
        works_on = shift.there.who == "crew" and (
            scenario.crews[front.crew].breaks_taken == AFTER_POUR
        )
        breaks = [] if works_on else break_times(scenario.site, front.start)
        yield shift, paid_time(shift.begin, shift.end, breaks, scenario.prices, weekday)
