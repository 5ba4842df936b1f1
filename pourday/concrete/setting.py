"""The three clocks of a mix: open time, initial set, final set, and what a retarder adds.

All are counted from loading and given at 20 °C; `age` turns them into clock times.
Initial and final set are the penetration resistances 3.5 and 27.6 MPa of ASTM C403.
"""

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class MixTimes:
    """Times of a mix from loading, s at 20 °C, without retarder; `retarder` is time added, s.

    Raises ValueError unless 0 < open_time <= initial_set < final_set, all finite, and
    retarder is 0 or more.
    """

    open_time: float
    initial_set: float
    final_set: float
    retarder: float = 0.0

    def __post_init__(self) -> None:  # noqa: D105
        if not 0.0 < self.open_time <= self.initial_set < self.final_set < math.inf:
            raise ValueError(
                "mix times must keep 0 < open time <= initial set < final set (s): "
                f"{self.open_time}, {self.initial_set}, {self.final_set}"
            )
        if not 0.0 <= self.retarder < math.inf:
            raise ValueError(f"retarder is {self.retarder} s; it must be 0 or more")


def open_time(mix: MixTimes) -> float:
    """Age until which a vibrator still knits new concrete to this one, s at 20 °C, retarded.

    A retarder shifts all three times by the same amount (common practice, no source).
    """
    return mix.open_time + mix.retarder


def initial_set(mix: MixTimes) -> float:
    """Age at initial set (3.5 MPa, ASTM C403), s at 20 °C, with the retarder's time added."""
    return mix.initial_set + mix.retarder


def final_set(mix: MixTimes) -> float:
    """Age at final set (27.6 MPa, ASTM C403), s at 20 °C, with the retarder's time added."""
    return mix.final_set + mix.retarder
