"""Exact mean-value analysis of closed queueing networks: trucks that go round and round.

Source: M. Reiser, S. S. Lavenberg, Mean-Value Analysis of Closed Multichain Queuing Networks,
Journal of the ACM 27(2), 1980, pages 313-322 (algorithm: value from memory). It is exact for
networks of product form: single servers with exponential service, first come first served and
the same for every fleet, and delays with any times (only their means count). ``test_networks.py``
checks it against the balance equations of the Markov chain, written out and solved.

In words: a truck that comes to a server finds there, on average, what an observer of the network
without that truck would see (arrival theorem). So the network is solved for no truck, one truck,
two trucks ... each from the ones with a truck less.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np


@dataclass(frozen=True)
class Solved:
    """A closed network in the long run, F fleets and Q servers.

    ``throughput`` (F,) in rounds per s; ``at_server`` (F, Q) mean number of trucks at each server,
    the one in service counted; ``residence`` (F, Q) mean time there (s), service counted;
    ``busy`` (Q,) share of time that each server works.
    """

    throughput: np.ndarray
    at_server: np.ndarray
    residence: np.ndarray
    busy: np.ndarray


def mean_value_analysis(
    trucks: Sequence[int], away: Sequence[float], service: Sequence[float]
) -> Solved:
    """Solve a network of fleets that share servers, each fleet with a delay of its own.

    Args:
        trucks: number of trucks of each fleet, 0 or more.
        away: mean time of a round of each fleet without any queue: roads, wash (s).
        service: mean service of each server (s); every truck visits each once a round.
    """
    demand, delay = np.asarray(service, float), np.asarray(away, float)
    lengths = {tuple(0 for _ in trucks): np.zeros((len(trucks), len(demand)))}
    rate = np.zeros(len(trucks))
    residence = np.zeros((len(trucks), len(demand)))
    # ``product`` counts up, so every population comes after those with one truck less.
    for population in product(*(range(count + 1) for count in trucks)):
        if not any(population):
            continue
        rate = np.zeros(len(trucks))
        residence = np.zeros((len(trucks), len(demand)))
        for fleet, count in enumerate(population):
            if count:
                less = tuple(n - (f == fleet) for f, n in enumerate(population))
                residence[fleet] = demand * (1 + lengths[less].sum(axis=0))
                rate[fleet] = count / (delay[fleet] + residence[fleet].sum())
        lengths[population] = rate[:, None] * residence
    at_server = lengths[tuple(trucks)]
    return Solved(rate, at_server, residence, rate.sum() * demand)


def plant_and_pump(trucks: int, batching: float, service: float) -> float:
    """Throughput (1/s) of trucks between a mixer and a pump with no road between them.

    Batching takes a fixed time (s), the pump an exponential one with mean ``service`` (s). Seen
    from the mixer this is the queue M/D/1 with room for ``trucks``: while the pump works, trucks
    come at rate 1 / service; a mixer with all trucks at it gets no more, for the pump is empty.
    Solved by the chain embedded at the ends of batching, as M/G/1 is in any text on queues (such as
    L. Kleinrock, Queueing Systems, Volume 1, Wiley 1975), here with no more than ``trucks``.
    """
    load = batching / service
    came = [np.exp(-load)]  # chance of n trucks back during one batching: Poisson
    for n in range(1, trucks):
        came.append(came[-1] * load / n)
    # State: trucks left at the mixer when one has just been batched. From none, the next must come
    # first. With ``begin`` trucks there at the start, at most trucks - begin can come back.
    chain = np.zeros((trucks, trucks))
    for state in range(trucks):
        begin = max(state, 1)
        for n in range(trucks - begin):
            chain[state, begin - 1 + n] = came[n]
        chain[state, trucks - 1] = 1 - chain[state, : trucks - 1].sum()
    balance = np.vstack([chain.T - np.eye(trucks), np.ones(trucks)])
    share = np.linalg.lstsq(balance, np.append(np.zeros(trucks), 1.0), rcond=None)[0]
    return float(1 / (batching + share[0] * service))
