"""The table of prices as the user writes it: people, concrete, trucks, and what goes wrong."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from pourday.scenario.base.quantities import Clock, Price, Table

Factor = Annotated[float, Field(ge=1, le=5)]
PaidMinutes = Annotated[float, Field(ge=0, le=240)]
"""Minutes paid before or after the work."""


class RolePricesTable(Table):
    """What an hour of each job costs, where it is not the rate of everybody."""

    hose_per_h: Price | None = None
    vibrator_per_h: Price | None = None
    rakers_per_h: Price | None = None
    screed_per_h: Price | None = None
    finishers_per_h: Price | None = None
    foreman_per_h: Price | None = None
    operator_per_h: Price | None = None


class OvertimeTable(Table):
    """From so many hours on the pay is multiplied."""

    after_h: Annotated[float, Field(gt=0, le=24)]
    factor: Factor


class PricesTable(Table):
    """Money. Any currency; the name is only printed."""

    currency: Annotated[str, Field(min_length=1, max_length=8)] = "EUR"
    concrete_per_m3: Price = 0.0
    returned_per_m3: Price = 0.0
    labour_per_person_h: Price = 0.0
    shift_h: Annotated[float, Field(gt=0, le=24)] = 8.0
    least_paid_h: Annotated[float, Field(ge=0, le=24)] = 4.0
    longest_shift_h: Annotated[float, Field(ge=1, le=24)] = 12.0
    overtime_factor: Factor = 1.5
    waiting_per_min: Price = 0.0
    free_wait_min: Annotated[float, Field(ge=0, le=240)] = 30.0
    cold_joint_per_m: Price = 0.0
    stiff_edge_per_m: Price = 0.0
    stop_end_per_m: Price = 0.0
    roles: RolePricesTable | None = None
    overtime: list[OvertimeTable] = []
    night_begins: Clock = 22 * 3600.0
    night_ends: Clock = 6 * 3600.0
    night_factor: Factor = 1.0
    saturday_factor: Factor = 1.0
    sunday_factor: Factor = 1.0
    premiums: Literal["largest", "added"] = "largest"
    set_up_paid_min: PaidMinutes = 0.0
    clean_up_paid_min: PaidMinutes = 0.0
    breaks_paid: bool = True
    travel_paid_min: PaidMinutes = 0.0
    fare: Price = 0.0
    admixture_per_m3: Price = 0.0
    retarder_per_m3_h: Price = 0.0
    part_load_per_m3: Price = 0.0
    part_load_below_m3: Annotated[float, Field(gt=0, le=15)] | None = None
    put_off_load: Price = 0.0
    notice_min: Annotated[float, Field(ge=0, le=600)] = 60.0
    normal_from: Clock = 6 * 3600.0
    normal_until: Clock = 18 * 3600.0
    out_of_hours_per_m3: Price = 0.0
    plant_open_per_h: Price = 0.0
    truck_booked: Price = 0.0
    truck_per_h: Price = 0.0
    failed_test: Literal["plant", "site"] = "plant"
    over_age_on_road: Literal["site", "plant"] = "site"
    curing_per_m2: Price = 0.0
    cold_joint_each: Price = 0.0
    late_after: Clock | None = None
    late_charge: Price = 0.0
    late_per_h: Price = 0.0
    finished_late_per_m2: Price = 0.0
