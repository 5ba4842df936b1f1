"""The paid hours of one person and shift, by band: plain, overtime, night, weekend.

Hours count from the begin of the person's own work; night and weekday go by the clock. Which
premiums add up and which swallow each other is a matter of agreement (``prices.premiums``).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pourday.scenario.model.prices import ADDED, Prices

_DAY = 24 * 3600.0
_NOTHING = 1e-6
_SATURDAY, _SUNDAY = 5, 6


@dataclass(frozen=True)
class Paid:
    """Paid time of one person and shift (s).

    ``plain`` was worked within the shift, ``least`` paid to the least call and not worked,
    ``overtime`` belongs to the bands of :attr:`Prices.bands` (worked or not). ``night`` and
    ``weekend`` are those hours of all of them that have a premium of that kind on top, and
    ``night_extra`` and ``weekend_extra`` how many plain hours' pay the premiums are.
    """

    plain: float
    least: float
    overtime: tuple[float, ...]
    night: float = 0.0
    night_extra: float = 0.0
    weekend: float = 0.0
    weekend_extra: float = 0.0

    @property
    def all(self) -> float:
        """All time that is paid."""
        return self.plain + self.least + sum(self.overtime)


def paid_time(
    begin: float,
    end: float,
    breaks: Sequence[tuple[float, float]],
    prices: Prices,
    weekday: int,
) -> Paid:
    """What one person is paid for who works from ``begin`` to ``end`` (s).

    ``breaks`` (at, length in s) are taken off where they are not paid; what is then short of the
    least paid time is paid as if it were worked afterwards. ``weekday`` is that of the pour, 0
    for Monday.
    """
    pieces = list(_without(begin, end, () if prices.breaks_paid else breaks))
    short = prices.least_paid - sum(b - a for a, b in pieces)
    bands = prices.bands
    spent, overtime = [0.0, 0.0], [0.0] * len(bands)
    marks, premium = _marks(prices), (0.0, 0.0, 0.0, 0.0)
    done = 0.0
    for worked, (a, b) in [(0, piece) for piece in pieces] + [(1, (end, end + max(0.0, short)))]:
        while b - a > _NOTHING:
            band = sum(each.after <= done + _NOTHING for each in bands)
            left = bands[band].after - done if band < len(bands) else math.inf
            step = min(b - a, left, _to_mark(a, marks))
            if band:
                overtime[band - 1] += step
            else:
                spent[worked] += step
            if marks:
                factor = bands[band - 1].factor if band else 1.0
                night, weekend = _premiums(a, factor, prices, weekday)
                more = (step * (night > 0), step * night, step * (weekend > 0), step * weekend)
                premium = (
                    premium[0] + more[0],
                    premium[1] + more[1],
                    premium[2] + more[2],
                    premium[3] + more[3],
                )
            a, done = a + step, done + step
    return Paid(spent[0], spent[1], tuple(overtime), *premium)


def _without(
    begin: float, end: float, breaks: Sequence[tuple[float, float]]
) -> Iterator[tuple[float, float]]:
    """The time from begin to end without the breaks that fall into it."""
    for at, length in breaks:
        if begin < at and at + length < end:
            yield begin, at
            begin = at + length
    yield begin, max(begin, end)


def _marks(prices: Prices) -> tuple[float, ...]:
    """Clock times at which another premium may begin; none where there is no premium."""
    if prices.night_factor == prices.saturday_factor == prices.sunday_factor == 1.0:
        return ()
    return 0.0, prices.night_begins % _DAY, prices.night_ends % _DAY


def _to_mark(now: float, marks: Sequence[float]) -> float:
    """How long until the next of the marks (s)."""
    ahead = ((mark - now) % _DAY for mark in marks)
    return min((each if each > _NOTHING else each + _DAY for each in ahead), default=math.inf)


def _premiums(at: float, factor: float, prices: Prices, weekday: int) -> tuple[float, float]:
    """What night and weekend add to an hour that is paid ``factor`` already, in plain hours."""
    night, weekend = _night(at, prices), _weekend(at, prices, weekday)
    if prices.premiums == ADDED:
        return night - 1.0, weekend - 1.0
    return max(0.0, night - factor), max(0.0, weekend - max(night, factor))


def _night(at: float, prices: Prices) -> float:
    """The factor of the night that holds from ``at`` on (s), 1 by day."""
    begins, ends = prices.night_begins % _DAY, prices.night_ends % _DAY
    clock = (at + _NOTHING) % _DAY
    inside = begins <= clock < ends if begins <= ends else clock >= begins or clock < ends
    return prices.night_factor if inside else 1.0


def _weekend(at: float, prices: Prices, weekday: int) -> float:
    """The factor of the weekday that holds from ``at`` on (s)."""
    today = weekday_at(at, weekday)
    if today == _SATURDAY:
        return prices.saturday_factor
    return prices.sunday_factor if today == _SUNDAY else 1.0


def weekday_at(at: float, weekday: int) -> int:
    """The weekday at a clock time of a pour on ``weekday``; past midnight it is the next one."""
    return (weekday + math.floor((at + _NOTHING) / _DAY)) % 7
