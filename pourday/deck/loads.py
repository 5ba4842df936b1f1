"""Weights and construction loads on the deck while it is poured. Units: m, N, Pa, N/m³."""

from __future__ import annotations

from dataclasses import dataclass

# SCI AD 346 (read): 25 kN/m³ wet normal-weight concrete, 20 wet lightweight, and the weight of the
# mesh that is laid; it thinks the 26 of EN 1991-1-1 Table A.1 (24, + 1 for reinforcement, + 1 while
# unhardened) right for reinforced concrete and not for a slab with a mesh.
WET_CONCRETE = 25_000.0
"""N/m³, normal-weight concrete on the deck, without steel."""
WET_LIGHTWEIGHT = 20_000.0
"""N/m³, lightweight concrete on the deck, without steel."""

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
    """N/m, a line load across the run in the middle of the strip; 0 where there is none."""
    heaping: float = 0.0
    """Pa, the part of `inside` that stands for heaped concrete: never on top of another heap."""
    bare: float = 0.0
    """Pa, everywhere on the deck before any concrete."""


def en_1991_1_6(concrete_weight: float, span: float) -> WorkingLoad:
    """Working load of EN 1991-1-6 Table 4.2 (4.11.2) as SCI AD 346 reads it.

    0.75 kN/m² everywhere for persons and tools, and on top of it, for heaping, inside a zone of
    3 m x 3 m or the span if less, a tenth of the concrete's self-weight, at least 0.75 kN/m². AD
    346 (read) says that the Standard's diagram would leave a usual slab no heaping at all, and adds
    an allowance; its amount here is a value from memory. National annexes may differ.

    Parameters: `concrete_weight` Pa, self-weight of the concrete; `span` m.
    Raises ValueError where either is not above zero.
    """
    if not concrete_weight > 0:
        raise ValueError(f"concrete weight is {concrete_weight:g} Pa; it must be above 0")
    if not span > 0:
        raise ValueError(f"span is {span:g} m; it must be above 0")
    heaping = max(0.1 * concrete_weight, 750.0)
    return WorkingLoad(750.0 + heaping, 750.0, min(3.0, span), 0.0, heaping)


def us_practice() -> tuple[WorkingLoad, WorkingLoad]:
    """ANSI/SDI C: 20 psf everywhere, or 150 lb/ft as a line load; try both, the worse counts.

    0.96 kN/m² and 2.19 kN/m; before any concrete 50 psf (2.39 kN/m²) on the bare deck. Values from
    memory.
    """
    psf = _POUND_FORCE / _FOOT**2
    line = 150.0 * _POUND_FORCE / _FOOT
    return (
        WorkingLoad(20.0 * psf, 20.0 * psf, zone_length=0.0, line=0.0, bare=50.0 * psf),
        WorkingLoad(0.0, 0.0, zone_length=0.0, line=line, bare=50.0 * psf),
    )
