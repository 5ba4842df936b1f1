"""One front in the day: its pump and crew, the trucks at it, and where its work stands."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import simpy

from pourday.day.front.chance import FrontChance
from pourday.day.front.forecast import Expected
from pourday.day.front.need import Need
from pourday.day.front.news import News
from pourday.day.front.pace import Pace
from pourday.day.front.pauses import Pause
from pourday.day.front.reach import Relief
from pourday.day.front.ready import Ready
from pourday.day.front.work import Calling, Work
from pourday.day.log import EPS
from pourday.day.site.hopper import Hopper
from pourday.day.site.places import Positions
from pourday.day.supply.yard import PlantYard
from pourday.floor.access.zones import Shared
from pourday.scenario.model.scenario import Scenario
from pourday.scenario.model.site import AFTER_POUR

_SHORT_STAND = 600.0


class Front:
    """A front of a plan on one day: what is fixed, and what its stories read and write."""

    def __init__(
        self,
        env: simpy.Environment,
        scenario: Scenario,
        ready: Ready,
        number: int,
        seed: int,
    ) -> None:
        plan, layout, mine = ready.plan, ready.layout, ready.fronts[number]
        self.number = number
        self.plan = plan.fronts[number]
        self.pump = scenario.pumps[self.plan.pump]
        self.crew = scenario.crews[self.plan.crew]
        self.access = layout.access[number]
        self.changes_place = self.access.set_up_moves > 0
        self.strips, self.planned, self.last_strips = mine.strips, mine.planned, mine.last_strips
        self.crew_rate = mine.crew_rate
        self.chance = FrontChance(scenario, plan, number, self.pump, seed)
        self._own_output = self.chance.output(0)
        # Shorter stands than this do nothing to pump and line (s).
        self.stand_counts = min(_SHORT_STAND, self.pump.stand_free)
        self.need = Need(
            expected_use=scenario.slab.use_factor.mean,
            to_begin=mine.to_begin,
            for_line=self.access.line_volume,
        )
        self.news = News(env)
        self.calling = Calling()
        self.work = Work()
        self.hopper = Hopper(env)
        self.positions = Positions(env, scenario.site.positions)
        # Made for the day: the plants it may call, its people, its breaks and stops to come.
        self.yards: Sequence[PlantYard] = ()
        self.pace: Pace
        self.pauses: Sequence[Pause] = ()
        self.breaks: Sequence[tuple[float, float]] = ()
        # The longest time without a break is not put off for the strip in hand.
        self.late_by = 0.0 if self.crew.breaks_taken == AFTER_POUR else scenario.site.late_by
        self._expected = mine.expected
        self.on_site = 0
        self.waiting = 0
        self.in_flight = 0
        self.held = 0.0
        self.line_fills = 1
        self.set_ups_done = 0
        self.last_strip_begun = False
        self.begun = math.nan
        self.end = math.nan
        self.unfinished = 0.0
        self.standby = False
        self.finished = False
        self.stopped = False
        self.supply_over = False
        # A stand-by that was ordered; breaks taken at an ordered time, by number; what is not
        # poured by order (m³).
        self.relief: Relief | None = None
        self.told_breaks: tuple[tuple[int, float], ...] = ()
        self.left_out = 0.0
        self.ground: Shared | None = None

    def wants(self) -> bool:
        """Whether this front still has concrete to call, or nothing on its way."""
        return self.need.short() > EPS or self.in_flight == 0

    @property
    def expected(self) -> Expected:
        """Its rates and moves as the foreman expects them; a stand-by is slower, which he knows."""
        plan = self._expected
        if self.relief is None or not self.relief.places:
            return plan
        rate = self.relief.rate
        slower = tuple(min(rate, each) for each in plan.rate)
        return replace(plan, rate=slower, line=min(rate, plan.line))

    @property
    def output(self) -> float:
        """What the pump, or the stand-by in its place, lets through at the most (m³/s)."""
        relief = self.relief
        return relief.rate if relief is not None and relief.places else self._own_output

    @property
    def relieved(self) -> bool:
        """Whether a stand-by places in the place of the own pump now."""
        return self.relief is not None and self.relief.places

    @property
    def break_at(self) -> float:
        """Clock time at which the next break is due; it waits for its moment."""
        taken = self.work.breaks_taken
        for number, at in self.told_breaks:
            if number == taken:
                return at
        return self.breaks[taken][0] if taken < len(self.breaks) else math.inf

    @property
    def pause_at(self) -> float:
        """Clock time of the next pause that nobody can put off.

        Nobody lends a crane that has a skip on it.
        """
        work, pauses = self.work, self.pauses
        if work.pauses_taken >= len(pauses):
            return math.inf
        if work.skip is None:
            return pauses[work.pauses_taken].at
        return next((p.at for p in pauses[work.pauses_taken :] if not p.lends), math.inf)
