"""The table of a cubic metre's materials as the user writes it: what warms and cools a mix."""

# ruff: noqa: N815  (a key spells its unit as the trade does: kN, C, K)

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from pourday.scenario.base.quantities import Table

Warm = Annotated[float, Field(ge=-5, le=90)]


class BatchTable(Table):
    """Masses in a cubic metre and their temperatures at the plant, for the heat balance.

    The cement warms the slab too, as it hardens.

    Defaults are those of an everyday mix (common practice, no source).
    """

    cement_kg_m3: Annotated[float, Field(ge=100, le=700)] = 330.0
    aggregate_kg_m3: Annotated[float, Field(ge=500, le=3000)] = 1830.0
    aggregate_moisture_share: Annotated[float, Field(ge=0, le=0.2)] = 0.025
    water_kg_m3: Annotated[float, Field(ge=10, le=400)] = 140.0
    cement_C: Warm = 45.0
    aggregate_C: Warm | None = None
    water_C: Annotated[float, Field(ge=0, le=60)] = 20.0
