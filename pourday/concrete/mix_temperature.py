"""How warm concrete leaves the mixer, by the heat its materials bring, and the ice that cools it.

Sources: ACI 305R-99, Hot Weather Concreting, appendix on estimating concrete temperature (formula:
value from memory); CRD-C 307-91, Method for Calculating the Amount of Ice Needed to Produce Mixed
Concrete of a Specified Temperature (US Army Corps of Engineers): heat of fusion 143.5 Btu/lb.
Ice: at most three quarters of the batch water, and about 20 °F (11 °C) of cooling (ACI 305R, as
told in The Concrete Producer, "Concrete on ice").
"""

from __future__ import annotations

from dataclasses import dataclass

SOLID_HEAT = 0.22
"""Specific heat of cement and aggregate over that of water."""

MELTING = 143.5 / 1.8
"""Heat of fusion of ice over the specific heat of water, °C: 143.5 Btu/lb."""

MOST_ICE = 0.75
"""Share of the batch water that may be ice."""

MOST_COOLING = 11.0
"""Cooling by ice that a plant can be asked for, °C (20 °F)."""


@dataclass(frozen=True)
class Batch:
    """Masses (kg/m³) of a cubic metre and temperatures (°C) of its materials.

    ``aggregate`` is dry, ``moisture`` the water on and in it, as warm as it is; ``water`` is what
    the plant adds, which ice can stand in for.
    """

    cement: float
    aggregate: float
    moisture: float
    water: float
    cement_temperature: float
    aggregate_temperature: float
    water_temperature: float


def heat_capacity(batch: Batch) -> float:
    """Heat to warm a cubic metre by 1 °C, over the specific heat of water (kg/m³)."""
    return SOLID_HEAT * (batch.cement + batch.aggregate) + batch.water + batch.moisture


def mix_temperature(batch: Batch, ice: float = 0.0) -> float:
    """Temperature of the fresh concrete (°C), ``ice`` (kg/m³, at 0 °C) in place of batch water.

    Source: ACI 305R-99 (value from memory), T = [0.22 (Ta Wa + Tc Wc) + Tw (Ww - Wi) + Ta Wwa -
    Wi F] / [0.22 (Wa + Wc) + Ww + Wwa], F from CRD-C 307-91.
    Raises ValueError for ice below 0 or beyond the batch water.
    """
    if not 0.0 <= ice <= batch.water:
        raise ValueError(f"{ice:g} kg/m³ of ice: from 0 to the batch water, {batch.water:g}")
    heat = SOLID_HEAT * batch.cement * batch.cement_temperature
    heat += (SOLID_HEAT * batch.aggregate + batch.moisture) * batch.aggregate_temperature
    heat += (batch.water - ice) * batch.water_temperature - ice * MELTING
    return heat / heat_capacity(batch)


def ice_to_cool(batch: Batch, by: float) -> float:
    """Ice (kg/m³) in place of batch water that cools a cubic metre by so much (°C, 0 or more).

    The formula of :func:`mix_temperature`, solved for the ice; whether so much can be had is
    :func:`ice_refused`. Raises ValueError for less than 0.
    """
    if by < 0.0:
        raise ValueError(f"ice does not warm concrete: {by:g} °C")
    return by * heat_capacity(batch) / (batch.water_temperature + MELTING)


def most_cooling(batch: Batch) -> float:
    """The most that ice can take off a cubic metre (°C): by its share of the water, and 11 °C."""
    by_water = MOST_ICE * batch.water * (batch.water_temperature + MELTING) / heat_capacity(batch)
    return min(by_water, MOST_COOLING)


def ice_refused(batch: Batch, by: float) -> str | None:
    """Why ice cannot cool a cubic metre by so much (°C), in words; None where it can."""
    if by > MOST_COOLING + 1e-9:
        return f"{by:g} °C is more than ice takes off a mix, about {MOST_COOLING:g} °C"
    share = ice_to_cool(batch, by) / batch.water if batch.water > 0.0 else float("inf")
    if share > MOST_ICE + 1e-9:
        return (
            f"{by:g} °C would take {share:.0%} of the batch water as ice; at most {MOST_ICE:.0%} "
            f"melts in the mixer: {most_cooling(batch):.1f} °C"
        )
    return None
