"""Counts of lengths by their length, as seen and as a fit has them: what a figure draws."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourday.scenario.base.distribution import parse
from pourday.study.learn.pours import Floats
from pourday.study.learn.rounded import density
from pourday.study.learn.seen import Lengths
from pourday.study.learn.trips import Fitted

_MOST = 36
_WIDTHS = (60.0, 120.0, 300.0, 600.0, 1200.0, 3600.0)
_MINUTE = 60.0
# Where clocks have seconds cells are drawn from every so many (s).
_FINEST = 15.0


@dataclass(frozen=True, eq=False)
class Cells:
    """``edges`` (M + 1,) in s, counts ``seen`` (M,), as the fit has them, and as the file has."""

    edges: Floats
    seen: Floats
    fitted: Floats
    by_file: Floats | None = None


def edges_of(of: Lengths) -> Floats:
    """Edges (s) half-way between what a clock of minutes shows, not more than three dozen.

    Odd lengths beyond twice the 98 % of the rest are not drawn.
    """
    top = 1.3 * float(np.quantile(of.seen, 0.98)) + 2 * _MINUTE
    low = max(0.0, float(np.quantile(of.seen, 0.01)) - 2 * _MINUTE)
    step = float(np.median(of.steps[0]))
    width = next((w for w in _WIDTHS if w >= step and (top - low) / w <= _MOST), _WIDTHS[-1])
    first = width * np.floor(low / width) - width / 2
    return np.arange(first, top + width, width)


def cells_of(found: Fitted, old: object) -> Cells:
    """Lengths as noted, what the fit has there with every pour's factor, and what the file has."""
    of = found.of
    edges = edges_of(of)
    mean, spread = found.mean.about, found.sd.about / found.mean.about
    own = mean * found.own[of.pour][:, None]
    # What a clock can show lies a step apart, where in a step by what was taken off before.
    step = np.maximum(np.minimum(*of.steps), _FINEST)[:, None]
    count = int(np.ceil((edges[-1] - min(edges[0], 0.0)) / step.min())) + 2
    shown = of.seen[:, None] % step + step * np.arange(-1, count)
    chance = density(found.form, own, spread, shown, (of.steps[0][:, None], of.steps[1][:, None]))
    fitted = np.histogram(shown, edges, weights=chance * step)[0]
    seen = np.histogram(of.seen, edges)[0].astype(float)
    file = parse(old)
    by_file = np.array([file.share_below(edge / _MINUTE) for edge in edges])
    return Cells(edges, seen, fitted, np.diff(by_file) * len(of.seen))
