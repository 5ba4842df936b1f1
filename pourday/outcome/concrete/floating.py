"""When the power float may first go on: a stated condition, and no bleed water on the surface.

The condition: a foot leaves no more than 6 mm and no bleed water stands. Its clock runs from
placing. Source: ASCC Position Statement 15, whose survey has floating begin after 4.25, 2.75 and
1.75 h at 50, 70 and 90 °F.
"""

from __future__ import annotations

import numpy as np

from pourday.concrete.age import arrhenius_rate, equivalent_age
from pourday.concrete.bleed import accumulated_bleed
from pourday.concrete.temperature import concrete_temperature
from pourday.outcome.base.basis import Basis, Floats, Ints
from pourday.outcome.base.fronts import Fronts
from pourday.outcome.concrete.drying import rate_off

HOUR, STEP = 3600.0, 1200.0
"""Seconds in an hour; time between two looks at the water on the surface, s."""


def floating_from(basis: Basis, found: Fronts, initial: Floats) -> Floats:
    """When the float may go on each piece (N,), s, in the air of its day.

    ``initial`` (N,) s is when each reaches initial set: by then bleeding is over, and what still
    stands is dragged off (common practice, no source).
    """
    placed = np.maximum(found.time_low, found.time_high)
    relax = basis.relax_on(basis.day_of(found.strip))
    there = concrete_temperature(relax, placed, found.batched, found.temperature)
    firm = np.minimum(
        basis.floating.at(placed, there, relax if basis.varied else None),
        np.maximum(initial, placed),
    )
    return np.maximum(firm, _water_gone(basis, found, firm, initial))


def _water_gone(basis: Basis, found: Fronts, firm: Floats, initial: Floats) -> Floats:
    """``firm``, or the first look after it at which no bleed water stands.

    ``initial`` at the latest. Water stands where more has risen than the air has taken, counted on
    from when it last was dry.
    """
    placed, day = np.maximum(found.time_low, found.time_high), basis.day_of(found.strip)
    before = _looks(basis.days, day, placed, firm)
    after = _looks(basis.days, day, firm, np.maximum(initial, firm))
    when = np.concatenate([before, after[:, 1:]], axis=1)
    mix, q = basis.scenario.mix, basis.scenario.mix.set_activation
    relax = basis.relax_on(day[:, None])
    warm = concrete_temperature(relax, when, found.batched[:, None], found.temperature[:, None])
    rate = rate_off(basis, when, warm, basis.scenario.measures, day[:, None])
    taken = _summed(rate, when) / HOUR
    age = _summed(arrhenius_rate(warm, q), when)
    own = basis.relax_on(day)
    age += equivalent_age(own, found.batched, placed, found.temperature, q)[:, None]
    risen = accumulated_bleed(age, age[:, :1], mix.initial_set + mix.retarder, mix.bleed)
    lead = risen - taken
    standing = lead - np.minimum.accumulate(lead, axis=1)
    dry = standing[:, before.shape[1] - 1 :] <= 1e-6
    dry[:, -1] = True
    return np.asarray(after[np.arange(len(after)), dry.argmax(axis=1)])


def _looks(days: int, day: Ints, start: Floats, end: Floats) -> Floats:
    """Times from ``start`` to ``end`` (N,), as many for all pieces of a day, a step apart at most.

    Rows of a day with fewer looks than another end with looks at ``end``, where nothing changes.
    """
    longest = np.zeros(days)
    np.maximum.at(longest, day, end - start)
    steps = np.maximum(1, np.ceil(longest / STEP).astype(np.intp))
    look = np.arange(steps.max(initial=1) + 1)
    share = np.where(look < steps[:, None], look * (1.0 / steps[:, None]), 1.0)
    return np.asarray(start[:, None] + (end - start)[:, None] * share[day])


def _summed(rate: Floats, when: Floats) -> Floats:
    """The integral of ``rate`` along each row from its first moment on."""
    out = np.zeros_like(rate)
    np.cumsum((rate[:, 1:] + rate[:, :-1]) / 2.0 * np.diff(when, axis=1), axis=1, out=out[:, 1:])
    return out
