"""The air after the pour: the file knows of one day, and later days are taken to be like it."""

from __future__ import annotations

import numpy as np

from pourday.concrete.cooling import CoolingSlab, slab_relaxation
from pourday.concrete.temperature import Air, Floats, Relaxation, Rows, at

DAY, HOUR = 86400.0, 3600.0
_SEASONS = {
    # Means of a day that would make anybody look twice, by month, north of 35° (common practice, no
    # source): coldest and warmest, °C.
    1: (-15, 13), 2: (-15, 14), 3: (-8, 17), 4: (-2, 20), 5: (4, 25), 6: (9, 30),
    7: (12, 33), 8: (11, 32), 9: (7, 28), 10: (1, 22), 11: (-6, 17), 12: (-12, 14),
}  # fmt: skip
_COOLING, _WARMING = (8, 9, 10, 11, 12), (2, 3, 4, 5, 6)


def end_of_rows(air: Air) -> float:
    """Until when the file's own air goes (s): midnight, or its last row where that is later."""
    return max(DAY, float(air.times[-1]))


def day_mean(air: Air) -> float:
    """Mean temperature (°C) of the last 24 hours of the file's own air."""
    return float(_means(air))


def _means(air: Air) -> Floats:
    """The same of every day of the air: (), or (D, 1)."""
    end = end_of_rows(air)
    when = np.linspace(end - DAY, end, 24 * 12 + 1)
    warm = at(air.times, air.temperature, when, each_day(air))
    mean = np.asarray(np.trapezoid(warm, when, axis=-1) / DAY)
    return mean if mean.ndim == 0 else mean[:, None]


def each_day(air: Air) -> Rows | int:
    """Every day of the air, (D, 1); 0 where there is but one."""
    return 0 if air.temperature.ndim == 1 else np.arange(len(air.temperature))[:, None]


def later_mean(air: Air, later: float | None) -> float:
    """Mean temperature of later days, °C: the one told, else that of the file's own day."""
    return day_mean(air) if later is None else later


def later_air(air: Air, later: float | None, slab: CoolingSlab) -> Relaxation:
    """The slab in the file's own air, and in a steady mean temperature (°C) from then on."""
    end = end_of_rows(air)
    times = np.append(air.times[air.times < end], [end, end + 1.0])
    temperature = at(air.times, air.temperature, times)
    temperature[-1] = later_mean(air, later)
    others = (at(air.times, row, times) for row in (air.humidity, air.wind))
    return slab_relaxation(Air(times, temperature, *others), slab)


def repeated(air: Air, later: float | None, days: int) -> Air:
    """The file's own air, then its last 24 hours again and again, moved to the mean of later days.

    So a night that is colder than the mean comes back every night. ``days`` more days. The air may
    be that of several days: each is followed by its own.
    """
    end = end_of_rows(air)
    own = air.times - (end - DAY)
    inside = np.append(HOUR, own[(own > HOUR) & (own <= DAY)])
    inside = np.unique(np.append(inside, DAY))
    means = _means(air)
    shift = (means if later is None else later) - means
    first = np.append(air.times[air.times < end], end)
    clocks = [first, *(end + n * DAY + inside for n in range(days))]
    sample = [first, *(end - DAY + inside for _ in range(days))]
    times, asked = np.concatenate(clocks), np.concatenate(sample)
    rows = (air.temperature, air.humidity, air.wind)
    temperature, humidity, wind = (at(air.times, row, asked, each_day(air)) for row in rows)
    temperature[..., len(first) :] += shift
    return Air(times, temperature, humidity, wind)


def season_words(month: int, mean: float, own: bool) -> str:
    """What the season says of the mean of later days; "" where it says nothing.

    ``month`` 1 to 12, north of the tropics; ``own`` says that the mean is that of the file's day.
    """
    low, high = _SEASONS[month]
    if mean < low or mean > high:
        kind = "cold" if mean < low else "warm"
        return f"north of the tropics {mean:.0f} °C is a {kind} day for the month: put in later_C"
    if own and month in _COOLING:
        return (
            "days get colder at this time of year north of the tropics: then strength comes later"
        )
    if own and month in _WARMING:
        return "days get warmer at this time of year north of the tropics"
    return ""
