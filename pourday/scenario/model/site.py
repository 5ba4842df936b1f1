"""The site of a scenario: supply, room, pumps, crews, plans. Frozen values, SI inside."""

from __future__ import annotations

from dataclasses import dataclass, replace

from pourday.scenario.base.distribution import Distribution
from pourday.scenario.model.call_off import AgeRule

IN_TURN, TOGETHER, AFTER_POUR = "in_turn", "together", "after_pour"
"""How a crew takes its breaks."""


@dataclass(frozen=True)
class Plant:
    """A plant, its trucks and its road.

    ``load`` (m³) is what its trucks carry, None for what the plan says; ``others_every`` (s) the
    mean time between loads of other customers, each of ``others`` (m³), None for none.
    """

    name: str
    trucks: int
    batch: float
    travel: Distribution
    back: Distribution
    opens: float
    closes: float | None
    load: float | None
    others_every: float | None
    others: float


@dataclass(frozen=True)
class RushHour:
    """From, to (s): a trip gets on at 1 / ``factor`` of its speed."""

    begins: float
    ends: float
    factor: float


@dataclass(frozen=True)
class Supply:
    """How concrete is called and carried."""

    plants: tuple[Plant, ...]
    load: float
    smallest_load: float
    load_step: float
    margin: float
    age_rule: AgeRule
    finish_begun: float
    discharge: Distribution
    rush_hours: tuple[RushHour, ...]


@dataclass(frozen=True)
class Break:
    """A break of every crew as the crew takes it: at a clock time, or ``every`` so long (s)."""

    at: float | None
    every: float | None
    length: float


@dataclass(frozen=True)
class SetUp:
    """A place (m) where a pump or crane can stand; ``loading`` is where its skip is filled."""

    name: str
    x: float
    y: float
    loading: tuple[float, float] | None


@dataclass(frozen=True)
class Site:
    """Room for trucks, times at the site, hours, and rules of the work.

    ``round_the_block`` (s) is how long a truck drives that finds no place, None where it waits in
    the road. The first ``tests_first`` loads are tested, and every ``test_every``-th after them.
    ``samples`` for strength are those a m³ that the project asks for, None for ACI 318's rule.
    ``change`` (s) is from one truck to the next. A break waits for the end of the strip in hand,
    ``late_by`` (s) at most; a stop that begins up to ``early`` (s) before it is the break; a crew
    that takes none works ``longest_without_break`` (s) at most. ``curfew_ends`` is when
    work may begin again, the next morning; ``curfew_for``
    says whose work must be over by the curfew: the "pump" alone, or "all". ``working_zone`` and
    ``crews_apart`` (m) keep crews from each other, the second on one sheet run. Above
    ``heat_from`` (°C) a crew loses ``heat_loss_share`` of its pace with every degree, where
    ``heat_slows`` is set. A floor in parts is poured every ``days_between_pours`` days.
    """

    positions: int
    holding_places: int
    round_the_block: Distribution | None
    gate: Distribution
    position: Distribution
    test: Distribution
    tests_first: int
    test_every: int
    samples: float | None
    change: Distribution
    wash: Distribution
    set_ups: tuple[SetUp, ...]
    floor_height: float
    breaks: tuple[Break, ...]
    late_by: float
    early: float
    longest_without_break: float
    curfew: float | None
    curfew_ends: float | None
    curfew_for: str
    stop_rain: float
    cover: Distribution
    uncover: Distribution
    working_zone: float
    crews_apart: float
    heat_slows: bool
    heat_from: float
    heat_loss_share: float
    days_between_pours: int = 1

    def set_up(self, name: str) -> SetUp:
        """The set-up place of that name; the reader of the file has seen to it that it is there."""
        return next(each for each in self.set_ups if each.name == name)


