"""Whole floors on beams against an independent frame program (PyNiteFEA), solved as a grillage.

The same discretisation: deck lines of the same widths across the same beams. The two differ by
round-off alone (both have exact beam elements, loads enter as exact fixed-end forces), so that
1e-6 is asked, not the half per cent that an engineer would accept.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np
import pytest
from builders.beam_floors import floor, laid
from Pynite import FEModel3D

from pourday.floor.layout import Layout
from pourday.floor.lines.ponding import loaded_thickness
from pourday.floor.lines.states import DeckLine
from pourday.scenario.model.scenario import Scenario

CLOSE = 1e-6

SIMPLE = """
[beams]
columns_x_m = [0.0, 9.5]
secondary = { I_cm4 = 30000 }
primary = { I_cm4 = 90000 }
"""
LANES = """
[beams]
columns_x_m = [0.0, 3.0, 9.5]
secondary = { I_cm4 = 25000, continuous = CONTINUOUS }
primary = { I_cm4 = 60000 }
lines = [{ x_m = 3.0, I_cm4 = 9000 }, { y_m = 7.0, I_cm4 = 120000, E_GPa = 200 }]
"""
OFF = """
[beams]
columns_x_m = [1.0, 5.2, 8.7]
secondary = { I_cm4 = 30000 }
primary = { I_cm4 = 70000, continuous = CONTINUOUS }
"""
WALL = """
[beams]
columns_x_m = [0.0, 9.5]
secondary = { I_cm4 = 30000 }
primary = { I_cm4 = 60000 }
lines = [{ x_m = 6.5, kind = "wall" }, { y_m = 0.0, kind = "wall" }]
"""
JOINT = """
[beams]
columns_x_m = [0.0, 6.0, 13.0]
line_spacing_m = 2.0
secondary = { I_cm4 = 20000, precamber_mm = 10 }
primary = { I_cm4 = 80000, precamber_mm = 4, continuous = true }
lines = [{ x_m = 6.0, I_cm4 = 50000, continuous = true }]
"""
SPANS = {"spans_m": [3.0, 3.5, 3.0], "length_y_m": 11.0, "primary_beams_y_m": [0.0, 11.0]}
TWO_LANES = SPANS | {
    "length_y_m": 16.0,
    "primary_beams_y_m": [0.0, 7.0, 16.0],
    "cut_at_primary_beams": True,
}
# No span sags by a tenth of the depth: the rule of EN 1994-1-1 9.3.2 would load the deck with more
# than was struck, and this is about statics.
RUNS = {
    "spans_m": [3.0, 3.0, 3.6, 3.4],
    "sheet_runs": [2, 2],
    "length_y_m": 13.0,
    "primary_beams_y_m": [0.0, 5.0, 13.0],
    "cut_at_primary_beams": True,
}
FLOORS = {
    "simple secondaries": (SIMPLE, SPANS, {}),
    "secondaries hinged at a primary": (LANES.replace("CONTINUOUS", "false"), TWO_LANES, {}),
    "continuous secondaries": (LANES.replace("CONTINUOUS", "true"), TWO_LANES, {}),
    "columns off the supports, hinged": (OFF.replace("CONTINUOUS", "false"), SPANS, {}),
    "columns off the supports, continuous": (OFF.replace("CONTINUOUS", "true"), SPANS, {}),
    "a wall line and a wall edge": (WALL, SPANS, {}),
    "an elastic prop line": (SIMPLE, SPANS, {"lines_x_m": [4.6], "stiffness_kN_m2": 700}),
    "a rigid prop line": (SIMPLE, SPANS, {"lines_x_m": [4.6]}),
    "elastic props on walls": ("", SPANS, {"lines_x_m": [1.5, 4.6], "stiffness_kN_m2": 500}),
    "a column under a prop line": (
        SIMPLE.replace("9.5]", "4.6, 9.5]"), SPANS, {"lines_x_m": [4.6], "stiffness_kN_m2": 700}),
    "primary beams inside the floor, edges on walls": (
        SIMPLE, SPANS | {"primary_beams_y_m": [4.0]}, {}),
    "two sheet runs with a joint": (JOINT, RUNS, {}),
}  # fmt: skip


@dataclass
class Model:
    """A floor in PyNite: x along the deck, z along y of the floor, Y up."""

    model: FEModel3D = field(default_factory=FEModel3D)
    nodes: dict[tuple[float, float], str] = field(default_factory=dict)
    turns_x: set[str] = field(default_factory=set)
    turns_z: set[str] = field(default_factory=set)
    springs: dict[str, float] = field(default_factory=dict)
    held: set[str] = field(default_factory=set)
    sections: int = 0

    def node(self, x: float, y: float) -> str:
        key = (round(x, 6), round(y, 6))
        if key not in self.nodes:
            self.nodes[key] = f"N{len(self.nodes)}"
            self.model.add_node(self.nodes[key], x, 0, y)
        return self.nodes[key]

    def beam(self, places: list[tuple[float, float]], ei: float, hinges: set = frozenset()) -> list:
        """A beam through places; it is hinged left of the places in ``hinges``."""
        self.sections += 1
        # No torsion: deck and beams meet in their verticals only.
        self.model.add_section(f"S{self.sections}", 1e6, ei, ei, 0.0)
        members = []
        for a, b in pairwise(places):
            name = f"M{len(self.model.members)}"
            i, j = self.node(*a), self.node(*b)
            self.model.add_member(name, i, j, "m", f"S{self.sections}")
            if b in hinges and b != places[-1]:
                self.model.def_releases(name, Rzj=True)
            (self.turns_z if a[1] == b[1] else self.turns_x).update((i, j))
            members.append(name)
        return members


def build(scenario: Scenario, layout: Layout, placed: int) -> tuple[Model, list[list[str]]]:
    """The floor in PyNite with the strips up to ``placed`` on it, solved; members of each line.

    Geometry from the scenario alone; of the layout, the places and widths of the deck lines and
    the thickness that was struck.
    """
    plan, beams, props = scenario.floor, scenario.beams, scenario.props
    m = Model()
    m.model.add_material("m", 1.0, 1.0, 0.3, 1.0)
    lines_y = sorted({line.station.y for line in layout.lines})
    primaries = dict(zip(plan.primary_beams_y, beams.primary, strict=True))
    marks_y = sorted({0.0, plan.length_y, *lines_y, *plan.primary_beams_y})

    for x, beam in zip(plan.supports, beams.secondary, strict=True):
        for y in marks_y:
            m.node(x, y)
        if beam is None:
            m.held |= {m.node(x, y) for y in marks_y}
        else:
            hinges = set() if beam.continuous else {(x, y) for y in plan.primary_beams_y}
            m.beam([(x, y) for y in marks_y], beam.rigidity, hinges)
    for y in {0.0, plan.length_y, *plan.primary_beams_y}:
        beam = primaries.get(y)
        if beam is None:
            m.held |= {m.node(x, y) for x in plan.supports}
            continue
        m.held |= {m.node(c, y) for c in beams.columns_x}
        along = sorted({*plan.supports, *beams.columns_x})
        inner = set() if beam.continuous else {(c, y) for c in beams.columns_x[1:-1]}
        m.beam([(x, y) for x in along], beam.rigidity, inner)

    of_lines = []
    for line in layout.lines:
        y, width = line.station.y, line.station.width
        own = line.supports
        for x in props.lines_x:
            if own[0] < x < own[-1]:
                prop = m.node(x, y)
                if props.stiffness is None:
                    m.held.add(prop)
                else:
                    m.springs[prop] = props.stiffness * width
        members = m.beam([(x, y) for x in own], scenario.deck.bending_stiffness * width)
        of_lines.append(members)
        for name, (a, b) in zip(members, pairwise(own), strict=True):
            load(m, name, scenario.deck.self_weight * width, a, b, a)
            for cell, thickness in zip(line.cells, line.struck.thickness, strict=True):
                if cell.strip <= placed and a <= (cell.low + cell.high) / 2 <= b:
                    q = thickness * scenario.slab.wet_density * width
                    load(m, name, q, cell.low, cell.high, a)
    # Runs that meet at a support have a hinge there: the earlier one is released.
    for line, members in zip(layout.lines, of_lines, strict=True):
        joined = any(
            other.station == line.station and other.supports[0] == line.supports[-1]
            for other in layout.lines
        )
        if joined:
            m.model.def_releases(members[-1], Rzj=True)
    for name in m.nodes.values():
        m.model.def_support(
            name, True, name in m.held, True, name not in m.turns_x, True, name not in m.turns_z
        )
    for name, k in m.springs.items():
        m.model.def_support_spring(name, "DY", k)
    m.model.analyze_linear()
    return m, of_lines


def load(m: Model, member: str, q: float, low: float, high: float, start: float) -> None:
    m.model.add_member_dist_load(member, "Fy", -q, -q, low - start, high - start)


def agree(got, expected, size=None):
    expected = np.asarray(expected)
    size = np.abs(expected).max() if size is None else size
    assert size > 0
    assert np.asarray(got) == pytest.approx(expected, rel=0, abs=CLOSE * size)


def state_after(line: DeckLine, strip: int) -> int:
    """Number of the line's state once a strip anywhere on the floor is placed and left."""
    left = [k for k, s in enumerate(line.states) if s.stage == "left" and s.strip <= strip]
    return left[-1] if left else 0


