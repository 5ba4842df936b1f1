"""What went wrong on a day, and what helps in a long stop, for JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from pourday.outcome.edges.stop_end import StopAdvice
from pourday.outcome.measure import Outcome
from pourday.report.records.parts import hour, number
from pourday.report.words import ALL_UPSETS
from pourday.scenario.base.upsets import Upset, upset_text
from pourday.study.effects import Effect, Measured


def upsets_record(
    outcome: Outcome, effects: Sequence[Effect], advice: Sequence[StopAdvice]
) -> dict[str, Any]:
    """The same for JSON; units in the names, clock times in hours, what never came is null."""
    names = [strip.name for strip in outcome.basis.layout.strips]
    return {
        "upsets": [_upset(each) for each in outcome.log.upsets_met],
        "effects": [
            {
                "without": ALL_UPSETS if effect.upset is None else upset_text(effect.upset),
                "lost_min": number(effect.lost / 60),
                "starved_more_min": number(effect.starved_more / 60),
                "cold_more": effect.cold_more,
                "stiff_more": effect.stiff_more,
                "over_age_more": effect.over_age_more,
                "cost_more": number(effect.cost_more),
                "unfinished_more_m3": number(effect.unfinished_more),
                "compares": effect.compares,
                "gone_cold": [list(pair) for pair in effect.gone_cold],
                "cold_only_without": [list(pair) for pair in effect.saved],
                "day_with": _measured(effect.day),
                "day_without": _measured(effect.without),
            }
            for effect in effects
        ],
        "long_stops": [_advice(names, each) for each in advice],
    }


def _upset(upset: Upset) -> dict[str, Any]:
    return {
        "text": upset_text(upset),
        "at_h": hour(upset.at),
        "kind": upset.kind,
        "length_min": number(upset.length / 60),
        "drawn": upset.drawn,
    }


def _measured(day: Measured) -> dict[str, Any]:
    return {
        "end_h": hour(day.end),
        "starved_min": number(day.starved / 60),
        "cold_edge_pairs": day.cold,
        "cold_stopped_fronts": day.cold_fronts,
        "stiff_edge_pairs": day.stiff,
        "stiff_stopped_fronts": day.stiff_fronts,
        "over_age_loads": day.over_age,
        "max_ratio": number(day.ratio),
        "cost": number(day.cost),
        "unfinished_m3": number(day.unfinished),
    }


def _advice(names: list[str], advice: StopAdvice) -> dict[str, Any]:
    return {
        "front": advice.front + 1,
        "kinds": list(advice.kinds),
        "begin_h": hour(advice.begin),
        "until_h": hour(advice.until),
        "strip": names[advice.strip],
        "y_m": number(advice.y),
        "x0_m": number(advice.x[0]),
        "x1_m": number(advice.x[1]),
        "stiff_h": hour(advice.stiff),
        "lost_h": hour(advice.lost),
        "left_min": number(advice.left / 60),
        "outlasted": advice.outlasted,
        "lost_edge": [names[n] for n in (advice.older, advice.newer) if n >= 0],
        "lost_edge_covered_h": hour(advice.covered),
        "lost_edge_ratio": number(advice.ratio),
        "lost_edge_stiff": advice.was_stiff,
        "lost_edge_cold": advice.cold,
        "lost_edge_whole": advice.whole,
        "lost_before": advice.lost_before,
        "pace_m3_h": number(advice.rate * 3600),
        "stop_ends": [
            {
                "at": [{"x_m": number(p.x), "joint_m": number(p.joint)} for p in end.places],
                "y0_m": number(end.low),
                "y1_m": number(end.high),
                "poured_side_m3": number(end.full),
                "placed_m3": number(end.placed),
                "needed_m3": number(end.needed),
                "removed_m3": number(end.removed),
                "time_min": number(end.time / 60),
                "go_on_by_h": hour(end.latest),
                "fits": bool(end.time <= advice.left),
            }
            for end in advice.ends
        ],
        "open_sides_y_m": [number(y) for y in advice.sides],
    }
