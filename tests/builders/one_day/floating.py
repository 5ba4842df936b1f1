"""When the float may go on, as it was worked out a day at a time."""

from __future__ import annotations

import numpy as np

from pourday.concrete.age import arrhenius_rate, equivalent_age
from pourday.concrete.bleed import accumulated_bleed
from pourday.concrete.temperature import Relaxation, concrete_temperature
from pourday.outcome.base.basis import Basis, Floats
from pourday.outcome.base.fronts import Fronts
from pourday.outcome.concrete.drying import surface_rate

HOUR, STEP = 3600.0, 1200.0
"""Seconds in an hour; time between two looks at the water on the surface, s."""


def floating_from(
    basis: Basis, found: Fronts, initial: Floats, relax: Relaxation | None = None
) -> Floats:
    """When the float may go on each piece (N,), s.

    ``initial`` (N,) s is when each reaches initial set: by then bleeding is over, and what still
    stands is dragged off (common practice, no source). ``relax`` is that day's air; the scenario's
    rows unless told.
    """
    placed = np.maximum(found.time_low, found.time_high)
    air = relax or basis.relax
    there = concrete_temperature(air, placed, found.batched, found.temperature)
    firm = np.minimum(basis.floating.at(placed, there, relax), np.maximum(initial, placed))
    return np.maximum(firm, _water_gone(basis, found, firm, initial))


def _water_gone(basis: Basis, found: Fronts, firm: Floats, initial: Floats) -> Floats:
    """``firm``, or the first look after it at which no bleed water stands.

    ``initial`` at the latest. Water stands where more has risen than the air has taken, counted on
    from when it last was dry.
    """
    placed = np.maximum(found.time_low, found.time_high)
    before, after = _looks(placed, firm), _looks(firm, np.maximum(initial, firm))
    when = np.concatenate([before, after[:, 1:]], axis=1)
    batched, warm = found.batched[:, None], found.temperature[:, None]
    mix, relax, q = basis.scenario.mix, basis.relax, basis.scenario.mix.set_activation
    taken = _summed(surface_rate(basis, when, batched, warm, basis.scenario.measures), when) / HOUR
    age = _summed(arrhenius_rate(concrete_temperature(relax, when, batched, warm), q), when)
    age += equivalent_age(relax, found.batched, placed, found.temperature, q)[:, None]
    risen = accumulated_bleed(age, age[:, :1], mix.initial_set + mix.retarder, mix.bleed)
    lead = risen - taken
    standing = lead - np.minimum.accumulate(lead, axis=1)
    dry = standing[:, before.shape[1] - 1 :] <= 1e-6
    dry[:, -1] = True
    return np.asarray(after[np.arange(len(after)), dry.argmax(axis=1)])


def _looks(start: Floats, end: Floats) -> Floats:
    """Times from ``start`` to ``end`` (N,), as many for each, no further apart than a step."""
    count = max(2, int(np.ceil(np.max(end - start, initial=0.0) / STEP)) + 1)
    return np.asarray(start[:, None] + (end - start)[:, None] * np.linspace(0.0, 1.0, count))


def _summed(rate: Floats, when: Floats) -> Floats:
    """The integral of ``rate`` along each row from its first moment on."""
    out = np.zeros_like(rate)
    np.cumsum((rate[:, 1:] + rate[:, :-1]) / 2.0 * np.diff(when, axis=1), axis=1, out=out[:, 1:])
    return out
