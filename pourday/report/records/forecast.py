"""A forecast as JSON: clock times in hours since midnight, volumes in m³, units in the names."""

from __future__ import annotations

import math
from typing import Any

from pourday.study.forecast.factors import Factor
from pourday.study.forecast.forecast import Band, Forecast

_HOUR, _MINUTE = 3600.0, 60.0


def forecast_record(found: Forecast) -> dict[str, Any]:
    """The numbers of a forecast."""
    return {
        "schema": "pourday.forecast/1",
        "title": found.basis.scenario.title,
        "plan": found.basis.plan.name,
        "at_h": _number(found.at / _HOUR),
        "rests": found.rests,
        "finish_h": _band(found.finish, _HOUR),
        "plan_finish_h": _band(found.plan_finish, _HOUR),
        "wash_out_end_h": _band(found.wash_out, _HOUR),
        "placed_m3": _number(found.placed),
        "plan_placed_m3": _band(found.plan_placed),
        "total_m3": _number(found.total),
        "unfinished_share": found.unfinished_share,
        "edges": [
            {
                "older_strip": each.edge.older + 1,
                "younger_strip": each.edge.younger + 1,
                "along": each.edge.along,
                "at_m": _number(each.edge.at),
                "lost_at_h": _number(each.edge.lost_at / _HOUR),
                "left_min": _number(each.left / _MINUTE),
                "lost_share": _number(each.lost_share),
            }
            for each in found.edges
        ],
        "edges_lost": len(found.lost),
        "lost_edges": [
            {
                "older_strip": each.older + 1,
                "younger_strip": each.younger + 1,
                "since_h": _number(each.since / _HOUR),
                "covered": each.covered,
            }
            for each in found.lost
        ],
        "another_lost_share": found.new_cold,
        "loads_to_call": _band(found.loads_to_call),
        "volume_to_call_m3": _band(found.volume_to_call),
        "balance_m3": _band(found.balance),
        "loads": [
            {
                "call_h": _band(load.call, _HOUR),
                "due_h": _band(load.due, _HOUR),
                "wait_min": _band(load.wait, _MINUTE),
                "volume_m3": _number(load.volume),
                "share": load.share,
            }
            for load in found.loads
        ],
        "hold_load": None if found.hold is None else found.hold + 1,
        "look_out": [
            {
                "time_h": _number(each.time / _HOUR),
                "strip": each.strip + 1,
                "x_m": _number(each.x),
                "kind": each.kind,
                "value": _number(each.value),
            }
            for each in found.look_out
        ],
        "money": {
            "currency": found.basis.scenario.prices.currency,
            "so_far": _number(found.money.so_far),
            "to_come": _band(found.money.to_come),
            "plan": _band(found.money.plan),
        },
        "travel_factor": _factor(found.travel),
        "crew_pace_factor": _factor(found.crew),
        "use_of_strips_ahead": _number(found.use),
        "loads_told": len(found.past.loads),
        "taken_as_on_the_road": found.granted,
        "guessed": {ticket: list(what) for ticket, what in found.guessed},
        "remarks": [{"line": each.row, "text": each.text} for each in found.past.remarks],
    }


def _number(value: float) -> float | None:
    return round(value, 6) if math.isfinite(value) else None


def _band(band: Band, unit: float = 1.0) -> dict[str, float | None]:
    return {
        "low": _number(band.low / unit),
        "about": _number(band.about / unit),
        "by": _number(band.by / unit),
    }


def _factor(factor: Factor) -> dict[str, float | int | None]:
    return {
        "low": _number(factor.at(0.1)),
        "about": _number(factor.at(0.5)),
        "by": _number(factor.at(0.9)),
        "loads_seen": factor.seen,
        "loads_out": factor.out,
        "loads_that_outweigh": factor.outweigh,
    }
