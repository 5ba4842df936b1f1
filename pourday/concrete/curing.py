"""How long a surface has to be kept damp: DIN 1045-3, by temperature and strength development."""

from typing import Literal, get_args

Development = Literal["rapid", "medium", "slow", "very slow"]
"""Strength development r = fcm at 2 days / fcm at 28: from 0.50, 0.30, 0.15, below (EN 206)."""
DEVELOPMENTS: tuple[Development, ...] = get_args(Development)

_DAY = 86400.0
# DIN 1045-3, table on the duration of curing: from this temperature on, days by development.
_DAYS = (
    (25.0, (1, 2, 2, 3)),
    (15.0, (1, 2, 4, 5)),
    (10.0, (2, 4, 7, 10)),
    (5.0, (3, 6, 10, 15)),
)
_DRY_INSIDE = 0.5


def least_curing(
    surface: float, development: Development, dry_inside: bool = False
) -> float | None:
    """Least time of damp curing, s; None below 5 °C, where the time below 5 comes on top.

    surface: °C of the surface; the air may be taken. development: of the strength.
    dry_inside: exposure X0 or XC1, half a day (from 5 °C on, where it sets within 5 h).
    Source: DIN 1045-3, table on the duration of curing. Raises ValueError for another development.
    """
    if development not in DEVELOPMENTS:
        raise ValueError(f"development is {development!r}; allowed are {', '.join(DEVELOPMENTS)}")
    for least, days in _DAYS:
        if surface >= least:
            return (_DRY_INSIDE if dry_inside else days[DEVELOPMENTS.index(development)]) * _DAY
    return None