@dataclass(frozen=True)
class Pump:
    """A means of placing; output in m³/s before losses.

    ``reach`` (m) is None where everything is reached; ``reset`` (s) folds, drives and sets up at
    another place. ``pipe`` (N/m) and ``skip_landing`` (N) load the deck, None for those of
    ``Loads``. A stand longer than ``stand_free`` (s) blocks the line with a chance that grows with
    mean ``stand_to_block`` (s), None for never; ``longest_stand`` (s) is how old the concrete in
    the line may get, None for the mix's open time. ``hire`` and ``standing`` are money per second,
    the latter of standing beyond ``standing_free`` (s); ``hire_least`` (s) is paid at least;
    ``extra_pipe`` is money per metre of line beyond ``pipe_free`` (m).
    """

    name: str
    preset: str | None
    means: str
    output: Distribution
    setup: Distribution
    prime: Distribution
    reach: float | None
    reset: Distribution
    hopper: float
    line_length: float
    line_content: float
    output_loss_per_100m: float
    output_loss_per_10m_height: float
    pipe_length: float
    pipe_change: Distribution
    pipe: float | None
    skip: float | None
    skip_fill: Distribution
    skip_empty: Distribution
    hoist: float
    slew: float
    skip_landing: float | None
    other_lifts_every: float | None
    other_lift: Distribution
    move: Distribution
    walk: float
    between_blockages: float | None
    stand_free: float
    stand_to_block: float | None
    longest_stand: float | None
    blockage: Distribution
    wash_out: Distribution
    release_height: float
    call_out: float
    hire: float
    pumped: float
    hire_least: float = 0.0
    priming_charge: float = 0.0
    pipe_free: float = 0.0
    extra_pipe: float = 0.0
    standing_free: float = 0.0
    standing: float = 0.0


@dataclass(frozen=True)
class Roles:
    """Placers that each job needs."""

    hose: int
    vibrator: int
    rakers: int
    screed: int
    foreman: int

    @property
    def needed(self) -> int:
        """All of them."""
        return self.hose + self.vibrator + self.rakers + self.screed + self.foreman


@dataclass(frozen=True)
class Crew:
    """People; rates in m³/s and m²/s, front speed in m/s.

    ``rate_when_short`` is the share of the full pace with one, two ... placers missing; with more
    missing than it says nobody places. Empty: the pace follows the number of people. ``pokers`` of
    ``poker`` (m) compact, None for as many as the roles say; ``vibrating_beam`` does it by its own.
    """

    name: str
    preset: str | None
    placers: int
    roles: Roles | None
    rate_per_placer: float
    rate_when_short: tuple[float, ...]
    most_in_zone: int | None
    breaks_taken: str
    screed: float | None
    front_speed: float | None
    pokers: int | None
    poker: float
    vibrating_beam: bool
    finishers: int
    others: int

    @property
    def persons(self) -> int:
        """Everybody who is paid."""
        return self.placers + self.finishers + self.others

    @property
    def in_zone(self) -> int:
        """Placers who work in the zone at the front at one time."""
        return min(self.placers, self.most_in_zone or self.placers)


@dataclass(frozen=True)
class Stage:
    """Spacing (s) of the loads until this share of the concrete is called."""

    until_share: float
    spacing: Distribution


@dataclass(frozen=True)
class FrontPlan:
    """One pump and one crew. ``bays`` empty: those that fall to it; ``plants`` empty: all."""

    pump: str
    crew: str
    bays: tuple[str, ...]
    set_ups: tuple[str, ...]
    plants: tuple[str, ...]
    spacing: Distribution
    start: float


@dataclass(frozen=True)
class Plan:
    """One choice of pumps, spacing, crews, order and start; ``fronts`` has one or more."""

    name: str
    fronts: tuple[FrontPlan, ...]
    order: str
    fraction: float
    strip_width: float | None
    least_strip: float
    band: float
    pour_width: float | None
    strike: str
    strike_lag: float
    cut: str
    sequence: tuple[str, ...] | None
    place_before: tuple[tuple[str, str], ...]
    begin_at: str
    begin_y: str
    lanes: str
    alternate: bool
    stages: tuple[Stage, ...]
    trucks: int | None
    load: float | None
    most_on_site: int | None
    hold_back_at: int | None
    standby_after: float | None
    standby_call_out: float

    @property
    def start(self) -> float:
        """When the first load of the day is wanted (s)."""
        return min(front.start for front in self.fronts)

    def starting_at(self, start: float) -> Plan:
        """The same plan with its first load wanted at ``start`` (s); all fronts move alike."""
        later = start - self.start
        return replace(
            self, fronts=tuple(replace(each, start=each.start + later) for each in self.fronts)
        )


@dataclass(frozen=True)
class Standby:
    """What else could place concrete where a pump or crane has failed.

    It places ``output`` (m³/s) from ``ready`` (s) after it is called, as far as ``reach`` (m) from
    the nearest edge of the floor (None: everywhere), and costs ``call_out`` once called.
    """

    name: str
    output: float
    ready: float
    reach: float | None
    call_out: float
