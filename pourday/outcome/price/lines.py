"""The price of a day: one list of lines, the same ones in the same order on all days of a plan."""

from __future__ import annotations

from collections.abc import Sequence

from pourday.day.log import DayLog
from pourday.outcome.base.basis import Basis
from pourday.outcome.price.items import ITEMS, Line
from pourday.outcome.price.labour import labour, labour_keys
from pourday.outcome.price.people import Hours
from pourday.outcome.price.plant import plant_lines
from pourday.outcome.price.risk import Harm, risk_lines
from pourday.outcome.price.supply import supply_lines
from pourday.scenario.model.prices import Prices


def price(basis: Basis, log: DayLog, hours: Sequence[Hours], harm: Harm) -> tuple[Line, ...]:
    """Every line of a day, those too that come to nothing.

    What a floor left unfinished costs on another day is not in it. ``hours`` are those of every
    front, ``harm`` what is to be put right.
    """
    return (
        *labour(basis, hours).lines,
        *plant_lines(basis, log, hours),
        *supply_lines(basis, log),
        *risk_lines(basis, hours, harm),
    )


def keys_of(prices: Prices) -> tuple[str, ...]:
    """Keys of the lines, in order."""
    people = labour_keys(prices)
    return (*people, *(key for key in ITEMS if key not in people))
