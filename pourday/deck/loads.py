"""Weights and construction loads on the deck while it is poured. Units: m, N, Pa, N/m³."""

from __future__ import annotations

from dataclasses import dataclass

# EN 1991-1-1 Table A.1, lower end of normal-weight concrete (value from memory).
PLAIN_CONCRETE = 24_000.0
"""N/m³, normal-weight concrete without steel, hardened."""
REINFORCEMENT = 1_000.0
"""N/m³ added for a normal share of reinforcement."""
UNHARDENED = 1_000.0
"""N/m³ added while the concrete is wet."""

# Exact by definition of the units: 1 lbf = 4.4482216152605 N, 1 ft = 0.3048 m.
_POUND_FORCE = 4.4482216152605
_FOOT = 0.3048


@dataclass(frozen=True)
class WorkingLoad:
    """Persons, hand tools and small heaps while concrete is placed."""

    inside: float
    """Pa, within the working zone."""
    outside: float
    """Pa, everywhere else."""
    zone_length: float
    """m, side of the square working zone; 0 where inside and outside are the same."""
    line: float
    """N/m, a line load across the run at its worst place; 0 where there is none."""


def en_1991_1_6(concrete_weight: float, span: float) -> WorkingLoad:
    """Working load of EN 1991-1-6 Table 4.2 (4.11.2), recommended values (from memory).

    Inside a zone of 3 m x 3 m, or the span if less: a tenth of the concrete's self-weight, at
    least 0.75 and at most 1.5 kN/m²; outside it 0.75 kN/m². National annexes may differ.

    Parameters: `concrete_weight` Pa, self-weight of the concrete; `span` m.
    Raises ValueError where either is not above zero.
    """
    if not concrete_weight > 0:
        raise ValueError(f"concrete weight is {concrete_weight:g} Pa; it must be above 0")
    if not span > 0:
        raise ValueError(f"span is {span:g} m; it must be above 0")
    inside = min(max(0.1 * concrete_weight, 750.0), 1500.0)
    return WorkingLoad(inside=inside, outside=750.0, zone_length=min(3.0, span), line=0.0)


def us_practice() -> tuple[WorkingLoad, WorkingLoad]:
    """US practice: 20 psf everywhere, or 150 lb/ft as a line load; try both, the worse counts.

    0.96 kN/m² and 2.19 kN/m. Values from memory, source not confirmed.
    """
    uniform = 20.0 * _POUND_FORCE / _FOOT**2
    line = 150.0 * _POUND_FORCE / _FOOT
    return (
        WorkingLoad(inside=uniform, outside=uniform, zone_length=0.0, line=0.0),
        WorkingLoad(inside=0.0, outside=0.0, zone_length=0.0, line=line),
    )


def wet_density_weight(
    plain: float = PLAIN_CONCRETE, *, reinforced: bool = True, wet: bool = True
) -> float:
    """Unit weight of concrete as it lies on the deck, N/m³.

    EN 1991-1-1 Table A.1: 24 kN/m³, + 1 for reinforcement, + 1 while unhardened (from memory).
    `plain` N/m³ may be another hardened unit weight; ValueError where it is not above zero.
    """
    if not plain > 0:
        raise ValueError(f"unit weight is {plain:g} N/m³; it must be above 0")
    return plain + REINFORCEMENT * reinforced + UNHARDENED * wet
