"""Concrete, weather, finishing, measures and curing of a scenario: frozen, SI."""

from __future__ import annotations

from dataclasses import dataclass

from pourday.concrete.curing import Development
from pourday.concrete.frost import Cement
from pourday.scenario.base.distribution import Distribution, fixed


@dataclass(frozen=True)
class DeliveryRule:
    """Temperatures (°C) that a load may have at delivery, and whose ``name`` the rule bears.

    Below ``cold_air`` the least is ``least_in_cold`` (both None where the rule has no such).
    ``strict`` says that a mix outside is a fault of the file.
    """

    name: str
    least: float | None
    most: float | None
    cold_air: float | None
    least_in_cold: float | None
    strict: bool

    def least_at(self, air: float) -> float | None:
        """The least temperature (°C) of a load in this air (°C)."""
        if self.cold_air is not None and self.least_in_cold is not None and air < self.cold_air:
            return self.least_in_cold
        return self.least


@dataclass(frozen=True)
class Mix:
    """Concrete: times at 20 °C from loading (s), temperatures (°C), Q in K, slump (m, m/s).

    ``set_activation`` is the Q of the sets, ``strength_activation`` that of the strength. The times
    are those with the accelerator of the measures.

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
    set_activation: float
    strength_activation: float
    delivered: Distribution
    delivery: DeliveryRule
    slump: float
    slump_tolerance: float
    slump_loss: float
    least_slump: float
    reject_share: float
    bleed: float
    cement_class: str
    strength: float
    cement_strength: Cement
    water_cement_ratio: float
    strength_development: Development


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
    ``sky_loss`` (W/m²) is what a slab gives to a clear sky, ``wind_below_share`` the share of the
    wind under the deck.
    """

    at: tuple[float, ...]
    air: tuple[float, ...]
    humidity: tuple[float, ...]
    wind: tuple[float, ...]
    air_shift: Distribution
    humidity_shift: Distribution
    wind_factor: Distribution
    rain: tuple[Rain, ...]
    sky_loss: float = 0.0
    wind_below_share: float = 0.25

    @property
    def varies(self) -> bool:
        """Whether a day's air may differ from the rows."""
        shifts = (self.air_shift, self.humidity_shift)
        still = all(each == fixed(0.0) for each in shifts) and self.wind_factor == fixed(1.0)
        return not still


@dataclass(frozen=True)
class Finishing:
    """Rates (m²/s, m/s): bull float and edge for one person, power float for one machine.

    ``passes`` of the power float, from ``float_from_share`` of the time to initial set on, counted
    from placing; ``machines`` None for one a finisher; all finishers but the one
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
    float_from_share: float = 0.58


@dataclass(frozen=True)
class Measures:
    """Against drying: share of wind left, humidity of fog, share of evaporation left, cooler °C.

    Against frost: air under the deck (°C, None for outdoor air), mats (m²K/W), warmer °C, and the
    share of the times to set and until frost is withstood that an accelerator leaves.
    """

    wind_share: float
    fog_humidity: float
    film_share: float
    cooler: float
    heated_below: float | None = None
    mats: float = 0.0
    warmer: float = 0.0
    accelerator_share: float = 1.0

    @property
    def shift(self) -> float:
        """Degrees by which loads come warmer than the mix says; cooler below 0."""
        return self.warmer - self.cooler


@dataclass(frozen=True)
class Curing:
    """After the pour: damp curing and props (s), mean temperature (°C), strength to strip (Pa).

    ``later`` None stands for the mean of the file's own day; ``exposure`` is "X0", "XC1", "other".
    """

    damp: float
    props: float
    later: float | None
    strip_at: float
    exposure: str = "other"
