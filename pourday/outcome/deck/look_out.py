"""Moments of the day at which somebody should look at the deck, and what to do there.

Nobody is ever sent beneath a deck that is being poured: sag is read from outside the loaded area,
along a string line, a laser or marks on the beams.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourday.deck.history import Peaks, UseCause
from pourday.floor.lines.states import ARRIVE, BARE, FRONT
from pourday.outcome.base.basis import Basis, Floats
from pourday.outcome.deck.peaks import bounds_of, heap_factors


@dataclass(frozen=True)
class LookOut:
    """One moment: when the front enters ``strip`` (or before the pour, for what is stacked there).

    ``kind`` is "use" (share of resistance, ``value`` 0..) or "sag" (m, deck between its supports).
    """

    time: float
    strip: int
    bay: str
    x: float
    kind: str
    value: float
    limit: float
    look_at: str
    do: str


def look_out(
    basis: Basis, seed: int, by_group: tuple[Peaks, ...], begin: Floats
) -> tuple[LookOut, ...]:
    """Strips whose placing takes the deck past the scenario's look-out share or sag, by time.

    One entry a strip and kind: the worst place. ``begin`` (strips,) is when each is begun (s).
    """
    loads = basis.scenario.loads
    worst: dict[tuple[int, str], LookOut] = {}
    factors = heap_factors(basis, seed)
    for group, peak in zip(basis.groups, by_group, strict=True):
        shape = group.strips.shape
        use, x = peak.use.reshape(shape), peak.use_x.reshape(shape)
        cause = peak.use_cause.reshape(shape)
        shift = group.model.supports[0]
        stages = [state.stage for state in group.model.states]
        active = np.array([stage in (BARE, ARRIVE, FRONT) for stage in stages])
        for n, number in enumerate(group.lines):
            line = basis.layout.lines[number]
            for k in np.flatnonzero(active & (use[n] >= loads.look_share)):
                where = float(x[n, k]) - shift + line.supports[0]
                strip = int(group.strips[n, k])
                code = UseCause(int(cause[n, k]))
                found = LookOut(
                    time=float(begin[strip]),
                    strip=strip,
                    bay=line.bay.name,
                    x=where,
                    kind="use",
                    value=float(use[n, k]),
                    limit=loads.look_share,
                    look_at=_LOOK[code] if stages[k] != BARE else _STACKED,
                    do=_do(float(use[n, k])) if stages[k] != BARE else _SPREAD,
                )
                _keep(worst, found)
            if loads.look_sag is not None:
                sag = bounds_of(line, factors)[0].most[:, line.felt.effects.plain.deflection]
                for k in np.flatnonzero(active & (sag.max(axis=1) >= loads.look_sag)):
                    at = int(sag[k].argmax())
                    strip = int(group.strips[n, k])
                    found = LookOut(
                        time=float(begin[strip]),
                        strip=strip,
                        bay=line.bay.name,
                        x=float(line.deck.unit.stations[at]),
                        kind="sag",
                        value=float(sag[k, at]),
                        limit=loads.look_sag,
                        look_at="sag of the span, read along a string line from outside",
                        do=_MORE,
                    )
                    _keep(worst, found)
    return tuple(sorted(worst.values(), key=lambda moment: (moment.time, moment.strip)))


def _keep(worst: dict[tuple[int, str], LookOut], found: LookOut) -> None:
    key = (found.strip, found.kind)
    if key not in worst or found.value > worst[key].value:
        worst[key] = found


_LOOK = {
    UseCause.SAG_MOMENT: "sag of the span, read along a string line from outside",
    UseCause.INNER_SUPPORT: "deck over the beam: webs that buckle, seams that open",
    UseCause.END_REACTION: "end of the sheet: webs that buckle, fixings that pull",
}
_STACKED = "what is stacked on the bare deck, before the pour"
_SPREAD = "before the pour: move or spread the stack; if it must stand there, ask the engineer"
_MORE = "no heap, few people; more sag than said here: stop, clear the deck, ask the engineer"
_OVER = "do not place this strip so: change the plan or ask the engineer before the day"


def _do(use: float) -> str:
    return _OVER if use > 1.0 else _MORE
