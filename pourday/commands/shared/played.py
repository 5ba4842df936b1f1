"""Days played in front of a user: with a bar, and stopped when he says so.

Ctrl-C and SIGTERM end the workers and leave what is complete to be reported; the exit code says
that it is not all (130 and 143, as a shell counts signals).
"""

from __future__ import annotations

import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING, TypeVar

import typer

from pourday.commands.shared.screen import complain
from pourday.scenario.base.signals import answered

if TYPE_CHECKING:
    from rich.console import Console

    from pourday.study.engine.jobs import Work
    from pourday.study.engine.ledger import Ledger
    from pourday.study.engine.resume import Keeper

_DIED = 1


class _TerminatedError(KeyboardInterrupt):
    """SIGTERM, which otherwise would leave no time to end the workers."""


@dataclass(frozen=True)
class Where:
    """Where days are played: in so many processes (all cores unless told), or on a cluster.

    ``resume`` is the file that the study is kept in, and taken up from.
    """

    workers: int | None = None
    cluster: str | None = None
    resume: Path | None = None


@dataclass(frozen=True)
class Stop:
    """Why a study is not whole: exit code, and a clause for the user (may be empty)."""

    code: int
    why: str = ""


Study = TypeVar("Study")


def begun(begin: Callable[[], Study], said: str = "--days") -> Study:
    """A study made ready; leave with exit code 2 where it has more days than memory holds.

    ``said`` is the option that asked for so many.
    """
    from pourday.study.engine.ledger import TooManyDaysError

    try:
        return begin()
    except TooManyDaysError as error:
        complain(f"{said}: {error}")
        raise typer.Exit(2) from None


def _never() -> bool:
    return False


def play_out(
    work: Work, ledger: Ledger, where: Where, enough: Callable[[], bool] = _never
) -> Stop | None:
    """Play what is missing in the ledger, or until it is enough; what stopped it, if anything did.

    Leaves with the exit code of the stop where not one day is complete.
    """
    stop = play_on(work, ledger, where, enough)
    if stop is not None and not ledger.complete_days:
        complain(f"stopped before the first of {ledger.days:,} days was complete{_because(stop)}")
        raise typer.Exit(stop.code)
    return stop


def say_stopped(console: Console, complete: int, asked: int, stop: Stop) -> None:
    """Say of a report that it is not over all days asked; to be printed before it."""
    from pourday.report.words import marked

    days = f"stopped after {complete:,} of {asked:,} days{_because(stop)}"
    console.print(marked((days, "bold"), "; what these say:"))


def leave_stopped(stop: Stop | None, *files: Path | None) -> None:
    """Leave with the exit code of the stop, if there was one; ``files`` then are not written.

    Somebody who finds one there later could not tell that it is not over all days.
    """
    if stop is not None:
        for path in files:
            if path is not None:
                complain(f"{path}: not written: not all days were played")
        raise typer.Exit(stop.code)


def _because(stop: Stop) -> str:
    return f": {stop.why}" if stop.why else ""


def play_on(
    work: Work, ledger: Ledger, where: Where, enough: Callable[[], bool] = _never
) -> Stop | None:
    """The same, and never leaves where it was stopped."""
    from pourday.report.progress import day_bar
    from pourday.study.engine.run import engine_for, run

    keeper = _taken_up(work, ledger, where.resume)
    if ledger.finished:
        return None

    def _play() -> None:
        with (
            _kept_at_last(keeper),
            engine_for(where.workers, len(ledger.jobs), where.cluster) as engine,
            day_bar(ledger.days * len(work.plans)) as bar,
        ):
            bar(ledger.entered_days * len(work.plans))

            def _told(days: int) -> None:
                bar(days)
                if keeper is not None:
                    keeper.when_due()

            run(engine, work, ledger, _told, enough)

    return until_stopped(_play, where)


def until_stopped(play: Callable[[], None], where: Where) -> Stop | None:
    """Run what plays days; what stopped it, if anything did."""
    from pourday.study.engine.cluster import ClusterError
    from pourday.study.engine.run import WorkersLostError

    try:
        with _sigterm_interrupts():
            play()
    except _TerminatedError:
        return Stop(128 + signal.SIGTERM)
    except KeyboardInterrupt:
        return Stop(128 + signal.SIGINT)
    except WorkersLostError as lost:
        return Stop(_DIED, str(lost))
    except ClusterError as fault:
        complain(f"--cluster {where.cluster}: {fault}")
        raise typer.Exit(2) from None
    return None


def _taken_up(work: Work, ledger: Ledger, path: Path | None) -> Keeper | None:
    """What keeps the study in a file, if it is kept, once all that was kept is in the ledger."""
    if path is None:
        return None
    from pourday.study.engine.resume import Keeper, KeptError, take_up

    try:
        days = take_up(path, work, ledger)
    except KeptError as fault:
        complain(f"{path}: {fault}; name another file to begin anew")
        raise typer.Exit(2) from None
    if days:
        complain(f"{path}: {days:,} of {ledger.days:,} days were played before")
    return Keeper(path, work, ledger)


@contextmanager
def _kept_at_last(keeper: Keeper | None) -> Iterator[None]:
    """Write the file when all is over, however it ended."""
    try:
        yield
    finally:
        if keeper is not None:
            keeper.write()
            if keeper.fault is not None:
                complain(f"{keeper.path}: cannot be written ({keeper.fault.strerror})")


@contextmanager
def _sigterm_interrupts() -> Iterator[None]:
    """SIGTERM stops a study as Ctrl-C does; where it is ignored, or handled otherwise, it stays."""
    if signal.getsignal(signal.SIGTERM) is not signal.SIG_DFL:
        yield
        return
    with answered(_terminated, signal.SIGTERM):
        yield


def _terminated(number: int, frame: FrameType | None) -> None:
    raise _TerminatedError
