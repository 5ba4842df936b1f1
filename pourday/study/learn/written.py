"""Numbers as a scenario file writes them, and when there are too few to write any."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from pourday.scenario.base.distribution import Distribution, parse
from pourday.study.learn.found import DAY, LEAST_LOADS, LEAST_POURS, SHARE, Row, Written
from pourday.study.learn.pours import Value
from pourday.study.learn.seen import AtPump, Length
from pourday.study.learn.shape import chance_of_worse
from pourday.study.learn.trips import Fitted

MINUTE = 60.0
# A spread under this share of the mean is none that a clock shows: the number is fixed then.
_FIXED = 0.03
# Bounds of a mean that differ by more than this factor, or of what days differ by beyond this sd,
# help nobody (chosen here).
_WIDE, _DAYS_WIDE = 2.5, 0.6


def written(quantity: Distribution, unit: float) -> Written:
    """A quantity of the model in the unit of its key."""
    found = quantity.scaled(1.0 / unit).as_written()
    if isinstance(found, dict):
        return {name: _short(value) for name, value in found.items()}
    return _short(found)


def _short(value: object) -> object:
    if isinstance(value, list):
        return [_short(each) for each in value]
    return float(f"{value:.6g}") if isinstance(value, float) else value


def new_length(form: str, mean: float, sd: float) -> Written:
    """A form with mean and sd as a file writes it; a number where it hardly varies."""
    if sd < _FIXED * mean:
        return round_to(mean)
    return {"dist": form, "mean": round_to(mean), "sd": round_to(sd)}


def round_to(value: float) -> float:
    """Three figures, no more than two behind the point."""
    return round(float(f"{value:.3g}"), 2) if value < 100.0 else round(value, 1)


def over(value: Value, unit: float) -> Value:
    """A value in another unit."""
    return Value(float(value.about) / unit, value.low / unit, value.high / unit)


def pours_of(told: Sequence[Length | AtPump]) -> int:
    """How many pours they are of."""
    return len({(n.length if isinstance(n, AtPump) else n).pour for n in told})


def few(told: Sequence[Length | AtPump]) -> str:
    """Why there is too little to learn from; empty where there is enough."""
    return few_words(len(told), pours_of(told))


def few_words(count: int, pours: int) -> str:
    """The same from counts."""
    if count >= LEAST_LOADS and pours >= LEAST_POURS:
        return ""
    return f"too few: {count} of {pours} pours, {LEAST_LOADS} of {LEAST_POURS} wanted"


def sure_enough(row: Row) -> Row:
    """The row, or the file's value where the pours tell the new one within no useful bounds."""
    value = row.mean
    if row.new is None or value is None or row.unit == SHARE:
        return row
    wide = value.high > _DAYS_WIDE if row.unit == DAY else not value.high <= _WIDE * value.low
    if not wide:
        return row
    said = f"{value.low:.2f} to {value.high:.2f}"
    return replace(row, new=None, fitted=None, why=f"the pours do not tell it, {said}")


def with_fitted(row: Row, fitted: Fitted) -> Row:
    """A row of minutes with what was fitted."""
    mean, sd = over(fitted.mean, MINUTE), over(fitted.sd, MINUTE)
    new = new_length(fitted.form, mean.about, sd.about)
    return replace(row, new=new, mean=mean, sd=sd, worse=chance_of_worse(fitted), fitted=fitted)


def middle_and_sd(old: Written) -> tuple[float, float]:
    """Mean and sd of a quantity as a file writes it (of a normal, before it is cut)."""
    quantity = parse(old)
    p = quantity.parameters
    match quantity.kind:
        case "lognormal" | "gamma" | "normal":
            sd = p[1]
        case "exponential":
            sd = p[0]
        case "uniform":
            sd = (p[1] - p[0]) / math.sqrt(12.0)
        case "triangular":
            low, mode, high = p
            terms = low**2 + mode**2 + high**2 - low * mode - low * high - mode * high
            sd = math.sqrt(terms / 18.0)
        case "list":
            sd = float(np.std(p))
        case _:
            sd = 0.0
    return quantity.mean, sd
