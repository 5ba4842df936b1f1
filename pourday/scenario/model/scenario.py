"""A scenario as the program uses it: frozen values, SI inside (s, m, N, Pa, °C, m³/s).

Clock times are seconds since midnight of the pour day. Money keeps its currency; prices are per
second where the file says per hour or minute. Field names are those of the file without the unit.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from pourday.scenario.base.distribution import Distribution, fixed
from pourday.scenario.base.upsets import Upset, UpsetRates
from pourday.scenario.model.call_off import CallOff
from pourday.scenario.model.site import (
    Break,
    Crew,
    FrontPlan,
    Plan,
    Plant,
    Pump,
    Roles,
    RushHour,
    SetUp,
    Site,
    Stage,
    Supply,
)

__all__ = [
    "BeamData",
    "Beams",
    "Break",
    "Crew",
    "Curing",
    "Deck",
    "Finishing",
    "FloorPlan",
    "FrontPlan",
    "Limits",
    "Loads",
    "Measures",
    "Mix",
    "Opening",
    "Plan",
    "Plant",
    "Prices",
    "Props",
    "Pump",
    "Rain",
    "Roles",
    "RushHour",
    "Scenario",
    "SetUp",
    "Site",
    "Slab",
    "Stack",
    "Stage",
    "Supply",
    "Weather",
]


@dataclass(frozen=True)
class Opening:
    """A rectangle of the floor that takes no concrete."""

    name: str
    x: tuple[float, float]
    y: tuple[float, float]


@dataclass(frozen=True)
class FloorPlan:
    """Supports along x, sheet runs as counts of spans, extent along y, primary beams, openings.

    ``cut_at_primary_beams`` says whether strips end at the primary beams inside the floor.
    """

    supports: tuple[float, ...]
    sheet_runs: tuple[int, ...]
    length_y: float
    primary_beams_y: tuple[float, ...]
    cut_at_primary_beams: bool
    openings: tuple[Opening, ...]
    low_x_end: str
    high_x_end: str
    stop_ends_x: tuple[float, ...]


@dataclass(frozen=True)
class Deck:
    """Deck per metre width: N m², N m, N, Pa; void volume of the ribs in m³ per m²."""

    bending_stiffness: float
    sag_moment_resistance: float
    hog_moment_resistance: float
    reaction_resistance: float
    self_weight: float
    void_volume: float


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
    """Temporary prop lines (x of each, m); stiffness in N/m per metre, None for rigid."""

    stiffness: float | None
    lines_x: tuple[float, ...]

    def under(self, x: float) -> bool:
        """Whether the support at ``x`` (m) is a prop line."""
        return any(abs(x - line) < 1e-6 for line in self.lines_x)


@dataclass(frozen=True)
class Mix:
    """Concrete: times at 20 °C from loading (s), temperatures (°C), Q in K, slump (m, m/s).

    ``edge_rule`` is "set", "interval" or "given"; ``edge_stiff_share`` and ``edge_cold_share`` are
    shares of the time to initial set from which an edge is stiff, then cold; the other rules take
    their proportion. ``bleed`` kg/m²/h at 20 °C, ``strength`` characteristic at 28 days (Pa).
    """

    preset: str | None
    open_time: float
    initial_set: float
    final_set: float
    edge_rule: str
    edge_stiff_share: float
    edge_cold_share: float
    retarder: float
    activation: float
    delivered: Distribution
    relaxation: float
    slump: float
    slump_tolerance: float
    slump_loss: float
    least_slump: float
    reject_share: float
    bleed: float
    cement_class: str
    strength: float


@dataclass(frozen=True)
class Rain:
    """Rain that may come: clock (s), length (s), rate (m/s), share of days on which it comes."""

    at: float
    length: Distribution
    rate: float
    chance: float


@dataclass(frozen=True)
class Weather:
    """Rows of air over the day: clock (s), °C, relative humidity 0..1, wind (m/s).

    ``air_shift`` (°C), ``humidity_shift`` and ``wind_factor`` move all rows of a day alike.
    """

    at: tuple[float, ...]
    air: tuple[float, ...]
    humidity: tuple[float, ...]
    wind: tuple[float, ...]
    air_shift: Distribution
    humidity_shift: Distribution
    wind_factor: Distribution
    rain: tuple[Rain, ...]

    @property
    def varies(self) -> bool:
        """Whether a day's air may differ from the rows."""
        shifts = (self.air_shift, self.humidity_shift)
        still = all(each == fixed(0.0) for each in shifts) and self.wind_factor == fixed(1.0)
        return not still


@dataclass(frozen=True)
class Finishing:
    """Rates (m²/s, m/s): bull float and edge for one person, power float for one machine.

    ``passes`` of the power float; ``machines`` None for one a finisher; all finishers but the one
    at the bull float come ``before_first_pass`` (s) ahead of the first pass; end of the shift (s).
    """

    preset: str | None
    bull_float: float
    passes: int
    machine: str
    machines: int | None
    power_float: float
    edge: float
    before_first_pass: float
    shift_end: float | None


@dataclass(frozen=True)
class Measures:
    """Against drying: share of wind left, humidity of fog, share of evaporation left, cooler °C."""

    wind_share: float
    fog_humidity: float
    film_share: float
    cooler: float


@dataclass(frozen=True)
class Curing:
    """After the pour: damp curing and props (s), mean temperature (°C), strength to strip (Pa)."""

    damp: float
    props: float
    later: float
    strip_at: float


@dataclass(frozen=True)
class Prices:
    """Money per m³, per person and second, per second of waiting, per metre of edge gone wrong.

    ``shift`` (s) is paid at the plain rate; after ``longest_shift`` (s) somebody else takes over.
    """

    currency: str
    concrete: float
    returned: float
    labour: float
    shift: float
    least_paid: float
    longest_shift: float
    overtime_factor: float
    waiting: float
    free_wait: float
    cold_joint: float
    stiff_edge: float


@dataclass(frozen=True)
class Limits:
    """Shares of days (cold joint, stiff edge, past curfew) and of deck resistance accepted."""

    cold_joint_share: float
    stiff_edge_share: float
    past_curfew_share: float
    deck_use: float


@dataclass(frozen=True)
class Scenario:
    """One floor and its plans."""

    title: str
    date: date
    floor: FloorPlan
    deck: Deck
    slab: Slab
    loads: Loads
    beams: Beams
    props: Props
    mix: Mix
    weather: Weather
    supply: Supply
    site: Site
    call_off: CallOff
    pumps: dict[str, Pump]
    crews: dict[str, Crew]
    finishing: Finishing
    measures: Measures
    curing: Curing
    prices: Prices
    limits: Limits
    upsets: tuple[Upset, ...]
    upset_rates: UpsetRates
    plans: tuple[Plan, ...]

    def means(self, plan: Plan) -> list[str]:
        """Means of placing ("boom", "line" or "skip") of every front of a plan."""
        return [self.pumps[front.pump].means for front in plan.fronts]

    def finishers(self, plan: Plan) -> int:
        """Finishers of all crews of a plan."""
        return sum(self.crews[front.crew].finishers for front in plan.fronts)

    def plan(self, name: str) -> Plan:
        """The plan called ``name``.

        Raises:
            KeyError: naming the plans there are.
        """
        for plan in self.plans:
            if plan.name == name:
                return plan
        raise KeyError(f"no plan {name!r}; the plans are: {', '.join(p.name for p in self.plans)}")
