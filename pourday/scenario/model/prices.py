"""Prices of a scenario: money per s, m, m² or m³, times in s, clock times since midnight."""

from __future__ import annotations

from dataclasses import dataclass

PLANT, SITE = "plant", "site"
"""Whose fault a load is that goes back, and who pays for it."""
ADDED, LARGEST = "added", "largest"
"""What becomes of two premiums on one hour."""


@dataclass(frozen=True)
class RolePrices:
    """Money per second of each job; None for the rate of everybody."""

    hose: float | None = None
    vibrator: float | None = None
    rakers: float | None = None
    screed: float | None = None
    finishers: float | None = None
    foreman: float | None = None
    operator: float | None = None


@dataclass(frozen=True)
class Overtime:
    """From ``after`` (s of a person's own work) on, pay is multiplied by ``factor``."""

    after: float
    factor: float


@dataclass(frozen=True)
class Prices:
    """Money per m³, per person and second, per second of waiting, per metre of edge gone wrong.

    ``shift`` (s) is paid at the plain rate; after ``longest_shift`` (s) somebody else takes over.
    Where ``overtime`` has bands they stand in for ``shift`` and ``overtime_factor``. Premiums for
    night, Saturday and Sunday are factors of the plain rate; where two or more fall on one hour,
    ``premiums`` says whether the largest counts or all are added. ``set_up``, ``clean_up`` and
    ``travel`` (s) are paid besides; ``fare`` is money for each person and shift.

    ``retarder`` is money per m³ and second of delay. ``part_load`` is charged for what a load lacks
    (m³) of ``part_load_below``, None for a full one; ``put_off_load`` for a load put off less than
    ``notice`` (s) ahead; ``out_of_hours`` for m³ batched outside ``normal_from`` to
    ``normal_until`` or at a weekend, ``plant_open`` for a second that a plant works then.
    ``truck_booked`` and ``truck`` (per second) are for every truck that is kept for the pour.
    ``failed_test`` and ``over_age_on_road`` say who pays such a load, "plant" or "site".
    """

    currency: str
    concrete: float
    returned: float
    labour: float
    shift: float
    least_paid: float
    longest_shift: float
    overtime_factor: float
    waiting: float
    free_wait: float
    cold_joint: float
    stiff_edge: float
    stop_end: float = 0.0
    roles: RolePrices = RolePrices()
    overtime: tuple[Overtime, ...] = ()
    night_begins: float = 22 * 3600.0
    night_ends: float = 6 * 3600.0
    night_factor: float = 1.0
    saturday_factor: float = 1.0
    sunday_factor: float = 1.0
    premiums: str = LARGEST
    set_up_paid: float = 0.0
    clean_up_paid: float = 0.0
    breaks_paid: bool = True
    travel_paid: float = 0.0
    fare: float = 0.0
    admixture: float = 0.0
    retarder: float = 0.0
    part_load: float = 0.0
    part_load_below: float | None = None
    put_off_load: float = 0.0
    notice: float = 3600.0
    normal_from: float = 6 * 3600.0
    normal_until: float = 18 * 3600.0
    out_of_hours: float = 0.0
    plant_open: float = 0.0
    truck_booked: float = 0.0
    truck: float = 0.0
    failed_test: str = PLANT
    over_age_on_road: str = SITE
    curing: float = 0.0
    cold_joint_each: float = 0.0
    late_after: float | None = None
    late_charge: float = 0.0
    late: float = 0.0
    finished_late: float = 0.0

    @property
    def bands(self) -> tuple[Overtime, ...]:
        """Overtime in order of time; at least one band."""
        return self.overtime or (Overtime(self.shift, self.overtime_factor),)

    def rate(self, role: str) -> float:
        """Money per second of one person of a role; that of everybody where it has none."""
        own: float | None = getattr(self.roles, role, None)
        return self.labour if own is None else own
