"""Plays days of the sixteen plans beside this file, and stores what the tests look at.

    PYTHONPATH=. nice python tests/study/verdict/reference/play.py 20000

goes on from ``sixteen_plans.npz`` until that many days are stored, written after every 500:
``cost`` (plans, days) in whole EUR, ``cold`` and ``past_curfew`` (plans, days) as bits,
``cold_length`` (plans, days) in dm. Their seeds begin at 2,000,000, which no test plays as its own;
``next`` is the first that is not used. 20,000 days take an hour on one free core. Where what a day
is, or what it costs, has changed on purpose (``test_sixteen_plans.py`` fails then), delete the file
and begin anew.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

from pourday.scenario.read import read_scenario
from pourday.study.days import study_plans
from pourday.study.prepare import prepare

HERE = Path(__file__).parent
STORE, FIRST, STEP = HERE / "sixteen_plans.npz", 2_000_000, 500
BITS = ("cold", "past_curfew")
KINDS = (
    ("cost", "cost_total", 1.0, np.uint16),
    ("cold", "cold", 1.0, np.uint8),
    ("past_curfew", "past_curfew", 1.0, np.uint8),
    ("cold_length", "cold_length_m", 10.0, np.uint16),
)


def stored() -> tuple[int, dict[str, np.ndarray]]:
    """The next seed, and what is stored; nothing is the first of all."""
    if not STORE.exists():
        return FIRST, {}
    with np.load(STORE) as found:
        days = int(found["days"])
        whole = {name: found[name] for name, *_ in KINDS}
        for name in BITS:
            whole[name] = np.unpackbits(whole[name], axis=1)[:, :days]
        return int(found["next"]), whole


def main(wanted: int) -> None:
    """Play on until so many days are stored."""
    scenario, _ = read_scenario(HERE / "sixteen_plans.toml")
    plans = prepare(scenario)
    seed, whole = stored()
    while (done := whole["cost"].shape[1] if whole else 0) < wanted:
        count = min(STEP, wanted - done)
        played = study_plans(plans, count, seed, workers=1)
        seed += count
        for name, metric, scale, kind in KINDS:
            rows = np.array([np.rint(each.of(metric) * scale) for each in played]).astype(kind)
            whole[name] = np.concatenate([whole[name], rows], axis=1) if name in whole else rows
        packed = {name: np.packbits(whole[name], axis=1) for name in BITS}
        np.savez_compressed(
            STORE, days=np.array(done + count), next=np.array(seed), **(whole | packed)
        )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20_000)
