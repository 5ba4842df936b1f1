"""Which of two plans costs less, told from days that both met: Kim and Nelson's procedure KN.

A plan is given up once its sum of costs is above another's by more than a width that shrinks with
the days, W(r) = max(0, (delta/2) (h^2 S^2 / delta^2 - r)); S^2 is the variance of the differences
day by day, delta a difference that nobody would act on. With h^2 = 2 eta (n0 - 1) and
eta = ((2 alpha / (k - 1))^(-2/(n0 - 1)) - 1) / 2 the best of k plans is kept in 1 - alpha of all
studies where it is better by delta and costs are normal; where they are not, for many days.

The variance of the first n0 days is the one of the paper. A cost that comes up on a day in fifty is
easily missed by it, so the larger of that and of all days so far is taken.

Source: S.-H. Kim, B. L. Nelson, A fully sequential procedure for indifference-zone selection in
simulation, ACM Transactions on Modeling and Computer Simulation 11 (2001), 251-273, with c = 1;
constants as public implementations of it have them. That only a plan known to keep its limits gives
up others: S. Andradottir, S.-H. Kim, Fully sequential procedures for comparing constrained systems
via simulation, Naval Research Logistics 57 (2010); C. Healey, S. Andradottir, S.-H. Kim, Selection
procedures for simulations with multiple constraints under independent and correlated sampling, ACM
TOMACS 24 (2014); both from memory.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

ALPHA_COST = 0.025
"""In how many studies the cheapest plan may be given up for one that costs ``delta`` more."""


def h_squared(plans: int, first_days: int, alpha: float = ALPHA_COST) -> float:
    """The constant h^2 of KN for so many plans and days of the first look (2 or more)."""
    if plans < 2:
        return 0.0
    eta: float = ((2.0 * alpha / (plans - 1)) ** (-2.0 / (first_days - 1)) - 1.0) / 2.0
    return 2.0 * eta * (first_days - 1)


def variances(costs: Floats) -> Floats:
    """Variance of the difference of each two plans, (plans, plans), of costs (plans, days)."""
    together = np.atleast_2d(np.cov(costs))
    own = np.diag(together)
    return np.maximum(own[:, None] + own[None, :] - 2.0 * together, 0.0)


def dearer(costs: Floats, variance: Floats, h2: float, delta: float) -> NDArray[np.bool_]:
    """Which plan (row) costs too much against which (column), (plans, plans).

    Args:
        costs: (plans, days), the same days for all.
        variance: of the differences, (plans, plans).
        h2: of :func:`h_squared`.
        delta: the difference that nobody would act on, above 0, in the unit of the costs.
    """
    days = costs.shape[1]
    sums = costs.sum(axis=1)
    width = np.maximum(0.0, delta / 2.0 * (h2 * variance / delta**2 - days))
    found: NDArray[np.bool_] = sums[:, None] > sums[None, :] + width
    # Plans that cost the same on every day stay beside each other; rounding is no difference.
    found &= sums[:, None] - sums[None, :] > 1e-9 * np.abs(sums[None, :])
    return found
