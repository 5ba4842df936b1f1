"""The engine of several processes on this machine.

A worker never outlives the one who started it: Ctrl-C is for the parent alone, which stops its
workers; and where the parent is killed and can stop nobody, each worker sees it and goes by itself.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
import time
from collections.abc import Iterator, Mapping
from concurrent.futures import Future, ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing.connection import wait as wait_for
from typing import Any

from pourday.study.engine.jobs import Numbers, Rows, Work

# How long a worker that was told to end is waited for before it is killed (s).
_GRACE = 0.5
# How many works a process keeps prepared.
_KEPT = 4


class Processes:
    """A pool of ``workers`` processes, started with the first job.

    ``method`` is how they start ("fork", "spawn", "forkserver"): a fork where the system can, since
    it has program and plans in memory already; elsewhere the program is loaded anew.
    """

    def __init__(self, workers: int, method: str | None = None) -> None:
        methods = multiprocessing.get_all_start_methods()
        best = "fork" if "fork" in methods else methods[0]
        self._context = multiprocessing.get_context(method or best)
        self._workers = workers
        # One job more than workers, so that nobody waits; few, so that a stop forgets few.
        self.at_once = workers + 1
        self._shared: dict[int, Work] = {}
        self._known: set[int] = set()
        self._pool: ProcessPoolExecutor | None = None

    def share(self, work: Work) -> int:
        """The number under which every worker finds the work."""
        for number, each in self._shared.items():
            if each is work:
                return number
        number = len(self._shared)
        self._shared[number] = work
        return number

    def rows(self, handle: int, days: range, of: Numbers = None) -> Future[Rows]:
        """Ask a worker for the rows of these days."""
        with _no_signals():
            if self._pool is None:
                self._start()
            assert self._pool is not None
            late = None if handle in self._known else self._shared[handle]
            return self._pool.submit(_rows, handle, late, days, of)

    def _start(self) -> None:
        latest = dict(list(self._shared.items())[-_KEPT:])
        self._known = set(latest)
        self._pool = ProcessPoolExecutor(
            self._workers, mp_context=self._context, initializer=_begin, initargs=(latest,)
        )

    def renew(self) -> None:
        """Stop what is left of the pool; the next job starts another."""
        self.stop()

    def stop(self) -> None:
        """End all workers, whatever they are at."""
        pool, self._pool = self._pool, None
        if pool is None:
            return
        # ``multiprocessing.active_children`` would name processes of others too: a Python program
        # that calls us may have some.
        workers = list((pool._processes or {}).values())
        manager: Any = pool._executor_manager_thread
        results: Any = pool._result_queue
        pool.shutdown(wait=False, cancel_futures=True)
        for worker in workers:
            worker.terminate()
        left = {worker.sentinel: worker for worker in workers}
        until = time.monotonic() + _GRACE
        while left:
            gone = wait_for(list(left), max(0.0, until - time.monotonic()))
            if not gone:
                break
            left = {at: worker for at, worker in left.items() if at not in gone}
        for worker in left.values():
            worker.kill()
        for worker in workers:
            worker.join()
        # A worker that went in the middle of its answer leaves the thread of the pool waiting for
        # the rest, and with it the program, for as long as anybody could still write there: us.
        if results is not None:
            results._writer.close()
        # That thread sees that they are gone, and tidies up: were the program to end in the middle
        # of that, it would complain.
        if manager is not None:
            manager.join(_GRACE)


@contextmanager
def _no_signals() -> Iterator[None]:
    """Put off Ctrl-C and SIGTERM while a process is started.

    It would have our handlers until it has set its own, and print where it was interrupted.
    """
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, _OURS)
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


_OURS = (signal.SIGINT, signal.SIGTERM)

# The work on a worker's desk, by number. A pool hands its jobs nothing else that lasts, so this one
# thing stands at the top of a module; in the parent it stays empty.
_DESK: dict[int, Work] = {}


def _begin(shared: Mapping[int, Work]) -> None:
    """A worker begins: Ctrl-C is not for it, and it goes when its parent has gone."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    if hasattr(signal, "pthread_sigmask"):
        signal.pthread_sigmask(signal.SIG_UNBLOCK, _OURS)
    threading.Thread(target=_go_with_parent, daemon=True).start()
    _DESK.update(shared)


def _go_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        wait_for([parent.sentinel])
        os._exit(1)


def _rows(number: int, late: Work | None, days: range, of: Numbers) -> Rows:
    if number not in _DESK:
        assert late is not None
        while len(_DESK) >= _KEPT:
            del _DESK[next(iter(_DESK))]
        _DESK[number] = late
    return _DESK[number].rows(days, of)
