"""The words of an upset before its end: without its length, which nobody knows yet."""

from __future__ import annotations

import math
from dataclasses import replace

from pourday.report.units import SI, Units
from pourday.scenario.base.upsets import CREW_SHORT, PUMP_DOWN, Upset, upset_text

_MINUTE = 60.0


def unended_text(upset: Upset, units: Units = SI) -> str:
    """The upset without its length."""
    length = math.inf if upset.kind == CREW_SHORT else _MINUTE
    text = upset_text(replace(upset, length=length))
    return units.said(text.replace(" rain 1 min at ", " rain at ").removesuffix(" 1 min"))


def length_text(upset: Upset) -> str:
    """How long it lasted, such as "45 min"; one that had no length is never over."""
    return upset_text(replace(upset, kind=PUMP_DOWN, who="")).split(" down ", 1)[1]
