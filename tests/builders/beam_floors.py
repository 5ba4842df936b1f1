"""Small floors on beams, written as scenario files. Invented; loads "none" unless changed."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from builders.pours import text

from pourday.floor.layout import Layout, lay_out
from pourday.scenario.model.scenario import BeamData, Scenario
from pourday.scenario.read import parse_scenario

BEAMS = """
[beams]
columns_x_m = [0.0, 9.0]
line_spacing_m = 2.5
secondary = { I_cm4 = 30000 }
primary = { I_cm4 = 60000 }
"""


def floor(beams: str = BEAMS, **changes: Any) -> Scenario:
    """Three spans of 3 m under one sheet, 12 m long, primary beams at both ends, as changed."""
    plain = {"spans_m": [3.0, 3.0, 3.0], "sheet_runs": [3], "length_y_m": 12.0}
    plain["primary_beams_y_m"] = [0.0, 12.0]
    spans = changes.pop("floor", {})
    if "supports_m" in spans:
        plain.pop("spans_m")
    return parse_scenario(text(floor=plain | spans, **changes) + beams)[0]


def laid(scenario: Scenario, **plan: Any) -> Layout:
    """The layout of its first plan, changed as told."""
    return lay_out(scenario, replace(scenario.plans[0], **plan))


def with_rigidity(scenario: Scenario, rigidity: float) -> Scenario:
    """All its beams with this EI (N m²), beyond what a file may say."""

    def stiffened(beams: tuple[BeamData | None, ...]) -> tuple[BeamData | None, ...]:
        return tuple(b and replace(b, rigidity=rigidity) for b in beams)

    beams = scenario.beams
    return replace(
        scenario,
        beams=replace(
            beams, secondary=stiffened(beams.secondary), primary=stiffened(beams.primary)
        ),
    )
