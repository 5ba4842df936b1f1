"""How long a stop usually lasts, as the file has it: all that is known of one before its end."""

from __future__ import annotations

from pourday.day.log import DOWN
from pourday.scenario.base.trade import SKIP
from pourday.scenario.model.scenario import Pump, Scenario

# A stop for which the file has no length (common practice, no source).
_UNKNOWN = 30 * 60.0


def usual_stop(scenario: Scenario, pump: Pump, kind: str) -> float:
    """Mean length (s) of a stop of this kind: pump or crane down, or any other."""
    if kind != DOWN:
        return _UNKNOWN
    rates = scenario.upset_rates
    return rates.crane_lost.mean if pump.means == SKIP else rates.pump_down.mean
