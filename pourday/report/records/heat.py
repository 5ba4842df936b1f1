"""What to do about a hot day, as plain values."""

from __future__ import annotations

from typing import Any

from pourday.report.records.parts import hour, number
from pourday.study.heat import Heat


def heat_record(found: Heat | None) -> dict[str, Any] | None:
    """The measures of a hot day in order; null for a day that is not one."""
    if found is None:
        return None
    return {
        "air_C": number(found.air),
        "wind_km_h": number(found.wind * 3.6),
        "starts_that_work_h": [hour(start) for start in found.works],
        "ice_kg_m3": number(found.ice),
        "ice_share_of_water": number(found.ice / found.water),
        "measures": [
            {
                "measure": each.kind,
                "start_h": hour(each.amount) if each.kind == "start" else None,
                "peak_kg_m2_h": number(each.peak),
                "area_to_cover_m2": number(each.cover),
                "late_area_m2": number(each.late),
                "stiff_length_m": number(each.stiff),
                "cold_length_m": number(each.cold),
                "refused": each.refused,
            }
            for each in found.measures
        ],
    }
