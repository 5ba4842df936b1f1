"""Plans compared in front of a user: what the days cannot decide is said before they are played."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from pourday.commands.shared.played import Stop, Where, begun, play_on, play_out

if TYPE_CHECKING:
    from rich.console import Console

    from pourday.outcome.base.basis import Basis
    from pourday.study.choice import Choice
    from pourday.study.compare import Comparison


@dataclass(frozen=True)
class Asked:
    """How many days: ``days``, or until it is decided, at most so many; ``fresh`` for the choice.

    ``seed`` is that of the first day.
    """

    days: int
    until_decided: bool
    fresh: int
    seed: int


@dataclass(frozen=True, eq=False)
class Compared:
    """Plans compared, the choice, and what stopped it, if anything did, after how many days."""

    comparison: Comparison
    choice: Choice
    stop: Stop | None
    days: int


def compared(out: Console, plans: Sequence[Basis], asked: Asked, where: Where) -> Compared:
    """Play the plans; say beforehand which limits so many days cannot show to be kept."""
    from pourday.report.text.verdict import beforehand
    from pourday.study.choice import choose, of_the_deck, ruled_out, struck_off
    from pourday.study.compare import compare as side_by_side
    from pourday.study.days import study_of
    from pourday.study.verdict.limits import known_of
    from pourday.study.verdict.rounds import FIRST_LOOK, ROUND
    from pourday.study.verdict.verdict import follow, race_of, undecidable

    limits, names = plans[0].scenario.limits, [each.plan.name for each in plans]
    off, deck = struck_off(plans), of_the_deck(plans)
    known = {each.plan.name: known_of(each) for each in plans}
    more = ruled_out(names, off, deck)
    race = race_of(names, limits, known, {name: bool(more[name]) for name in names})
    for line in beforehand(undecidable(race.rules, limits, asked.days), asked.days):
        out.print(line)
    said = "--most-days" if asked.until_decided else "--days"
    study = begun(lambda: study_of(plans, asked.days, asked.seed), said)

    def _enough() -> bool:
        looks = study.ledger.complete_days // ROUND * ROUND
        if asked.until_decided and looks >= FIRST_LOOK and looks > race.look:
            follow(race, study.first_days(looks), limits, looks)
        return asked.until_decided and race.decided

    stop = play_out(study.work, study.ledger, where, _enough)
    decided = asked.until_decided and race.decided
    days = race.look if decided and race.look else study.ledger.complete_days
    all_days = study.first_days(days)
    choice = choose(all_days, limits, off, deck, known)
    found = Compared(side_by_side(all_days), choice, stop, days)
    return found if stop or days < FIRST_LOOK else _again(found, plans, asked, where)


def _again(found: Compared, plans: Sequence[Basis], asked: Asked, where: Where) -> Compared:
    """The plans of the choice on fresh days; a stop leaves those that are complete."""
    from pourday.study.choice import on_fresh_days
    from pourday.study.compare import on_fresh_days as with_fresh
    from pourday.study.verdict.final import fresh_study

    names = found.choice.finalists
    if not (asked.fresh and names):
        return found
    study = begun(lambda: fresh_study(plans, names, asked.fresh, asked.seed), "--fresh")
    stop = play_on(study.work, study.ledger, replace(where, resume=None))
    if not study.ledger.complete_days:
        return replace(found, stop=stop)
    fresh = study.plan_days
    return Compared(
        with_fresh(found.comparison, fresh), on_fresh_days(found.choice, fresh), stop, found.days
    )
