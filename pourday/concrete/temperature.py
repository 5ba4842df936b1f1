"""Air through the day, and concrete that starts as delivered and relaxes to it.

Think of a cup of tea on a windowsill: it forgets how hot it was poured with a time constant
tau, and follows the room, always a little late. The air is piecewise linear between weather
rows, so the lagging temperature has an exact closed form: no time stepping, no step size.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Rows = NDArray[np.intp]
Side = Literal["left", "right"]


@dataclass(frozen=True, eq=False)
class Air:
    """Weather rows: linear between rows, constant beyond the ends.

    times: (N,) s since midnight, strictly increasing. temperature: (N,) °C.
    humidity: (N,) relative humidity 0..1. wind: (N,) m/s, not negative.
    The last three are (D, N) where they differ on D days.

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


def at(times: ArrayLike, values: ArrayLike, t: ArrayLike, day: Rows | int = 0) -> Floats:
    """Value of a weather row at time t: linear between rows, constant beyond the ends.

    times: (N,) s, increasing. values: (N,), any unit, or (D, N) for D days. t: any shape, s. day:
    which of the days each t is on; it broadcasts with t.
    Returns an array of their common shape, in the unit of values.
    """
    return all_at(times, (values,), t, day)[0]


def all_at(
    times: ArrayLike, values: Sequence[ArrayLike], t: ArrayLike, day: Rows | int = 0
) -> list[Floats]:
    """:func:`at` of several weather rows at the same times."""
    rows, when = np.asarray(times, dtype=float), np.asarray(t, dtype=float)
    each = [np.asarray(row, dtype=float) for row in values]
    if each[0].ndim == 1:
        return [np.asarray(np.interp(when, rows, row), dtype=np.float64) for row in each]
    # As numpy's interp has it, to the last bit: entry k holds where k rows lie at or before t.
    before = _row_before(len(rows))
    k = np.searchsorted(rows, when, side="right")
    past, entry = when - rows[before][k], day * (len(rows) + 1) + k
    out = []
    for row in each:
        flat = np.zeros((len(row), 1))
        slopes = np.hstack([flat, np.diff(row, axis=1) / np.diff(rows), flat])
        out.append(np.asarray(slopes.ravel()[entry] * past + row[:, before].ravel()[entry]))
    return out


def _row_before(rows: int) -> Rows:
    """(rows + 1,) the row at or before a moment with 0, 1, ... rows before it; else the first."""
    return np.maximum(np.arange(rows + 1) - 1, 0)


@dataclass(frozen=True, eq=False)
class Relaxation:
    """Air, time constants and one particular solution of dT/dt = (Ta(t) - T) / tau.

    Build it once a day with `relaxation` (one time constant) or `slab_relaxation` of
    :mod:`pourday.concrete.cooling` (one for every hour of wind); every batch of concrete then
    differs from the particular solution only by a decaying exponential of its own start.

    times: (N,) s. air: (N,) °C. tau: (N + 1,) s and slopes: (N + 1,) °C/s, entry k holds where
    k rows lie at or before the moment (slope 0 beyond both ends). particular: (N,) °C at the
    rows. rates: (N + 1,) 1 / tau (1/s), 0 for tau = inf and for tau = 0, where none is needed.
    decay: (N,) the integral of dt / tau from the first row. row_before, row_after: (N + 1,) the
    row at or before such a moment and the one after it; the first and the last beyond the ends.

    The air of several days lies end to end (:func:`end_to_end`): then ``keys`` are all rows by day
    and time, and ``day`` says on which day each moment that is asked about lies (:func:`on_days`).
    """

    times: Floats
    air: Floats
    tau: Floats
    slopes: Floats
    particular: Floats
    rates: Floats
    decay: Floats
    row_before: Rows
    row_after: Rows
    keys: NDArray[np.complex128] | None = None
    day: Rows | int = 0


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
    after = np.minimum(np.arange(times.size + 1), times.size - 1)
    before = _row_before(times.size)
    return Relaxation(times, air, taus, slopes, particular, rates, decay, before, after)


def end_to_end(days: Sequence[Relaxation]) -> Relaxation:
    """The air of several days as one; ask of it by :func:`on_days`. One day is what it was."""
    if len(days) == 1:
        return days[0]
    sizes = [each.times.size for each in days]
    begins = np.cumsum([0, *sizes[:-1]])
    times = np.concatenate([each.times for each in days])
    # Complex numbers are searched by their real part first: by day, then by time, exactly.
    keys = np.repeat(np.arange(len(days)), sizes) + 1j * times

    def _all(name: str) -> Floats:
        return np.concatenate([getattr(each, name) for each in days])

    def _rows(name: str) -> Rows:
        moved = (getattr(each, name) + n for each, n in zip(days, begins, strict=True))
        return np.concatenate(list(moved))

    return Relaxation(
        times,
        air=_all("air"),
        tau=_all("tau"),
        slopes=_all("slopes"),
        particular=_all("particular"),
        rates=_all("rates"),
        decay=_all("decay"),
        row_before=_rows("row_before"),
        row_after=_rows("row_after"),
        keys=keys,
    )


def on_days(relax: Relaxation, day: Rows) -> Relaxation:
    """The same, for moments on these days (0, 1, ...; they broadcast with what is asked)."""
    return relax if relax.keys is None else replace(relax, day=day)


def in_a_row(relax: Relaxation, shape: tuple[int, ...]) -> Relaxation:
    """The same, for moments of this shape that are asked about one after another."""
    if relax.keys is None:
        return relax
    return replace(relax, day=np.broadcast_to(relax.day, shape).ravel())


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


def rows_before(relax: Relaxation, t: Floats, side: Side = "right") -> Rows:
    """How many weather rows lie at or before t (s), in the shape of t; just before for "left".

    Of several days it is the entry of the arrays of `Relaxation` that hold then.
    """
    if relax.keys is None:
        return np.asarray(np.searchsorted(relax.times, t, side=side))
    # Every day before has one entry more than it has rows.
    found = np.searchsorted(relax.keys, relax.day + 1j * t, side=side)
    return np.asarray(found + relax.day)


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
    row = relax.row_before[before]
    # Before the first row the particular solution is constant, so elapsed 0 is exact there.
    elapsed = np.maximum(t - relax.times[row], 0.0)
    tau, slope = relax.tau[before], relax.slopes[before]
    return advance(relax.particular[row], relax.air[row], slope, elapsed, tau)


def _decayed(relax: Relaxation, t: Floats, before: Rows) -> Floats:
    """The integral of dt / tau from the first row to t; below 0 before it."""
    row = relax.row_before[before]
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
    if times.ndim != 1 or times.size == 0 or values.shape[-1:] != times.shape:
        raise ValueError(
            f"weather rows need one value a time: times {times.shape}, values {values.shape}"
        )
    if not (np.all(np.isfinite(times)) and np.all(np.isfinite(values))):
        raise ValueError("weather rows must be finite numbers")
    if np.any(np.diff(times) <= 0.0):
        raise ValueError("weather times must increase from row to row (s since midnight)")
