"""When a fresh edge turns stiff, and when it is cold: three rules, each with its source.

*Stiff*: new concrete still knits to the old, with the vibrator and with care. *Cold*: it does not.

What the rules lean on:

- BS 8500-1 A.9.1: for a cold joint the delay must be long enough for the lower concrete to develop
  an initial set or harden; how long that takes depends on temperature, cement, mix, retarder.
- ASTM C403: initial set is a penetration resistance of 3.5 MPa.
- ACI 309R: vibration still works until initial set comes near (value from memory).
- JSCE, Standard Specifications for Concrete Structures, Materials and Construction: time allowed
  between placing one lift and the next, 2.5 h up to 25 °C of outdoor air (confirmed at second hand)
  and 2.0 h above (value from memory). It was made for layers on top of each other.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

SET, INTERVAL, GIVEN = "set", "interval", "given"

STIFF_SHARE, COLD_SHARE = 0.5, 0.8
"""Of the time to initial set: stiff from the first, cold from the second (common practice, no
source)."""

INTERVAL_COOL, INTERVAL_WARM = 2.5 * 3600.0, 2.0 * 3600.0
"""Time allowed between lifts (s): up to :data:`WARM_AIR`, and above (JSCE)."""

WARM_AIR = 25.0
"""Outdoor air up to which the longer interval holds, °C (JSCE)."""


@dataclass(frozen=True)
class EdgeRule:
    """A rule for this mix.

    ``cold`` is the age at which an edge is cold, s at 20 °C from loading, None for the rule
    "interval", which counts clock time from placing. ``stiff_from`` is the share of the time to
    cold from which an edge is stiff.
    """

    name: str
    cold: float | None
    stiff_from: float

    @property
    def stiff(self) -> float | None:
        """The age at which an edge turns stiff, s at 20 °C from loading; None as for ``cold``."""
        return None if self.cold is None else self.cold * self.stiff_from


def by_set(
    initial_set: float, stiff_share: float = STIFF_SHARE, cold_share: float = COLD_SHARE
) -> EdgeRule:
    """Stiff and cold from shares of the time to initial set (s at 20 °C, retarder in it).

    Raises ValueError unless 0 < stiff_share < cold_share. Source of the shares: common practice,
    no source; of initial set as the end: BS 8500-1 A.9.1, ASTM C403.
    """
    return EdgeRule(SET, cold_share * initial_set, _stiff_from(stiff_share, cold_share))


def by_open_time(
    open_time: float, stiff_share: float = STIFF_SHARE, cold_share: float = COLD_SHARE
) -> EdgeRule:
    """Cold at a given age (s at 20 °C, retarder in it), stiff in proportion to the same shares.

    Raises ValueError unless 0 < stiff_share < cold_share.
    """
    return EdgeRule(GIVEN, open_time, _stiff_from(stiff_share, cold_share))


def by_interval(stiff_share: float = STIFF_SHARE, cold_share: float = COLD_SHARE) -> EdgeRule:
    """Cold when the interval between lifts has passed, stiff in proportion to the same shares.

    JSCE has one limit; that it is stiff before is added here (common practice, no source).
    Raises ValueError unless 0 < stiff_share < cold_share.
    """
    return EdgeRule(INTERVAL, None, _stiff_from(stiff_share, cold_share))


def _stiff_from(stiff_share: float, cold_share: float) -> float:
    if not 0.0 < stiff_share < cold_share:
        raise ValueError(f"shares must keep 0 < stiff < cold: {stiff_share}, {cold_share}")
    return stiff_share / cold_share


def interval_between_lifts(air: ArrayLike) -> NDArray[np.float64]:
    """Clock time (s) from placing the older to placing the newer concrete; ``air`` °C, any shape.

    JSCE counts from the end of compacting the older; in this model that is its placing. Source:
    JSCE Standard Specifications for Concrete Structures, Materials and Construction.
    """
    return np.where(np.asarray(air, dtype=float) > WARM_AIR, INTERVAL_WARM, INTERVAL_COOL)
