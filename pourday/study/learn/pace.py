"""What holds concrete up at the pump: trucks that let it go, or the crew that places it.

From on to off a load takes the longer of the two: what the truck needs to let it go (each truck its
own), and what pump and crew need to place it (each day its own). The chance that the longer of two
independent times is under t is the product of both chances (textbook: the largest of several), and
that product is blurred by rounding as in ``rounded``. Where one of the two always is the longer the
other is hidden: then nothing is said of it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pourday.study.learn.cells import Cells, edges_of
from pourday.study.learn.pours import (
    ODD,
    SMALL_DAY_SD,
    SMALL_SD,
    Fit,
    Floats,
    Logs,
    Value,
    fit,
    fit_alike,
    interval,
    leaving_out,
    near,
    sum_by_pour,
)
from pourday.study.learn.rounded import LOGNORMAL, below
from pourday.study.learn.seen import AtPump, Lengths, lengths
from pourday.study.learn.trips import REACH

# Both are told where a fit without one of them is so much less likely (log likelihood, for the two
# numbers that each takes; chosen here, twice what Akaike's rule asks).
_TOLD = 4.0

_LEAST_SPREAD, _MOST_SPREAD = 0.01, 2.0
# Gauss and Legendre's five points over one rounding.
_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(5)
BOTH, CREW, TRUCK = "both", "crew", "truck"


@dataclass(frozen=True, eq=False)
class Paced:
    """What was found at the pump. ``told`` is "both", "crew" or "truck".

    ``rate`` (by front) is the pace of the crew, or of the pump where that is the slower, against
    the file's; ``day_sd`` that of its factor of the day; ``noise`` the spread of what the crew
    takes beside. ``mean`` and ``sd`` (s) are of a truck's discharge of a full load. What is hidden
    is None. ``shares`` are the chances of each load's time (just below it, and up to it). ``cells``
    are what a figure draws.
    """

    told: str
    form: str
    of: Lengths
    rate: Mapping[int, Value]
    day_sd: Value | None
    noise: float
    mean: Value | None
    sd: Value | None
    shares: tuple[Floats, Floats]
    own: Floats
    cells: Cells


@dataclass(frozen=True, eq=False)
class _Loads:
    """All loads as arrays: lengths, share of a full load, planned time of the crew (s), front."""

    of: Lengths
    share: Floats
    crew: Floats
    front: NDArray[np.intp]
    form: str

    @property
    def fronts(self) -> int:
        """How many fronts they are of."""
        return int(self.front.max()) + 1


def fit_pace(at_pump: Mapping[int, Sequence[AtPump]], form: str, full: float) -> Paced:
    """What holds loads up at the pump; ``at_pump`` by front, ``full`` (s) the planned discharge."""
    numbers = sorted(at_pump)
    every = [each for number in numbers for each in at_pump[number]]
    loads = _Loads(
        lengths([each.length for each in every]),
        np.array([each.share for each in every]),
        np.array([each.crew for each in every]),
        np.repeat(np.arange(len(numbers)), [len(at_pump[number]) for number in numbers]),
        form,
    )
    further = np.zeros(loads.fronts - 1)
    places = _first_places(loads)
    crew_only = fit(_logs(loads, CREW), np.concatenate([[np.log(0.1)], further]), places)
    guess = np.log([max(full, 60.0), 0.25])
    truck = fit_alike(_logs(loads, TRUCK), guess, loads.of.pours)
    begin = np.concatenate([crew_only.shape, truck[0]])
    begin[0] = np.log(0.06)
    logs = _logs(loads, BOTH)
    starts = _starts(begin, places, full)
    both = fit(logs, *max(starts, key=lambda s: float(logs(s[0], s[1][:, None]).sum())))
    if both.value < crew_only.value + _TOLD and crew_only.value >= truck[1]:
        return _crew_alone(loads, crew_only, numbers)
    if both.value < truck[1] + _TOLD:
        return _truck_alone(loads, truck[0])
    return _both(loads, both, numbers)


def _starts(begin: Floats, places: Floats, full: float) -> list[tuple[Floats, Floats]]:
    """First guesses: trucks as planned and a crew a little quicker than what was seen; and the
    other way round."""
    planned, quick = begin.copy(), begin.copy()
    planned[-2:] = np.log([max(full, 60.0), 0.2])
    quick[-2] -= 0.15
    return [(planned, places - 0.1), (quick, places - 0.05)]


def _first_places(loads: _Loads) -> Floats:
    logs = np.log(loads.of.seen / loads.crew)
    return np.array([float(np.median(logs[loads.of.pour == j])) for j in range(loads.of.pours)])


def _logs(loads: _Loads, told: str) -> Logs:
    """Log likelihood of the pours; shape: noise, further fronts, discharge mean and spread."""
    of = loads.of
    flat = ODD / (REACH * float(np.median(of.seen)))

    def _of(shape: Floats, places: Floats) -> Floats:
        cdf = _cdf(loads, told, shape, places)
        first, second = of.steps[0][:, None], of.steps[1][:, None]
        found = np.zeros((len(of.seen), places.shape[1]))
        for point, weight in zip(_POINTS, _WEIGHTS, strict=True):
            at = of.seen[:, None] + point * first / 2
            found += weight / 2 * (cdf(at + second / 2) - cdf(at - second / 2)) / second
        return sum_by_pour(np.log((1 - ODD) * np.maximum(found, 0.0) + flat), of.pour, of.pours)

    return _of


def _cdf(loads: _Loads, told: str, shape: Floats, places: Floats) -> Callable[[Floats], Floats]:
    """The chance of a time at the pump (N, K) or less."""
    from scipy.special import ndtr

    fronts = loads.fronts
    if told != TRUCK:
        noise = np.clip(np.exp(shape[0]), _LEAST_SPREAD, _MOST_SPREAD)
        further = np.concatenate([[0.0], shape[1:fronts]])
        middle = places[loads.of.pour] + (np.log(loads.crew) + further[loads.front])[:, None]
    if told != CREW:
        mean = np.exp(shape[-2]) * loads.share[:, None]
        spread = np.clip(np.exp(shape[-1]), _LEAST_SPREAD, _MOST_SPREAD)

    def _below(time: Floats) -> Floats:
        time = np.maximum(time, 1.0)
        out = np.ones_like(time)
        if told != TRUCK:
            out = ndtr((np.log(time) - middle) / noise)
        if told != CREW:
            out = out * below(loads.form, mean, spread, time)
        return np.asarray(out)

    return _below


def _shares(loads: _Loads, told: str, shape: Floats, places: Floats) -> tuple[Floats, Floats]:
    """The chance of less than each time as noted, and of it or less (N,)."""
    cdf = _cdf(loads, told, shape, places[:, None])
    first, second = (step[:, None] for step in loads.of.steps)
    out = [np.zeros(len(loads.share)), np.zeros(len(loads.share))]
    for point, weight in zip(_POINTS, _WEIGHTS, strict=True):
        for n, side in enumerate((-0.5, 0.5)):
            at = loads.of.seen[:, None] + side * second + point * first / 2
            out[n] += weight / 2 * cdf(at)[:, 0]
    return out[0], out[1]


def _cells(loads: _Loads, told: str, shape: Floats, places: Floats) -> Cells:
    """How many loads took so long, and how many the fit has there."""
    edges = edges_of(loads.of)
    cdf = _cdf(loads, told, shape, places[:, None])
    blur = (loads.of.steps[0] + loads.of.steps[1])[:, None] / 2
    below_edge = np.array(
        [
            sum(
                w / 2 * cdf(edge + p * blur / 2).sum()
                for p, w in zip(_POINTS, _WEIGHTS, strict=True)
            )
            for edge in edges
        ]
    )
    seen = np.histogram(loads.of.seen, edges)[0].astype(float)
    return Cells(edges, seen, np.diff(below_edge))


def _crew_numbers(found: Fit, fronts: int) -> Floats:
    """The sd of the day, and the rate against the file's of every front.

    Places are logs of times: a pace of mean 1 in a factor whose log has this variance.
    """
    rate = np.exp(-found.place + found.variance / 2)
    further = np.concatenate([[0.0], found.shape[1:fronts]])
    return np.concatenate([[found.day_sd], rate * np.exp(-further)])


def _crew_alone(loads: _Loads, found: Fit, numbers: Sequence[int]) -> Paced:
    logs = _logs(loads, CREW)
    own = _crew_numbers(found, loads.fronts)
    some = near(logs, found)
    without = leaving_out(loads.of.pours, lambda keep: _crew_numbers(some(keep), loads.fronts))
    rate = {n: interval(own[1 + k], without[:, 1 + k]) for k, n in enumerate(numbers)}
    day_sd = interval(own[0], without[:, 0], SMALL_DAY_SD)
    shares = _shares(loads, CREW, found.shape, found.places)
    noise = float(np.exp(found.shape[0]))
    days = np.exp(found.place - found.places)
    cells = _cells(loads, CREW, found.shape, found.places)
    return Paced(CREW, LOGNORMAL, loads.of, rate, day_sd, noise, None, None, shares, days, cells)


def _truck_alone(loads: _Loads, shape: Floats) -> Paced:
    pours = loads.of.pours
    logs = _logs(loads, TRUCK)
    without = np.exp(leaving_out(pours, lambda keep: fit_alike(logs, shape, pours, keep)[0]))
    mean, spread = np.exp(shape)
    shares = _shares(loads, TRUCK, shape, np.zeros(pours))
    return Paced(
        TRUCK, loads.form, loads.of, {}, None, 0.0,
        interval(float(mean), without[:, 0]),
        interval(float(mean * spread), without[:, 0] * without[:, 1], SMALL_SD),
        shares, np.ones(pours), _cells(loads, TRUCK, shape, np.zeros(pours)),
    )  # fmt: skip


def _both(loads: _Loads, found: Fit, numbers: Sequence[int]) -> Paced:
    logs = _logs(loads, BOTH)

    def _all(fitted: Fit) -> Floats:
        mean, spread = np.exp(fitted.shape[-2:])
        return np.concatenate([_crew_numbers(fitted, loads.fronts), [mean, mean * spread]])

    own = _all(found)
    some = near(logs, found)
    without = leaving_out(loads.of.pours, lambda keep: _all(some(keep)))
    return Paced(
        BOTH, loads.form, loads.of,
        {n: interval(own[1 + k], without[:, 1 + k]) for k, n in enumerate(numbers)},
        interval(own[0], without[:, 0], SMALL_DAY_SD),
        float(np.exp(found.shape[0])),
        interval(own[-2], without[:, -2]),
        interval(own[-1], without[:, -1], SMALL_SD),
        _shares(loads, BOTH, found.shape, found.places),
        np.exp(found.place - found.places),
        _cells(loads, BOTH, found.shape, found.places),
    )  # fmt: skip