def force_of(layout: Layout, strip: int) -> np.ndarray:
    """N on the frame's nodes, each line on rigid supports."""
    force = np.zeros(len(layout.frame.move))
    for line in layout.lines:
        nodes = layout.frame.nodes_of(line.supports, line.station.y)
        pressures = line.pressures[state_after(line, strip)]
        force[nodes] += line.deck.unit.reaction @ pressures * line.station.width
    return force


@pytest.mark.parametrize("order", ["thirds", "spread"])
@pytest.mark.parametrize("name", FLOORS)
def test_a_floor_on_beams_agrees_with_pynite(name, order):
    beams, spans, props = FLOORS[name]
    scenario = floor(beams, floor=spans, props=props, slab={"strike": "datum"})
    layout = laid(scenario, order=order)
    frame, count = layout.frame, len(layout.strips)
    assert all(
        np.array_equal(
            loaded_thickness(scenario, line.deck, line.struck, "datum"), line.struck.thickness
        )
        for line in layout.lines
    )
    for strip in (count // 3, 2 * count // 3):
        m, members = build(scenario, layout, strip)
        steps = [number for number, (s, _) in enumerate(layout.struck.steps) if s <= strip]
        moved = layout.struck.moved[steps[-1] + 1]

        # Every node of the frame, and what walls, columns and props carry.
        ours = {
            (round(x, 6), round(y, 6)): int(frame.node[s, k])
            for s, x in enumerate(frame.x)
            for k, y in enumerate(frame.y)
        } | {(round(x, 6), round(y, 6)): n for (x, y), n in frame.columns.items()}
        assert set(m.nodes) <= set(ours)
        theirs = {at: m.model.nodes[n] for at, n in m.nodes.items()}
        down = [-n.DY["Combo 1"] for n in theirs.values()]
        agree([moved[ours[at]] for at in theirs], down)
        carried = frame.carry @ force_of(layout, strip)
        up = [
            -m.springs[m.nodes[at]] * n.DY["Combo 1"]
            if m.nodes[at] in m.springs
            else n.RxnFY["Combo 1"]
            for at, n in theirs.items()
        ]
        agree([carried[ours[at]] for at in theirs], up)

        # The deck lines that the strip crosses: they have a state at just this moment.
        crossed = 0
        for line, names in zip(layout.lines, members, strict=True):
            if strip not in line.strips:
                continue
            crossed += 1
            number = state_after(line, strip)
            deck_agrees(line, number, [m.model.members[n] for n in names])
        assert crossed


def deck_agrees(line: DeckLine, number: int, members: list) -> None:
    """Moments over supports, reactions, and sag of the deck in one state of a line."""
    width, supports = line.station.width, np.array(line.supports)
    # PyNite counts a sagging Mz negative. A run's ends are hinges.
    over = [-mem.moment("Mz", 0.0, "Combo 1") for mem in members]
    x = line.deck.unit.stations
    span = np.clip(np.searchsorted(supports, x, side="right") - 1, 0, len(members) - 1)
    moment = np.array(
        [-members[s].moment("Mz", at - supports[s]) for s, at in zip(span, x, strict=True)]
    )
    size = np.abs(moment).max()
    agree(line.base.support_moment[number][1:-1] * width, over[1:], size)
    assert np.abs(line.base.support_moment[number][[0, -1]] * width).max() < CLOSE * size
    agree(line.base.moment[number] * width, moment, size)
    ends = np.zeros(len(supports))
    for s, member in enumerate(members):
        # Forces on the member's ends, local y up.
        f = np.asarray(member.f("Combo 1")).ravel()
        ends[s : s + 2] += f[[1, 7]]
    agree(line.base.reaction[number] * width, ends)
    sag = [-members[s].deflection("dy", at - supports[s]) for s, at in zip(span, x, strict=True)]
    chord = np.interp(x, supports, line.supports_down[number])
    agree(line.base.deflection[number] + chord, sag)


def greatest_sag(scenario: Scenario, lines: int) -> float:
    """m, deck and beams together, anywhere and ever while the floor is placed."""
    low, high = 0.0, scenario.floor.primary_beams_y[1] or scenario.floor.length_y
    spacing = (high - low) / lines
    layout = laid(replace(scenario, beams=replace(scenario.beams, line_spacing=spacing)))
    # One more beside each end of the beams.
    assert sum(line.bay.y0 == 0.0 for line in layout.lines) == (lines + 2) * len(
        scenario.floor.sheet_runs
    )
    sags = []
    for line in layout.lines:
        x = line.deck.unit.stations
        chord = np.array([np.interp(x, line.supports, down) for down in line.supports_down])
        sags.append((line.base.deflection + chord).max())
    return float(max(sags))


@pytest.mark.parametrize(
    "name",
    [
        "simple secondaries",
        "continuous secondaries",
        "columns off the supports, hinged",
        "a wall line and a wall edge",
        "an elastic prop line",
        "two sheet runs with a joint",
    ],
)
def test_half_the_spacing_of_lines_changes_the_greatest_sag_by_less_than_one_per_cent(name):
    # Beams twice as stiff as above, so that they sag by about 1/300 of their span: the softer a
    # floor, the more its ponding magnifies every error (at 1/140 the change is 0.5 to 1.5 %).
    beams, spans, props = FLOORS[name]
    soft = floor(beams, floor=spans, props=props, slab={"strike": "datum"})

    def twice(beam):
        return beam and replace(beam, rigidity=2 * beam.rigidity)

    data = soft.beams
    scenario = replace(
        soft,
        beams=replace(
            data,
            secondary=tuple(map(twice, data.secondary)),
            primary=tuple(map(twice, data.primary)),
        ),
    )
    coarse, fine = greatest_sag(scenario, 9), greatest_sag(scenario, 19)
    assert abs(fine / coarse - 1) < 0.01
    assert fine != coarse


def test_nine_lines_or_more_lie_between_primary_beams_and_one_beside_each_of_them():
    scenario = floor(SIMPLE, floor=SPANS)
    for spacing, count in ((10.0, 9), (2.5, 9), (1.3, 9), (1.0, 11), (0.5, 21)):
        changed = replace(scenario, beams=replace(scenario.beams, line_spacing=spacing))
        places = [line.station.y for line in laid(changed).lines]
        assert len(places) == count + 2
        assert places[len(places) // 2] == pytest.approx(5.5, abs=1e-9)
        assert [places[0], 11.0 - places[-1]] == pytest.approx([0.05, 0.05], abs=1e-9)
