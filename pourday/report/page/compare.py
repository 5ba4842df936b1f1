"""The page of ``pourday compare``: plans over the same days, and a day of each under a slider."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from pourday.outcome.base.basis import Basis
from pourday.outcome.measure import Outcome
from pourday.report.page.cost import cost_of_plans
from pourday.report.page.drawn.moving import moving_day
from pourday.report.page.edges import edges_of_plans
from pourday.report.page.html import Html, joined, lines, part, tag
from pourday.report.page.numbers import said, upset_words
from pourday.report.page.plans import plans_table
from pourday.report.page.verdict import verdict_of
from pourday.report.page.whole import whole_page
from pourday.report.units import SI, Units
from pourday.scenario.model.scenario import Scenario
from pourday.study.choice import Choice
from pourday.study.compare import Comparison

MOST_DRAWN = 4
"""Plans whose day is drawn at the most: each takes up to 300 kB of the page."""


def drawn_plans(choice: Choice, plans: Sequence[Basis]) -> tuple[Basis, ...]:
    """Which plans have a day on the page: the preferred, its runner-up, then as the file has them.

    Where no plan is preferred, the one that breaks the limits least comes first.
    """
    first = (choice.plan or choice.least_bad, choice.runner_up)
    ranked = sorted(
        plans, key=lambda each: first.index(each.plan.name) if each.plan.name in first else 2
    )
    return tuple(ranked[:MOST_DRAWN])


def compare_page(
    comparison: Comparison,
    choice: Choice,
    plans: Sequence[Basis],
    outcomes: Iterable[Outcome],
    warnings: Sequence[str] = (),
    units: Units = SI,
) -> str:
    """The page of a comparison.

    Args:
        comparison: the plans over their days.
        choice: which to prefer.
        plans: every plan of the comparison.
        outcomes: a day of each of :func:`drawn_plans`, in that order.
        warnings: those of the scenario file.
        units: those of its reader.
    """
    scenario = plans[0].scenario
    found = verdict_of(comparison, choice, plans, units)
    days = comparison.summaries[0].days
    upsets = [f"On every day goes wrong: {upset_words(each, units)}." for each in scenario.upsets]
    none = ("No plan is known to break a limit.",)
    parts = [
        part("verdict", "Which plan", *(tag("p", each) for each in found.said)),
        part("plan", "The plans", plans_table(scenario, comparison, choice)),
        part(
            "out",
            "What is out, and why",
            lines(found.out or none),
            _more([said(each, units) for each in warnings], upsets),
        ),
        part("day", "Through the day", _days(plans, outcomes, units)),
        part("edges", "Edges", edges_of_plans(comparison, plans, units)),
        part("cost", "Cost", cost_of_plans(scenario, comparison, units)),
    ]
    return whole_page(scenario.title, _about(scenario, len(plans), days), parts)


def _about(scenario: Scenario, plans: int, days: int) -> tuple[str, ...]:
    return (f"{scenario.date:%a %d %b %Y}. {plans} plans, the same {days} days for each.",)


def _more(warnings: Sequence[str], upsets: Sequence[str]) -> Html:
    """What holds for every plan."""
    every = [*warnings, *upsets]
    if not every:
        return Html("")
    return joined([tag("p", tag("strong", "For every plan")), lines(every)])


def _days(plans: Sequence[Basis], outcomes: Iterable[Outcome], units: Units) -> Html:
    """A day of every plan that is drawn, one shown at a time."""
    names, shown = [], []
    for n, outcome in enumerate(outcomes):
        names.append(outcome.log.plan)
        shown.append(moving_day(f"d{n}", outcome, units))
    choices = [tag("option", name, value=f"d{n}", selected=n == 0) for n, name in enumerate(names)]
    pick = tag(
        "p",
        tag("label", "Plan ", for_="drawn"),
        tag("select", *choices, id="drawn"),
        class_="pick",
    )
    left = len(plans) - len(names)
    rest = [f"{left} more: draw any by pourday day --plan NAME --html FILE."] if left else []
    return joined([pick if len(names) > 1 else "", *shown, lines(rest)])
