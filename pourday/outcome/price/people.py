"""Who was there when, who took over, and in which job."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pourday.outcome.base.basis import Basis
from pourday.scenario.model.scenario import Crew

PLACERS, FINISHERS, OPERATOR = "placers", "finishers", "operator"
_JOBS = ("hose", "vibrator", "rakers", "screed", "foreman")


@dataclass(frozen=True)
class Hours:
    """When people and pump were there, clock times in s.

    One finisher comes at ``bull_float_from``, the others at ``finishers_from``; all of them leave
    at ``finishers_until``.
    """

    pump_from: float
    pump_until: float
    bull_float_from: float
    finishers_from: float
    finishers_until: float


@dataclass(frozen=True)
class Presence:
    """People of one front who came and went together: "crew" or "finishers", how many, when (s)."""

    who: str
    front: int
    persons: int
    begin: float
    end: float


@dataclass(frozen=True)
class Relief:
    """Others who take over at ``at`` (s), because nobody works longer than the longest shift."""

    who: str
    front: int
    persons: int
    at: float


@dataclass(frozen=True)
class Shift:
    """One shift of a presence (s); ``relief`` where others have taken over."""

    there: Presence
    begin: float
    end: float
    relief: bool


def presences(basis: Basis, hours: Sequence[Hours]) -> tuple[Presence, ...]:
    """Who is paid, front by front: placers and others, the one at the bull float, the finishers."""
    out = []
    for number, (front, mine) in enumerate(zip(basis.plan.fronts, hours, strict=True)):
        crew = basis.scenario.crews[front.crew]
        first, until = min(1, crew.finishers), mine.finishers_until
        for who, persons, begin, end in (
            ("crew", crew.placers + crew.others, mine.pump_from, mine.pump_until),
            ("finishers", first, mine.bull_float_from, until),
            ("finishers", crew.finishers - first, mine.finishers_from, until),
        ):
            if persons:
                out.append(Presence(who, number, persons, begin, end))
    return tuple(out)


def reliefs(basis: Basis, hours: Sequence[Hours]) -> tuple[Relief, ...]:
    """Who has to be relieved when, in order of time; empty on a day of ordinary length."""
    out = [
        Relief(each.there.who, each.there.front, each.there.persons, each.begin)
        for each in shifts_of(basis, hours)
        if each.relief
    ]
    return tuple(sorted(out, key=lambda relief: relief.at))


def shifts_of(basis: Basis, hours: Sequence[Hours]) -> Iterator[Shift]:
    """Every presence as shifts of the longest that anybody works.

    Set-up and clean-up that the file pays for besides are in the first of them and the last: for
    them alone nobody is relieved.
    """
    prices = basis.scenario.prices
    for there in presences(basis, hours):
        lengths = shifts(there.end - there.begin, prices.longest_shift)
        early = prices.set_up_paid if there.who == "crew" else 0.0
        for k, length in enumerate(lengths):
            begin = there.begin + k * prices.longest_shift
            late = prices.clean_up_paid if k + 1 == len(lengths) else 0.0
            yield Shift(there, begin - (0.0 if k else early), begin + length + late, k > 0)


def shifts(present: float, longest: float) -> list[float]:
    """A time of work (s) as shifts of ``longest`` (s) one after another, the last what is left."""
    out = []
    while present > longest + 1e-6:
        out.append(longest)
        present -= longest
    return [*out, max(0.0, present)]


def jobs_of(crew: Crew, there: Presence) -> dict[str, int]:
    """How many of the people who are there do which job: a key of ``RolePrices``, or "placers"."""
    return {FINISHERS: there.persons} if there.who == "finishers" else jobs_in(crew)


def jobs_in(crew: Crew) -> dict[str, int]:
    """How many of a crew's placers and others do which job; finishers come besides."""
    known = {job: getattr(crew.roles, job) for job in _JOBS} if crew.roles is not None else {}
    rest = crew.placers - sum(known.values())
    found = known | {PLACERS: rest, OPERATOR: crew.others}
    return {job: persons for job, persons in found.items() if persons}
