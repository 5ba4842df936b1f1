"""What a search found: the candidate to take, the next, what limits cost, what else there is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from pourday.scenario.candidates import Search
from pourday.study.search.front import FrontPlan, front_of
from pourday.study.search.keys import KeyWithoutPrice, without_price
from pourday.study.search.trial import FIRST, NOBODY, Trial
from pourday.study.statistics import Interval, paired_difference
from pourday.study.verdict.evidence import NOT_DECIDED, days_needed

STEP = 0.05
"""By how much a limit is relaxed to find its price: five days in a hundred."""


@dataclass(frozen=True)
class LimitPrice:
    """What a limit costs.

    With ``limit`` relaxed to ``relaxed`` (shares of days), candidate ``number`` would be cheapest
    and save ``saves`` (paired by day); ``None`` where nothing would be saved. ``first`` is the
    share of days from which on anything cheaper keeps the limit, ``first_saves`` what that saves;
    ``None`` where no candidate is cheaper and breaks this limit alone.
    """

    kind: str
    limit: float
    relaxed: float
    number: int | None
    saves: Interval | None
    first: float | None
    first_saves: float | None


@dataclass(frozen=True)
class Open:
    """The cheapest candidate whose limits are not decided, if it would cost less than the chosen.

    ``saving`` paired by day, ``needed`` about the days that would decide it (None: more than
    anybody plays), ``kinds`` the limits that are open.
    """

    number: int
    saving: Interval
    needed: int | None
    kinds: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Found:
    """The result of a search, candidates by their number in ``search.candidates``.

    ``chosen`` is the cheapest that keeps all limits, surely where ``sure``, else as found; ``None``
    where none does, and then ``least_bad`` breaks them least. ``more`` are the others that keep
    them as found, by cost. ``why`` the search ended: as in ``rounds``, or "stopped". ``binding`` is
    the limit whose absence would save most, ``same`` the candidates that had the same rows as
    another on every day, by the number of that one, ``free`` the keys that nothing prices.
    """

    search: Search
    trial: Trial = field(repr=False)
    why: str
    most_days: int
    chosen: int | None
    sure: bool
    more: tuple[int, ...]
    least_bad: int
    open: Open | None
    prices: tuple[LimitPrice, ...]
    binding: str | None
    front: tuple[FrontPlan, ...]
    same: dict[int, tuple[int, ...]]
    free: tuple[KeyWithoutPrice, ...]

    @property
    def runner_up(self) -> int | None:
        """The next cheapest candidate that keeps all limits as found."""
        return self.more[0] if self.more else None

    @property
    def played(self) -> int:
        """Days of candidates played to find it, fresh days not counted."""
        return self.trial.played

    @property
    def grid(self) -> int:
        """What it would have taken to give every candidate as many days as any of them had."""
        return len(self.trial.values) * int(self.trial.days.max())

    @property
    def saved(self) -> float:
        """Share of the days of that grid that were not played."""
        return 1.0 - self.played / self.grid if self.grid else 0.0


def found_so_far(search: Search, trial: Trial, why: str, most_days: int) -> Found:
    """What the days say that are there; every candidate has one at least, or is known without."""
    fit = _in_order(trial, [n for n in _own(trial) if keeps(trial, n)])
    within = trial.within
    surely = [n for n in fit if within[n] and trial.given_up[n] == NOBODY]
    chosen = next(iter(surely or fit), None)
    rest = [n for n in fit if n != chosen]
    prices = () if chosen is None else _prices(trial, chosen)
    dropped = [] if chosen is None else _dropped(trial, chosen)
    return Found(
        search=search,
        trial=trial,
        why=why,
        most_days=most_days,
        chosen=chosen,
        sure=bool(surely),
        more=tuple(rest),
        least_bad=_least_bad(trial),
        open=None if chosen is None else _open(trial, chosen),
        prices=prices,
        binding=max(dropped)[1] if dropped else None,
        front=front_of(trial, [n for n in _own(trial) if keeps(trial, n)]),
        same=_same(trial),
        free=without_price(search, trial),
    )


def _own(trial: Trial) -> list[int]:
    """Candidates that stand for themselves, are not out without days, and have played."""
    return [
        n
        for n, rows in enumerate(trial.values)
        if not trial.out[n] and trial.like[n] == n and len(rows)
    ]


def keeps(trial: Trial, number: int, but: int | None = None, relaxed: float = 1.0) -> bool:
    """Whether a candidate keeps its limits as found; ``but`` may be broken up to ``relaxed``."""
    for k, share in enumerate(trial.found(number)):
        asked = trial.rules.shares[number, k]
        limit = 1.0 if np.isnan(asked) else float(asked)
        if share > (max(limit, relaxed) if k == but else limit):
            return False
    return not trial.out[number]


def _in_order(trial: Trial, numbers: Sequence[int]) -> list[int]:
    """By cost; each two on the days that both have, so that no day flatters one of them.

    Candidates have the same first days, and those who are near each other mostly all.
    """
    if not numbers:
        return []
    first = trial.cheapest(numbers)
    ahead = [n for n in first if len(trial.values[n]) > FIRST]
    best = trial.cheapest(ahead)
    return [*best, *(n for n in first if n not in best)] if best else first


def difference(trial: Trial, number: int, other: int) -> Interval:
    """What a candidate costs less than another on the days of both (paired by day)."""
    days = min(len(trial.values[number]), len(trial.values[other]))
    return paired_difference(trial.costs(number, days), trial.costs(other, days))


def _prices(trial: Trial, chosen: int) -> tuple[LimitPrice, ...]:
    """The price of every limit that a day of some candidate breaks."""
    out = []
    for k, limit in enumerate(trial.every):
        if not 0.0 < limit.share < 1.0 or not trial.bad[:, k].any():
            continue
        relaxed = min(1.0, limit.share + STEP)
        cheaper = _cheaper(trial, chosen, k)
        step = [(saves, n) for saves, n in cheaper if trial.found(n)[k] <= relaxed]
        first = min(cheaper, key=lambda each: (trial.found(each[1])[k], -each[0]), default=None)
        best = max(step, default=None)
        out.append(
            LimitPrice(
                kind=limit.kind,
                limit=limit.share,
                relaxed=relaxed,
                number=best[1] if best else None,
                saves=difference(trial, best[1], chosen) if best else None,
                first=float(trial.found(first[1])[k]) if first else None,
                first_saves=first[0] if first else None,
            )
        )
    return tuple(out)


def _cheaper(trial: Trial, chosen: int, k: int) -> list[tuple[float, int]]:
    """Candidates that break this limit alone and cost less, with what they save."""
    out = []
    for n in _own(trial):
        if not keeps(trial, n) and keeps(trial, n, k):
            saves = difference(trial, n, chosen).value
            if saves > trial.handicap(n) - trial.handicap(chosen):
                out.append((saves, n))
    return out


def _dropped(trial: Trial, chosen: int) -> list[tuple[float, str]]:
    """What dropping a limit altogether would save, and which limit."""
    return [
        (max(cheaper)[0], limit.kind)
        for k, limit in enumerate(trial.every)
        if (cheaper := _cheaper(trial, chosen, k))
    ]


def _open(trial: Trial, chosen: int) -> Open | None:
    alive = [n for n in trial.alive if n != chosen and (trial.standings[n] == NOT_DECIDED).any()]
    for number in _in_order(trial, alive):
        saving = difference(trial, number, chosen)
        if saving.value <= max(0.0, trial.handicap(number) - trial.handicap(chosen)):
            return None
        level = trial.rules.level
        days, kinds, needed = len(trial.values[number]), [], [0]
        for k, limit in enumerate(trial.every):
            if trial.standings[number, k] == NOT_DECIDED and limit.share > 0.0:
                kinds.append(limit.kind)
                asked = days_needed(trial.bad[number, k] / days, limit.share, level)
                needed.append(-1 if asked is None else asked)
        if kinds:
            return Open(number, saving, None if -1 in needed else max(needed), tuple(kinds))
    return None


def _least_bad(trial: Trial) -> int:
    """The candidate that breaks fewest limits, by least; one that leaves no floor unfinished."""

    def _badness(number: int) -> tuple[float, ...]:
        over = trial.found(number) - np.nan_to_num(trial.rules.shares[number], nan=1.0)
        unfinished = float(over[-1] > 0.0)
        return (unfinished, float((over > 0).sum()), float(np.maximum(over, 0.0).sum()))

    own = _own(trial) or list(range(len(trial.values)))
    cost = [float(trial.costs(n).mean()) if len(trial.values[n]) else 0.0 for n in own]
    return min(zip(own, cost, strict=True), key=lambda each: (*_badness(each[0]), each[1]))[0]


def _same(trial: Trial) -> dict[int, tuple[int, ...]]:
    out: dict[int, tuple[int, ...]] = {}
    for number, stands in enumerate(trial.like):
        if stands != number:
            out[int(stands)] = (*out.get(int(stands), ()), number)
    return out
