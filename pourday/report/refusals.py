"""Why a plan is not to be poured as it stands, on paper and on the screen."""

from __future__ import annotations

from pourday.report.units import Units
from pourday.report.words import percent
from pourday.study.sheet.says import Sheet


def refusals(sheet: Sheet, units: Units) -> list[str]:
    """Why this plan is not to be poured as it stands: said before anything else."""
    out = []
    if sheet.deck_share > 1.0:
        out.append(
            f"DO NOT POUR SO: the deck takes {percent(sheet.deck_share)} of its resistance in the "
            "file. Ask the engineer and the deck supplier."
        )
    if sheet.frozen > 0.0:
        out.append(
            f"FROST: {units.area.text(sheet.frozen, 0)} freeze before they can stand it on the "
            "first day played. Not without measures (pourday day --full), and the engineer."
        )
    return out
