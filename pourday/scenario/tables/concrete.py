"""Tables of concrete, weather, finishing, measures and curing as the user writes them."""

# ruff: noqa: N815  (a key spells its unit as the trade does: kN, C, K)

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from pourday.concrete.age import ACTIVATION, SET_ACTIVATION
from pourday.concrete.curing import Development
from pourday.concrete.frost import Cement
from pourday.scenario.base.distribution import Distribution, parse
from pourday.scenario.base.quantities import Clock, Share, Table, quantity


class MixTable(Table):
    """The concrete. Times are at 20 °C, counted from loading."""

    preset: str | None = None
    open_time_min: Annotated[float, Field(ge=15, le=600)]
    initial_set_h: Annotated[float, Field(ge=1, le=48)]
    final_set_h: Annotated[float, Field(ge=1.5, le=72)]
    edge_rule: Literal["set", "interval", "given"] = "set"
    edge_stiff_share: Annotated[float, Field(gt=0, le=1)] = 0.5
    edge_cold_share: Annotated[float, Field(gt=0, le=1)] = 0.8
    retarder_min: Annotated[float, Field(ge=0, le=1440)] = 0.0
    set_activation_K: Annotated[float, Field(ge=2000, le=9000)] = SET_ACTIVATION
    strength_activation_K: Annotated[float, Field(ge=2000, le=9000)] = ACTIVATION
    activation_K: Annotated[float, Field(ge=2000, le=9000)] | None = None
    delivered_C: Annotated[Distribution, quantity(1.0, 45.0)] = parse(20.0)
    delivery_rule: Literal["en_206", "din_1045_3", "aci"] = "en_206"
    least_delivered_C: Annotated[float, Field(ge=0, le=40)] | None = None
    most_delivered_C: Annotated[float, Field(ge=0, le=50)] | None = None
    outside_delivery: Literal["warning", "fault"] = "warning"
    relaxation_h: Annotated[float, Field(ge=0.1, le=100)] | None = None
    slump_mm: Annotated[float, Field(ge=0, le=280)] = 130.0
    slump_tolerance_mm: Annotated[float, Field(ge=0, le=80)] = 30.0
    slump_loss_mm_h: Annotated[float, Field(ge=0, le=200)] = 0.0
    least_slump_mm: Annotated[float, Field(ge=0, le=250)] = 0.0
    reject_share: Share = 0.0
    bleed_kg_m2_h: Annotated[float, Field(ge=0, le=5)] = 0.4
    cement_class: Literal["R", "N", "S"] = "N"
    cement_strength: Cement | None = None
    water_cement_ratio: Annotated[float, Field(ge=0.3, le=0.8)] = 0.55
    strength_development: Development | None = None
    strength_MPa: Annotated[float, Field(ge=8, le=100)] = 30.0


class Hour(Table):
    """One row of weather."""

    at: Clock
    air_C: Annotated[float, Field(ge=-40, le=55)]
    humidity: Share
    wind_km_h: Annotated[float, Field(ge=0, le=150)]


class Rain(Table):
    """Rain that is forecast: when, how long, how hard, and on what share of days it comes."""

    at: Clock
    length_min: Annotated[Distribution, quantity(0.0, 1440.0)]
    rate_mm_h: Annotated[float, Field(gt=0, le=200)]
    chance: Share = 1.0


class WeatherTable(Table):
    """Air over the day; linear between the rows, constant before the first and after the last.

    Rows stand in the table, in a CSV file, or are a sample day; a day shifts all of them alike.
    """

    hours: list[Hour] = Field(min_length=1)
    csv: str | None = None
    sample: str | None = None
    air_shift_C: Annotated[Distribution, quantity(-15.0, 15.0)] = parse(0.0)
    humidity_shift: Annotated[Distribution, quantity(-0.5, 0.5)] = parse(0.0)
    wind_factor: Annotated[Distribution, quantity(0.0, 5.0)] = parse(1.0)
    rain: list[Rain] = []
    sky_loss_W_m2: Annotated[float, Field(ge=0, le=120)] = 0.0
    wind_below_share: Share = 0.25


class FinishingTable(Table):
    """How the top is finished, by the crew's finishers.

    Hand rates are for one person, the power float's for one machine. ``passes`` of the power
    float fall between the floating condition and final set.
    """

    preset: str | None = None
    # Five square metres an hour: slower than one person with a hand trowel.
    bull_float_m2_h: Annotated[float, Field(ge=5, le=5000)] = 250.0
    passes: Annotated[int, Field(ge=0, le=6)] = 2
    machine: Literal["walk_behind", "ride_on"] = "walk_behind"
    machines: Annotated[int, Field(ge=1, le=60)] | None = None
    power_float_m2_h: Annotated[float, Field(ge=5, le=5000)] = 180.0
    edge_m_h: Annotated[float, Field(ge=1, le=1000)] = 60.0
    float_from_share: Annotated[float, Field(gt=0, le=1)] = 0.58
    before_first_pass_min: Annotated[float, Field(ge=0, le=600)] = 60.0
    shift_end: Clock | None = None


class MeasuresTable(Table):
    """Measures against drying and against frost, with their effect in the model."""

    wind_share: Annotated[float, Field(ge=0, le=1)] = 1.0
    fog_humidity: Share = 0.0
    film_share: Annotated[float, Field(ge=0, le=1)] = 1.0
    cooler_C: Annotated[float, Field(ge=0, le=15)] = 0.0
    heated_below_C: Annotated[float, Field(ge=0, le=40)] | None = None
    mats_m2K_W: Annotated[float, Field(ge=0, le=5)] = 0.0
    warmer_C: Annotated[float, Field(ge=0, le=20)] = 0.0
    accelerator_share: Annotated[float, Field(ge=0.3, le=1)] = 1.0


class CuringTable(Table):
    """Curing and props after the pour day; ``later_C`` is the mean temperature of later days.

    Left out, it is the mean of the file's own 24 hours.
    """

    damp_days: Annotated[float, Field(ge=0, le=60)] = 7.0
    props_days: Annotated[float, Field(ge=0, le=120)] = 28.0
    later_C: Annotated[float, Field(ge=-25, le=45)] | None = None
    exposure: Literal["X0", "XC1", "other"] = "other"
    strip_at_MPa: Annotated[float, Field(ge=0, le=100)] = 20.0
