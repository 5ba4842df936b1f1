"""What the stories of a day share: clock, room, plants and fronts, and the records they write."""

from __future__ import annotations

import math
from collections.abc import Sequence

import simpy

from pourday.day import log
from pourday.day.chance.factors import day_factors
from pourday.day.chance.rain import rain_windows
from pourday.day.chance.streams import Stream
from pourday.day.chance.upset_plan import UpsetPlan
from pourday.day.chance.upsets import with_rain
from pourday.day.front.front import Front
from pourday.day.front.pace import Pace
from pourday.day.front.pauses import Pause, down_pauses, other_lifts
from pourday.day.front.people import break_times
from pourday.day.front.ready import Ready
from pourday.day.front.work import BEGIN, ORDER
from pourday.day.log import DayFactors, Order, PhoneCall, Stop, Stretch, Visit
from pourday.day.site.ground import Ground
from pourday.day.site.load import Load
from pourday.day.site.places import Places
from pourday.day.supply.yard import Going, PlantYard, limit_of
from pourday.scenario.base.upsets import Upset
from pourday.scenario.model.site import AFTER_POUR, TOGETHER


class SiteDay:
    """Shared state of one day. The stories read and write it; it has no story of its own.

    Made as the day stands before anything has happened; ``state.restore`` puts it where a day
    stands that has begun.
    """

    def __init__(
        self,
        ready: Ready,
        seed: int,
        upsets: tuple[Upset, ...],
        at: float = 0.0,
        factors: DayFactors | None = None,
    ) -> None:
        """A day before anything has happened; its factors are drawn unless told."""
        scenario, plan, layout = ready.scenario, ready.plan, ready.layout
        self.env = simpy.Environment(initial_time=at)
        self.ready = ready
        self.scenario = with_rain(scenario, upsets)
        self.plan = plan
        self.layout = layout
        self.seed = seed
        self.upsets = upsets
        self.upset_plan = UpsetPlan(upsets, plan, scenario)
        self.factors = factors or day_factors(scenario.day_to_day, seed)
        supply, site = scenario.supply, scenario.site
        self.phones = not scenario.call_off.nobody_phones
        self.load_volume = plan.load or supply.load
        self.life, self.too_old = ready.life, ready.too_old
        self.yards = self._yards()
        self.places = Places(self.env, site.positions, site.holding_places, [0] * len(plan.fronts))
        self.ground = Ground(self.env, site)
        block = site.round_the_block
        self.round_the_block = Stream(seed, "round the block", block) if block else None
        use = Stream(seed, "use", scenario.slab.use_factor)
        self.planned, self.moves = ready.planned, ready.moves
        self.strip_volumes: list[float] = [v * use(i) for i, v in enumerate(self.planned)]
        self.strips_over: set[int] = set()
        self.strip_over: dict[int, simpy.Event] = {
            before: self.env.event() for before in ready.waited_for
        }
        self.fronts = [self._front(number) for number in range(len(plan.fronts))]
        self.loads: dict[int, Load] = {}
        # Records.
        self.visits: list[Visit] = []
        self.stretches: list[Stretch] = []
        self.stops: list[Stop] = []
        self.calls: list[PhoneCall] = []
        self.loads_called = 0
        self.orders = 0
        # Whether nobody knows how long a stop lasts before it is over.
        self.blind = False
        # What the foreman ordered, and strips that get no more by order (since when, s).
        self.given: tuple[Order, ...] = ()
        self.given_up: dict[int, float] = {}

    def _yards(self) -> list[PlantYard]:
        scenario = self.scenario
        rush = tuple((r.begins, r.ends, r.factor) for r in scenario.supply.rush_hours)
        return [
            PlantYard(
                number,
                plant,
                trucks,
                self.load_volume,
                self.seed,
                Going(
                    rush,
                    self.upset_plan.plant_stops(plant.name),
                    self.upset_plan.road_closures(plant.name),
                    self.factors.travel,
                    self.factors.plant,
                ),
            )
            for number, (plant, trucks) in enumerate(
                zip(scenario.supply.plants, self.ready.trucks, strict=True)
            )
        ]

    def _front(self, number: int) -> Front:
        front = Front(self.env, self.scenario, self.ready, number, self.seed)
        names = front.plan.plants
        front.yards = [yard for yard in self.yards if not names or yard.plant.name in names]
        missing = self.upset_plan.short(number)
        front.breaks = self._breaks(front)
        in_turn = break_times(self.scenario.site, front.plan.start)
        front.pace = Pace(self.scenario, front.crew, in_turn, missing, self.seed, self.factors.crew)
        front.pauses = self._pauses(front)
        between = front.chance.between_blockages
        front.work.until_blocked = between(0) if between else math.inf
        after = self.plan.standby_after
        front.standby = after is not None and any(
            at + after <= front.plan.start < at + length  # it stands there when the pour begins
            for at, length in self.upset_plan.pump_stops(number)
        )
        return front

    def _breaks(self, front: Front) -> list[tuple[float, float]]:
        """Breaks that the whole crew takes: due at, how long (s)."""
        site = self.scenario.site
        due = break_times(site, front.plan.start)
        if front.crew.breaks_taken == TOGETHER:
            return due
        if front.crew.breaks_taken == AFTER_POUR and site.breaks:
            # The longest time without a break holds for a pour that is no longer short.
            every, length = site.longest_without_break, site.breaks[0].length
            return [(front.plan.start + n * every, length) for n in range(1, 5)]
        return []

    def _pauses(self, front: Front) -> list[Pause]:
        """All pauses of a front, by time: what the weather, the upsets and other trades bring.

        Rain stops the crew at once: what is fresh is covered, and uncovered when it is over.
        """
        windows = rain_windows(self.scenario, self.seed)
        found = [Pause(log.RAIN, start, end - start) for start, end in windows]
        stops = self.upset_plan.pump_stops(front.number)
        found += down_pauses(stops, self.plan.standby_after)
        found += other_lifts(front.pump, front.plan.start, front.chance.draw)
        return sorted(found, key=lambda pause: pause.at)

    def limit_of(self, batched: float) -> float:
        """Until when (s) a load may be discharged whose loading began then."""
        return limit_of(self.scenario, batched)

    def order(self) -> int:
        """The next number of what is begun: who was first where two things come at one moment."""
        self.orders += 1
        return self.orders

    def tell(self, *news: str) -> None:
        """Wake everyone who calls concrete and waits for one of ``news``."""
        for front in self.fronts:
            front.news.tell(*news)

    def give_up(self, front: Front, strips: Sequence[int]) -> None:
        """Strips of a front get no more by order: what is in them now is all they get."""
        begun = front.work.turn + (front.work.step not in (ORDER, BEGIN))
        for turn, strip in enumerate(front.strips):
            if strip in strips and strip not in self.strips_over:
                self.given_up[strip] = self.env.now
                if turn >= begun:
                    left = front.need.to_begin - front.planned[turn]
                    front.need.to_begin = max(0.0, left)
                self.end_strip(strip)

    def end_strip(self, strip: int) -> None:
        """No more concrete goes into a strip; who waited for it may begin."""
        if strip in self.strips_over:
            return
        self.strips_over.add(strip)
        over = self.strip_over.get(strip)
        if over is not None:
            over.succeed()
