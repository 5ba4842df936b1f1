"""Tables of the deck, the slab on it, loads, beams and props as the user writes them."""

# ruff: noqa: N815  (a key spells its unit as the trade does: kN, C, K)

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from pourday.scenario.base.distribution import Distribution, parse
from pourday.scenario.base.quantities import Pair, Place, Table, quantity


class DesignedFor(Table):
    """What the deck supplier's table or the engineer's calculation was made for."""

    wet_depth_mm: Annotated[float, Field(ge=60, le=500)] | None = None
    construction_load_kN_m2: Annotated[float, Field(ge=0, le=10)] | None = None
    struck: Literal["constant_plane", "constant_thickness"] | None = None
    prop_lines: Annotated[int, Field(ge=0, le=5)] | None = None
    standard: str = ""
    source: str = ""


class DeckTable(Table):
    """Stiffness and resistances of the deck per metre width, from the supplier's tables."""

    bending_stiffness_kNm2_per_m: Annotated[float, Field(gt=1, le=5000)]
    sag_moment_resistance_kNm_per_m: Annotated[float, Field(gt=0.1, le=200)] | None = None
    hog_moment_resistance_kNm_per_m: Annotated[float, Field(gt=0.1, le=200)] | None = None
    reaction_resistance_kN_per_m: Annotated[float, Field(gt=0.5, le=500)] | None = None
    resistance_is: Literal["design", "characteristic", "nominal", "allowable"] | None = None
    gamma_M: Annotated[float, Field(ge=1, le=2)] | None = None
    phi: Annotated[float, Field(gt=0.3, le=1)] | None = None
    omega: Annotated[float, Field(ge=1, le=4)] | None = None
    self_weight_kN_m2: Annotated[float, Field(ge=0, le=1)] = 0.12
    void_volume_m3_per_m2: Annotated[float, Field(ge=0, le=0.2)] = 0.0
    end_reaction_resistance_kN_per_m: Annotated[float, Field(gt=0.5, le=500)] | None = None
    fixed_supports: Literal["all", "inner", "none"] = "all"
    fixing_resistance_kN_per_m: Annotated[float, Field(gt=0, le=500)] | None = None
    designed_for: DesignedFor | None = None


class SlabTable(Table):
    """Depth of the slab over the whole deck profile, and how its top is struck."""

    depth_mm: Annotated[float, Field(ge=60, le=500)]
    strike: Literal["datum", "pins", "guides", "thickness"] = "datum"
    concrete: Literal["normal", "lightweight"] = "normal"
    wet_density_kN_m3: Annotated[float, Field(ge=15, le=30)] | None = None
    mesh_kg_m2: Annotated[float, Field(ge=0, le=50)] = 0.0
    use_factor: Annotated[Distribution, quantity(0.9, 1.5)] = parse(1.0)


class Stack(Table):
    """Material laid on the bare deck before the pour; gone when the strip it lies on is begun."""

    name: str = "stack"
    x_m: Pair
    y_m: Pair
    weight_kN: Annotated[float, Field(gt=0, le=500)]


class LoadsTable(Table):
    """What stands on the deck besides the levelled concrete."""

    preset: Literal["en_1991_1_6", "us_practice", "persons", "own", "none"] = "en_1991_1_6"
    basis: Literal["EN", "LRFD", "ASD", "own"] = "EN"
    permanent_factor: Annotated[float, Field(ge=1, le=3)] | None = None
    permanent_favourable_factor: Annotated[float, Field(ge=0, le=1)] | None = None
    concrete_factor: Annotated[float, Field(ge=1, le=3)] | None = None
    concrete_favourable_factor: Annotated[float, Field(gt=0, le=1)] | None = None
    working_factor: Annotated[float, Field(ge=1, le=3)] | None = None
    inside_kN_m2: Annotated[float, Field(ge=0, le=10)] | None = None
    outside_kN_m2: Annotated[float, Field(ge=0, le=10)] | None = None
    zone_m: Annotated[float, Field(gt=0.2, le=10)] = 3.0
    heap_height_factor: Annotated[Distribution, quantity(1.0, 6.0)] = parse(1.5)
    heap_length_m: Annotated[float, Field(gt=0.1, le=5)] = 1.0
    crew_kN_m2: Annotated[float, Field(ge=0, le=5)] = 0.3
    person_kN: Annotated[float, Field(gt=0, le=3)] = 1.0
    pipe_kN_m: Annotated[float, Field(ge=0, le=5)] = 0.0
    skip_landing_kN: Annotated[float, Field(ge=0, le=100)] = 0.0
    skip_side_m: Annotated[float, Field(gt=0.1, le=5)] = 1.2
    stacks: list[Stack] = []
    look_share: Annotated[float, Field(gt=0, le=1)] = 0.8
    look_sag_mm: Annotated[float, Field(gt=0, le=500)] | None = None


class BeamData(Table):
    """A beam's section and how it runs over its supports."""

    I_cm4: Annotated[float, Field(gt=1, le=5e6)]
    E_GPa: Annotated[float, Field(ge=50, le=250)] = 210.0
    precamber_mm: Annotated[float, Field(ge=0, le=300)] = 0.0
    continuous: bool = False


class BeamLine(Table):
    """A beam line that differs from the others: a secondary by its x, a primary by its y."""

    x_m: Place | None = None
    y_m: Place | None = None
    kind: Literal["beam", "wall"] = "beam"
    I_cm4: Annotated[float, Field(gt=1, le=5e6)] | None = None
    E_GPa: Annotated[float, Field(ge=50, le=250)] | None = None
    precamber_mm: Annotated[float, Field(ge=0, le=300)] | None = None
    continuous: bool | None = None


class BeamsTable(Table):
    """The beams under the deck. Left out, every support is as stiff as a wall."""

    secondary: BeamData | None = None
    primary: BeamData | None = None
    columns_x_m: list[Place] = []
    lines: list[BeamLine] = []
    line_spacing_m: Annotated[float, Field(ge=0.5, le=10)] = 2.5


class PropsTable(Table):
    """Temporary prop lines under the deck, along y; rigid unless a stiffness is given."""

    lines_x_m: list[Place] = []
    stiffness_kN_m2: Annotated[float, Field(gt=0, le=1e7)] | None = None
    capacity_kN_per_m: Annotated[float, Field(gt=0, le=1000)] | None = None
    prop_capacity_kN: Annotated[float, Field(gt=0, le=1000)] | None = None
    prop_spacing_m: Annotated[float, Field(gt=0.2, le=6)] | None = None
