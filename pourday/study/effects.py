"""What each upset of a day did: the same day played again without it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from pourday.day.log import STARVED
from pourday.outcome.measure import Outcome
from pourday.scenario.base.upsets import Upset

_SAME = 1e-6  # m³

MOST = 12
"""Upsets that are left out one by one; of a day with more, the first ones."""


@dataclass(frozen=True)
class Measured:
    """What is compared. Times in s, volumes in m³.

    ``end`` is the last concrete (clock), ``starved`` how long pumps had no truck (all fronts
    added up), ``cold`` edge pairs and ``cold_fronts`` stopped fronts, ``stiff`` and
    ``stiff_fronts`` those that were stiff, ``over_age`` loads lost wholly or partly to their age or
    slump, ``ratio`` the largest share of its time to cold that an edge used (0 without an edge),
    ``unfinished`` what was not placed; ``ordered`` all that was batched, in ``loads`` loads.
    """

    end: float
    starved: float
    cold: int
    cold_fronts: int
    stiff: int
    stiff_fronts: int
    over_age: int
    ratio: float
    cost: float
    unfinished: float
    ordered: float
    loads: int


@dataclass(frozen=True)
class Effect:
    """The day against the same day without ``upset``; ``None`` stands for all upsets at once.

    Where the two days leave different amounts out, a day that was given up would look cheap and
    early: they do not compare (``compares``), though every difference is still there to be asked.
    ``gone_cold`` are the edge pairs (names of both strips) that are cold in the day and not
    without it, ``saved`` those that are cold only without it.
    """

    upset: Upset | None
    day: Measured
    without: Measured
    gone_cold: tuple[tuple[str, str], ...]
    saved: tuple[tuple[str, str], ...]

    @property
    def unfinished_more(self) -> float:
        """How much more was not placed (m³); below 0 it was less."""
        return self.day.unfinished - self.without.unfinished

    @property
    def compares(self) -> bool:
        """Whether both days placed all, or left the same out; else no difference says anything."""
        return abs(self.unfinished_more) <= _SAME

    @property
    def lost(self) -> float:
        """How much later the last concrete came (s); below 0 it came earlier."""
        return self.day.end - self.without.end

    @property
    def starved_more(self) -> float:
        """How much longer pumps had no truck (s)."""
        return self.day.starved - self.without.starved

    @property
    def cold_more(self) -> int:
        """How many edge pairs and stopped fronts more went cold."""
        with_it = self.day.cold + self.day.cold_fronts
        return with_it - self.without.cold - self.without.cold_fronts

    @property
    def stiff_more(self) -> int:
        """How many edge pairs and stopped fronts more were stiff; one that went cold is not."""
        with_it = self.day.stiff + self.day.stiff_fronts
        return with_it - self.without.stiff - self.without.stiff_fronts

    @property
    def over_age_more(self) -> int:
        """How many loads more were lost to their age or slump."""
        return self.day.over_age - self.without.over_age

    @property
    def cost_more(self) -> float:
        """How much more the day cost."""
        return self.day.cost - self.without.cost


def effects(day: Outcome, play_day: Callable[[tuple[Upset, ...]], Outcome]) -> tuple[Effect, ...]:
    """What each upset did, one by one, and then all of them together.

    The effects of single upsets need not add up: one may hide behind another, or make it worse.

    Args:
        day: the day as it was; its log has the upsets that were played, given and drawn.
            Those that chance brings after the day are left out.
        play_day: plays the same day (same plan, same seed) with exactly these upsets.

    Returns:
        One entry for each of the first :data:`MOST` upsets, in their order, then one for all
        of them; empty for a day without upsets.
    """
    played, met = day.log.upsets, day.log.upsets_met
    if not met:
        return ()
    out = []
    for upset in met[:MOST]:
        n = next(k for k, each in enumerate(played) if each is upset)
        out.append(_effect(day, upset, play_day(played[:n] + played[n + 1 :])))
    # A single upset is all of them: the day without it is played already.
    without_all = play_day(()) if len(met) > 1 else None
    last = _effect(day, None, without_all) if without_all else _all(out[0])
    return (*out, last)


def _all(single: Effect) -> Effect:
    return Effect(None, single.day, single.without, single.gone_cold, single.saved)


def _effect(day: Outcome, upset: Upset | None, without: Outcome) -> Effect:
    cold, cold_without = _cold_pairs(day), _cold_pairs(without)
    return Effect(
        upset=upset,
        day=measured(day),
        without=measured(without),
        gone_cold=tuple((cold - cold_without).elements()),
        saved=tuple((cold_without - cold).elements()),
    )


def _cold_pairs(outcome: Outcome) -> Counter[tuple[str, str]]:
    """Names of the cold edge pairs; an opening may cut the side of two strips into several."""
    strips, pairs = outcome.basis.layout.strips, outcome.basis.layout.pairs
    return Counter(
        (strips[pairs[n].first].name, strips[pairs[n].second].name)
        for n in np.flatnonzero(outcome.edges.ratio > 1.0)
    )


def measured(outcome: Outcome) -> Measured:
    """What an outcome is compared by."""
    edges, log = outcome.edges, outcome.log
    ratios = np.concatenate([edges.ratio, edges.stop_ratio])
    return Measured(
        end=log.end,
        starved=sum(s.end - s.start for s in log.stops if s.kind == STARVED),
        cold=edges.cold_pairs,
        cold_fronts=edges.cold_fronts,
        stiff=edges.stiff_pairs,
        stiff_fronts=edges.stiff_fronts,
        over_age=outcome.over_age,
        ratio=float(np.nanmax(ratios, initial=0.0)),
        cost=outcome.cost.total,
        unfinished=log.unfinished,
        ordered=outcome.ordered,
        loads=len(log.visits),
    )
