"""Trips of every plant, with one factor of the day for all of them; changes and moves, without."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

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
from pourday.study.learn.rounded import FORMS, density
from pourday.study.learn.seen import Length, Lengths, lengths

# Another form than the file's is taken where it is so much likelier (log likelihood; chosen here).
_LIKELIER = 2.0
_LEAST_SPREAD, _MOST_SPREAD = 0.01, 3.0
REACH = 30.0
"""Odd lengths lie anywhere up to so many middle ones."""


@dataclass(frozen=True, eq=False)
class Fitted:
    """A form with its mean and sd (s), how many lengths and pours stand behind it.

    ``own`` (J,) is what each pour's factor was. ``of`` are the lengths.
    """

    form: str
    mean: Value
    sd: Value
    of: Lengths
    own: Floats


def fit_trips(
    travel: Mapping[int, Sequence[Length]], forms: Mapping[int, str]
) -> tuple[dict[int, Fitted], Value]:
    """Trips by plant, and the sd of the factor of the day that all of them share.

    ``forms`` are those of the file, by plant.
    """
    plants = sorted(travel)
    of = lengths([each for plant in plants for each in travel[plant]])
    which = np.repeat(np.arange(len(plants)), [len(travel[plant]) for plant in plants])
    best: tuple[Fit, list[str]] | None = None
    wanted = [forms[plant] if forms[plant] in FORMS else FORMS[0] for plant in plants]
    for tried in (wanted, *([form] * len(plants) for form in FORMS)):
        if best is not None and list(tried) == best[1]:
            continue
        found = fit(_logs(of, which, tried), *_guess(of, which))
        if best is None or found.value > best[0].value + _LIKELIER:
            best = found, list(tried)
    assert best is not None
    whole, taken = best
    logs = _logs(of, which, taken)
    some = near(logs, whole)
    without = leaving_out(of.pours, lambda keep: _numbers(some(keep)))
    own = np.exp(whole.places - whole.place)
    numbers = _numbers(whole)
    out = {}
    for n, plant in enumerate(plants):
        mine = which == n
        lengths_of = Lengths(of.pour[mine], of.seen[mine], (of.steps[0][mine], of.steps[1][mine]))
        mean = interval(numbers[1 + 2 * n], without[:, 1 + 2 * n])
        sd = interval(numbers[2 + 2 * n], without[:, 2 + 2 * n], SMALL_SD)
        out[plant] = Fitted(taken[n], mean, sd, lengths_of, own)
    return out, interval(numbers[0], without[:, 0], SMALL_DAY_SD)


def _numbers(found: Fit) -> Floats:
    """The sd of the day, then mean and sd of each plant, from a fit."""
    plants = (len(found.shape) + 1) // 2
    further = np.concatenate([[0.0], found.shape[plants:]])
    means = found.mean * np.exp(further)
    sds = means * np.exp(found.shape[:plants])
    return np.concatenate([[found.day_sd], np.stack([means, sds], axis=1).ravel()])


def _guess(of: Lengths, which: np.ndarray) -> tuple[Floats, Floats]:
    """Shape and places to begin with."""
    logs = np.log(of.seen)
    plants = int(which.max()) + 1
    middle = np.array([float(np.median(logs[which == n])) for n in range(plants)])
    spread = np.full(plants, np.log(0.2))
    places = np.array(
        [float(np.median((logs - middle[which])[of.pour == j])) for j in range(of.pours)]
    )
    return np.concatenate([spread, middle[1:] - middle[0]]), places + middle[0]


def _logs(of: Lengths, which: np.ndarray, forms: Sequence[str]) -> Logs:
    plants = len(forms)
    flat = ODD / (REACH * float(np.median(of.seen)))

    def _of(shape: Floats, places: Floats) -> Floats:
        spread = np.clip(np.exp(shape[:plants]), _LEAST_SPREAD, _MOST_SPREAD)
        further = np.concatenate([[0.0], shape[plants:]])
        out = np.empty((len(of.seen), places.shape[1]))
        for n, form in enumerate(forms):
            mine = which == n
            mean = np.exp(places[of.pour[mine]] + further[n])
            steps = (of.steps[0][mine, None], of.steps[1][mine, None])
            out[mine] = density(form, mean, spread[n], of.seen[mine, None], steps)
        return sum_by_pour(np.log((1 - ODD) * out + flat), of.pour, of.pours)

    return _of


def fit_short(times: Sequence[Length], form: str) -> Fitted:
    """A form for lengths that no day makes longer: changes of truck, moves."""
    of = lengths(times)
    form = form if form in FORMS else FORMS[0]
    guess = np.log([max(20.0, float(np.mean(of.seen))), 0.5])
    best = form, *fit_alike(_short_logs(of, form), guess, of.pours)
    for other in FORMS:
        if other != form:
            tried = fit_alike(_short_logs(of, other), guess, of.pours)
            best = (other, *tried) if tried[1] > best[2] + _LIKELIER else best
    form, shape, _ = best
    logs = _short_logs(of, form)
    without = np.exp(leaving_out(of.pours, lambda keep: fit_alike(logs, shape, of.pours, keep)[0]))
    mean, spread = np.exp(shape)
    return Fitted(
        form,
        interval(float(mean), without[:, 0]),
        interval(float(mean * spread), without[:, 0] * without[:, 1], SMALL_SD),
        of,
        np.ones(of.pours),
    )


def _short_logs(of: Lengths, form: str) -> Logs:
    flat = ODD / (REACH * max(60.0, float(np.median(of.seen))))

    def _of(shape: Floats, _: Floats) -> Floats:
        mean = np.exp(shape[0])
        spread = np.clip(np.exp(shape[1]), _LEAST_SPREAD, _MOST_SPREAD)
        found = density(form, mean, spread, of.seen, of.steps)
        return sum_by_pour(np.log((1 - ODD) * found + flat)[:, None], of.pour, of.pours)

    return _of
