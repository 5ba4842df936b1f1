"""What is the same on every day of a plan: worked out once, read by every day."""

from __future__ import annotations

from dataclasses import dataclass

from pourday.day.front.forecast import Expected, crew_in_strip, expected
from pourday.day.supply.yard import fleet, load_life, slump_life
from pourday.floor.layout import Layout
from pourday.scenario.model.scenario import Plan, Scenario


@dataclass(frozen=True, eq=False)
class ReadyFront:
    """A front of a plan before any day.

    ``strips`` are its own, in order; with one of ``last_strips`` its end is in sight. ``planned``
    is the volume of each (m³), ``to_begin`` of all; ``expected`` are its rates and moves as
    planned, ``crew_rate`` what its full crew places in each (m³/s), by strip.
    """

    strips: tuple[int, ...]
    last_strips: frozenset[int]
    planned: tuple[float, ...]
    to_begin: float
    expected: Expected
    crew_rate: dict[int, float]


@dataclass(frozen=True, eq=False)
class Ready:
    """A plan before any day.

    ``planned`` (m³) and ``moves`` (m) are those of the layout, strip by strip; ``waited_for`` are
    strips that strips of other fronts wait for. ``trucks`` are those of each plant, ``life`` how
    old a load may be on a mild day (s), ``too_old`` the word for one that is older.
    """

    scenario: Scenario
    plan: Plan
    layout: Layout
    planned: tuple[float, ...]
    moves: tuple[float, ...]
    waited_for: tuple[int, ...]
    trucks: tuple[int, ...]
    life: float
    too_old: str
    fronts: tuple[ReadyFront, ...]


def ready(scenario: Scenario, plan: Plan, layout: Layout) -> Ready:
    """A plan made ready for its days."""
    life, slump = load_life(scenario), slump_life(scenario)
    waited_for = dict.fromkeys(before for waits in layout.waits_for for before in waits)
    return Ready(
        scenario=scenario,
        plan=plan,
        layout=layout,
        planned=tuple(layout.volume.tolist()),
        moves=tuple(layout.moves.tolist()),
        waited_for=tuple(waited_for),
        trucks=tuple(fleet(scenario, plan)),
        life=life,
        too_old="rejected: slump" if slump <= life else "rejected: age",
        fronts=tuple(_front(scenario, plan, layout, n) for n in range(len(plan.fronts))),
    )


def _front(scenario: Scenario, plan: Plan, layout: Layout, number: int) -> ReadyFront:
    front = plan.fronts[number]
    pump, crew = scenario.pumps[front.pump], scenario.crews[front.crew]
    strips = [i for i, f in enumerate(layout.front_of) if f == number]
    rates = {}
    for strip in strips:
        shape, volume = layout.strips[strip], float(layout.volume[strip])
        rates[strip] = crew_in_strip(crew, shape.area, shape.high - shape.low, volume)
    planned = layout.volume[strips].tolist()
    return ReadyFront(
        strips=tuple(strips),
        last_strips=frozenset(i for i in strips if _end_in_sight(layout, i, strips[-1])),
        planned=tuple(planned),
        to_begin=sum(planned),
        expected=expected(scenario, layout, number, pump, crew),
        crew_rate=rates,
    )


def _end_in_sight(layout: Layout, strip: int, last: int) -> bool:
    """Whether this is the last strip, or in the last band: its spans are too small to wait for."""
    one, end = layout.strips[strip], layout.strips[last]
    return strip == last or (one.along == end.along == "x" and one.band == end.band)
