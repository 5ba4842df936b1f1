"""A study kept in a file while it is played, and taken up from there.

The file is a numpy archive of plain arrays (no pickle: reading it runs nothing). It holds what the
rows depend on (scenario, plans, first seed, version) and the jobs that are finished. It is written
beside its place and moved there when whole, so that whatever happens there is an old one or a new.
"""

from __future__ import annotations

import time
import zipfile
import zlib
from collections.abc import Callable
from dataclasses import replace
from hashlib import sha256
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pourday.scenario.base.written import replaced
from pourday.study.engine.jobs import Rows, Work
from pourday.study.engine.ledger import MOST_BYTES, Ledger

FORMAT = "pourday study 1"
# Every so many seconds the file is written anew, and never more than a twentieth of the time.
_EVERY, _SHARE = 10.0, 0.05
_BROKEN = (
    OSError, ValueError, KeyError, EOFError, MemoryError, NotImplementedError,
    zipfile.BadZipFile, zlib.error,
)  # fmt: skip


class KeptError(ValueError):
    """A file that this study cannot go on from; the text says why, for the planner."""


class Keeper:
    """Writes a ledger to a file: now and then while it fills, and when asked.

    ``fault`` is why the last attempt failed, None where the file is as the ledger was then.
    """

    def __init__(
        self,
        path: Path,
        work: Work,
        ledger: Ledger,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self.fault: OSError | None = None
        self.path, self._work, self._ledger, self._clock = path, work, ledger, clock
        self._due = clock() + _EVERY

    def when_due(self) -> None:
        """Write if the last time is long enough ago. A full disk is no reason to lose the study."""
        if self._clock() >= self._due:
            self.write()

    def write(self) -> None:
        """Write now."""
        begun = self._clock()
        try:
            write_kept(self.path, self._work, self._ledger)
            self.fault = None
        except OSError as fault:
            self.fault = fault
        now = self._clock()
        self._due = now + max(_EVERY, (now - begun) / _SHARE)


def write_kept(path: Path, work: Work, ledger: Ledger) -> None:
    """Write what is finished; the file at ``path`` is the old one until the new one is whole.

    Raises:
        OSError: where it cannot be written; the old file is as it was.
    """
    with replaced(path) as file:
        np.savez(file, **_arrays(work, ledger))


def _arrays(work: Work, ledger: Ledger) -> dict[str, Any]:
    done = [job for job, there in zip(ledger.jobs, ledger.done, strict=True) if there]
    first = ledger.first_seed
    # Days of no job first, so that there is something to join.
    parts = [ledger.values[:, :0]]
    parts += [ledger.values[:, job.start - first : job.stop - first] for job in done]
    cold = {f"cold_{n}": each[ledger.done] for n, each in enumerate(ledger.cold)}
    return {
        **{name: np.array(text) for name, text in _identity(work, ledger).items()},
        "jobs": np.array([(job.start, job.stop) for job in done], dtype=np.int64).reshape(-1, 2),
        "values": np.concatenate(parts, axis=1),
        **cold,
    }


def _identity(work: Work, ledger: Ledger) -> dict[str, str]:
    """What rows depend on, and what a file of other rows is called."""
    return {
        "format": FORMAT,
        "version": program_version(),
        "row": f"{work.row.__module__}.{work.row.__qualname__}",
        "scenario": _hash(replace(work.scenario, plans=())),
        "plans": _hash(work.plans),
        "first_seed": str(ledger.first_seed),
    }


_OTHER = {
    "format": "no study is kept in it that this version reads",
    "version": "it was kept by another version of the program",
    "row": "it is of another command",
    "scenario": "the scenario (or an --upset) is another one since",
    "plans": "the plans are other ones since",
    "first_seed": "its first day is another one (--seed)",
}


def program_version() -> str:
    """The version of this program, and of what draws its chance."""
    try:
        own = version("pourday")
    except PackageNotFoundError:  # run from its folder
        own = "0"
    return f"{own}, numpy {np.__version__}"


def _hash(value: object) -> str:
    # Frozen values with numbers and texts in them: what they print is all they are.
    return sha256(repr(value).encode()).hexdigest()


def take_up(path: Path, work: Work, ledger: Ledger) -> int:
    """Enter what is kept at ``path``; how many days of it there are. No file is 0 days.

    A study of more days, or of fewer, goes on from the same file. One finished day of every plan is
    played again and must come out the same.

    Raises:
        KeptError: where the file cannot be read, is of another study, or of a machine or program
            on which a day comes out differently.
    """
    if not path.exists():
        return 0
    try:
        found = _read(path)
        jobs, rows = _kept_jobs(found, work, ledger)
    except _BROKEN as fault:
        if isinstance(fault, KeptError):
            raise
        raise KeptError(f"no study can be read from it ({_first_line(fault)})") from None
    if jobs:
        _play_again(work, jobs[0], rows[0])
    known = set(ledger.jobs)
    days = 0
    for job, each in zip(jobs, rows, strict=True):
        if job in known:  # the last job of a study of other days may be cut differently
            ledger.enter(job, each)
            days += len(job)
    return days


def _read(path: Path) -> dict[str, NDArray[Any]]:
    with zipfile.ZipFile(path) as archive:
        if sum(part.file_size for part in archive.infolist()) > 2 * MOST_BYTES:
            raise KeptError("it is larger than any study")
    with np.load(path, allow_pickle=False) as found:
        return {name: found[name] for name in found.files}


def _kept_jobs(
    found: dict[str, NDArray[Any]], work: Work, ledger: Ledger
) -> tuple[list[range], list[Rows]]:
    for name, ours in _identity(work, ledger).items():
        if str(found[name]) != ours:
            raise KeptError(_OTHER[name])
    jobs = [range(int(a), int(b)) for a, b in found["jobs"]]
    plans, _, figures = ledger.values.shape
    values = found["values"]
    cold = [found[f"cold_{n}"] for n in range(plans)]
    wanted = (plans, sum(map(len, jobs)), figures)
    pairs = [(len(jobs), mine.shape[1]) for mine in ledger.cold]
    whole = values.dtype == np.float64 and all(np.issubdtype(c.dtype, np.integer) for c in cold)
    if not whole or values.shape != wanted or [each.shape for each in cold] != pairs:
        raise KeptError("what it holds does not fit together")
    rows, at = [], 0
    for n, job in enumerate(jobs):
        rows.append(Rows(values[:, at : at + len(job)], tuple(each[n] for each in cold)))
        at += len(job)
    return jobs, rows


def _play_again(work: Work, job: range, kept: Rows) -> None:
    again = work.rows(job[:1]).values[:, 0]
    for plan, now, before in zip(work.plans, again, kept.values[:, 0], strict=True):
        if now.tobytes() != before.tobytes():
            raise KeptError(
                f'day {job.start} of plan "{plan.name}" comes out differently now: it was kept on '
                "another machine, or by a program that has changed since"
            )


def _first_line(fault: BaseException) -> str:
    said = str(fault).splitlines()
    return said[0] if said else type(fault).__name__
