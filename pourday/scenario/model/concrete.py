"""Concrete, weather, finishing, measures and curing of a scenario: frozen, SI."""

from __future__ import annotations

from dataclasses import dataclass

from pourday.scenario.base.distribution import Distribution, fixed


@dataclass(frozen=True)
class Mix:
    """Concrete: times at 20 °C from loading (s), temperatures (°C), Q in K, slump (m, m/s).

    ``edge_rule`` is "set", "interval" or "given"; ``edge_stiff_share`` and ``edge_cold_share`` are
    shares of the time to initial set from which an edge is stiff, then cold; the other rules take
    their proportion. ``bleed`` kg/m²/h at 20 °C, ``strength`` characteristic at 28 days (Pa).
    """

    preset: str | None
    open_time: float
    initial_set: float
    final_set: float
    edge_rule: str
    edge_stiff_share: float
    edge_cold_share: float
    retarder: float
    activation: float
    delivered: Distribution
    relaxation: float
    slump: float
    slump_tolerance: float
    slump_loss: float
    least_slump: float
    reject_share: float
    bleed: float
    cement_class: str
    strength: float


@dataclass(frozen=True)
class Rain:
    """Rain that may come: clock (s), length (s), rate (m/s), share of days on which it comes."""

    at: float
    length: Distribution
    rate: float
    chance: float


@dataclass(frozen=True)
class Weather:
    """Rows of air over the day: clock (s), °C, relative humidity 0..1, wind (m/s).

    ``air_shift`` (°C), ``humidity_shift`` and ``wind_factor`` move all rows of a day alike.
    """

    at: tuple[float, ...]
    air: tuple[float, ...]
    humidity: tuple[float, ...]
    wind: tuple[float, ...]
    air_shift: Distribution
    humidity_shift: Distribution
    wind_factor: Distribution
    rain: tuple[Rain, ...]

    @property
    def varies(self) -> bool:
        """Whether a day's air may differ from the rows."""
        shifts = (self.air_shift, self.humidity_shift)
        still = all(each == fixed(0.0) for each in shifts) and self.wind_factor == fixed(1.0)
        return not still


@dataclass(frozen=True)
class Finishing:
    """Rates (m²/s, m/s): bull float and edge for one person, power float for one machine.

    ``passes`` of the power float; ``machines`` None for one a finisher; all finishers but the one
    at the bull float come ``before_first_pass`` (s) ahead of the first pass; end of the shift (s).
    """

    preset: str | None
    bull_float: float
    passes: int
    machine: str
    machines: int | None
    power_float: float
    edge: float
    before_first_pass: float
    shift_end: float | None


@dataclass(frozen=True)
class Measures:
    """Against drying: share of wind left, humidity of fog, share of evaporation left, cooler °C."""

    wind_share: float
    fog_humidity: float
    film_share: float
    cooler: float


@dataclass(frozen=True)
class Curing:
    """After the pour: damp curing and props (s), mean temperature (°C), strength to strip (Pa)."""

    damp: float
    props: float
    later: float
    strip_at: float
