"""The lists of a day as columns: a numpy array for each key of the JSON, in full precision.

Names are those of docs/outputs.md: ``trucks[].wait_min`` there is ``trucks.wait_min`` here. Clock
times ``..._h`` are hours since midnight of the pour day; what never came is nan.
"""

from __future__ import annotations

from dataclasses import dataclass

from pourday.api.base import Bools, Floats, Ints, Texts, bools, floats, ints, texts
from pourday.day.log import DayLog
from pourday.outcome.concrete.ageing import strip_ages
from pourday.outcome.edges.edge_pairs import worst_place
from pourday.outcome.measure import Outcome

HOUR, MINUTE = 3600.0, 60.0


@dataclass(frozen=True, eq=False)
class Trucks:
    """Loads in the order in which they were called, each array (loads,).

    ``wait_min`` is standing before discharge; gate, positioning and test are not counted.
    ``placed_m3`` counts the filling of pump and line. ``front`` counts from 1.
    """

    id: Ints
    plant: Texts
    batched_h: Floats
    arrived_h: Floats
    discharge_start_h: Floats
    discharge_end_h: Floats
    left_site_h: Floats
    wait_min: Floats
    age_at_end_min: Floats
    volume_m3: Floats
    placed_m3: Floats
    rejected_m3: Floats
    returned_m3: Floats
    outcome: Texts
    front: Ints
    rounds: Ints


@dataclass(frozen=True, eq=False)
class Strips:
    """Strips in placing order, each array (strips,); ``id`` is a strip's name.

    Sets are those of its latest concrete; ``from_low_y`` says of a band whether from low x.
    """

    order: Ints
    id: Texts
    kind: Texts
    bay: Texts
    x0_m: Floats
    x1_m: Floats
    y0_m: Floats
    y1_m: Floats
    front_along: Texts
    from_low_y: Bools
    front: Ints
    volume_m3: Floats
    start_h: Floats
    end_h: Floats
    initial_set_h: Floats
    final_set_h: Floats


@dataclass(frozen=True, eq=False)
class EdgePairs:
    """Pairs of strips with a shared side, each array (pairs,).

    ``max_ratio`` is the share of its time to cold that the older side had used when covered: above
    1 is cold. ``stiff`` pairs are those that were stiff at worst, not cold.
    """

    first: Texts
    second: Texts
    along: Texts
    at_m: Floats
    length_m: Floats
    max_gap_min: Floats
    max_ratio: Floats
    worst_x_m: Floats
    worst_y_m: Floats
    covered_h: Floats
    stiff_length_m: Floats
    cold_length_m: Floats
    stiff: Bools
    cold: Bools


@dataclass(frozen=True, eq=False)
class DeckUse:
    """Greatest share of the deck's resistance in use anywhere: ``use[k]`` from ``at_h[k]`` on.

    ``strip[k]`` is the one whose placing causes it.
    """

    at_h: Floats
    use: Floats
    strip: Texts


def trucks(log: DayLog) -> Trucks:
    """The loads of a day."""
    visits = log.visits
    return Trucks(
        id=ints(v.number + 1 for v in visits),
        plant=texts(v.plant for v in visits),
        batched_h=floats((v.batched for v in visits), HOUR),
        arrived_h=floats((v.arrived for v in visits), HOUR),
        discharge_start_h=floats((v.discharge_start for v in visits), HOUR),
        discharge_end_h=floats((v.discharge_end for v in visits), HOUR),
        left_site_h=floats((v.left_site for v in visits), HOUR),
        wait_min=floats((v.wait for v in visits), MINUTE),
        age_at_end_min=floats((v.discharge_end - v.batched for v in visits), MINUTE),
        volume_m3=floats(v.volume for v in visits),
        placed_m3=floats(v.placed for v in visits),
        rejected_m3=floats(v.rejected for v in visits),
        returned_m3=floats(v.returned for v in visits),
        outcome=texts(v.outcome for v in visits),
        front=ints(v.front + 1 for v in visits),
        rounds=ints(v.rounds for v in visits),
    )


def strips(outcome: Outcome) -> Strips:
    """The strips of a day."""
    layout, log = outcome.basis.layout, outcome.log
    ages = {each.strip: each for each in strip_ages(outcome.basis, outcome.fronts)}
    numbers, never = range(len(layout.strips)), float("nan")
    initial = (ages[k].initial_set if k in ages else never for k in numbers)
    final = (ages[k].final_set if k in ages else never for k in numbers)
    return Strips(
        order=ints(k + 1 for k in numbers),
        id=texts(strip.name for strip in layout.strips),
        kind=texts(strip.kind for strip in layout.strips),
        bay=texts(strip.bay for strip in layout.strips),
        x0_m=floats(strip.x0 for strip in layout.strips),
        x1_m=floats(strip.x1 for strip in layout.strips),
        y0_m=floats(strip.y0 for strip in layout.strips),
        y1_m=floats(strip.y1 for strip in layout.strips),
        front_along=texts(strip.along for strip in layout.strips),
        from_low_y=bools(layout.upward),
        front=ints(front + 1 for front in layout.front_of),
        volume_m3=floats(log.strip_volumes),
        start_h=floats(outcome.strip_start, HOUR),
        end_h=floats(outcome.strip_end, HOUR),
        initial_set_h=floats(initial, HOUR),
        final_set_h=floats(final, HOUR),
    )


def edge_pairs(outcome: Outcome) -> EdgePairs:
    """The edge pairs of a day."""
    layout, edges = outcome.basis.layout, outcome.edges
    return EdgePairs(
        first=texts(layout.strips[pair.first].name for pair in layout.pairs),
        second=texts(layout.strips[pair.second].name for pair in layout.pairs),
        along=texts(pair.along for pair in layout.pairs),
        at_m=floats(pair.at for pair in layout.pairs),
        length_m=floats(pair.length for pair in layout.pairs),
        max_gap_min=floats(edges.gap, MINUTE),
        max_ratio=floats(edges.ratio),
        worst_x_m=floats(
            worst_place(layout, pair, at)[0]
            for pair, at in zip(layout.pairs, edges.at.tolist(), strict=True)
        ),
        worst_y_m=floats(
            worst_place(layout, pair, at)[1]
            for pair, at in zip(layout.pairs, edges.at.tolist(), strict=True)
        ),
        covered_h=floats(edges.time, HOUR),
        stiff_length_m=floats(edges.stiff_length),
        cold_length_m=floats(edges.cold_length),
        stiff=bools(edges.pair_stiff),
        cold=bools(edges.ratio > 1.0),
    )


def deck_use(outcome: Outcome) -> DeckUse:
    """The share of the deck's resistance in use over a day."""
    found, strips = outcome.use_over_time, outcome.basis.layout.strips
    return DeckUse(
        at_h=floats(found.times, HOUR),
        use=floats(found.steps),
        strip=texts(strips[n].name for n in found.strips),
    )
