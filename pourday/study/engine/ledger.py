"""What of a study is finished: rows by day and plan, and which jobs brought them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from pourday.study.engine.jobs import Numbers, Piece, Rows, Work, jobs_of, pieces_of

MOST_BYTES = 10**9
"""What the rows of a study may take."""
_NUMBER = 8


class TooManyDaysError(ValueError):
    """A study whose rows would not fit in memory; the text says how many days would."""


class Ledger:
    """The rows of a study as they come in.

    ``values`` (plans, days, figures) are whatever they are until their job is entered; ``cold``
    for each plan (jobs, pairs): on how many days of the job each edge pair went cold. ``jobs`` are
    ranges of seeds.
    """

    def __init__(self, work: Work, first_seed: int, days: int, figures: int) -> None:
        """A ledger with nothing in it.

        Raises:
            TooManyDaysError: where its rows would take more than 1 GB.
        """
        plans = len(work.plans)
        a_day = _NUMBER * figures * plans
        if a_day * days > MOST_BYTES:
            raise TooManyDaysError(
                f"{days:,} days of {plans} plans would take {a_day * days / 1e9:.1f} GB of memory "
                f"({_NUMBER * figures / 1e3:.1g} kB a day and plan); allowed: "
                f"{MOST_BYTES / 1e9:g} GB, which is {MOST_BYTES // a_day:,} days"
            )
        self.first_seed, self.days = first_seed, days
        self.jobs = jobs_of(work, first_seed, days)
        self.values: NDArray[np.float64] = np.empty((plans, days, figures))
        pairs = [len(basis.pair_first) for basis in work.bases]
        self.cold = [np.zeros((len(self.jobs), count), dtype=np.int64) for count in pairs]
        self._number = {job: n for n, job in enumerate(self.jobs)}
        self._done = np.zeros(len(self.jobs), dtype=bool)

    @property
    def done(self) -> NDArray[np.bool_]:
        """Which jobs are entered, (jobs,)."""
        return self._done.copy()

    @property
    def finished(self) -> bool:
        """Whether all jobs are entered."""
        return bool(self._done.all())

    def missing(self) -> Iterator[range]:
        """The jobs that are not entered yet, in order."""
        return (job for job, done in zip(self.jobs, self._done, strict=True) if not done)

    def pieces(self) -> Iterator[Piece]:
        """The same as pieces of all plans."""
        return map(Piece, self.missing())

    def take(self, piece: Piece, rows: Rows) -> None:
        """Enter the rows of a piece of all plans."""
        self.enter(piece.days, rows)

    def enter(self, job: range, rows: Rows) -> None:
        """Enter the rows of a job. It counts as done when all of them stand there."""
        number, first = self._number[job], job.start - self.first_seed
        self.values[:, first : first + len(job)] = rows.values
        for mine, cold in zip(self.cold, rows.cold, strict=True):
            mine[number] = cold
        self._done[number] = True

    @property
    def entered_days(self) -> int:
        """Days that are entered, wherever they stand."""
        return sum(len(job) for job, done in zip(self.jobs, self._done, strict=True) if done)

    @property
    def complete_days(self) -> int:
        """How many days from the first on are there without a gap.

        Later ones may be there too. They do not count in a study that was stopped: so it says what
        one of so many days would say, whoever was quicker.
        """
        return sum(len(job) for job in self.jobs[: self._complete_jobs()])

    def _complete_jobs(self) -> int:
        return len(self.jobs) if self.finished else int(np.argmin(self._done))

    def rows_of(self, plan: int) -> NDArray[np.float64]:
        """The rows of a plan (index) over its complete days, (days, figures)."""
        return self.values[plan, : self.complete_days]

    def cold_of(self, plan: int, days: int | None = None) -> NDArray[np.int64]:
        """On how many complete days each edge pair of a plan (index) went cold, (pairs,).

        On the first ``days`` of them where told, which must be whole jobs.
        """
        jobs = self._complete_jobs()
        if days is not None:
            jobs = sum(job.stop <= self.first_seed + days for job in self.jobs[:jobs])
        return np.asarray(self.cold[plan][:jobs].sum(axis=0))


class Part:
    """Some days of some plans of a work, as they come in: what a study adds round by round.

    ``of`` are the plans by their place in the work, ``days`` seeds.
    """

    def __init__(self, work: Work, of: tuple[int, ...], days: range) -> None:
        self.of, self.days = of, days
        self._pieces = pieces_of(work.bases, of, days)
        self._rows: dict[Piece, Rows] = {}

    def pieces(self) -> Iterator[Piece]:
        """What is not entered yet, in order."""
        return (piece for piece in self._pieces if piece not in self._rows)

    def take(self, piece: Piece, rows: Rows) -> None:
        """Enter the rows of a piece."""
        self._rows[piece] = rows

    @property
    def values(self) -> NDArray[np.float64]:
        """All rows, (plans, days, figures), once every piece is entered."""
        groups: dict[Numbers, list[NDArray[np.float64]]] = {}
        for piece in self._pieces:
            groups.setdefault(piece.of, []).append(self._rows[piece].values)
        return np.concatenate([np.concatenate(each, axis=1) for each in groups.values()])

    @property
    def cold(self) -> tuple[NDArray[np.int64], ...]:
        """For each plan on how many of the days each edge pair went cold, (pairs,)."""
        found: dict[int, NDArray[np.int64]] = {}
        for piece in self._pieces:
            for number, cold in zip(piece.of or (), self._rows[piece].cold, strict=True):
                found[number] = found.get(number, np.zeros_like(cold)) + cold
        return tuple(found[number] for number in self.of)


def said(jobs: Sequence[range]) -> str:
    """Days in words, "day 7" or "days 25 to 49, 75 to 99": by their seeds, neighbours together."""
    spans: list[list[int]] = []
    for job in sorted(jobs, key=lambda job: job.start):
        if spans and spans[-1][1] + 1 == job.start:
            spans[-1][1] = job.stop - 1
        else:
            spans.append([job.start, job.stop - 1])
    words = [f"{a} to {b}" if a < b else f"{a}" for a, b in spans]
    one = len(spans) == 1 and spans[0][0] == spans[0][1]
    return f"day{'' if one else 's'} {', '.join(words)}"
