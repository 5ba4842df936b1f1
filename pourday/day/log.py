"""What a day leaves behind: visits of trucks, stretches of placing, stops of the pump.

Times are seconds since midnight of the pour day, volumes m³.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple


class Visit(NamedTuple):
    """One load from batching to its end.

    ``outcome`` is "placed", "part rejected" (limit met while discharging), "rejected: test",
    "rejected: age" or "rejected: slump" (whichever is lost first), "returned" (not needed any
    more) or "part returned" (the rest not needed).
    Times that never came are ``nan``. ``wait`` is standing time at the site before discharge,
    gate, positioning and test not counted.
    """

    number: int
    plant: str
    batched: float
    arrived: float
    discharge_start: float
    discharge_end: float
    left_site: float
    wait: float
    volume: float
    placed: float
    rejected: float
    returned: float
    outcome: str


class Stretch(NamedTuple):
    """Placing without a pause: one strip, one truck, one rate. ``strip`` -1 fills pump and line.

    ``volume_start`` and ``volume_end`` count within the strip.
    """

    start: float
    end: float
    strip: int
    volume_start: float
    volume_end: float
    truck: int
    batched: float


class Stop(NamedTuple):
    """The pump does not place.

    ``kind`` is "starved" (no truck on the site), "changing" (a truck is there, but still at the
    gate, positioning or being tested), "moving", "down", "idle" (break) or
    "rain".
    """

    kind: str
    start: float
    end: float


@dataclass(frozen=True)
class DayLog:
    """One played day of one plan.

    ``strip_volumes`` is what each strip took in this day (planned volume times the day's use).
    ``held`` stays in pump and line; ``unfinished`` is what no truck could bring any more.
    """

    plan: str
    seed: int
    visits: tuple[Visit, ...]
    stretches: tuple[Stretch, ...]
    stops: tuple[Stop, ...]
    strip_volumes: tuple[float, ...]
    ready: float
    end: float
    wash_out_end: float
    held: float
    unfinished: float

    @property
    def start(self) -> float:
        """First discharge (s); the end of the pump's set-up where nothing was discharged."""
        return self.stretches[0].start if self.stretches else self.ready

    @property
    def placed(self) -> float:
        """Concrete in the strips (m³)."""
        return sum(s.volume_end - s.volume_start for s in self.stretches if s.strip >= 0)
