"""How far a deck may sag under the wet slab, as Europe, the UK and the US write it.

Every limit is the lesser of a share of the span and a length. None counts construction load.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray


@dataclass(frozen=True)
class SagRule:
    """A limit of sag: ``over`` is the n of span/n, ``most`` m or None.

    ``ponded_over`` and ``ponded_most`` hold instead once the weight of the concrete in the sag is
    counted; None where the rule knows no such limit: then the plain one holds for both.
    """

    clause: str
    over: float
    most: float | None = None
    ponded_over: float | None = None
    ponded_most: float | None = None


SAG_RULES = {
    # EN 1994-1-1:2004 9.6(2): span/180, recommended; construction load left out (from memory).
    "EN": SagRule("EN 1994-1-1 9.6(2)", 180.0),
    # UK National Annex to BS EN 1994-1-1: lesser of span/180 and 20 mm; with ponding counted of
    # span/130 and 30 mm. The annex was not read; the values are those a UK deck supplier gives.
    "UK": SagRule("UK annex to EN 1994-1-1 9.6(2)", 180.0, 0.020, 130.0, 0.030),
    # ANSI/SDI (C-2017): lesser of L/180 and 3/4 in, which is 19 mm (value from memory).
    "SDI": SagRule("ANSI/SDI C-2017", 180.0, 0.75 * 0.0254),
}
"""By the word of ``[limits] sag_rule``."""


def sag_limit(span: ArrayLike, over: float, most: float | None) -> NDArray[np.float64]:
    """Lesser of span/``over`` and ``most``, m.

    ValueError where a span or a limit is not above 0.
    """
    spans = np.asarray(span, dtype=float)
    if not (np.all(spans > 0) and over > 0 and (most is None or most > 0)):
        raise ValueError("a span and its limits of sag must be above 0")
    return np.asarray(np.minimum(spans / over, np.inf if most is None else most))
