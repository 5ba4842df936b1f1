"""Telephone, days and the age of loads, as the program uses them. Frozen values, SI inside."""

from __future__ import annotations

from dataclasses import dataclass

from pourday.scenario.base.distribution import Distribution


@dataclass(frozen=True)
class CallOff:
    """How loads are called.

    ``waiting_wanted`` trucks are wanted at the pump besides the one that discharges, and
    ``waiting_after_stop`` once a stop has made him ring.
    ``least_load`` (m³) is the least the plant sends, ``measure_error`` the sd of a measurement of
    the rest, as a share of it. ``hold_notice`` (s) before batching a load can no longer be held.
    The foreman rings ``rings_after_breakdown`` or ``rings_after_blockage`` (s) into a stop and
    guesses its length: the truth times ``guess_factor``. After a hold over ``long_hold`` (s) trucks
    are back after ``resume`` (s), and ``wider_loads`` loads come at ``wider_spacing`` times the
    spacing. The booking is what the floor needs and ``hold_quantity_loads`` loads; a load beyond it
    takes ``beyond_booking`` (s) to come.
    """

    nobody_phones: bool
    waiting_wanted: int
    waiting_after_stop: int
    least_load: float
    measure_error_share: float
    hold_notice: float
    rings_after_breakdown: float
    rings_after_blockage: float
    guess_factor: Distribution
    long_hold: float
    resume: Distribution
    wider_spacing: float
    wider_loads: int
    hold_quantity_loads: float
    beyond_booking: Distribution


@dataclass(frozen=True)
class DayToDay:
    """How much days differ: the sd of each factor of a day, whose mean is 1; 0 for none."""

    crew_pace_sd: float = 0.0
    plant_pace_sd: float = 0.0
    travel_sd: float = 0.0


@dataclass(frozen=True)
class AgeRule:
    """How old a load may get (s), counted from the start of its loading.

    ``ends_at`` is "discharge" (its end) or "arrival" (after which its age is nobody's limit).
    Where the air is ``warm_from`` (°C) or warmer when it is loaded, ``warm_limit`` (s) holds.
    """

    name: str
    ends_at: str
    limit: float
    warm_from: float | None = None
    warm_limit: float | None = None

    def limit_at(self, air: float) -> float:
        """The limit (s) of a load that is loaded in air of that temperature (°C)."""
        if self.warm_from is not None and self.warm_limit is not None and air >= self.warm_from:
            return self.warm_limit
        return self.limit
