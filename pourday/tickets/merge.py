"""Lines typed in the hut and a plant's table of the same pour, put together.

A load told twice agrees, or is named. The hut knows when a truck was there, the plant when it was
loaded and what it brings: where they differ, each is believed in what it saw itself.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from statistics import median

from pourday.tickets import line as say
from pourday.tickets.line import DAY, Line, clock

# Two clocks and two people differ by so much (s), and by so much concrete (m³); chosen here.
_ALIKE, _SAME_VOLUME = 120.0, 0.05
_LEAST_DIGITS = 2
# A load of one digit is the row of the table with that place in order where their times are so
# near (s); so near where a longer number is its row of the table too (chosen here).
_NEAR, _NEAR_IN_ORDER = 300.0, 1200.0


def with_table(
    typed: Sequence[Line], table: Sequence[Line], name: str
) -> tuple[list[Line], list[str]]:
    """The typed lines and those of the table called ``name`` by time; and what differs.

    Typed loads bear the number of the ticket or its last digits; of one digit the load's place in
    order and its times have to agree. Where none of them does, the table is not used: each load
    would count twice.
    """
    mine = {line.load for line in typed if line.kind in say.OF_LOADS}
    theirs = {line.load for line in table}
    called, said = _called(mine, theirs)
    _in_order(typed, table, called)
    if called:
        alone = (each for each in mine - set(called.values()) if len(each) < _LEAST_DIGITS)
        said += _twice(sorted(alone), name)
    if mine and theirs and not called:
        return list(typed), [
            f"{name} is not used: no number of a ticket there was typed; write those of the tickets"
        ]
    table = [replace(line, load=called.get(line.load, line.load)) for line in table]
    told = {(line.load, line.kind): line for line in typed if line.kind in say.OF_LOADS}
    table = _on_their_day(table, told)
    away = {load for load, kind in told if kind == say.AWAY}
    out = {line: line for line in typed}
    for line in table:
        own = told.get((line.load, line.kind))
        if own is None:
            if line.load in away and line.kind in (say.ON, say.OFF):
                said.append(
                    f"load {line.load} was sent away, and is {line.kind} {clock(line.time)} by "
                    f"{name}: the line typed counts"
                )
                continue
            out[line] = line
            continue
        if abs(own.when - line.time) > _ALIKE:
            said.append(
                f"load {line.load} is {line.kind} {clock(own.when)}, and {clock(line.time)} by "
                f"{name}: the line typed counts"
            )
        out[own] = _filled(out[own], line, name, said)
    return sorted(out.values(), key=lambda line: line.when), list(dict.fromkeys(said))


def _filled(own: Line, line: Line, name: str, said: list[str]) -> Line:
    """A typed line with what the plant knows of its load: loading and m³ are believed to it."""
    loaded, volume = line.loaded, line.volume
    if own.loaded is not None and loaded is not None and abs(own.loaded - loaded) > _ALIKE:
        said.append(
            f"load {own.load} was loaded {clock(own.loaded)}, and {clock(loaded)} by {name}: "
            "the plant's counts"
        )
    if own.volume is not None and volume is not None and abs(own.volume - volume) > _SAME_VOLUME:
        said.append(
            f"load {own.load} brings {own.volume:.2f} m³, and {volume:.2f} m³ by {name}: "
            "the plant's counts"
        )
    return replace(
        own,
        loaded=own.loaded if loaded is None else loaded,
        volume=own.volume if volume is None else volume,
        back=line.back if own.back is None else own.back,
        plant=own.plant or line.plant,
        front=own.front or line.front,
    )


def _called(mine: set[str], theirs: set[str]) -> tuple[dict[str, str], list[str]]:
    """Numbers of the table by what was typed for them: the same, or its last digits."""
    called: dict[str, str] = {}
    said: list[str] = []
    for number in sorted(mine):
        short = number.lstrip("0").lower()
        same = [each for each in theirs if each.lstrip("0").lower() == short]
        ends = [each for each in theirs if len(short) >= _LEAST_DIGITS and each.endswith(short)]
        found = same or ends
        if len(found) == 1 and found[0] not in called:
            called[found[0]] = number
        elif len(found) > 1:
            said.append(f"{number} may be load {' or '.join(sorted(found)[:3])} of the table")
    return called, said


def _in_order(typed: Sequence[Line], table: Sequence[Line], called: dict[str, str]) -> None:
    """Put to ``called`` the typed loads of one digit: the n-th of the table is the load n."""
    rows = {number: n for n, number in enumerate(_by_loading(table), start=1)}
    numbered = any(
        each.isdecimal() and rows[number] == int(each) for number, each in called.items()
    )
    near = _NEAR_IN_ORDER if numbered else _NEAR
    times = {(line.load, line.kind): line.when for line in table}
    taken = set(called.values())
    for number, row in rows.items():
        short = str(row)
        own = [line for line in typed if line.kind in say.OF_LOADS and line.load == short]
        if len(short) >= _LEAST_DIGITS or not own or number in called or short in taken:
            continue
        apart = [
            abs(_within_a_day(n.when - times[number, n.kind]))
            for n in own
            if (number, n.kind) in times
        ]
        if number.endswith(short) and apart and max(apart) <= near:
            called[number] = short


def _by_loading(table: Sequence[Line]) -> list[str]:
    """The numbers of the table in order of loading; of the first time told where none is."""
    first: dict[str, float] = {}
    for line in table:
        time = line.time if line.loaded is None else line.loaded
        first[line.load] = min(time, first.get(line.load, time))
    return sorted(first, key=lambda number: first[number])


def _within_a_day(seconds: float) -> float:
    return (seconds + DAY / 2) % DAY - DAY / 2


def _twice(alone: Sequence[str], name: str) -> list[str]:
    """Typed loads of one digit that no row was found for: the table may tell of them too."""
    if not alone:
        return []
    one = len(alone) == 1
    names = ", ".join(alone)
    return [
        f"load{'' if one else 's'} {names}: no row of {name} has the number and the times, so "
        f"{'it' if one else 'they'} may count twice; type the number of the ticket"
    ]


def _on_their_day(table: Sequence[Line], told: Mapping[tuple[str, str], Line]) -> list[Line]:
    """The table on the day of the typed lines: one of them may begin before midnight."""
    apart = [
        told[line.load, line.kind].when - line.time
        for line in table
        if (line.load, line.kind) in told
    ]
    shift = DAY * round(median(apart) / DAY) if apart else 0.0
    if not shift:
        return list(table)
    return [
        replace(
            line,
            time=line.time + shift,
            latest=line.latest + shift,
            loaded=None if line.loaded is None else line.loaded + shift,
        )
        for line in table
    ]
