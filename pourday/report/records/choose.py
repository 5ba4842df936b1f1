"""Machine-readable output of a search."""

from __future__ import annotations

from typing import Any

from pourday.report.records.parts import basis_record, edge_rule_record, interval, number, spread
from pourday.scenario.plan_text import plan_block
from pourday.study.compare import CHANCES, PlanSummary
from pourday.study.metrics import NAMES
from pourday.study.search.found import Found, LimitPrice
from pourday.study.search.study import Fresh
from pourday.study.search.trial import NOBODY

CHOOSE_SCHEMA = "pourday.choose/1"
_MEANS = ("cost_total", "end_h", "finishing_end_h", "stiff_length_m", "cold_length_m")


def choose_record(found: Found, fresh: Fresh | None) -> dict[str, Any]:
    """A search: what was tried, what was found, every candidate."""
    search, trial = found.search, found.trial
    chosen = fresh.chosen if fresh else found.chosen
    runner_up = fresh.runner_up if fresh else found.runner_up
    taken = tuple(plan.name for plan in search.scenario.plans)
    return {
        "schema": CHOOSE_SCHEMA,
        "scenario": search.scenario.title,
        "edge_rule": edge_rule_record(search.scenario.mix),
        "basis": basis_record(search.scenario),
        "first_seed": trial.first_seed,
        "plans": list(search.plans),
        "keys": [
            {"key": key, "values": list(values)}
            for key, values in zip(search.keys, search.values, strict=True)
        ],
        "ended": found.why,
        "days_played": found.played,
        "days_of_grid": found.grid,
        "saved_share": number(found.saved),
        "chosen": _name(found, chosen),
        "sure": chosen is not None and bool(trial.within[chosen]),
        "runner_up": _name(found, runner_up),
        "plan_toml": None if chosen is None else plan_block(search.candidates[chosen], taken),
        "fresh": _fresh(fresh) if fresh else None,
        "binding": found.binding,
        "limits": [_limit(found, each) for each in found.prices],
        "not_decided": _open(found),
        "front": [
            {
                "candidate": _name(found, each.number),
                "cost_total": number(each.cost),
                "finishing_end_h": number(each.finish_h),
                "stiff_length_m": number(each.stiff_m),
                "cold_length_m": number(each.cold_m),
            }
            for each in found.front
        ],
        "without_price": [
            {"key": each.key, "same_to_the_cent": list(each.alike)} for each in found.free
        ],
        "left_out": [
            {"candidate": each.name, "faults": [fault.text for fault in each.faults]}
            for each in search.refused
        ],
        "candidates": [_candidate(found, n) for n in range(len(search.candidates))],
    }


def _name(found: Found, which: int | None) -> str | None:
    return None if which is None else found.search.candidates[which].name


def _limit(found: Found, price: LimitPrice) -> dict[str, Any]:
    return {
        "kind": price.kind,
        "limit": price.limit,
        "relaxed": number(price.relaxed),
        "candidate": _name(found, price.number),
        "saves": interval(price.saves) if price.saves else None,
        "first_share": None if price.first is None else number(price.first),
        "first_saves": None if price.first_saves is None else number(price.first_saves),
    }


def _open(found: Found) -> dict[str, Any] | None:
    if found.open is None:
        return None
    return {
        "candidate": _name(found, found.open.number),
        "saves": interval(found.open.saving),
        "days_needed": found.open.needed,
        "limits": list(found.open.kinds),
    }


def _candidate(found: Found, which: int) -> dict[str, Any]:
    search, trial = found.search, found.trial
    each, rows = search.candidates[which], trial.values[which]
    given_up = int(trial.given_up[which])
    return {
        "candidate": each.name,
        "plan": each.of,
        "values": list(each.values),
        "days": len(rows),
        "same_as": None if trial.like[which] == which else _name(found, int(trial.like[which])),
        "given_up_for": None if given_up == NOBODY else _name(found, given_up),
        **{
            name: number(float(rows[:, NAMES.index(name)].mean())) if len(rows) else None
            for name in _MEANS
        },
        "limits": [
            {
                "kind": limit.kind,
                "limit": limit.share,
                "bad_days": int(trial.bad[which, k]),
                "standing": str(trial.standings[which, k]),
            }
            for k, limit in enumerate(trial.every)
        ],
    }


def _fresh(fresh: Fresh) -> dict[str, Any]:
    return {
        "days": fresh.summaries[0].days,
        "first_seed": fresh.days[0].first_seed,
        "plans": [_summary(each) for each in fresh.summaries],
        "saving": interval(fresh.saving) if fresh.saving else None,
        "earlier_h": interval(fresh.earlier) if fresh.earlier else None,
    }


def _summary(summary: PlanSummary) -> dict[str, Any]:
    return {
        "candidate": summary.plan,
        **{name: spread(summary.figures[name]) for name in _MEANS},
        **{f"{name}_probability": interval(summary.chances[name]) for name in CHANCES},
    }
