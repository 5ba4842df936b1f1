"""What the people and machines of a crew cannot do, each key alone in its range."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

from pourday.scenario.base.faults import Fault, join
from pourday.scenario.clashes.site import fronts_of
from pourday.scenario.tables.concrete import FinishingTable
from pourday.scenario.tables.deck import DeckTable, SlabTable
from pourday.scenario.tables.site import CrewTable, PlanTable, PumpTable

DEEPEST_FOR_BEAM = 150.0
"""Depth of slab that a vibrating beam compacts by itself, mm (common practice, no source)."""
POKER_RATES = ((130.0, 38.0), (80.0, 31.0), (50.0, 15.0), (30.0, 8.0), (20.0, 4.0))
"""Diameter of a poker from (mm), and the most that it compacts (m³/h).

Source: Concrete NZ, Compaction, table 1 (20-40 mm 0.8 to 4, 30-60 mm 2.3 to 8, 50-90 mm 4.6 to 15,
80-150 mm 11 to 31, 130-180 mm 19 to 38); where ranges overlap the larger one counts.
"""


def most_compacted(crew: CrewTable) -> float:
    """Concrete that the pokers of a crew compact at the most (m³/h)."""
    return poker_count(crew) * next(rate for low, rate in POKER_RATES if crew.poker_mm >= low)


def poker_count(crew: CrewTable) -> int:
    """Pokers at work: those given, else those of the roles, else one for four placers."""
    if crew.pokers is not None:
        return crew.pokers
    return crew.roles.vibrator if crew.roles is not None else max(1, crew.placers // 4)


def fastest(crew: CrewTable, pumps: Sequence[PumpTable], thickness_mm: float) -> float:
    """How fast a crew places where nothing holds it up (m³/h): people, screed, best of its pumps.

    ``thickness_mm`` is that of the slab less the void of the ribs.
    """
    rate = min(crew.placers, crew.most_in_zone or crew.placers) * crew.rate_per_placer_m3_h
    if crew.screed_m2_h is not None:
        rate = min(rate, crew.screed_m2_h * thickness_mm / 1000.0)
    return min(rate, max(map(_output, pumps))) if pumps else rate


def _output(pump: PumpTable) -> float:
    """Mean output (m³/h); of a skip on no hoist but with half a turn there and back."""
    if pump.means != "skip" or pump.skip_m3 is None:
        return pump.output_m3_h.mean
    cycle = pump.skip_fill_min.mean + pump.skip_empty_min.mean + 1.0 / pump.slew_rpm
    return min(pump.output_m3_h.mean, pump.skip_m3 * 60.0 / cycle)


def _pokers_keep_up(
    crews: Mapping[str, CrewTable],
    pumps: Mapping[str, PumpTable],
    plans: Mapping[int, PlanTable],
    slab: SlabTable,
    deck: DeckTable,
) -> Iterator[Fault]:
    thickness = slab.depth_mm - deck.void_volume_m3_per_m2 * 1000.0
    for name, crew in crews.items():
        path, count = join("crews", name, "pokers"), poker_count(crew)
        if crew.vibrating_beam and slab.depth_mm <= DEEPEST_FOR_BEAM:
            if count == 0:
                advice = "a beam does not reach edges, beams and stop ends"
                yield Fault(path, "0", "1 or more", "", advice, "warning")
            continue
        fronts = [f for n, plan in plans.items() for _, f in fronts_of(n, plan) if f.crew == name]
        used = [pumps[front.pump] for front in fronts if front.pump in pumps]
        rate, most = fastest(crew, used, thickness), most_compacted(crew)
        if rate > most:
            found = (
                f"{count} of {crew.poker_mm:g} mm for up to {rate:.3g} m³/h: the crew outruns them"
            )
            rule = f"more of them or a slower crew; these compact up to {most:g} m³/h (Concrete NZ)"
            beam = (
                f"the slab is deeper than the {DEEPEST_FOR_BEAM:g} mm that a vibrating beam serves"
                if crew.vibrating_beam or slab.depth_mm > DEEPEST_FOR_BEAM
                else "or vibrating_beam = true, where a beam compacts the slab"
            )
            yield Fault(path, found, rule, "", beam, "warning")


def _machines_have_people(
    finishing: FinishingTable, crews: Mapping[str, CrewTable]
) -> Iterator[Fault]:
    most = max((crew.finishers for crew in crews.values()), default=0)
    if finishing.machines is not None and finishing.machines > sum(
        crew.finishers for crew in crews.values()
    ):
        advice = f"no crew has more than {most} finishers, and each works one machine"
        path = "finishing.machines"
        yield Fault(path, str(finishing.machines), "", "", advice, "warning")


Check = Callable[..., Iterator[Fault]]
PEOPLE_CHECKS: Sequence[tuple[tuple[str, ...], Check]] = (
    (("crews", "pumps", "plans", "slab", "deck"), _pokers_keep_up),
    (("finishing", "crews"), _machines_have_people),
)
