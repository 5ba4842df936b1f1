"""What a line of the price is called, in which unit it counts, and whose money it is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

LABOUR, PLANT, CONCRETE, RISK = "labour", "plant", "concrete", "risk"
GROUPS = (LABOUR, PLANT, CONCRETE, RISK)
HOUR, MINUTE = 3600.0, 60.0


@dataclass(frozen=True)
class Item:
    """A kind of line: its label, the unit of its quantity, its group.

    ``kind`` is the part of the cost that it counts to (a field of ``pourday.outcome.cost.Cost``).
    """

    label: str
    unit: str
    group: str
    kind: str


class Line(NamedTuple):
    """One line of a day: how much of it there was, in the unit of its item, and what it costs."""

    key: str
    quantity: float
    amount: float

    @property
    def item(self) -> Item:
        """What it is called, and whose money it is."""
        return item_of(self.key)


OVERTIME = "overtime_after_"
"""Key of an overtime line; the hours after which it holds stand behind it."""
ITEMS = {
    "plain": Item("labour, plain hours", "h", LABOUR, "labour"),
    "least": Item("labour, paid to the least call", "h", LABOUR, "labour"),
    "night": Item("labour, night premium", "h", LABOUR, "overtime"),
    "weekend": Item("labour, weekend premium", "h", LABOUR, "overtime"),
    "travel": Item("labour, hours on the way", "h", LABOUR, "labour"),
    "fares": Item("fares, each person", "no.", LABOUR, "labour"),
    "call_out": Item("pump, call-out", "no.", PLANT, "pump"),
    "standby": Item("stand-by pump, call-out", "no.", PLANT, "pump"),
    "pump_hours": Item("pump, hours", "h", PLANT, "pump"),
    "crane_hours": Item("crane, hours", "h", PLANT, "pump"),
    "pumped": Item("pump, concrete through it", "m³", PLANT, "pump"),
    "skipped": Item("crane, concrete by skip", "m³", PLANT, "pump"),
    "extra_pipe": Item("pump, extra pipe", "m", PLANT, "pump"),
    "priming": Item("pump, priming the line", "no.", PLANT, "pump"),
    "standing": Item("pump, standing", "h", PLANT, "pump"),
    "placed": Item("concrete placed", "m³", CONCRETE, "concrete"),
    "in_line": Item("concrete left in pump and line", "m³", CONCRETE, "concrete"),
    "sent_away": Item("concrete sent away", "m³", CONCRETE, "concrete"),
    "disposal": Item("disposal", "m³", CONCRETE, "concrete"),
    "admixture": Item("admixture", "m³", CONCRETE, "concrete"),
    "retarder": Item("retarder", "m³", CONCRETE, "concrete"),
    "waiting": Item("trucks beyond free minutes", "min", CONCRETE, "waiting"),
    "part_loads": Item("part loads, what they lack", "m³", CONCRETE, "trucks"),
    "put_off": Item("loads put off too late", "no.", CONCRETE, "trucks"),
    "out_of_hours": Item("concrete out of plant hours", "m³", CONCRETE, "trucks"),
    "plant_open": Item("plant kept open", "h", CONCRETE, "trucks"),
    "trucks": Item("trucks kept for the pour", "no.", CONCRETE, "trucks"),
    "truck_hours": Item("trucks kept, hours", "h", CONCRETE, "trucks"),
    "curing": Item("curing", "m²", CONCRETE, "curing"),
    "cold_joints": Item("cold joints, repair", "m", RISK, "cold_joints"),
    "cold_joints_each": Item("cold joints, each side", "no.", RISK, "cold_joints"),
    "stiff_edges": Item("stiff edges, care", "m", RISK, "stiff_edges"),
    "late_days": Item("late finish, each such day", "no.", RISK, "late"),
    "late_hours": Item("late finish, hours", "h", RISK, "late"),
    "finished_late": Item("finished too late", "m²", RISK, "late"),
}
"""Key of a line -> what it is, in the order of a price; overtime comes after plain hours."""


def item_of(key: str) -> Item:
    """What a line with this key is.

    Raises:
        KeyError: where there is none.
    """
    if key.startswith(OVERTIME):
        after = float(key.removeprefix(OVERTIME))
        return Item(f"labour, overtime hours after {after:g} h", "h", LABOUR, "overtime")
    return ITEMS[key]
