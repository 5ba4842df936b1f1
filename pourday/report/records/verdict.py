"""Machine-readable output: what days decide of plans, and which is preferred."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from pourday.report.records.parts import interval, number
from pourday.study.choice import Breach, Choice
from pourday.study.rare import RareMean
from pourday.study.verdict.verdict import LimitStanding, Verdict


def choice_record(choice: Choice) -> dict[str, Any]:
    """The preferred plan, what is not decided, the limits that plans are beyond."""
    open_, turn = choice.not_decided, choice.turn
    return {
        "plan": choice.plan,
        "runner_up": choice.runner_up,
        "saving": interval(choice.saving) if choice.saving else None,
        "earlier_h": interval(choice.earlier) if choice.earlier else None,
        "not_decided": {
            "plan": open_.plan,
            "saving": interval(open_.saving) if open_.saving else None,
            "days_needed": open_.needed,
        }
        if open_
        else None,
        "fresh_days": choice.fresh,
        "breaches": {plan: breaches_record(found) for plan, found in choice.breaches.items()},
        "turn": {"plan": turn.plan, "cost": turn.kind, "factor": number(turn.factor)}
        if turn
        else None,
    }


def breaches_record(found: Sequence[Breach]) -> list[dict[str, Any]]:
    """The limits that put a plan, or a start, out."""
    return [{"kind": b.kind, "found": number(b.found), "limit": b.limit} for b in found]


def verdict_record(verdict: Verdict) -> dict[str, Any]:
    """What the days decide of every limit of every plan, and how surely."""
    return {
        "days": verdict.days,
        "decided": verdict.decided,
        "tests": verdict.tests,
        "alpha_limits": verdict.alpha_limits,
        "alpha_cost": verdict.alpha_cost,
        "indifference": number(verdict.indifference),
        "plans": [
            {
                "plan": each.plan,
                "standing": each.standing,
                "days": each.days,
                "given_up_for": each.given_up_for,
                "days_needed": each.needed if each.open else None,
                "limits": limits_record(each.limits),
            }
            for each in verdict.plans
        ],
    }


def limits_record(limits: Sequence[LimitStanding]) -> list[dict[str, Any]]:
    """Every limit: what it is, where the days stand, the interval that decides."""
    return [
        {
            "kind": each.kind,
            "limit": each.limit,
            "standing": each.standing,
            "without_days": each.known,
            "bad_days": each.bad,
            "days": each.days,
            "share": interval(each.share),
            "days_needed": each.needed,
        }
        for each in limits
    ]


def rare_record(rare: RareMean) -> dict[str, Any]:
    """On which share of days something came up, how much then, and the mean over all days."""
    return {"share": interval(rare.share), "then": number(rare.then), "mean": interval(rare.mean)}
