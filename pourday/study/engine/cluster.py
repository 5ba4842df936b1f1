"""The engine of many machines: a Dask cluster that somebody has started (docs/cluster.md).

``distributed`` is loaded here, where somebody asks for a cluster: nobody else needs it.
"""

from __future__ import annotations

import re
from concurrent.futures import BrokenExecutor, Future
from contextlib import suppress
from typing import Any

from pourday.study.engine.jobs import Numbers, Rows, Work

# How often a job is tried again, how long a cluster is looked for, how long it is taken leave of.
_RETRIES, _LOOK, _LEAVE = 2, 10.0, 2.0
# Jobs asked for at a time: for every thread, and at least; more workers may come while it runs.
_EACH, _LEAST = 4, 16

_ADDRESS = re.compile(r"([a-z]+://)?([\w.-]+|\[[0-9a-fA-F:.]+\]):[0-9]{1,5}")


class ClusterError(RuntimeError):
    """A cluster that cannot be used; the text says why."""


class Cluster:
    """The workers behind a scheduler at ``address``, such as "tcp://10.0.0.5:8786".

    The work is sent to every worker once, which lays out its plans once. One thread a worker: days
    are Python, and threads of one process would wait for each other.

    Raises:
        ClusterError: where that is no address, ``distributed`` is not installed, nobody answers, or
            nobody works there.
    """

    def __init__(self, address: str) -> None:
        if not _ADDRESS.fullmatch(address):
            raise ClusterError("an address is a host and a port, such as tcp://10.0.0.5:8786")
        try:
            from distributed import Client
        except ImportError:
            raise ClusterError("needs the extra: pip install 'pourday[cluster]'") from None
        self._shared: list[Work] = []
        self._there: dict[int, Any] = {}
        self._asked: set[Any] = set()
        try:
            self._client: Any = Client(address, timeout=_LOOK, set_as_default=False)
        except (OSError, ValueError) as fault:
            raise ClusterError(f"no scheduler answers there ({_first_line(fault)})") from None
        try:
            self._client.wait_for_workers(1, timeout=_LOOK)
        except OSError:
            self.stop()
            raise ClusterError("the scheduler has no workers") from None
        self.at_once = max(_LEAST, _EACH * sum(self._client.nthreads().values()))

    def share(self, work: Work) -> int:
        """The number of the work; it is sent with its first job."""
        for number, each in enumerate(self._shared):
            if each is work:
                return number
        self._shared.append(work)
        return len(self._shared) - 1

    def rows(self, handle: int, days: range, of: Numbers = None) -> Future[Rows]:
        """Ask the cluster for the rows of these days."""
        if handle not in self._there:
            # To every worker, so that the death of one loses nothing.
            self._there[handle] = self._client.scatter(
                self._shared[handle], broadcast=True, hash=False
            )
        asked = self._client.submit(
            _rows, self._there[handle], days, of, retries=_RETRIES, pure=False, key=_key(days)
        )
        self._asked.add(asked)
        future: Future[Rows] = Future()

        def _came(task: Any) -> None:
            self._asked.discard(task)
            _hand_over(task, future)

        asked.add_done_callback(_came)
        return future

    def renew(self) -> None:
        """Send the work anew with the next job: whoever had it is gone."""
        self._there.clear()

    def stop(self) -> None:
        """Give up what is asked for, and take leave; the cluster goes on for others."""
        with suppress(Exception):
            self._client.cancel(list(self._asked), force=True)
        self._there.clear()
        with suppress(Exception):
            self._client.close(timeout=_LEAVE)


def _key(days: range) -> str:
    from uuid import uuid4

    return f"days {days.start} to {days.stop - 1}-{uuid4().hex}"


def _hand_over(task: Any, future: Future[Rows]) -> None:
    """Give what a task brought to whoever waits; what was lost with a worker is asked for anew."""
    try:
        if task.status == "finished":
            future.set_result(task.result())
            return
        fault = task.exception() if task.status == "error" else None
    except Exception as lost:  # whatever the network makes of it
        fault = BrokenExecutor(str(lost))
    if fault is None or type(fault).__name__ == "KilledWorker":
        fault = BrokenExecutor(str(fault))
    future.set_exception(fault)


def _rows(work: Work, days: range, of: Numbers) -> Rows:
    return work.rows(days, of)


def _first_line(fault: BaseException) -> str:
    said = str(fault).splitlines()
    return said[0] if said else type(fault).__name__
