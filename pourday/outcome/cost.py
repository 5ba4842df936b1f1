"""What a day costs by kind: the lines of its price (``pourday/outcome/price/``), added up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, fields

from pourday.day.log import DayLog
from pourday.outcome.base.basis import Basis
from pourday.outcome.price.items import Line
from pourday.outcome.price.lines import price
from pourday.outcome.price.people import Hours, Presence, Relief, presences, reliefs, shifts
from pourday.outcome.price.risk import Harm

__all__ = [
    "KINDS",
    "Cost",
    "Harm",
    "Hours",
    "Presence",
    "Relief",
    "cost_of",
    "presences",
    "reliefs",
    "shifts",
]


@dataclass(frozen=True)
class Cost:
    """Money by kind, in the scenario's currency; ``lines`` says what it is made of.

    ``labour`` is paid at the plain rate, ``overtime`` for hours beyond the shift (at the overtime
    factor) and for night and weekend. ``trucks`` is what is charged for trucks and plants besides
    waiting. ``cold_joints`` is the repair of what went cold, ``stiff_edges`` the care for what was
    stiff, ``late`` the user's own figure for a late finish.
    """

    concrete: float
    pump: float
    labour: float
    overtime: float
    waiting: float
    cold_joints: float
    stiff_edges: float
    trucks: float = 0.0
    curing: float = 0.0
    late: float = 0.0
    lines: tuple[Line, ...] = field(default=(), repr=False)

    @property
    def total(self) -> float:
        """All of it."""
        return sum(float(getattr(self, kind)) for kind in KINDS)


KINDS = tuple(each.name for each in fields(Cost) if each.name != "lines")
"""The kinds of cost, which together are all of it."""


def cost_of(basis: Basis, log: DayLog, hours: Sequence[Hours], harm: Harm) -> Cost:
    """Price one day; ``hours`` are those of every front, ``harm`` what is to be put right."""
    lines = price(basis, log, hours, harm)
    kinds = dict.fromkeys(KINDS, 0.0)
    for line in lines:
        kinds[line.item.kind] += line.amount
    return Cost(**kinds, lines=lines)
