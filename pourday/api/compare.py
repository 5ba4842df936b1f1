"""``pourday.compare``: plans side by side on the same days, and which to prefer."""

# ruff: noqa: N815  (a name spells its unit as the trade does: kN)
from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from pourday.api.base import Bools, Floats, fixed, prepared, units_of, whole
from pourday.outcome.base.basis import Basis
from pourday.scenario.model.scenario import Scenario
from pourday.study.choice import Choice, choose, of_the_deck, on_fresh_days, struck_off
from pourday.study.compare import CHANCES
from pourday.study.compare import Comparison as Summary
from pourday.study.compare import compare as side_by_side
from pourday.study.compare import on_fresh_days as with_fresh
from pourday.study.days import PlanDays, one_day, study_plans
from pourday.study.metrics import NAMES
from pourday.study.verdict.final import FRESH_AFTER, FRESH_DAYS
from pourday.study.verdict.limits import known_of
from pourday.study.verdict.rounds import FIRST_LOOK


@dataclass(frozen=True, eq=False, repr=False)
class DaysOfPlan:
    """The days of one plan: each array (days,); day k has seed ``first_seed`` + k.

    The figures are those that ``compare --json`` spreads, one value a day: ``end_h`` and
    ``finishing_end_h`` are clock hours since midnight of the pour day, all other ``..._h`` lengths
    of time (of all pumps or trucks together), costs in the scenario's currency. ``use`` is the
    share of the deck's resistance. The last five say on which days it happened.
    """

    plan: str
    first_seed: int
    duration_h: Floats
    end_h: Floats
    placed_m3: Floats
    ordered_m3: Floats
    rejected_m3: Floats
    returned_m3: Floats
    line_and_pump_m3: Floats
    unfinished_m3: Floats
    loads: Floats
    mean_wait_min: Floats
    longest_wait_min: Floats
    all_waits_h: Floats
    oldest_age_min: Floats
    placing_h: Floats
    starved_h: Floats
    changing_h: Floats
    moving_h: Floats
    setting_up_h: Floats
    held_h: Floats
    short_h: Floats
    lent_h: Floats
    rounds: Floats
    down_h: Floats
    rain_h: Floats
    idle_h: Floats
    longest_gap_min: Floats
    largest_ratio: Floats
    stiff_length_m: Floats
    cold_length_m: Floats
    sag_moment_kNm_per_m: Floats
    hog_moment_kNm_per_m: Floats
    reaction_kN_per_m: Floats
    uplift_kN_per_m: Floats
    deflection_mm: Floats
    use: Floats
    ponding_m3: Floats
    evaporation_peak_kg_m2_h: Floats
    finishing_end_h: Floats
    missed_area_m2: Floats
    area_below_5_C_m2: Floats
    area_below_0_C_m2: Floats
    crew_pace_factor: Floats
    plant_pace_factor: Floats
    travel_factor: Floats
    cost_concrete: Floats
    cost_pump: Floats
    cost_labour: Floats
    cost_waiting: Floats
    cost_overtime: Floats
    cost_cold_joints: Floats
    cost_stiff_edges: Floats
    cost_trucks: Floats
    cost_curing: Floats
    cost_late: Floats
    cost_total: Floats
    cold: Bools
    stiff: Bools
    below_5_C: Bools
    frost: Bools
    past_curfew: Bools
    pump_past_curfew: Bools
    finishing_past_curfew: Bools
    unfinished: Bools

    def __repr__(self) -> str:
        """Without the arrays, which are long."""
        days = len(self.duration_h)
        return f"DaysOfPlan(plan={self.plan!r}, first_seed={self.first_seed}, {days} days)"


@dataclass(frozen=True, eq=False)
class Comparison:
    """Plans over the same days.

    ``plans`` has the days of each plan by its name, in the order asked for. ``choice`` says which
    to prefer, how surely (``choice.verdict``) and why not the others, ``summary`` has spreads,
    chances and paired differences,
    ``bases`` what all days of a plan share.
    """

    scenario: Scenario = field(repr=False)
    plans: dict[str, DaysOfPlan]
    summary: Summary = field(repr=False)
    choice: Choice = field(repr=False)
    bases: tuple[Basis, ...] = field(repr=False)

    def to_dict(self) -> dict[str, Any]:
        """What ``pourday compare --json`` writes (docs/outputs.md)."""
        from pourday.report.records.study import compare_record

        return compare_record(self.scenario, self.summary, self.choice)

    def to_html(self, *, units: str = "si", seed: int | None = None) -> str:
        """The page that ``pourday compare --html`` writes, without the warnings of the file.

        Args:
            units: "us" says it in yd³, ft, in and °F (docs/units.md).
            seed: number of the day under the slider; the first of those compared unless told.

        Raises:
            ValueError: for units of another name, or a seed below 0.
        """
        from pourday.report.page.compare import compare_page, drawn_plans

        first = next(iter(self.plans.values())).first_seed
        shown = first if seed is None else whole("seed", seed, 0)
        days = [one_day(basis, shown) for basis in drawn_plans(self.choice, self.bases)]
        said_in = units_of(units)
        return compare_page(self.summary, self.choice, self.bases, days, units=said_in)


def compare(
    scenario: Scenario,
    days: int = 200,
    plans: Sequence[str] | None = None,
    workers: int | None = None,
    *,
    seed: int = 0,
    upsets: Sequence[str] = (),
) -> Comparison:
    """Play the same days of every plan, as ``pourday compare`` does.

    From 50 days on the plans of the choice are played on 1,000 fresh days as well, which had no
    part in choosing; what ``choice`` and ``summary`` say of them is of those.

    Args:
        scenario: from ``read``.
        days: how many of each plan, 1 or more.
        plans: names of those to play; all unless told. Differences are against the first.
        workers: processes; all cores unless told; 1 plays in this one. Where the system cannot
            fork (Windows) more than one needs the usual ``if __name__ == "__main__":``.
        seed: number of the first day, 0 or more; the same seed is the same day for every plan.
        upsets: what goes wrong on every day, such as "10:30 pump down 45 min".

    Raises:
        KeyError: where there is no such plan; its first argument names those there are.
        ScenarioError: with every fault of the plans and of the upsets.
        ValueError: for no plan at all or one named twice, and numbers below their least.
    """
    days, seed = whole("days", days, 1), whole("seed", seed, 0)
    workers = None if workers is None else whole("workers", workers, 1)
    scenario, bases = prepared(scenario, plans, upsets)
    played = study_plans(bases, days, seed, workers)
    known = {each.plan.name: known_of(each) for each in bases}
    choice = choose(played, scenario.limits, struck_off(bases), of_the_deck(bases), known)
    summary = side_by_side(played)
    if days >= FIRST_LOOK and choice.finalists:
        last = [each for each in bases if each.plan.name in choice.finalists]
        again = study_plans(last, FRESH_DAYS, seed + FRESH_AFTER, workers)
        summary, choice = with_fresh(summary, again), on_fresh_days(choice, again)
    return Comparison(
        scenario=scenario,
        plans={each.plan: _days_of(each) for each in played},
        summary=summary,
        choice=choice,
        bases=bases,
    )


def _days_of(played: PlanDays) -> DaysOfPlan:
    figures: dict[str, Any] = {}
    for name in NAMES:
        column = played.of(name)
        figures[name] = fixed(column > 0 if name in CHANCES else column.copy())
    return DaysOfPlan(plan=played.plan, first_seed=played.first_seed, **figures)
