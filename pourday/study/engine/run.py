"""Playing a study to its end: jobs handed out, rows entered, a dead worker replaced once."""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Future, wait
from contextlib import contextmanager

from pourday.study.engine.here import Here
from pourday.study.engine.jobs import Engine, Piece, Rows, Work
from pourday.study.engine.ledger import Ledger, Part, said
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
def engine_for(workers: int | None, jobs: int, cluster: str | None = None) -> Iterator[Engine]:
    """An engine for so many jobs, stopped whatever happens.

    Processes, all cores unless told (one worker, or one job, is this process); or the cluster whose
    scheduler has this address.

    Raises:
        pourday.study.engine.cluster.ClusterError: where the cluster cannot be used.
    """
    engine = _engine(min(workers or os.cpu_count() or 1, jobs), cluster)
    try:
        yield engine
    finally:
        engine.stop()


def _engine(workers: int, cluster: str | None) -> Engine:
    if cluster is not None:
        from pourday.study.engine.cluster import Cluster

        return Cluster(cluster)
    return Here() if workers == 1 else Processes(workers)


def run(
    engine: Engine,
    work: Work,
    ledger: Ledger | Part,
    told: Callable[[int], None] = lambda days: None,
    enough: Callable[[], bool] = lambda: False,
) -> None:
    """Play what is missing in the ledger, or in a part of a study, and enter it.

    Whatever interrupts this, what is entered stays. ``told`` hears of every job how many days of
    how many plans, multiplied, have just been entered. Once ``enough`` says so (it is asked after
    every job) no more is entered; what is still being played is lost.

    Raises:
        WorkersLostError: where workers died a second time.
    """
    handle = engine.share(work)
    missing = deque(ledger.pieces())
    going: dict[Future[Rows], Piece] = {}
    renewed = False

    def _count(piece: Piece) -> None:
        told(len(piece.days) * len(work.plans if piece.of is None else piece.of))

    while (missing or going) and not enough():
        try:
            while missing and len(going) < engine.at_once:
                going[engine.rows(handle, missing[0].days, missing[0].of)] = missing[0]
                missing.popleft()
            for each in wait(going, _LOOK, FIRST_COMPLETED).done:
                ledger.take(going[each], each.result())
                _count(going.pop(each))
        except BrokenExecutor:
            # Those that came in before the others were lost are worth having.
            _enter_last(going, ledger, _count)
            lost = sorted(going.values(), key=lambda piece: piece.days.start)
            if renewed:
                raise WorkersLostError(
                    tuple(piece.days for piece in lost or tuple(missing)[:1])
                ) from None
            renewed = True
            engine.renew()
            going.clear()
            missing.extendleft(reversed(lost))


def _enter_last(
    going: dict[Future[Rows], Piece], ledger: Ledger | Part, told: Callable[[Piece], None]
) -> None:
    for each, piece in list(going.items()):
        if each.done() and not each.cancelled() and each.exception() is None:
            ledger.take(piece, each.result())
            del going[each]
            told(piece)
