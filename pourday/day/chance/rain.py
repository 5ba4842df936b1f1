"""Weather of a day: how much warmer it is than forecast, and when the floor lies under cover."""

from __future__ import annotations

from pourday.day.chance.streams import Stream
from pourday.scenario.base.distribution import Distribution
from pourday.scenario.model.scenario import Scenario


def air_shift(scenario: Scenario, seed: int) -> float:
    """How much warmer (°C) the air is than its rows on the day with this seed."""
    return Stream(seed, "air shift", scenario.weather.air_shift)(0)


def rain_windows(scenario: Scenario, seed: int) -> tuple[tuple[float, float], ...]:
    """From, to (s) of every time under cover on the day with this seed, apart and in order.

    Rain of at least the site's limit stops the crew at once; a window lasts as long as the rain
    (or the covering, if that takes longer) and the uncovering after it.
    """
    site = scenario.site
    always = Distribution("uniform", (0.0, 1.0))
    found: list[tuple[float, float]] = []
    for number, rain in enumerate(scenario.weather.rain):
        comes = Stream(seed, f"rain {number} comes", always)(0) < rain.chance
        if comes and rain.rate >= site.stop_rain:
            length = Stream(seed, f"rain {number} lasts", rain.length)(0)
            cover = Stream(seed, f"rain {number} cover", site.cover)(0)
            uncover = Stream(seed, f"rain {number} uncover", site.uncover)(0)
            found.append((rain.at, rain.at + max(length, cover) + uncover))
    apart: list[tuple[float, float]] = []
    for start, end in sorted(found):
        if apart and start <= apart[-1][1]:
            apart[-1] = (apart[-1][0], max(apart[-1][1], end))
        else:
            apart.append((start, end))
    return tuple(apart)
