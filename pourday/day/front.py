"""One front in the day: its pump and crew, the trucks at it, and the counts its loads go by."""

from __future__ import annotations

import math

import numpy as np
import simpy

from pourday.concrete.age import arrhenius_rate, equivalent_age
from pourday.concrete.temperature import relaxation
from pourday.day.people import people_of
from pourday.day.rain import air_shift
from pourday.day.site import EPS, Hopper, Load, Room, SiteDay
from pourday.day.streams import Stream, of_front
from pourday.floor.access.zones import Shared
from pourday.scenario.base.distribution import Distribution
from pourday.scenario.model.scenario import Crew, FrontPlan, Pump

# A crew in great heat still works at this share of its pace (common practice, no source).
_LEAST_IN_HEAT = 0.3
# In heat the pace is looked at anew this often (s).
_LOOK_AT_HEAT = 900.0
_SHORT_STAND = 600.0
_ALWAYS = Distribution("uniform", (0.0, 1.0))


class FrontDay:
    """State of one front. Streams of the first front have no number in their names."""

    def __init__(self, day: SiteDay, number: int) -> None:
        self.day = day
        self.number = number
        self.plan: FrontPlan = day.plan.fronts[number]
        scenario = day.scenario
        self.pump: Pump = scenario.pumps[self.plan.pump]
        self.crew: Crew = scenario.crews[self.plan.crew]
        self.access = day.layout.access[number]
        self.strips = [i for i, f in enumerate(day.layout.front_of) if f == number]
        names = self.plan.plants
        self.yards = [yard for yard in day.yards if not names or yard.plant.name in names]
        self.hopper = Hopper(day.env)
        self.positions = Room(day.env, scenario.site.positions)
        site, supply, pump = scenario.site, scenario.supply, self.pump
        self.gate = self._stream("gate", site.gate)
        self.position = self._stream("position", site.position)
        self.test = self._stream("test", site.test)
        self.slump_test = self._stream("slump test", _ALWAYS)
        self.wash = self._stream("wash", site.wash)
        self.discharge = self._stream("discharge", supply.discharge)
        self.pump_rate = self._stream("output", pump.output)(0)
        self.move = self._stream("move", pump.move)
        self.blockage = self._stream("blockage", pump.blockage)
        self.spacing = self._stream("spacing", self.plan.spacing)
        self.stages = [
            (stage.until_share, self._stream(f"spacing, stage {n}", stage.spacing))
            for n, stage in enumerate(day.plan.stages, start=1)
        ]
        # Sources that most days never ask; made when they are.
        self._rare: dict[str, Stream] = {}
        self.people = people_of(self.crew, site.breaks, day.upset_plan.short(number))
        self._changes = self.people.changes
        # Shorter stands than this do nothing to pump and line (s).
        self.stand_counts = min(_SHORT_STAND, pump.stand_free)
        self.pace_varies = bool(self._changes) or site.heat_slows
        self._warmer = air_shift(scenario, day.seed) if site.heat_slows else 0.0
        # Counts that dispatch plans from.
        self.loads_called = 0
        self.called = 0.0
        self.rejected = 0.0
        self.used: float = 0.0
        self.used_as_planned: float = 0.0
        self.current: float = 0.0
        self.to_begin: float = sum(day.planned[i] for i in self.strips)
        self.held = 0.0
        self.line_fills = 1
        # Concrete that pump and line take in all (m³), pipes put on and washing out counted.
        self.for_line = self.access.line_volume
        self.on_site = 0
        self.waiting = 0
        self.last_strip_begun = False
        self.begun = math.nan
        self.end = math.nan
        self.unfinished = 0.0
        self.standby = False
        self.finished = False
        self.stopped = False
        self.supply_over = False
        self.ground: Shared | None = None
        self.set_ups_done = 0
        self.in_flight = 0
        self._changed: simpy.Event | None = None
        self._waits_for = ""

    def _stream(self, source: str, quantity: Distribution) -> Stream:
        return Stream(self.day.seed, of_front(source, self.number), quantity)

    def draw(self, source: str, quantity: Distribution, k: int) -> float:
        """The k-th value of a source that few days ask."""
        if source not in self._rare:
            self._rare[source] = self._stream(source, quantity)
        return self._rare[source](k)

    def chance(self, source: str, k: int) -> float:
        """The k-th even draw from 0 to 1 of a source."""
        return self.draw(source, _ALWAYS, k)

    # What the floor will still take.

    def need(self) -> float:
        """Concrete this front will take in all, as the foreman sees it now (m³).

        Strips done and the one in hand are measured; those ahead are taken as planned, times the
        use found so far.
        """
        begun = self.used_as_planned > 0
        use = self.used / self.used_as_planned if begun else self.day.expected_use
        return self.need_in_hand() + self.to_begin * float(use)

    def need_in_hand(self) -> float:
        """Concrete for pump, line, the strips done and the one in hand (m³): all of it measured."""
        return self.for_line + self.used + self.current

    def short(self) -> float:
        """Concrete that is still to be called (m³); below 0 where more is called than needed."""
        return self.need() - (self.called - self.rejected)

    def wants(self) -> bool:
        """Whether this front still has concrete to call, or nothing on its way."""
        return self.short() > EPS or self.in_flight == 0

    def begin_strip(self, strip: int) -> None:
        """The crew begins a strip, and sees what it will really take."""
        self.current = self.day.strip_volumes[strip]
        self.to_begin = max(0.0, self.to_begin - self.day.planned[strip])
        if strip == self.strips[-1]:
            self.last_strip_begun = True
        self.tell("need")

    def end_strip(self, strip: int, left: float) -> None:
        """The strip is full, or ``left`` (m³) is missing."""
        self.used += self.day.strip_volumes[strip] - left
        self.used_as_planned += self.day.planned[strip]
        self.current = left
        self._strip_over(strip)

    def _strip_over(self, strip: int) -> None:
        done = self.day.strip_done.get(strip)
        if done is not None and not done.triggered:
            done.succeed()

    def finish(self, last_concrete: float) -> None:
        """The front is done; trucks that stand at the pump may go."""
        day = self.day
        self.finished = True
        self.unfinished = sum(day.strip_volumes[i] for i in self.strips) - self.used
        self.end = day.env.now
        if self.unfinished > EPS:
            # Nobody knows when the crew gives up: the pour ended with its last concrete.
            self.end = self.plan.start if math.isnan(last_concrete) else last_concrete
            for strip in self.strips:
                self._strip_over(strip)
        self.hand_over_line()
        for load in self.hopper.line:
            load.leave()
        self.hopper.line.clear()
        self.leave_ground()
        day.tell("need", "truck", "room")

    # News for the one who calls concrete.

    def tell(self, *news: str) -> None:
        """Wake dispatch where it waits for one of ``news``: "need", "truck" or "room"."""
        if self._changed is not None and self._waits_for in news:
            changed, self._changed = self._changed, None
            changed.succeed()

    def pause(self, reason: str) -> simpy.Event:
        """What dispatch waits on until there is news of that kind."""
        self._waits_for = reason
        self._changed = self.day.env.event()
        return self._changed

    def landed(self) -> None:
        """A load has reached its end; where it was the last on its way, say so."""
        self.in_flight -= 1
        if self.in_flight == 0:
            if self.supply_over:
                self.hopper.close()
            self.tell("need")

    def stand(self, load: Load | None) -> None:
        """The front stands for long: its trucks, the one at the pump first, go where they help."""
        self.stopped = True
        if load is not None:
            self.hopper.line.appendleft(load)
        self.hand_over_line()
        self.day.tell("truck", "room")

    def go_on(self) -> None:
        """The front places again, and calls concrete again."""
        if self.stopped:
            self.stopped = False
            self.tell("need")

    def hand_over_line(self) -> bool:
        """Send loads that stand ready here to other fronts, as far as they want any."""
        sent = False
        while self.hopper.line and (other := self.better_front()) is not None:
            load = self.hopper.line.popleft()
            self.give(load, other)
            load.leave()
            sent = True
        return sent

    def borrow(self) -> bool:
        """Take a load that stands ready at a front that stands, where there is one."""
        return any(f.hand_over_line() for f in self.day.fronts if f.stopped and f.hopper.line)

    def give(self, load: Load, other: FrontDay) -> None:
        """Let a load on the site belong to another front: it counts there from now on."""
        load.front = other
        self.on_site -= 1
        other.on_site += 1
        if math.isnan(load.start):
            self.waiting -= 1
            other.waiting += 1
        self.called -= load.left
        other.called += load.left
        other.in_flight += 1
        other.hopper.reopen()
        self.day.places.change(self.number, other.number)
        self.landed()
        self.tell("need")

    def in_ground(self, ground: Shared) -> bool:
        """Whether the crew stands in this shared ground."""
        return self.ground is ground

    def leave_ground(self) -> None:
        """Step out of shared ground; another crew may come."""
        if self.ground is not None:
            self.ground = None
            self.day.ground.leave(self.number)

    def better_front(self) -> FrontDay | None:
        """Another front that takes loads while this one is done or stands for long.

        Where this front can call no more, its loads are all it has: only a front that has nothing
        on its way gets one.
        """
        if not (self.finished or self.stopped):
            return None
        others = [f for f in self.day.fronts if not f.finished and not f.stopped and f.wants()]
        if self.supply_over and not self.finished:
            others = [f for f in others if f.in_flight == 0]
        return min(others, key=lambda f: f.waiting, default=None)

    # How fast the crew is.

    def crew_rate(self, strip: int) -> float:
        """What the full crew can place in a strip (m³/s): people, screed, speed of the front."""
        crew, layout = self.crew, self.day.layout
        rate = crew.in_zone * crew.rate_per_placer
        shape = layout.strips[strip]
        volume = self.day.planned[strip]
        if crew.screed is not None:
            rate = min(rate, crew.screed * volume / shape.area)
        if crew.front_speed is not None:
            rate = min(rate, crew.front_speed * volume / (shape.y1 - shape.y0))
        return rate

    def pace(self, now: float) -> tuple[float, float]:
        """Share of its full rate at which the crew works now, and until when (s) that holds."""
        share, until = 1.0, math.inf
        if self._changes:
            share = short_share(self.crew, self.people.missing(now) + self.people.away(now))
            until = min((t for t in self._changes if t > now), default=math.inf)
            if share <= 0.0:
                return share, until
        site = self.day.scenario.site
        if site.heat_slows:
            rows = self.day.scenario.weather
            air = float(np.interp(now, rows.at, rows.air)) + self._warmer
            lost = site.heat_loss_share * max(0.0, air - site.heat_from)
            share *= max(_LEAST_IN_HEAT, 1.0 - lost)
            until = min(until, now + _LOOK_AT_HEAT)
        return share, until

    def given_up(self, now: float) -> bool:
        """Whether too few people are left for the rest of the day; nobody knows who else goes."""
        return short_share(self.crew, self.people.gone(now)) <= 0.0

    # What a stand does to pump and line.

    def line_too_old(self, batched: float, now: float) -> bool:
        """Whether concrete batched then may stay in the line no longer."""
        if self.access.held <= EPS:
            return False
        pump, mix = self.pump, self.day.scenario.mix
        if pump.longest_stand is not None:
            return now - batched > pump.longest_stand
        allowed, warm = mix.open_time + mix.retarder, mix.delivered.mean
        rows, warmer = self.day.scenario.weather, air_shift(self.day.scenario, self.day.seed)
        # It never ages faster than at the warmest it can get: most stands are told by that.
        warmest = max(warm, max(rows.air) + warmer)
        if (now - batched) * float(arrhenius_rate(warmest, mix.activation)) <= allowed:
            return False
        air = np.array(rows.air) + warmer
        relax = relaxation(np.array(rows.at), air, mix.relaxation)
        return bool(equivalent_age(relax, batched, now, warm, mix.activation) > allowed)

    def blocked_by_standing(self, stood: float, k: int) -> bool:
        """Whether the k-th stand, of ``stood`` seconds, has blocked the line."""
        pump = self.pump
        too_long = stood - pump.stand_free
        if pump.stand_to_block is None or too_long <= 0 or self.access.held <= EPS:
            return False
        return self.chance("stand blocks", k) < -math.expm1(-too_long / pump.stand_to_block)


def short_share(crew: Crew, missing: int) -> float:
    """Share of its pace that a crew keeps with some placers missing; 0 where it cannot place.

    As the crew's table says; without one, in proportion to the people at the front. Nobody places
    without hose and vibrator, where the roles are given.
    """
    present = crew.placers - missing
    if missing <= 0:
        return 1.0
    if present <= 0 or (crew.roles and present < crew.roles.hose + crew.roles.vibrator):
        return 0.0
    if crew.rate_when_short:
        enough = missing <= len(crew.rate_when_short)
        return crew.rate_when_short[missing - 1] if enough else 0.0
    return min(1.0, present / crew.in_zone)
