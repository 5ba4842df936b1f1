"""Deck, slab, loads, beams and props of a scenario: frozen, SI."""

# ruff: noqa: N815  (gamma_M is written as the trade does)

from __future__ import annotations

from dataclasses import dataclass

from pourday.scenario.base.distribution import Distribution


@dataclass(frozen=True)
class DesignedFor:
    """What the deck was designed for (m, Pa); ``None`` or "" where nobody said.

    ``struck`` is "constant_plane" or "constant_thickness", ``prop_lines`` those in a span.
    """

    wet_depth: float | None
    construction_load: float | None
    struck: str | None
    prop_lines: int | None
    standard: str
    source: str


@dataclass(frozen=True)
class Deck:
    """Deck per metre width: N m², N m, N, Pa; void volume of the ribs in m³ per m².

    Resistances are as the file has them; ``resistance_is`` says what they are ("design",
    "characteristic" with ``gamma_M``, "nominal" with ``phi`` or ``omega``, "allowable"). What is
    not given is ``None``: then no share of resistance is judged.
    ``fixed_supports`` are the permanent supports to which the deck is fixed: "all", "inner" (not
    the ends of sheets) or "none"; ``fixing_resistance`` N per metre of support.
    """

    bending_stiffness: float
    sag_moment_resistance: float | None
    hog_moment_resistance: float | None
    reaction_resistance: float | None
    resistance_is: str | None
    gamma_M: float | None
    phi: float | None
    omega: float | None
    self_weight: float
    void_volume: float
    end_reaction_resistance: float | None
    fixed_supports: str
    fixing_resistance: float | None
    designed_for: DesignedFor | None


@dataclass(frozen=True)
class Slab:
    """Depth over the whole profile (m), how the top is struck, wet weight (N/m³), mesh (kg/m²)."""

    depth: float
    strike: str
    wet_density: float
    mesh: float
    use_factor: Distribution


@dataclass(frozen=True)
class Stack:
    """Material on the bare deck: a rectangle and its weight (N)."""

    name: str
    x: tuple[float, float]
    y: tuple[float, float]
    weight: float


@dataclass(frozen=True)
class Loads:
    """Working load preset or own values (Pa, m), heap at the front, share at which to look.

    ``basis`` is whose partial factors count: "EN", "LRFD", "ASD" or "own", then with the factors
    that follow it, each ``None`` unless told.
    """

    preset: str
    basis: str
    permanent_factor: float | None
    permanent_favourable_factor: float | None
    concrete_factor: float | None
    concrete_favourable_factor: float | None
    working_factor: float | None
    inside: float | None
    outside: float | None
    zone: float
    heap_height_factor: Distribution
    heap_length: float
    crew: float
    person: float
    pipe: float
    skip_landing: float
    skip_side: float
    stacks: tuple[Stack, ...]
    look_share: float
    look_sag: float | None


@dataclass(frozen=True)
class BeamData:
    """A beam: EI (N m²), upward bend at the middle of each span (m), over its supports or not."""

    rigidity: float
    precamber: float
    continuous: bool


@dataclass(frozen=True)
class Beams:
    """Beams under the deck. ``None`` for a line stands for a wall.

    ``secondary`` by support x, ``primary`` by y, in the order of the floor's supports and primary
    beams; both empty where the deck's supports are taken as rigid.
    """

    secondary: tuple[BeamData | None, ...]
    primary: tuple[BeamData | None, ...]
    columns_x: tuple[float, ...]
    line_spacing: float

    @property
    def given(self) -> bool:
        """Whether any beam can bend."""
        return any(self.secondary) or any(self.primary)


@dataclass(frozen=True)
class Props:
    """Temporary prop lines (x of each, m); stiffness in N/m per metre, None for rigid.

    ``capacity`` N per metre of line, or ``prop_capacity`` N of each prop, ``prop_spacing`` m apart.
    """

    stiffness: float | None
    lines_x: tuple[float, ...]
    capacity: float | None = None
    prop_capacity: float | None = None
    prop_spacing: float | None = None

    @property
    def takes(self) -> float | None:
        """N per metre of line; None where the file says nothing of it."""
        if self.prop_capacity is not None and self.prop_spacing is not None:
            return self.prop_capacity / self.prop_spacing
        return self.capacity

    def under(self, x: float) -> bool:
        """Whether the support at ``x`` (m) is a prop line."""
        return any(abs(x - line) < 1e-6 for line in self.lines_x)
