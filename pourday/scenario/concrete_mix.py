"""Turns the table of the mix into the model: activations, cement, accelerator, delivery rule."""

from __future__ import annotations

from pourday.concrete.curing import Development
from pourday.concrete.frost import Cement
from pourday.scenario.base.units import to_si
from pourday.scenario.clashes.concrete import CLASS_OF, delivery_of
from pourday.scenario.model.concrete import Mix
from pourday.scenario.tables.concrete import MeasuresTable, MixTable

_CEMENT_OF: dict[str, Cement] = {"S": "32.5N", "N": "42.5N", "R": "42.5R"}
_DEVELOPMENT_OF: dict[str, Development] = {"S": "slow", "N": "medium", "R": "rapid"}
_NOT_IN_MODEL = (
    "activation", "relaxation", "delivery_rule", "least_delivered", "most_delivered",
    "outside_delivery",
)  # fmt: skip


def mix_of(table: MixTable, measures: MeasuresTable) -> Mix:
    """The mix in SI.

    ``activation_K`` of an older file stands for both activations, unless the file has one of its
    own. Cement class, its strength class and the strength development follow from each other where
    the file does not say. An accelerator leaves its share of open time and sets.
    """
    values = to_si(dict(table))
    for name in _NOT_IN_MODEL:
        del values[name]
    for key in ("set_activation", "strength_activation"):
        if table.activation_K is not None and f"{key}_K" not in table.model_fields_set:
            values[key] = table.activation_K
    if table.cement_strength is None:
        values["cement_strength"] = _CEMENT_OF[table.cement_class]
    elif "cement_class" not in table.model_fields_set:
        values["cement_class"] = CLASS_OF[table.cement_strength]
    if table.strength_development is None:
        values["strength_development"] = _DEVELOPMENT_OF[CLASS_OF[values["cement_strength"]]]
    for key in ("open_time", "initial_set", "final_set"):
        values[key] *= measures.accelerator_share
    return Mix(**values, delivery=delivery_of(table))
