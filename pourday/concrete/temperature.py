"""Air through the day, and concrete that starts as delivered and relaxes to it.

Think of a cup of tea on a windowsill: it forgets how hot it was poured with a time constant
tau, and follows the room, always a little late. The air is piecewise linear between weather
rows, so the lagging temperature has an exact closed form: no time stepping, no step size.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Rows = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Air:
    """Weather rows: linear between rows, constant beyond the ends.

    times: (N,) s since midnight, strictly increasing. temperature: (N,) °C.
    humidity: (N,) relative humidity 0..1. wind: (N,) m/s, not negative.

    Raises ValueError for rows of unequal length, times that do not increase, or values that
    are not finite or out of range.
    """

    times: Floats
    temperature: Floats
    humidity: Floats
    wind: Floats

    def __post_init__(self) -> None:  # noqa: D105
        _check_rows(self.times, self.temperature)
        _check_rows(self.times, self.humidity)
        _check_rows(self.times, self.wind)
        if np.any(self.humidity < 0.0) or np.any(self.humidity > 1.0):
            raise ValueError("air humidity must lie in 0..1")
        if np.any(self.wind < 0.0):
            raise ValueError("air wind must not be negative (m/s)")


def at(times: ArrayLike, values: ArrayLike, t: ArrayLike) -> Floats:
    """Value of a weather row at time t: linear between rows, constant beyond the ends.

    times: (N,) s, increasing. values: (N,), any unit. t: any shape, s.
    Returns an array of the shape of t, in the unit of values.
    """
    rows, row_values = np.asarray(times, dtype=float), np.asarray(values, dtype=float)
    return np.asarray(np.interp(np.asarray(t, dtype=float), rows, row_values), dtype=np.float64)


@dataclass(frozen=True, eq=False)
class Relaxation:
    """Air, time constants and one particular solution of dT/dt = (Ta(t) - T) / tau.

    Build it once a day with `relaxation` (one time constant) or `slab_relaxation` of
    :mod:`pourday.concrete.cooling` (one for every hour of wind); every batch of concrete then
    differs from the particular solution only by a decaying exponential of its own start.

    times: (N,) s. air: (N,) °C. tau: (N + 1,) s and slopes: (N + 1,) °C/s, entry k holds where
    k rows lie at or before the moment (slope 0 beyond both ends). particular: (N,) °C at the
    rows. rates: (N + 1,) 1 / tau (1/s), 0 for tau = inf and for tau = 0, where none is needed.
    decay: (N,) the integral of dt / tau from the first row.
    """

    times: Floats
    air: Floats
    tau: Floats
    slopes: Floats
    particular: Floats
    rates: Floats
    decay: Floats


@dataclass(frozen=True, eq=False)
class Begun:
    """Concrete as it was batched, of any shape: what its later temperatures need of that moment.

    offset: °C by which it differs from the particular solution. decayed: the integral of dt / tau
    from the first row until then.
    """

    offset: Floats
    decayed: Floats


def relaxation(air_times: ArrayLike, air_temperature: ArrayLike, tau: float | Floats) -> Relaxation:
    """Solve dT/dt = (Ta(t) - T) / tau at the weather rows, once, exactly.

    air_times: (N,) s, strictly increasing. air_temperature: (N,) °C. tau: s, one number, or
    (N + 1,) where it differs: before the first row, between rows, after the last. 0 everywhere
    means that the concrete follows the air, inf that it stays as delivered.

    The particular solution is the one that has always been in the constant air before the
    first row. Raises ValueError for tau below 0 or nan, or for bad rows.
    Source: Newton's law of cooling, one node for the slab; first-order linear ODE.
    """
    times = np.array(air_times, dtype=float)
    air = np.array(air_temperature, dtype=float)
    _check_rows(times, air)
    taus = np.asarray(tau, dtype=float) * np.ones(times.size + 1)
    if not np.all(taus >= 0.0) or (taus.min() == 0.0) != (taus.max() == 0.0):
        raise ValueError(f"tau is {tau} s; it must be 0 everywhere or more than 0 (inf is allowed)")
    steps = np.diff(times)
    slopes = np.concatenate(([0.0], np.diff(air) / steps, [0.0]))
    particular = np.empty_like(air)
    # As in `advance`, row after row; in plain numbers, which are quicker one by one.
    lost, lag = _decay(steps, taus[1:-1])
    drift = slopes[1:-1] * (steps - lag)
    value = particular[0] = float(air[0])
    rows = zip(air.tolist(), lost.tolist(), drift.tolist(), strict=False)
    for k, (around, share, more) in enumerate(rows, start=1):
        value = particular[k] = value + (around - value) * share + more
    decay = np.zeros_like(air)
    rates = np.asarray(1.0 / np.where(taus > 0.0, taus, np.inf))
    np.cumsum(steps * rates[1:-1], out=decay[1:])
    return Relaxation(times, air, taus, slopes, particular, rates, decay)


def advance(
    temperature: ArrayLike, air: ArrayLike, slope: ArrayLike, elapsed: ArrayLike, tau: ArrayLike
) -> Floats:
    """Concrete temperature after `elapsed` in air that starts at `air` and changes linearly.

    temperature, air: °C at the start. slope: °C/s of the air. elapsed: s, 0 or more. tau: s.
    The arrays broadcast. Returns °C. Exact: with x = elapsed / tau,
    T = T0 + (Ta - T0)(1 - e^-x) + slope (elapsed - tau (1 - e^-x)).
    """
    start, step = np.asarray(temperature, dtype=float), np.asarray(elapsed, dtype=float)
    lost, lag = _decay(step, np.asarray(tau, dtype=float))
    return np.asarray(start + (air - start) * lost + np.asarray(slope) * (step - lag))


def concrete_temperature(
    relax: Relaxation, t: ArrayLike, start_time: ArrayLike, start_temperature: ArrayLike
) -> Floats:
    """Temperature at t of concrete batched at start_time with start_temperature.

    t, start_time: s since midnight, t not before start_time. start_temperature: °C. The three
    broadcast; the result has their common shape, °C. With tau = 0 it is the air at t, whatever
    the start. Raises ValueError where t lies before start_time.
    """
    now, start = np.asarray(t, dtype=float), np.asarray(start_time, dtype=float)
    if np.any(now < start):
        raise ValueError("concrete has no temperature before it is batched: t < start_time")
    since = begun(relax, start, start_temperature)
    return temperature_since(relax, now, rows_before(relax, now), since)


def rows_before(relax: Relaxation, t: Floats) -> Rows:
    """How many weather rows lie at or before t (s), in the shape of t."""
    return np.asarray(np.searchsorted(relax.times, t, side="right"))


def begun(relax: Relaxation, start: Floats, warm: ArrayLike) -> Begun:
    """What concrete batched at start (s) and that warm (°C) brings along; they broadcast."""
    before = rows_before(relax, start)
    offset = np.asarray(warm, dtype=float) - _particular(relax, start, before)
    return Begun(offset, _decayed(relax, start, before))


def temperature_since(relax: Relaxation, now: Floats, before: Rows, since: Begun) -> Floats:
    """`concrete_temperature` at now (s), with so many rows before it, of what has begun."""
    kept = 0.0 if relax.tau[0] == 0.0 else np.exp(since.decayed - _decayed(relax, now, before))
    return np.asarray(_particular(relax, now, before) + since.offset * kept)


def _particular(relax: Relaxation, t: Floats, before: Rows) -> Floats:
    row = np.maximum(before - 1, 0)
    # Before the first row the particular solution is constant, so elapsed 0 is exact there.
    elapsed = np.maximum(t - relax.times[row], 0.0)
    tau, slope = relax.tau[before], relax.slopes[before]
    return advance(relax.particular[row], relax.air[row], slope, elapsed, tau)


def _decayed(relax: Relaxation, t: Floats, before: Rows) -> Floats:
    """The integral of dt / tau from the first row to t; below 0 before it."""
    row = np.maximum(before - 1, 0)
    return np.asarray(relax.decay[row] + (t - relax.times[row]) * relax.rates[before])


def _decay(elapsed: Floats, tau: Floats) -> tuple[Floats, Floats]:
    """Return 1 - e^(-elapsed/tau) and tau times it (s), with the limits tau = 0 and tau = inf."""
    usual = (tau > 0.0) & np.isfinite(tau)
    if usual.all():
        # expm1 keeps the lag exact where elapsed is far below tau.
        lost = -np.expm1(-elapsed / tau)
        return lost, tau * lost
    some = np.where(usual, tau, 1.0)
    lost = np.where(usual, -np.expm1(-elapsed / some), np.where(tau == 0.0, 1.0, 0.0))
    lag = np.where(usual, some * lost, np.where(tau == 0.0, 0.0, elapsed))
    return np.asarray(lost), np.asarray(lag)


def _check_rows(times: Floats, values: Floats) -> None:
    if times.ndim != 1 or times.size == 0 or values.shape != times.shape:
        raise ValueError(
            f"weather rows need one value a time: times {times.shape}, values {values.shape}"
        )
    if not (np.all(np.isfinite(times)) and np.all(np.isfinite(values))):
        raise ValueError("weather rows must be finite numbers")
    if np.any(np.diff(times) <= 0.0):
        raise ValueError("weather times must increase from row to row (s since midnight)")
