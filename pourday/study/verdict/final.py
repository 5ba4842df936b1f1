"""The plans of a verdict, played again on days that had no part in it.

Of several plans the one that looks cheapest has been lucky more often than not, so that the days
that chose it flatter it. What is printed of it comes from these.
"""

from __future__ import annotations

from collections.abc import Sequence

from pourday.outcome.base.basis import Basis
from pourday.study.days import Study, study_of

FRESH_DAYS = 1000
FRESH_AFTER = 1_000_000
"""Fresh days begin so many seeds after the first of the study, which has fewer."""


def fresh_study(plans: Sequence[Basis], names: Sequence[str], days: int, first_seed: int) -> Study:
    """The study of these plans (by name) on ``days`` fresh days, none of them played yet.

    ``first_seed`` is that of the study that chose them.
    """
    asked = [each for each in plans if each.plan.name in names]
    return study_of(asked, days, first_seed + FRESH_AFTER)
