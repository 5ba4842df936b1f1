"""What the deck felt over a day: load states in, peaks and shares of resistance out.

A state is one row of loads. The whole day is one matrix product, so a thousand states cost little
more than one; what each state does at its worst are the bounds of :mod:`pourday.deck.factors`.
Signs are those of :class:`pourday.deck.beam.Influence`.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pourday.deck.beam import Influence
from pourday.deck.effects import Effects, Resistance, Where, checked, end_reaction, stacked
from pourday.deck.factors import Bounds

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Response:
    """Response of one sheet run in K states, per metre width."""

    moment: Floats
    """(K, S) N m/m at the stations, sagging positive."""
    deflection: Floats
    """(K, S) m at the stations, downward positive."""
    reaction: Floats
    """(K, n+1) N/m, upward positive."""
    support_moment: Floats
    """(K, n+1) N m/m over the supports, hogging negative."""


class UseCause(IntEnum):
    """Which check used the greatest share of resistance."""

    SAG_MOMENT = 0
    INNER_SUPPORT = 1
    END_REACTION = 2


@dataclass(frozen=True)
class Peak:
    """One extreme value: how much (sign as in Influence), in which state, at which x in m."""

    value: float
    state: int
    x: float


@dataclass(frozen=True)
class Extremes:
    """Extremes of a sheet run over all its states, by one set of factors."""

    sag_moment: Peak
    """N m/m, the greatest moment at stations and supports."""
    hog_moment: Peak
    """N m/m, the least moment, negative where the deck hogs."""
    reaction: Peak
    """N/m, the greatest reaction."""
    uplift: Peak
    """N/m, the least reaction; negative is uplift, otherwise no support lifted."""


@dataclass(frozen=True, eq=False)
class Peaks:
    """Extremes of a sheet run over all its states, unfactored and factored, and the shares."""

    plain: Extremes
    """With the loads as they are."""
    factored: Extremes
    """With partial factors."""
    deflection: Peak
    """m, the greatest sag, unfactored."""
    use: Floats
    """(K,) greatest share of resistance used in each state, 1 = used up; nan: not judged."""
    use_cause: NDArray[np.intp]
    """(K,) codes of :class:`UseCause`."""
    use_x: Floats
    """(K,) m, where."""


@dataclass(frozen=True, eq=False)
class Balance:
    """Greatest difference of load between the two spans at each of the n-1 inner supports."""

    x: Floats
    """(n-1,) m, the inner supports."""
    difference: Floats
    """(n-1,) N/m, load on the right span less load on the left, where its size is greatest."""
    state: NDArray[np.intp]
    """(n-1,) the state in which it occurs (the first, if several)."""


def respond(influence: Influence, pressures: ArrayLike) -> Response:
    """Response to K load states.

    `pressures` (K, C+P): Pa on each cell, then N/m at each point. ValueError on another width.
    """
    states = _states(pressures, influence.moment.shape[1])
    return Response(
        moment=states @ influence.moment.T,
        deflection=states @ influence.deflection.T,
        reaction=states @ influence.reaction.T,
        support_moment=states @ influence.support_moment.T,
    )


def effects_of_response(response: Response, resistance: Resistance | None) -> Floats:
    """(K, R) the rows of :class:`Effects` in each of the K states of a response."""
    r = response
    parts = (r.deflection.T, r.moment.T, r.support_moment.T, r.reaction.T)
    return np.asarray(stacked(*parts, resistance).T)


def response_of_effects(found: Floats, effects: Effects) -> Response:
    """K states of a run from all their effects (K, R)."""
    where, stations = effects.plain, len(effects.stations)
    return Response(
        moment=found[:, stations : 2 * stations],
        deflection=found[:, where.deflection],
        reaction=found[:, where.reaction],
        support_moment=found[:, where.support_moment],
    )


def peaks(
    plain: Bounds, factored: Bounds, effects: Effects, resistance: Resistance | None
) -> Peaks:
    """Extremes over all K states and the share of resistance used in each; see :func:`shares`.

    ``plain`` and ``factored`` are bounds of those ``effects`` that are wanted of each, without and
    with partial factors.
    Without a resistance no share is judged.

    ValueError where there is no state or a resistance is not above zero.
    """
    if not len(plain.most):
        raise ValueError("no load state to look at")
    use, cause, where = _use(factored, effects, resistance)
    sag = plain.most[:, effects.plain.deflection]
    return Peaks(
        plain=_extremes(plain, effects, effects.plain),
        factored=_extremes(factored, effects, effects.factored),
        deflection=_peak(sag, effects.stations, 1.0),
        use=use,
        use_cause=cause,
        use_x=where,
    )


def balance(
    supports: ArrayLike, cells: ArrayLike, pressures: ArrayLike, points: ArrayLike = ()
) -> Balance:
    """Compare the loads on the two spans beside every inner support, in every state.

    `supports` (n+1,) m; `cells` (C, 2) m, split by length where they straddle a support;
    `pressures` (K, C+P) Pa and N/m; `points` (P,) m, a load right over a support counts for
    neither side. ValueError where shapes do not fit or there is no state.
    """
    run = np.asarray(supports, dtype=float)
    edges = np.asarray(cells, dtype=float).reshape(-1, 2)
    at = np.asarray(points, dtype=float).reshape(-1)
    states = _states(pressures, len(edges) + len(at))
    if not len(states):
        raise ValueError("no load state to look at")
    left, right = run[:-1, None], run[1:, None]
    share = np.clip(np.minimum(edges[:, 1], right) - np.maximum(edges[:, 0], left), 0.0, None)
    on_span = np.hstack([share, ((at > left) & (at < right)).astype(float)])
    difference = np.diff(states @ on_span.T, axis=1)
    state = np.argmax(np.abs(difference), axis=0)
    return Balance(run[1:-1], difference[state, np.arange(len(state))], state)


def shares(
    factored: Bounds, effects: Effects, resistance: Resistance
) -> tuple[tuple[Floats, Floats], ...]:
    """Share of resistance used in every state (K,) and place, and the places, by check.

    In the order of :class:`UseCause`: (K, S + n+1) sagging moment at stations and supports,
    (K, n-1) moment and reaction at inner supports, alone and together (EN 1993-1-3:2006 6.1.11,
    resistance by the moment's sign; :func:`pourday.deck.limits.moment_reaction_use`), (K, 2) the
    reaction at end supports. Hogging between supports needs no check of its own: under downward
    load the moment of a span is least at one of its ends.

    ValueError where a resistance is not above zero.
    """
    span, inner, end = (
        np.maximum.reduce([np.maximum(each, 0.0) / limit for each, limit in check])
        for check in judged(factored, effects, resistance)
    )
    supports = effects.supports
    return (span, effects.places), (inner, supports[1:-1]), (end, supports[[0, -1]])


Judged = tuple[tuple[Floats, float], ...]
"""Effects (K, places) and what each of them may be at most."""


def judged(factored: Bounds, effects: Effects, resistance: Resistance) -> tuple[Judged, ...]:
    """The effects behind :func:`shares`, check by check, with the limit each is divided by.

    Each is a bound by itself, or the opposite of one, so that it grows with a load as bounds do.
    """
    r = checked(resistance)
    inner = len(effects.supports) - 2
    where = effects.factored
    over = slice(where.support_moment.start + 1, where.support_moment.stop - 1)
    reaction = factored.most[:, where.reaction]
    pressed = factored.most[:, where.pressed]
    # The most of the sum of both shares is not the sum of the most of each.
    return (
        ((factored.most[:, where.moment], r.sag_moment),),
        (
            (factored.most[:, over], r.sag_moment),
            (-factored.least[:, over], r.hog_moment),
            (reaction[:, 1:-1], r.reaction),
            (pressed[:, :inner], 1.25),
            (pressed[:, inner:], 1.25),
        ),
        ((reaction[:, [0, -1]], end_reaction(r)),),
    )


def worse_is_more(found: Bounds, where: Where) -> dict[str, Floats]:
    """The effects behind each quantity of :class:`Extremes`, (K, places): the more, the worse."""
    return {
        "sag_moment": found.most[:, where.moment],
        "hog_moment": -found.least[:, where.moment],
        "reaction": found.most[:, where.reaction],
        "uplift": -found.least[:, where.reaction],
    }


def _extremes(found: Bounds, effects: Effects, where: Where) -> Extremes:
    its = worse_is_more(found, where)
    return Extremes(
        sag_moment=_peak(its["sag_moment"], effects.places, 1.0),
        hog_moment=_peak(its["hog_moment"], effects.places, -1.0),
        reaction=_peak(its["reaction"], effects.supports, 1.0),
        uplift=_peak(its["uplift"], effects.supports, -1.0),
    )


def _use(
    factored: Bounds, effects: Effects, resistance: Resistance | None
) -> tuple[Floats, NDArray[np.intp], Floats]:
    """Greatest share of every state, the check it comes from, and where."""
    rows = np.arange(len(factored.most))
    if resistance is None:
        unknown = np.full(len(rows), np.nan)
        return unknown, np.zeros(len(rows), dtype=np.intp), unknown
    greatest = np.zeros((3, len(rows)))
    spots = np.zeros_like(greatest)
    for cause, (share, x) in enumerate(shares(factored, effects, resistance)):
        if share.shape[1]:  # a single span has no inner support
            worst = np.argmax(share, axis=1)
            greatest[cause], spots[cause] = share[rows, worst], x[worst]
    cause_of = np.argmax(greatest, axis=0)
    return greatest[cause_of, rows], cause_of, spots[cause_of, rows]


def _peak(worse: Floats, places: Floats, sign: float) -> Peak:
    """The greatest of ``worse`` (K, places), which are values of this sign."""
    state, place = np.unravel_index(int(np.argmax(worse)), worse.shape)
    return Peak(float(sign * worse[state, place]), int(state), float(places[place]))


def _states(pressures: ArrayLike, width: int) -> Floats:
    states = np.asarray(pressures, dtype=float)
    if states.ndim != 2 or states.shape[1] != width:
        raise ValueError(
            f"pressures are {states.shape}; they must be (states, {width}), a column a load"
        )
    return states
