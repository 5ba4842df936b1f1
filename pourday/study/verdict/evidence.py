"""What bad days among days say of a share that somebody accepts: within, beyond or not decided.

Bad days s of n are held against a limit q by the mixture E = B(1/2 + s, 1/2 + n - s) /
(B(1/2, 1/2) q^s (1 - q)^(n - s)). Where q is the true share, E is a martingale of mean 1, so that
it ever reaches 1/level in at most ``level`` of all studies, at however many looks (Ville's
inequality). The shares q with E < 1/level are an interval around s/n, the one that is printed:
a limit is decided just where it lies outside.

Source: H. Robbins, Statistical methods related to the law of the iterated logarithm, Annals of
Mathematical Statistics 41 (1970), 1397-1409; S. R. Howard, A. Ramdas, J. McAuliffe, J. Sekhon,
Time-uniform, nonparametric, nonasymptotic confidence sequences, Annals of Statistics 49 (2021),
1055-1080. Titles and pages from memory.
"""

from __future__ import annotations

import math

from pourday.study.statistics import Interval

WITHIN, BEYOND, NOT_DECIDED = "within", "beyond", "not decided"

ALPHA_LIMITS = 0.025
"""In how many studies any limit of any plan may be decided wrongly."""
_MOST = 10**9  # days that nobody will play


def level_of(tests: int, alpha: float = ALPHA_LIMITS) -> float:
    """The level of each of so many tests (plans x limits, counted before a day is played).

    By the union bound they are then all right together in 1 - ``alpha`` of all studies.
    """
    return alpha / max(tests, 1)


def log_evidence(bad: float, days: float, limit: float) -> float:
    """ln E of ``bad`` days among ``days`` against the share ``limit`` (0..1); see the module.

    ``inf`` where the limit cannot be the true share: a bad day at 0, a good one at 1.
    Raises ValueError unless 0 <= bad <= days and 0 <= limit <= 1.
    """
    if not (0 <= bad <= days and 0.0 <= limit <= 1.0):
        raise ValueError(f"{bad} bad days of {days} against {limit}")
    good = days - bad
    if (limit == 0.0 and bad) or (limit == 1.0 and good):
        return math.inf
    said = math.lgamma(0.5 + bad) + math.lgamma(0.5 + good) - math.lgamma(1.0 + days)
    said -= math.log(math.pi)  # B(1/2, 1/2)
    if bad:
        said -= bad * math.log(limit)
    if good:
        said -= good * math.log1p(-limit)
    return said


def standing(bad: int, days: int, limit: float, level: float) -> str:
    """:data:`WITHIN`, :data:`BEYOND` or :data:`NOT_DECIDED`, at a level of :func:`level_of`.

    No number of days shows that a share is 0: at a limit of 0 the first bad day is beyond it, and
    days without one are not decided. A limit of 1 is kept without days.
    """
    if limit == 1.0:
        return WITHIN
    if not days or log_evidence(bad, days, limit) < -math.log(level):
        return NOT_DECIDED
    return BEYOND if bad > limit * days else WITHIN


def share_interval(bad: int, days: int, level: float) -> Interval:
    """The share found, and all shares that these days do not rule out at the level; in 0..1.

    It holds the true share at every look together, in 1 - ``level`` of all studies. No days: 0..1.
    """
    if not days:
        return Interval(math.nan, 0.0, 1.0)
    found, wanted = bad / days, -math.log(level)

    def _end(outside: float) -> float:
        if log_evidence(bad, days, outside) < wanted:
            return outside
        out, in_ = outside, found
        while abs(out - in_) > 1e-9:
            middle = (out + in_) / 2.0
            if log_evidence(bad, days, middle) < wanted:
                in_ = middle
            else:
                out = middle
        return out

    return Interval(found, _end(0.0), _end(1.0))


def least_days(limit: float, level: float) -> int | None:
    """The fewest days that can show a plan within this limit: all of them good ones.

    2 % at K = 6 tests and alpha 0.025 takes 451. ``None`` at a limit of 0, which no days can show.
    """
    if limit == 1.0:
        return 0
    return None if limit == 0.0 else _days(0.0, limit, level)


def days_needed(share: float, limit: float, level: float) -> int | None:
    """About how many days decide a limit where ``share`` of the days are bad ones, in all.

    Close to (ln(1/level) + ln(n)/2) / KL(share, limit) with the Kullback-Leibler divergence KL;
    found from the evidence itself, which that approximates. ``None`` where no number of days would
    do: a share at the limit, or none found against a limit of 0.
    """
    if limit == 1.0:
        return 0
    if share == limit:
        return None
    return 1 if limit == 0.0 else _days(share, limit, level)


def _days(share: float, limit: float, level: float) -> int | None:
    """The fewest days at which ``share`` of them decides: E grows with days beyond the first."""
    wanted = -math.log(level)

    def _enough(days: int) -> bool:
        return log_evidence(share * days, days, limit) >= wanted

    high = 1
    while not _enough(high):
        high *= 2
        if high > _MOST:
            return None
    low = high // 2
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if _enough(middle) else (middle, high)
    return high
