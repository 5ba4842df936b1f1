"""A quantity that varies: a fixed number or a distribution, sampled from a named stream.

A frozen value that knows its kind and parameters. Sampling draws whole arrays, so that the
k-th truck of a day always meets the k-th value of a stream, whatever the plan.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

PARAMETERS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    # kind: (needed, optional)
    "lognormal": (("mean", "sd"), ()),
    "gamma": (("mean", "sd"), ()),
    "exponential": (("mean",), ()),
    "uniform": (("low", "high"), ()),
    "triangular": (("low", "mode", "high"), ()),
    "normal": (("mean", "sd"), ("low", "high")),
    "list": (("values",), ()),
}

POSITIVE = ("lognormal", "gamma", "exponential")
"""Kinds whose mean must be more than 0."""
LARGEST = 1e12
"""Largest number, either side of 0, that a quantity may contain, whatever its unit."""
MOST_SPREAD = 10.0
"""Largest sd of a lognormal or gamma, in means; beyond it a sample says nothing of the mean."""
NO_SPREAD = 1e-9
"""An sd under this many means is none: the formulas of a shape would overflow."""


@dataclass(frozen=True)
class Distribution:
    """A quantity: ``kind`` and its ``parameters`` in order of :data:`PARAMETERS`.

    ``kind`` "fixed" has one parameter, the value. All parameters carry the unit of the quantity.
    """

    kind: str
    parameters: tuple[float, ...]

    def scaled(self, factor: float) -> Distribution:
        """The same quantity in another unit (every kind here is a scale family)."""
        return Distribution(self.kind, tuple(p * factor for p in self.parameters))

    def as_written(self) -> float | dict[str, Any]:
        """The quantity as a scenario file writes it: a number, or a table with its ``dist``."""
        if self.is_fixed:
            return self.parameters[0]
        if self.kind == "list":
            return {"dist": "list", "values": list(self.parameters)}
        needed, optional = PARAMETERS[self.kind]
        return {"dist": self.kind} | dict(zip((*needed, *optional), self.parameters, strict=False))

    @property
    def is_fixed(self) -> bool:
        """Whether the quantity never varies."""
        return self.kind == "fixed"

    @property
    def mean(self) -> float:
        """Expected value, in the unit of the parameters."""
        p = self.parameters
        match self.kind:
            case "fixed" | "lognormal" | "gamma" | "exponential":
                return p[0]
            case "uniform":
                return (p[0] + p[1]) / 2
            case "triangular":
                return sum(p) / 3
            case "normal":
                return _cut_normal_mean(*p)
            case _:
                return sum(p) / len(p)

    def share_below(self, value: float) -> float:
        """Chance that the quantity is ``value`` or less (its distribution function), 0 to 1."""
        p = self.parameters
        if self.is_fixed or (self.kind in ("lognormal", "gamma") and p[1] <= NO_SPREAD * p[0]):
            return float(value >= p[0])
        return _share_below(self.kind, p, value)

    def value_at(self, share: float) -> float:
        """The value that this share (0 to 1) of draws is at or below: the inverse of the same."""
        p = self.parameters
        if self.is_fixed or (self.kind in ("lognormal", "gamma") and p[1] <= NO_SPREAD * p[0]):
            return p[0]
        return _value_at(self.kind, p, share)

    def sample(self, stream: np.random.Generator, count: int) -> NDArray[np.float64]:
        """``count`` values drawn from ``stream``; shape (count,)."""
        p = self.parameters
        match self.kind:
            case "fixed":
                return np.full(count, p[0])
            case "lognormal" | "gamma" if p[1] <= NO_SPREAD * p[0]:
                return np.full(count, p[0])
            case "lognormal":
                return stream.lognormal(*_of_log(p[0], p[1]), count)
            case "gamma":
                shape = (p[0] / p[1]) ** 2
                return stream.gamma(shape, p[0] / shape, count)
            case "exponential":
                return stream.exponential(p[0], count)
            case "uniform":
                return stream.uniform(p[0], p[1], count)
            case "triangular":
                return stream.triangular(p[0], p[1], p[2], count)
            case "normal":
                return _cut_normal(stream, count, *p)
            case _:
                return stream.choice(np.asarray(p), count)


def fixed(value: float) -> Distribution:
    """The quantity that is always ``value``."""
    return Distribution("fixed", (float(value),))


def parse(raw: object, least: float = 0.0, most: float = math.inf) -> Distribution:
    """Read a plain number or ``{ dist = ..., ... }`` as written in a scenario file.

    ``least`` and ``most`` bound a normal whose ``low`` or ``high`` is left out, in the unit of the
    quantity.

    Raises:
        ValueError: in words a planner can act on, where kind or parameters do not fit.
    """
    if isinstance(raw, Distribution):
        return raw
    if isinstance(raw, bool) or not isinstance(raw, int | float | Mapping):
        raise ValueError('a number, or a table such as { dist = "lognormal", mean = 25, sd = 6 }')
    if isinstance(raw, int | float):
        return fixed(_number("it", raw))
    kinds = ", ".join(PARAMETERS)
    kind = raw.get("dist")
    if not isinstance(kind, str) or kind not in PARAMETERS:
        raise ValueError(f"dist must be one of {kinds}")
    needed, optional = PARAMETERS[kind]
    unknown = sorted(set(raw) - {"dist", *needed, *optional})
    missing = [name for name in needed if name not in raw]
    if unknown or missing:
        takes = ", ".join(needed + tuple(f"{o} (may be left out)" for o in optional))
        raise ValueError(f"{kind} takes {takes}")
    if kind == "list":
        return Distribution("list", _list_values(raw["values"]))
    values = {name: _number(name, raw[name]) for name in (*needed, *optional) if name in raw}
    if kind == "normal":
        values = {"low": least, "high": most} | values
    _check_parameters(kind, values)
    if kind == "normal":
        p = (values["mean"], values["sd"], values["low"], values["high"])
        return Distribution("normal", p)
    return Distribution(kind, tuple(values[name] for name in needed))


def lowest_and_highest(quantity: Distribution) -> tuple[float, float]:
    """The range of values a quantity is judged by: its bounds, or its mean where it has none."""
    p = quantity.parameters
    match quantity.kind:
        case "fixed":
            return p[0], p[0]
        case "uniform" | "triangular":
            return p[0], p[-1]
        case "normal":
            return p[2], p[3] if math.isfinite(p[3]) else p[0]
        case "list":
            return min(p), max(p)
        case _:
            return p[0], p[0]


def _number(name: str, raw: Any) -> float:
    # A whole number too long for a float compares, but does not convert.
    if isinstance(raw, bool) or not isinstance(raw, int | float) or not abs(raw) <= LARGEST:
        raise ValueError(f"{name} must be a number between -{LARGEST:g} and {LARGEST:g}")
    return float(raw)


def _list_values(raw: Any) -> tuple[float, ...]:
    if not isinstance(raw, list) or not raw:
        raise ValueError("values must be a list of at least one number")
    return tuple(_number("each of values", item) for item in raw)


def _check_parameters(kind: str, values: Mapping[str, float]) -> None:
    mean, sd = values.get("mean", 0.0), values.get("sd", 0.0)
    if sd < 0:
        raise ValueError("sd must not be negative")
    if kind in POSITIVE:
        if mean <= 0:
            raise ValueError(f"mean must be more than 0 for {kind}")
        if sd > MOST_SPREAD * mean:
            raise ValueError(f"sd must be no more than {MOST_SPREAD:g} times the mean")
        return
    if not values["low"] < values["high"]:
        raise ValueError(f"low must be less than high ({_bounds(values)})")
    if kind == "triangular" and not values["low"] <= values["mode"] <= values["high"]:
        raise ValueError(f"mode must lie between low and high ({_bounds(values)})")
    if kind == "normal" and not values["low"] <= mean <= values["high"]:
        raise ValueError(f"mean must lie between low and high ({_bounds(values)})")


def _bounds(values: Mapping[str, float]) -> str:
    return f"here {values['low']:g} and {values['high']:g}"


def _share_below(kind: str, p: tuple[float, ...], value: float) -> float:
    """Distribution functions: textbook forms, with the special functions of scipy."""
    from scipy.special import gammainc, ndtr

    match kind:
        case "lognormal":
            middle, sd = _of_log(p[0], p[1])
            return float(ndtr((math.log(value) - middle) / sd)) if value > 0 else 0.0
        case "gamma":
            shape = (p[0] / p[1]) ** 2
            return float(gammainc(shape, value * shape / p[0])) if value > 0 else 0.0
        case "exponential":
            return -math.expm1(-value / p[0]) if value > 0 else 0.0
        case "uniform":
            return min(1.0, max(0.0, (value - p[0]) / (p[1] - p[0])))
        case "triangular":
            low, mode, high = p
            if value <= mode:
                rising = max(0.0, value - low) ** 2
                return rising / ((high - low) * (mode - low)) if rising else 0.0
            falling = max(0.0, high - value) ** 2
            return 1.0 - falling / ((high - low) * (high - mode)) if falling else 1.0
        case "normal":
            mean, sd, low, high = p
            if sd == 0.0:
                return float(value >= mean)
            a, b = ndtr((low - mean) / sd), ndtr((high - mean) / sd)
            z = (min(high, max(low, value)) - mean) / sd
            return float((ndtr(z) - a) / (b - a))
        case _:
            return sum(each <= value for each in p) / len(p)


def _value_at(kind: str, p: tuple[float, ...], share: float) -> float:
    from scipy.special import gammaincinv, ndtr, ndtri

    match kind:
        case "lognormal":
            middle, sd = _of_log(p[0], p[1])
            return math.exp(middle + sd * float(ndtri(share)))
        case "gamma":
            shape = (p[0] / p[1]) ** 2
            return float(gammaincinv(shape, share)) * p[0] / shape
        case "exponential":
            return -p[0] * math.log1p(-share) if share < 1.0 else math.inf
        case "uniform":
            return p[0] + share * (p[1] - p[0])
        case "triangular":
            low, mode, high = p
            if share <= (mode - low) / (high - low):
                return low + math.sqrt(share * (high - low) * (mode - low))
            return high - math.sqrt((1.0 - share) * (high - low) * (high - mode))
        case "normal":
            mean, sd, low, high = p
            if sd == 0.0:
                return mean
            a, b = ndtr((low - mean) / sd), ndtr((high - mean) / sd)
            return min(high, max(low, mean + sd * float(ndtri(a + share * (b - a)))))
        case _:
            ordered = sorted(p)
            return ordered[min(len(p) - 1, max(0, math.ceil(share * len(p) - 1e-12) - 1))]


def _of_log(mean: float, sd: float) -> tuple[float, float]:
    """Mean and sd of the logarithm of a lognormal with this mean and sd."""
    variance = math.log1p((sd / mean) ** 2)
    return math.log(mean) - variance / 2, math.sqrt(variance)


def _cut_normal_mean(mean: float, sd: float, low: float, high: float) -> float:
    """Mean of a normal cut at its bounds (textbook formula of the truncated normal)."""
    if sd == 0.0:
        return mean
    a, b = (low - mean) / sd, (high - mean) / sd
    if b - a < 1e-6:  # so narrow that the density is flat
        return (low + high) / 2

    def _density(z: float) -> float:
        return 0.0 if math.isinf(z) else math.exp(-z * z / 2) / math.sqrt(2 * math.pi)

    def _below(z: float) -> float:
        return 0.5 * (1 + math.erf(z / math.sqrt(2)))

    return mean + sd * (_density(a) - _density(b)) / (_below(b) - _below(a))


def _cut_normal(
    stream: np.random.Generator, count: int, mean: float, sd: float, low: float, high: float
) -> NDArray[np.float64]:
    """Draw again whatever falls outside the bounds; the mean lies inside them.

    Draws come from the normal, or, where the bounds are closer than two sd, evenly between them
    and kept with a chance in proportion to the density: at least one draw in eight is kept.
    """
    if sd == 0.0:
        return np.full(count, mean)
    narrow = high - low < 2 * sd
    values = np.empty(count)
    open_places = np.arange(count)
    while open_places.size:
        if narrow:
            drawn = stream.uniform(low, high, open_places.size)
            chance = np.exp(-(((drawn - mean) / sd) ** 2) / 2)
            kept = stream.uniform(0.0, 1.0, open_places.size) < chance
        else:
            drawn = stream.normal(mean, sd, open_places.size)
            kept = (low <= drawn) & (drawn <= high)
        values[open_places[kept]] = drawn[kept]
        open_places = open_places[~kept]
    return values
