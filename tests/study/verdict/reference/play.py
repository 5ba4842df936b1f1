"""Plays 20,000 days of the sixteen plans beside this file, and stores what the tests look at.

    PYTHONPATH=. nice python tests/study/verdict/reference/play.py [DAYS]

writes ``sixteen_plans.npz``: ``cost`` (plans, days) in whole EUR, ``cold`` and ``past_curfew``
(plans, days) as bits, ``cold_length`` (plans, days) in dm, of the days FIRST, FIRST + 1 and so on,
which no test plays as its own. An hour on one core; to be run again where what a day is, or what
it costs, has changed on purpose (``test_sixteen_plans.py`` says when).
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

from pourday.scenario.read import read_scenario
from pourday.study.days import study_plans
from pourday.study.prepare import prepare

HERE = Path(__file__).parent
FIRST, STEP = 2_000_000, 500


def main(days: int) -> None:
    """Play, and write after every 500 days."""
    scenario, _ = read_scenario(HERE / "sixteen_plans.toml")
    plans = prepare(scenario)
    parts: dict[str, list[np.ndarray]] = {}
    for begin in range(0, days, STEP):
        played = study_plans(plans, min(STEP, days - begin), FIRST + begin, workers=1)
        for name, metric, scale, kind in (
            ("cost", "cost_total", 1.0, np.uint16),
            ("cold", "cold", 1.0, np.uint8),
            ("past_curfew", "past_curfew", 1.0, np.uint8),
            ("cold_length", "cold_length_m", 10.0, np.uint16),
        ):
            rows = np.array([np.rint(each.of(metric) * scale) for each in played])
            parts.setdefault(name, []).append(rows.astype(kind))
        whole = {name: np.concatenate(each, axis=1) for name, each in parts.items()}
        for name in ("cold", "past_curfew"):
            whole[name] = np.packbits(whole[name], axis=1)
        done = min(begin + STEP, days)
        np.savez_compressed(HERE / "sixteen_plans.npz", days=np.array(done), **whole)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20_000)
