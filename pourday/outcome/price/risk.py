"""Lines of what goes wrong: cold and stiff edges, a late finish, a top finished too late."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pourday.outcome.base.basis import Basis
from pourday.outcome.price.items import HOUR, Line
from pourday.outcome.price.people import Hours


@dataclass(frozen=True)
class Harm:
    """What of a day's floor is to be put right: edges (m, and sides that went cold), area (m²)."""

    cold_length: float
    stiff_length: float
    cold_sides: int = 0
    missed_area: float = 0.0


def risk_lines(basis: Basis, hours: Sequence[Hours], harm: Harm) -> tuple[Line, ...]:
    """What goes wrong at the prices of the file; a finish is late by its last pump or finisher."""
    prices = basis.scenario.prices
    due = basis.scenario.site.curfew if prices.late_after is None else prices.late_after
    over = max(max(mine.pump_until, mine.finishers_until) for mine in hours)
    late = 0.0 if due is None else max(0.0, over - due)
    return (
        Line("cold_joints", harm.cold_length, harm.cold_length * prices.cold_joint),
        Line("cold_joints_each", harm.cold_sides, harm.cold_sides * prices.cold_joint_each),
        Line("stiff_edges", harm.stiff_length, harm.stiff_length * prices.stiff_edge),
        Line("late_days", float(late > 0), (late > 0) * prices.late_charge),
        Line("late_hours", late / HOUR, late * prices.late),
        Line("finished_late", harm.missed_area, harm.missed_area * prices.finished_late),
    )
