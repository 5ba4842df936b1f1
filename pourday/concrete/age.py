"""Equivalent age: how old concrete behaves, when warm hours count for more than cool ones.

An hour at 30 °C stiffens concrete more than an hour at 20 °C. Open time, set and strength are
given at a reference temperature; the functions here translate between the clock and that age.

Source: ASTM C1074, equivalent age te = sum exp(-Q (1/Ta - 1/Ts)) dt with Q = Ea/R in kelvin
and the temperatures absolute. Setting and strength are different reactions with a Q each (so does
NT BUILD 476, value from memory); Q and the reference of 20 °C are arguments.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pourday.concrete.temperature import (
    Begun,
    Floats,
    Relaxation,
    advance,
    begun,
    concrete_temperature,
    in_a_row,
    rows_before,
    temperature_since,
)

ACTIVATION = 5000.0
"""Apparent activation temperature Q = Ea/R of strength, K (ASTM C1074: 40 to 45 kJ/mol; value from
memory)."""

SET_ACTIVATION = 4000.0
"""The same of the sets, K: near Burg, PCA Research and Development Bulletin RD113, whose sets take
up to 1.95 times as long at 10 °C and down to 0.68 times at 32 °C as at 23 °C."""

REFERENCE = 20.0
"""Temperature at which the mix times are given, °C."""

ZERO_CELSIUS = 273.15
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(4)
_NODES, _WEIGHTS = (_NODES + 1.0) / 2.0, _WEIGHTS / 2.0
# One time constant a panel keeps the four-point rule near 1e-7, even 20 K off the air at start.
_PANELS_PER_TAU = 1.0
_MOST_PANELS = 512.0
_AGE_TOLERANCE = 1e-8
_CLOCK_TOLERANCE = 1e-6


def arrhenius_rate(
    temperature: ArrayLike, activation: float = ACTIVATION, reference: float = REFERENCE
) -> Floats:
    """Seconds of equivalent age gained in one second at `temperature`.

    temperature, reference: °C. activation: K, 0 or more. Any shape; no unit. 1 at the
    reference. Raises ValueError at or below absolute zero, or for a negative activation.
    Source: ASTM C1074, the equivalent-age equation.
    """
    kelvin = np.asarray(temperature, dtype=float) + ZERO_CELSIUS
    if not np.all(kelvin > 0.0) or not reference > -ZERO_CELSIUS:
        raise ValueError("temperatures must lie above -273.15 °C")
    if not activation >= 0.0:
        raise ValueError(f"activation is {activation} K; it must be 0 or more")
    return np.asarray(np.exp(activation / (reference + ZERO_CELSIUS) - activation / kelvin))


def equivalent_age(
    relax: Relaxation,
    start: ArrayLike,
    end: ArrayLike,
    start_temperature: ArrayLike,
    activation: float = ACTIVATION,
    reference: float = REFERENCE,
) -> Floats:
    """Equivalent age at `end` of concrete batched at `start` with `start_temperature`.

    start, end: s since midnight, end not before start. start_temperature, reference: °C.
    activation: K. The three arrays broadcast; the result has their common shape, s at the
    reference temperature.

    Four-point Gauss-Legendre on panels cut at the weather rows, where the temperature has a
    kink, and at every time constant. Relative error under 1e-6 for tau = 0, for tau from
    3 minutes up over 12 h, and for tau = inf; a shorter tau only blurs the first minutes.

    Raises ValueError where end lies before start or a value is not finite.
    Source: ASTM C1074.
    """
    start, end, warm = _columns(start, end, start_temperature)
    if np.any(end < start):
        raise ValueError("equivalent age needs end at or after start")
    air = in_a_row(relax, start.shape)
    age = _age(air, start.ravel(), end.ravel(), warm.ravel(), activation, reference)
    return age.reshape(start.shape)


def equivalent_age_series(
    times: ArrayLike,
    temperatures: ArrayLike,
    activation: float = ACTIVATION,
    reference: float = REFERENCE,
) -> Floats:
    """Equivalent age along a temperature history, for days and weeks.

    times: (N,) s, strictly increasing. temperatures: (..., N) °C, linear between rows.
    Returns (..., N) s of equivalent age since times[0]; the first entry is 0.
    Raises ValueError for times that do not increase or shapes that do not fit.
    Source: ASTM C1074.
    """
    clock = np.asarray(times, dtype=float)
    history = np.asarray(temperatures, dtype=float)
    if clock.ndim != 1 or clock.size == 0 or history.shape[-1:] != clock.shape:
        raise ValueError(f"a history needs one temperature a time: {clock.shape}, {history.shape}")
    if not np.all(np.isfinite(clock)) or np.any(np.diff(clock) <= 0.0):
        raise ValueError("history times must be finite and increase (s)")
    between = history[..., :-1, None] + np.diff(history)[..., None] * _NODES
    gained = np.diff(clock) * (arrhenius_rate(between, activation, reference) @ _WEIGHTS)
    age = np.zeros_like(history)
    np.cumsum(gained, axis=-1, out=age[..., 1:])
    return age


def clock_time_at_equivalent_age(
    relax: Relaxation,
    start: ArrayLike,
    start_temperature: ArrayLike,
    target_age: ArrayLike,
    activation: float = ACTIVATION,
    reference: float = REFERENCE,
) -> Floats:
    """Clock time at which concrete batched at `start` reaches `target_age`.

    start: s since midnight. start_temperature, reference: °C. target_age: s at the reference
    temperature (open time, initial set, final set). The three broadcast; the result has their
    common shape, s since midnight. Equivalent age there agrees with the target to 1e-8 of it,
    or the time is known to a microsecond.

    Raises ValueError for a target that is negative or not finite.
    """
    begin, warm, target = _columns(start, start_temperature, target_age)
    if np.any(target < 0.0):
        raise ValueError("target_age must be 0 or more (s)")
    shape = begin.shape
    relax = in_a_row(relax, shape)
    begin, warm, target = begin.ravel(), warm.ravel(), target.ravel()
    # Concrete is never warmer than the warmest of its start and the air, nor cooler than the
    # coolest: the rate, and with it the answer, is bracketed from the outset.
    hottest = np.maximum(warm, relax.air.max())
    coldest = np.minimum(warm, relax.air.min())
    low = begin + target / arrhenius_rate(hottest, activation, reference)
    high = begin + target / arrhenius_rate(coldest, activation, reference)
    clock = np.clip(begin + target / arrhenius_rate(warm, activation, reference), low, high)
    for _ in range(100):
        excess = _age(relax, begin, clock, warm, activation, reference) - target
        found = (np.abs(excess) <= _AGE_TOLERANCE * target) | (high - low <= _CLOCK_TOLERANCE)
        if np.all(found):
            return clock.reshape(shape)
        low = np.where(excess < 0.0, clock, low)
        high = np.where(excess < 0.0, high, clock)
        now = concrete_temperature(relax, clock, begin, warm)
        newton = clock - excess / arrhenius_rate(now, activation, reference)
        inside = (newton > low) & (newton < high)
        clock = np.where(found, clock, np.where(inside, newton, (low + high) / 2.0))
    raise RuntimeError("no clock time found for the target age in 100 steps")


def _age(
    relax: Relaxation,
    start: Floats,
    end: Floats,
    warm: Floats,
    activation: float,
    reference: float,
) -> Floats:
    owner, left, width, before = _panels(relax, start, end)
    row = relax.row_before[before]
    slope = relax.slopes[before]
    # slope is 0 beyond the ends, so the air there is the end row's whatever the distance.
    air = relax.air[row] + slope * (left - relax.times[row])
    own = begun(relax, start, warm)  # once for each, not for each panel
    since = Begun(own.offset[owner], own.decayed[owner])
    base = temperature_since(relax, left, before, since)
    # A row a node, added up one after another: a panel's age must not depend on those beside it,
    # as it may in the last bit of a product of matrices.
    temperature = advance(base, air, slope, width * _NODES[:, None], relax.tau[before])
    rates = arrhenius_rate(temperature, activation, reference)
    gained = width * np.add.reduce(rates * _WEIGHTS[:, None], axis=0)
    return np.asarray(np.bincount(owner, gained, start.size), dtype=float)


def _panels(
    relax: Relaxation, start: Floats, end: Floats
) -> tuple[NDArray[np.intp], Floats, Floats, NDArray[np.intp]]:
    """Cut every interval at the weather rows inside it, then into panels short against tau.

    Returns for each panel: the interval it belongs to, its left end (s), its width (s) and the
    number of weather rows at or before it.
    """
    first = rows_before(relax, start)
    cuts = np.maximum(rows_before(relax, end, "left") - first, 0)
    owner = np.repeat(np.arange(start.size), cuts + 1)
    rank = _rank(cuts + 1)
    before = first[owner] + rank
    left = np.where(rank == 0, start[owner], relax.times[relax.row_before[before]])
    right = np.where(rank == cuts[owner], end[owner], relax.times[relax.row_after[before]])
    width = right - left
    tau = relax.tau[before]
    if tau.size and tau[0] == 0.0:
        return owner, left, width, before
    parts = np.ceil(np.minimum(width * (_PANELS_PER_TAU / tau), _MOST_PANELS))
    count = np.maximum(parts, 1.0).astype(np.intp)
    if np.all(count == 1):
        return owner, left, width, before
    piece = np.repeat(np.arange(count.size), count)
    width = (width / count)[piece]
    return owner[piece], left[piece] + _rank(count) * width, width, before[piece]


def _rank(counts: NDArray[np.intp]) -> NDArray[np.intp]:
    """0..c-1 for every c of counts, one after the other."""
    return np.arange(counts.sum()) - np.repeat(np.cumsum(counts) - counts, counts)


def _columns(*values: ArrayLike) -> tuple[Floats, ...]:
    columns = np.broadcast_arrays(*(np.asarray(value, dtype=float) for value in values))
    if not all(np.all(np.isfinite(column)) for column in columns):
        raise ValueError("times, temperatures and ages must be finite numbers")
    return tuple(columns)
