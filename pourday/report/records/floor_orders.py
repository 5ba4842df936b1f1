"""The level of a floor, and orders by ways of striking, for JSON."""

from __future__ import annotations

from typing import Any

from pourday.outcome.deck.level import BANDS, LevelSurvey
from pourday.report.records.parts import number
from pourday.study.orders.floor_orders import Felt, FloorOrders, FloorRow


def level_record(level: LevelSurvey) -> dict[str, Any]:
    """Levels in mm, up is +."""
    return {
        "extra_m3": number(level.extra),
        "lowest_mm": number(-level.low * 1e3),
        "highest_mm": number(-level.high * 1e3),
        **{
            f"share_within_{band * 1e3:.0f}_mm": number(share)
            for band, share in zip(BANDS, level.within, strict=True)
        },
        "mean_mm": number(-level.mean * 1e3),
        "over_supports_mm": number(level.over_supports * 1e3),
        "straightedge_2_m_mm": number(level.straightedge * 1e3),
        "moved_down_mm": number(level.moved_down * 1e3),
        "moved_up_mm": number(level.moved_up * 1e3),
    }


def floor_orders_record(found: FloorOrders) -> dict[str, Any]:
    """Every order by every way of striking."""
    return {
        "heap_height_factor": number(found.heap),
        "heap_length_m": number(found.heap_length),
        "spans_m": [number(span) for span in found.spans],
        "orders": [
            {
                "order": each.order,
                "plan": each.plan,
                "plan_places_so": each.own,
                "strike": each.strike,
                "strips_m": [number(width) for width in each.strips],
                "edge_open_h": number(each.open_time / 3600.0),
            }
            for each in found.orders
        ],
        "rows": [_row(each) for each in found.rows],
    }


def _row(row: FloorRow) -> dict[str, Any]:
    return {
        "order": row.order,
        "strike": row.strike,
        "same_as": row.same_as or None,
        "refused": row.refused if row.refused and not row.same_as else None,
        "with_heap": None if row.heap is None else _felt(row.heap),
        "without_heap": None if row.bare is None else _felt(row.bare),
        "level": None if row.level is None else level_record(row.level),
    }


def _felt(felt: Felt) -> dict[str, Any]:
    return {
        "use": None if felt.use is None else number(felt.use),
        "sag_mm": number(felt.sag * 1e3),
        "uplift_kN_per_m": number(felt.uplift / 1e3),
    }
