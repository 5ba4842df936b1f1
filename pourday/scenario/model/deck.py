"""Deck, slab, loads, beams and props of a scenario: frozen, SI."""

from __future__ import annotations

from dataclasses import dataclass

from pourday.scenario.base.distribution import Distribution


@dataclass(frozen=True)
class Deck:
    """Deck per metre width: N m², N m, N, Pa; void volume of the ribs in m³ per m².

    ``fixed_supports`` are the permanent supports to which the deck is fixed: "all", "inner" (not
    the ends of sheets) or "none"; ``fixing_resistance`` N per metre of support.
    """

    bending_stiffness: float
    sag_moment_resistance: float
    hog_moment_resistance: float
    reaction_resistance: float
    self_weight: float
    void_volume: float
    end_reaction_resistance: float | None = None
    fixed_supports: str = "all"
    fixing_resistance: float | None = None


@dataclass(frozen=True)
class Slab:
    """Depth over the whole profile (m), how the top is struck, wet weight (N/m³)."""

    depth: float
    strike: str
    wet_density: float
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
    """Working load preset or own values (Pa, m), heap at the front, share at which to look."""

    preset: str
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
