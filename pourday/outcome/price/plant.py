"""Lines of pumps and cranes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from pourday.day.log import HELD, IDLE, LENT, RAIN, SHORT, STARVED, DayLog
from pourday.outcome.base.basis import Basis
from pourday.outcome.price.items import HOUR, Line
from pourday.outcome.price.people import Hours
from pourday.scenario.base.trade import SKIP

_STANDING = (STARVED, HELD, SHORT, LENT, IDLE, RAIN)
"""Stops that are not the pump's own doing; trucks change and the boom moves as part of the work."""
PLANT_KEYS = (
    "call_out", "standby", "pump_hours", "crane_hours", "pumped", "skipped", "extra_pipe",
    "priming", "standing",
)  # fmt: skip


def plant_lines(basis: Basis, log: DayLog, hours: Sequence[Hours]) -> tuple[Line, ...]:
    """What pumps and cranes cost, all fronts together.

    The hire counts from setting up to the end of washing out, or the least hours. A stand-by pump
    that came costs its call-out, one that was ordered whether it was of use or not.
    """
    quantity: dict[str, float] = defaultdict(float)
    amount: dict[str, float] = defaultdict(float)

    def _add(key: str, much: float, money: float) -> None:
        quantity[key] += much
        amount[key] += money

    for number, (front, mine) in enumerate(zip(basis.plan.fronts, hours, strict=True)):
        pump = basis.scenario.pumps[front.pump]
        crane = pump.means == SKIP
        hired = max(mine.pump_until - mine.pump_from, pump.hire_least)
        placed = sum(
            s.volume_end - s.volume_start
            for s in log.stretches
            if s.strip >= 0 and s.front == number
        )
        stood = max(0.0, standing(log, number) - pump.standing_free)
        beyond = max(0.0, pump.line_length - pump.pipe_free)
        _add("call_out", 1.0, pump.call_out)
        if log.fronts[number].standby:
            _add("standby", 1.0, basis.plan.standby_call_out)
        for called in basis.scenario.standbys:
            if called.name == log.fronts[number].relief:
                _add("standby", 1.0, called.call_out)
        _add("crane_hours" if crane else "pump_hours", hired / HOUR, hired * pump.hire)
        _add("skipped" if crane else "pumped", placed, placed * pump.pumped)
        _add("extra_pipe", 0.0 if crane else beyond, 0.0 if crane else beyond * pump.extra_pipe)
        _add("priming", 1.0, pump.priming_charge)
        _add("standing", stood / HOUR, stood * pump.standing)
    return tuple(Line(key, quantity[key], amount[key]) for key in PLANT_KEYS)


def standing(log: DayLog, front: int) -> float:
    """How long a pump stands between first and last concrete for want of something else (s)."""
    mine = log.fronts[front]
    return sum(
        max(0.0, min(stop.end, mine.end) - max(stop.start, mine.start))
        for stop in log.stops
        if stop.front == front and stop.kind in _STANDING
    )
