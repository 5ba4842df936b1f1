"""Whether a form fits what was seen: Anderson and Darling's test, the location fixed at 0.

Lengths noted to the minute are no sample of a continuous form. Each is put where its own chance
says, anywhere within its step (randomized quantile residuals, Dunn and Smyth 1996; by a fixed
seed), its pour's factor taken out; ``scipy.stats.goodness_of_fit`` tests what comes of that.
Where the rounding is coarser than the spread the test sees little, and says so by a high value.
"""

from __future__ import annotations

import numpy as np

from pourday.study.learn.pours import ODD, Floats
from pourday.study.learn.rounded import GAMMA, chance_below, density, value_at
from pourday.study.learn.trips import REACH, Fitted

UNLIKELY = 0.01
"""Below this the form does not fit (chosen here: a report has half a dozen tests)."""
_SAMPLES = 199
_SEED = 18


def smoothed(found: Fitted) -> Floats:
    """The lengths (s) as they may have been before they were noted, the pour's factor taken out.

    Odd ones are left out.
    """
    of, chance = found.of, np.random.default_rng(_SEED)
    mean, spread = found.mean.about, found.sd.about / found.mean.about
    own = mean * found.own[of.pour]
    low, high = chance_below(found.form, own, spread, of.seen, of.steps)
    share = np.clip(low + chance.uniform(0.0, 1.0, len(low)) * (high - low), 1e-9, 1 - 1e-9)
    flat = ODD / (REACH * float(np.median(of.seen) or 60.0))
    plain = density(found.form, own, spread, of.seen, of.steps) * (1 - ODD) > flat
    return value_at(found.form, mean, spread, share[plain])


def chance_of_worse(found: Fitted) -> float:
    """The chance of a fit that is worse than this one where the form is the true one."""
    from scipy import stats

    form = stats.gamma if found.form == GAMMA else stats.lognorm
    return _tested(form, smoothed(found), {"loc": 0.0})


def chance_of_worse_shares(shares: tuple[Floats, Floats]) -> float:
    """The same from the chances of each time: below it, and up to it; evenly spread where true."""
    from scipy import stats

    low, high = shares
    chance = np.random.default_rng(_SEED)
    share = low + chance.uniform(0.0, 1.0, len(low)) * (high - low)
    plain = (share > ODD / 2) & (share < 1 - ODD / 2)
    even = (share[plain] - ODD / 2) / (1 - ODD)
    return _tested(stats.uniform, even, {"loc": 0.0, "scale": 1.0})


def _tested(form: object, values: Floats, known: dict[str, float]) -> float:
    from scipy import stats

    found = stats.goodness_of_fit(
        form, values, known_params=known, statistic="ad", n_mc_samples=_SAMPLES,
        rng=np.random.default_rng(_SEED),
    )  # fmt: skip
    return float(found.pvalue)
