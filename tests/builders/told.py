"""Tickets as a hut would have typed them on a day that was played: complete, or with slips.

A day is played (with other factors than the scenario's, where a test wants that), and what its log
holds is written down line by line, to the minute or to the second.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pourday.day.log import DOWN, IDLE, RAIN, DayLog
from pourday.outcome.base.basis import Basis
from pourday.scenario.base.upsets import CREW_SHORT

NEVER_PLACED = ("rejected: test", "rejected: age", "rejected: slump", "returned")
WORDS = {"rejected: test": "test", "rejected: age": "too old", "rejected: slump": "slump lost"}


@dataclass(frozen=True)
class Slips:
    """Shares of lines (0 to 1): left out, with a typo, written later than they belong."""

    gaps: float = 0.0
    typos: float = 0.0
    late: float = 0.0
    seed: int = 0


def clock(seconds: float, step: float = 60.0) -> str:
    """A clock time, rounded to ``step`` seconds."""
    whole = round(seconds / step) * step
    hours, rest = divmod(int(whole), 3600)
    text = f"{hours % 24}:{rest // 60:02d}"
    return text if step >= 60.0 else f"{text}:{rest % 60:02d}"


def told(log: DayLog, basis: Basis, step: float = 60.0) -> list[tuple[float, str]]:
    """Every line of the day with its time (s), in order of time."""
    lines: list[tuple[float, str]] = []
    pumps = len(basis.plan.fronts) > 1
    plants = {plant.name: plant for plant in basis.scenario.supply.plants}
    names = len(plants) > 1

    def _say(time: float, text: str, front: int = 0) -> None:
        lines.append((time, f"pump {front + 1} {text}" if pumps else text))

    for v in log.visits:
        n = v.number + 1
        batch = plants[v.plant].batch * log.factors.plant
        leaves = v.batched + v.volume / batch
        of = f" from {v.plant}" if names else ""
        volume = f"{v.volume:g}m3"
        notice = basis.scenario.call_off.hold_notice
        due = clock(leaves + plants[v.plant].travel.mean, step)
        _say(v.batched - notice, f"call {volume} for {due}", v.front)
        _say(leaves, f"{n} left {clock(leaves, step)} {volume}{of}", v.front)
        loaded = clock(v.batched, step)
        _say(v.arrived, f"{n} in {clock(v.arrived, step)} loaded {loaded} {volume}{of}", v.front)
        if v.outcome in NEVER_PLACED or math.isnan(v.discharge_start):
            why = WORDS.get(v.outcome, "not needed")
            _say(v.left_site, f"{n} away {clock(v.left_site, step)} {why}", v.front)
            continue
        _say(v.discharge_start, f"{n} on {clock(v.discharge_start, step)}", v.front)
        back = v.rejected + v.returned
        rest = f" back {back:.2f}m3" if back > 0.005 else ""
        _say(v.discharge_end, f"{n} off {clock(v.discharge_end, step)}{rest}", v.front)
    begun: set[int] = set()
    for s in log.stretches:
        if s.strip < 0:
            continue
        if s.strip not in begun:
            begun.add(s.strip)
            _say(s.start, f"strip {s.strip + 1} start {clock(s.start, step)}", s.front)
        if s.volume_end >= log.strip_volumes[s.strip] - 1e-6:
            _say(s.end, f"strip {s.strip + 1} full {clock(s.end, step)}", s.front)
    words = {DOWN: "stop {} blocked", RAIN: "stop {} rain", IDLE: "break {}"}
    for stop in log.stops:
        if stop.kind in words:
            _say(stop.start, words[stop.kind].format(clock(stop.start, step)), stop.front)
            over = "work" if stop.kind == IDLE else "go"
            _say(stop.end, f"{over} {clock(stop.end, step)}", stop.front)
    for upset in log.upsets:
        if upset.kind == CREW_SHORT:
            for front, plan in enumerate(basis.plan.fronts):
                if upset.who in ("", str(front + 1)):
                    there = basis.scenario.crews[plan.crew].placers
                    few = max(0, there - upset.number)
                    _say(upset.at, f"people {few} {clock(upset.at, step)}", front)
                    if math.isfinite(upset.length):
                        back = upset.at + upset.length
                        _say(back, f"people {there} {clock(back, step)}", front)
    return sorted(lines, key=lambda line: line[0])


def ticket_text(
    log: DayLog, basis: Basis, at: float, step: float = 60.0, slips: Slips | None = None
) -> str:
    """The file as it stands at ``at`` (s)."""
    lines = [text for time, text in told(log, basis, step) if time <= at]
    return "\n".join(["units m3", *(lines if slips is None else with_slips(lines, slips))]) + "\n"


def with_slips(lines: list[str], slips: Slips) -> list[str]:
    """The lines as people type them in a hurry."""
    chance = np.random.default_rng(slips.seed)
    out: list[str] = []
    held: list[str] = []
    for line in lines:
        if chance.random() < slips.gaps:
            continue
        if chance.random() < slips.typos:
            k = int(chance.integers(len(line)))
            line = line[:k] + chr(int(chance.integers(33, 127))) + line[k + 1 :]
        if chance.random() < slips.late:
            held.append(line)
            continue
        out.append(line)
        if held and chance.random() < 0.3:
            out.append(held.pop(0))
    return out + held
