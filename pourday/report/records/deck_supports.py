"""Machine-readable: supports of the deck, what lets go, overhangs, EI at both ends of its range."""

from __future__ import annotations

from typing import Any

from pourday.outcome.deck.overhangs import OverhangCheck
from pourday.outcome.deck.supports import Felt, Force
from pourday.report.records.parts import number
from pourday.study.orders.deck_study import PlanDeck


def supports_record(plan: PlanDeck) -> dict[str, Any]:
    """Supports of one plan; a share is null where the file says nothing to judge by."""
    checks = plan.supports
    return {
        "fixed_supports": plan.basis.scenario.deck.fixed_supports,
        "fixing": _force(checks.fixing),
        "end_reaction": _force(checks.end),
        "prop": None if checks.prop is None else _force(checks.prop),
        "lets_go": [
            {
                "x_m": number(place.x),
                "kind": place.kind,
                "gap_mm": number(place.gap * 1e3),
                "strip": plan.basis.layout.strips[place.strip].name,
                "stage": place.stage,
            }
            for place in checks.let_go
        ],
        "tips": checks.tips,
        "held": _felt(checks.held),
        "released": _felt(checks.free),
        "overhangs": [_overhang(each) for each in plan.overhangs],
        "stiffness": [
            {
                "factor": number(at.factor),
                "deflection_mm": None if at.sag is None else number(at.sag * 1e3),
                "use": None if at.use is None else number(at.use),
            }
            for at in plan.stiffness
        ],
    }


def _force(force: Force) -> dict[str, float | None]:
    return {
        "kN_per_m": number(force.value / 1e3),
        "factored_kN_per_m": number(force.factored / 1e3),
        "x_m": number(force.x),
        "share": None if force.share is None else number(force.share),
    }


def _felt(felt: Felt) -> dict[str, float | None]:
    return {
        "sag_moment_kNm_per_m": number(felt.sag_moment / 1e3),
        "hog_moment_kNm_per_m": number(felt.hog_moment / 1e3),
        "factored_sag_moment_kNm_per_m": number(felt.factored_sag_moment / 1e3),
        "factored_hog_moment_kNm_per_m": number(felt.factored_hog_moment / 1e3),
        "deflection_mm": number(felt.deflection * 1e3),
        "use": number(felt.use),
    }


def _overhang(hung: OverhangCheck) -> dict[str, float | None]:
    return {
        "x_m": number(hung.x),
        "length_m": number(hung.length),
        "hog_moment_kNm_per_m": number(hung.moment / 1e3),
        "factored_hog_moment_kNm_per_m": number(hung.factored_moment / 1e3),
        "reaction_kN_per_m": number(hung.reaction / 1e3),
        "use": number(hung.use),
        "factored_next_reaction_kN_per_m": number(hung.next_reaction / 1e3),
        "tip_mm": number(hung.tip * 1e3),
        "extra_m3": number(hung.volume),
    }
