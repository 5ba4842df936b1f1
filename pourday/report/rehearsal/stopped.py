"""What a page says at a stop: edges by age, and the concrete that waits with its give-up time."""

from __future__ import annotations

from pourday.outcome.measure import Outcome
from pourday.outcome.scene import Scene
from pourday.report.rehearsal.answers import concrete_rows, edge_rows, end_words
from pourday.report.units import SI, Units
from pourday.study.choices.ways import endings

_MOST_EDGES = 2


def stop_rows(outcome: Outcome, scene: Scene, units: Units = SI) -> list[tuple[str, str]]:
    """Rows (label, words) of a page at a stop; nothing in them knows how long it lasts."""
    rows = [*edge_rows(outcome, scene, _MOST_EDGES), *concrete_rows(scene, units=units)]
    found = [ending for ending in endings(outcome, scene) if ending.edge is not None]
    for ending in found:
        label = "End it" if len(found) == 1 else f"End {ending.front + 1}"
        rows.append((label, end_words(outcome, scene, ending, units)))
    return rows
