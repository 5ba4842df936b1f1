"""Sites made at random by hypothesis: floors, fronts, means, supply, crews, rules and upsets.

Invented. The numbers are chosen so that queues, stands, refused loads and meetings of crews all
come up often, not so that a site would be built like it.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cache

from builders.pours import pour
from hypothesis import HealthCheck
from hypothesis import strategies as st

from pourday.floor.access.set_ups import ReachError
from pourday.floor.layout import Layout, lay_out
from pourday.floor.order.graph import OrderError
from pourday.scenario.base.distribution import Distribution, fixed
from pourday.scenario.base.upsets import (
    CRANE_LOST,
    CREW_SHORT,
    LOAD_REJECTED,
    PLANT_STOPPED,
    PUMP_DOWN,
    RAIN,
    ROAD_CLOSED,
    TRUCK_BROKEN,
    Upset,
)
from pourday.scenario.model.call_off import AgeRule, CallOff
from pourday.scenario.model.scenario import (
    Break,
    Crew,
    FrontPlan,
    Plan,
    Plant,
    Pump,
    Roles,
    RushHour,
    Scenario,
    SetUp,
    Stage,
)

MINUTE, HOUR = 60.0, 3600.0
SEVEN = 7 * HOUR
MM_PER_H = 1e-3 / 3600.0
SLOW = [HealthCheck.too_slow]
"""To suppress: a case is drawn with its layout, which takes its time on a busy machine."""

# spans, sheet runs, length along y, primary beams, openings
_FLOORS = (
    ([3.0], [1], 20.0, [], []),
    ([3.0, 2.4, 3.3], [3], 25.0, [10.0], []),
    ([2.5, 2.5, 3.0, 3.0], [2, 2], 12.0, [], []),
    ([2.5, 2.5], [1, 1], 18.0, [6.0, 12.0], []),
    ([2.5, 2.5, 2.5], [1, 2], 16.0, [8.0], [{"x_m": [1.0, 4.0], "y_m": [3.0, 6.0]}]),
)
MOST_FRONTS = (1, 2, 2, 3, 3)


@dataclass(frozen=True)
class Case:
    """A scenario with one plan, the plan's layout (too long to print) and the day's number."""

    scenario: Scenario
    layout: Layout = field(repr=False)
    seed: int

    @property
    def plan(self) -> Plan:
        return self.scenario.plans[0]


@cache
def base(number: int, order: str) -> Scenario:
    """The plain pour on one of the floors."""
    spans, runs, length, primary, openings = _FLOORS[number]
    floor = {
        "spans_m": spans,
        "sheet_runs": runs,
        "length_y_m": length,
        "primary_beams_y_m": primary,
        "cut_at_primary_beams": True,
        "openings": openings,
    }
    return pour(floor=floor, plan={"order": order})


@cache
def some(*values):
    return st.sampled_from(values)


@cache
def minutes(low: float, high: float) -> st.SearchStrategy[Distribution]:
    """A time in s that is fixed or varies, with a mean between ``low`` and ``high`` min."""
    kinds = ["fixed", "exponential", "lognormal", "gamma"] if low > 0 else ["fixed"]
    return st.builds(
        lambda kind, mean, spread: Distribution(
            kind, (mean,) if kind in ("fixed", "exponential") else (mean, spread * mean)
        ),
        st.sampled_from(kinds),
        st.floats(low, high).map(lambda m: round(m, 2) * MINUTE),
        st.sampled_from([0.1, 0.4, 1.0]),
    )


@cache
def nothing_or(low: float, high: float) -> st.SearchStrategy[Distribution]:
    return minutes(0, 0) | minutes(low, high)


@st.composite
def plants(draw, number: int) -> Plant:
    travel = draw(minutes(5, 25))
    return Plant(
        name=f"plant {number}",
        trucks=draw(st.integers(1, 5)),
        batch=draw(some(10.0, 40.0, 90.0)) / HOUR,
        travel=travel,
        back=travel if draw(st.booleans()) else draw(minutes(5, 25)),
        opens=draw(some(0.0, 0.0, 6.5 * HOUR, 8.0 * HOUR)),
        closes=draw(some(None, None, None, None, 8.5 * HOUR, 10.0 * HOUR, 15.0 * HOUR)),
        load=draw(some(None, None, 2.5, 5.0)),
        others_every=draw(some(None, None, 8 * MINUTE, 25 * MINUTE)),
        others=draw(some(3.0, 8.0)),
    )


@st.composite
def pumps(draw, number: int, like: Pump) -> Pump:
    means = draw(some("boom", "boom", "line", "skip"))
    pump = replace(
        like,
        name=f"pump {number}",
        means=means,
        output=Distribution("uniform", (15.0 / HOUR, draw(some(20.0, 60.0)) / HOUR)),
        hopper=draw(some(0.0, 0.5)),
        line_length=draw(some(0.0, 50.0)),
        line_content=draw(some(0.0, 0.01)),
        output_loss_per_100m=draw(some(0.0, 0.2)),
        reset=draw(nothing_or(10, 45)),
        pipe_change=draw(nothing_or(0.5, 3)),
        move=draw(nothing_or(0.5, 8)),
        walk=draw(some(0.0, 3.0)),
        between_blockages=draw(some(None, None, 0.3 * HOUR, 2 * HOUR)),
        blockage=draw(minutes(2, 40)),
        stand_free=draw(some(0.0, 5 * MINUTE, 20 * MINUTE)),
        stand_to_block=draw(some(None, 10 * MINUTE, 60 * MINUTE)),
        longest_stand=draw(some(None, None, 25 * MINUTE, 50 * MINUTE)),
        wash_out=draw(nothing_or(5, 30)),
        prime=draw(nothing_or(5, 10)),
    )
    if means == "boom":
        return replace(pump, reach=draw(some(None, 8.0, 12.0)))
    if means == "skip":
        return replace(
            pump,
            skip=draw(some(0.5, 1.0)),
            hopper=0.0,
            line_length=0.0,
            skip_fill=draw(nothing_or(0.2, 1)),
            skip_empty=draw(nothing_or(0.2, 1)),
            other_lifts_every=draw(some(None, 20 * MINUTE, 90 * MINUTE)),
            other_lift=draw(minutes(2, 12)),
        )
    return pump


@st.composite
def crews(draw, number: int, like: Crew) -> Crew:
    return replace(
        like,
        name=f"crew {number}",
        placers=draw(st.integers(1, 7)),
        roles=draw(some(None, None, Roles(1, 1, 1, 0, 0))),
        rate_per_placer=draw(some(2.0, 5.0, 10.0)) / HOUR,
        rate_when_short=draw(some((), (), (0.8, 0.5), (0.7, 0.4, 0.2, 0.1))),
        most_in_zone=draw(some(None, None, 3)),
        breaks_taken=draw(some("together", "in_turn", "after_pour")),
        screed=draw(some(None, 60.0 / HOUR, 300.0 / HOUR)),
        front_speed=draw(some(None, 1.0 / 60.0, 0.05)),
    )


_AT = st.integers(6 * 60, 14 * 60).map(lambda m: m * MINUTE)
_LENGTH = st.integers(0, 90).map(lambda m: m * MINUTE)


@st.composite
def upsets(draw, plant_names: list[str], fronts: int, kinds=None) -> Upset:
    """One upset of any kind that could be written down for this site."""
    kind = draw(
        st.sampled_from(
            kinds
            or (
                PLANT_STOPPED,
                TRUCK_BROKEN,
                ROAD_CLOSED,
                PUMP_DOWN,
                LOAD_REJECTED,
                RAIN,
                CREW_SHORT,
                CRANE_LOST,
            )
        )
    )
    at, length = draw(_AT), draw(_LENGTH)
    front = draw(st.sampled_from(["", *map(str, range(1, fronts + 1))]))
    if kind in (PLANT_STOPPED, ROAD_CLOSED):
        return Upset(at, kind, length, draw(st.sampled_from(["", *plant_names])))
    if kind == LOAD_REJECTED:
        return Upset(at, kind, 0.0)
    if kind == RAIN:
        return Upset(at, kind, length, rate=draw(some(0.2, 5.0)) * MM_PER_H)
    if kind == CREW_SHORT:
        return Upset(at, kind, draw(some(length, float("inf"))), front, draw(st.integers(1, 4)))
    return Upset(at, kind, length, "" if kind == TRUCK_BROKEN else front)


@st.composite
def cases(
    draw,
    least_fronts: int = 1,
    most_fronts: int = 3,
    with_upsets: bool = True,
    with_phones: bool = True,
) -> Case:
    """A site, a plan on it with its layout, and a seed."""
    floors = [n for n, most in enumerate(MOST_FRONTS) if most >= least_fronts]
    number = draw(st.sampled_from(floors))
    scenario = base(number, draw(some("thirds", "spread", "across")))
    count = draw(st.integers(least_fronts, min(most_fronts, MOST_FRONTS[number])))
    scenario = _supplied(draw, scenario)
    scenario = _site(draw, scenario)
    if with_phones:
        scenario = replace(scenario, call_off=draw(call_offs(scenario.call_off)))
    numbers = range(1, count + 1)
    scenario = replace(
        scenario,
        pumps={f"pump {n}": draw(pumps(n, scenario.pumps["pump"])) for n in numbers},
        crews={f"crew {n}": draw(crews(n, scenario.crews["crew"])) for n in numbers},
    )
    use = draw(some(0.0, 0.03, 0.15))
    quantity = Distribution("normal", (1.05, use, 0.9, 1.5)) if use else fixed(1.0)
    loss = draw(some(0.0, 0.0, 0.1))
    scenario = replace(
        scenario,
        slab=replace(scenario.slab, use_factor=quantity),
        mix=replace(
            scenario.mix,
            reject_share=draw(some(0.0, 0.0, 0.05, 0.4)),
            slump_loss=loss / HOUR,
            least_slump=0.02,
        ),
    )
    scenario, layout = _planned(draw, scenario, count)
    if with_upsets:
        names = [plant.name for plant in scenario.supply.plants]
        given = draw(st.lists(upsets(names, count), max_size=4))
        scenario = replace(scenario, upsets=tuple(sorted(given, key=lambda u: u.at)))
    return Case(scenario, layout, draw(st.integers(0, 2**31)))


def _supplied(draw, scenario: Scenario) -> Scenario:
    count = draw(st.integers(1, 3))
    made = [draw(plants(n)) for n in range(count)]
    if draw(st.booleans()):  # plants alike: calls and arrivals fall on the same moment
        made = [replace(made[0], name=plant.name) for plant in made]
    rush = draw(st.lists(some(6.5, 8.0, 9.0), max_size=2, unique=True))
    supply = replace(
        scenario.supply,
        plants=tuple(made),
        load=draw(some(3.0, 4.5, 6.0)),
        smallest_load=draw(some(0.5, 1.0, 2.0)),
        load_step=draw(some(0.1, 0.25, 1.0)),
        margin=draw(some(0.0, 0.5, 2.0)),
        age_rule=draw(age_rules()),
        finish_begun=draw(some(0.0, 15.0)) * MINUTE,
        discharge=draw(nothing_or(1, 20)),
        rush_hours=tuple(
            RushHour(at * HOUR, (at + 1.0) * HOUR, draw(some(1.0, 1.5, 3.0))) for at in rush
        ),
    )
    return replace(scenario, supply=supply)


@st.composite
def age_rules(draw) -> AgeRule:
    limit = draw(some(35.0, 90.0, 100000.0, 100000.0)) * MINUTE
    return AgeRule("own", draw(some("discharge", "discharge", "arrival")), limit)


@st.composite
def call_offs(draw, like: CallOff) -> CallOff:
    """Somebody telephones in two days of three."""
    return replace(
        like,
        nobody_phones=draw(some(False, False, True)),
        waiting_wanted=draw(some(0, 1, 1, 2)),
        measure_error_share=draw(some(0.0, 0.04, 0.2)),
        hold_notice=draw(some(0.0, 10.0)) * MINUTE,
        long_hold=draw(some(20.0, 45.0)) * MINUTE,
    )


def _site(draw, scenario: Scenario) -> Scenario:
    begins = draw(st.lists(some(7.0, 8.0, 9.5, 12.0), max_size=3, unique=True))
    positions, holding = draw(st.integers(1, 3)), draw(st.integers(0, 3))
    site = replace(
        scenario.site,
        positions=positions,
        holding_places=holding,
        round_the_block=draw(nothing_or(3, 10)) if draw(st.booleans()) else None,
        gate=draw(nothing_or(0.5, 3)),
        position=draw(nothing_or(0.5, 6)),
        test=draw(nothing_or(0.5, 6)),
        tests_first=draw(some(1, 1, 3)),
        test_every=draw(some(1, 1, 2, 4)),
        change=draw(nothing_or(0.5, 3)),
        wash=draw(nothing_or(1, 12)),
        breaks=tuple(Break(at * HOUR, None, draw(some(10.0, 45.0)) * MINUTE) for at in begins),
        late_by=draw(some(0.0, 20.0)) * MINUTE,
        early=draw(some(0.0, 45.0)) * MINUTE,
        longest_without_break=draw(some(2.0, 6.0)) * HOUR,
        working_zone=draw(some(0.5, 1.0, 2.0)),
        crews_apart=draw(some(0.5, 3.0, 6.0)),
        floor_height=draw(some(-4.0, 0.0, 20.0)),
        heat_slows=draw(some(False, False, True)),
        heat_from=draw(some(12.0, 18.0)),
        heat_loss_share=draw(some(0.02, 0.2)),
    )
    return replace(scenario, site=site)


def _planned(draw, scenario: Scenario, count: int) -> tuple[Scenario, Layout]:
    """The scenario with its plan; a boom that does not reach its strips gets a longer one."""
    names = [plant.name for plant in scenario.supply.plants]
    length, width = scenario.floor.length_y, scenario.floor.supports[-1]
    spots = tuple(
        SetUp(
            name=f"spot {n}",
            x=draw(some(-3.0, width / 2, width + 3.0)),
            y=draw(some(-2.0, length / 2, length + 2.0)),
            loading=draw(some(None, (-5.0, 0.0))),
        )
        for n in range(3)
    )
    scenario = replace(scenario, site=replace(scenario.site, set_ups=spots))
    all_spots = [spot.name for spot in spots]
    spacing = nothing_or(3, 30)
    fronts = []
    for n in range(1, count + 1):
        pump = scenario.pumps[f"pump {n}"]
        least = 2 if pump.means == "boom" and pump.reach is not None else 0
        most = 3 if pump.means == "boom" else 1
        places = draw(st.permutations(all_spots))[: draw(st.integers(min(least, most), most))]
        own = [names[n % len(names)]] if len(names) > 1 and draw(st.booleans()) else []
        fronts.append(
            FrontPlan(
                pump=pump.name,
                crew=f"crew {n}",
                bays=(),
                set_ups=tuple(places),
                plants=tuple(own),
                spacing=draw(spacing),
                start=SEVEN + draw(some(0.0, 0.0, 30.0, 75.0)) * MINUTE,
            )
        )
    stages = ()
    if draw(some(False, False, True)):
        stages = (Stage(0.4, draw(spacing)), Stage(0.8, draw(spacing)), Stage(1.0, draw(spacing)))
    places_on_site = scenario.site.positions + scenario.site.holding_places
    plan = replace(
        scenario.plans[0],
        fronts=tuple(fronts),
        begin_at=draw(some("low_x", "high_x")),
        lanes=draw(some("side_by_side", "one_after_another")),
        alternate=draw(st.booleans()),
        stages=stages,
        trucks=draw(st.none() | st.integers(len(names), 12)),
        load=draw(some(None, None, 2.5)),
        most_on_site=draw(st.none() | st.integers(1, max(1, places_on_site))),
        hold_back_at=draw(st.none() | st.integers(1, 3)),
        standby_after=draw(some(None, 0.0, 10 * MINUTE, 40 * MINUTE)),
    )
    scenario = replace(scenario, plans=(plan,))
    layout = _reached(scenario)
    while layout is None:
        longer = {
            name: replace(pump, reach=pump.reach * 1.3) if pump.reach else pump
            for name, pump in scenario.pumps.items()
        }
        scenario = replace(scenario, pumps=longer)
        layout = _reached(scenario)
    if count > 1 and draw(st.booleans()):
        scenario, layout = _made_to_wait(draw, scenario, layout)
    return scenario, layout


def _reached(scenario: Scenario) -> Layout | None:
    try:
        return lay_out(scenario, scenario.plans[0])
    except ReachError:
        return None


def _made_to_wait(draw, scenario: Scenario, layout: Layout) -> tuple[Scenario, Layout]:
    """Strips of one front that wait for strips of another, where that goes round in no circle."""
    plan = scenario.plans[0]
    pairs = []
    for _ in range(draw(st.integers(1, 2))):
        before = draw(st.integers(0, len(layout.strips) - 1))
        after = draw(st.integers(0, len(layout.strips) - 1))
        if layout.front_of[before] != layout.front_of[after]:
            pairs.append((layout.strips[before].name, layout.strips[after].name))
    asked = replace(scenario, plans=(replace(plan, place_before=tuple(pairs)),))
    try:
        found = _reached(asked)
    except OrderError:
        return scenario, layout
    return (asked, found) if found is not None else (scenario, layout)
