"""Rules that go by how far the pour is: spacing by stage, and which loads are tested."""

from __future__ import annotations

from collections.abc import Sequence

DUST = 1e-9
"""Share of the floor that counts as nothing: loads add up with rounding."""


def stage_at(share_called: float, stages: Sequence[tuple[float, object]]) -> int:
    """Index of the stage in which the next load is called.

    ``share_called`` is what is called already, as a share of all that is needed (0 to 1, or a
    little more). ``stages`` are (until which share, anything), rising; each holds up to, and not
    at, its share. The last goes to the end, whatever its share says.

    Raises:
        ValueError: where there is no stage.
    """
    if not stages:
        raise ValueError("there is no stage")
    for number, (until, _) in enumerate(stages):
        if share_called < until - DUST:
            return number
    return len(stages) - 1


def is_tested(number: int, first: int, every: int) -> bool:
    """Whether load ``number`` (counted from 0) is tested: the first so many, each n-th after.

    ``every`` 1 tests all loads, 0 none after the first.
    """
    return number < first or (every > 0 and (number - first + 1) % every == 0)
