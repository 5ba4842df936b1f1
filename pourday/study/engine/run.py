"""Playing a study to its end: jobs handed out, rows entered, a dead worker replaced once."""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Future, wait
from contextlib import contextmanager

from pourday.study.engine.here import Here
from pourday.study.engine.jobs import Engine, Rows, Work
from pourday.study.engine.ledger import Ledger, said
from pourday.study.engine.processes import Processes

# A wait without an end cannot be interrupted on every system (s).
_LOOK = 0.5


class WorkersLostError(RuntimeError):
    """Workers died, and died again after they were replaced; ``jobs`` were in their hands."""

    def __init__(self, jobs: tuple[range, ...]) -> None:
        self.jobs = jobs
        super().__init__(
            f"a process that plays days died twice, the second time on {said(jobs)}: "
            "it was killed, or ran out of memory"
        )


@contextmanager
def engine_for(workers: int | None = None, jobs: int | None = None) -> Iterator[Engine]:
    """An engine of so many processes (all cores unless told), stopped whatever happens.

    One worker, and one job, is this process.
    """
    count = min(workers or os.cpu_count() or 1, jobs or 2**30)
    engine: Engine = Here() if count == 1 else Processes(count)
    try:
        yield engine
    finally:
        engine.stop()


def run(
    engine: Engine,
    work: Work,
    ledger: Ledger,
    told: Callable[[int], None] = lambda days: None,
) -> None:
    """Play what is missing in the ledger, and enter it.

    Whatever interrupts this, what is entered stays. ``told`` hears of every job how many days of
    how many plans, multiplied, have just been entered.

    Raises:
        WorkersLostError: where workers died a second time.
    """
    handle = engine.share(work)
    missing = deque(ledger.missing())
    going: dict[Future[Rows], range] = {}
    renewed = False
    while missing or going:
        try:
            while missing and len(going) < engine.at_once:
                going[engine.rows(handle, missing[0])] = missing[0]
                missing.popleft()
            for each in wait(going, _LOOK, FIRST_COMPLETED).done:
                ledger.enter(going[each], each.result())
                job = going.pop(each)
                told(len(job) * len(work.plans))
        except BrokenExecutor:
            # Those that came in before the others were lost are worth having.
            _enter_last(going, ledger, lambda job: told(len(job) * len(work.plans)))
            lost = tuple(sorted(going.values(), key=lambda job: job.start))
            if renewed:
                raise WorkersLostError(lost or tuple(missing)[:1]) from None
            renewed = True
            engine.renew()
            going.clear()
            missing.extendleft(reversed(lost))


def _enter_last(
    going: dict[Future[Rows], range], ledger: Ledger, told: Callable[[range], None]
) -> None:
    for each, job in list(going.items()):
        if each.done() and not each.cancelled() and each.exception() is None:
            ledger.enter(job, each.result())
            del going[each]
            told(job)
