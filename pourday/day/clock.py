"""The clock of a day: telling stories along it, and waking somebody at an exact moment."""

from __future__ import annotations

import math
from collections.abc import Generator
from typing import Any

import simpy

Story = Generator[simpy.Event, Any, None]
"""A story of the day: a generator that yields the simpy events it waits for."""


def tell(story: Story) -> None:
    """Begin a story now, and go on with it whenever what it waits for comes.

    ``simpy.Process`` does the same, and besides can be interrupted and waited for; it spends an
    event on the beginning and one on the end of every story. Nobody interrupts or waits for these.
    """
    go_on = story.send

    def _heard(event: simpy.Event) -> None:
        told = event.value
        while True:
            try:
                waits = go_on(told)
            except StopIteration:
                return
            if waits.callbacks is not None:
                waits.callbacks.append(_heard)
                return
            told = waits.value  # it has come already

    try:
        first = next(story)
    except StopIteration:
        return
    assert first.callbacks is not None
    first.callbacks.append(_heard)


def first_of(env: simpy.Environment, one: simpy.Event, other: simpy.Event) -> simpy.Event:
    """An event that comes with the first of two that are still to be heard.

    ``simpy.AnyOf`` comes at the same moment and in the same order, but takes four times as long:
    it also gathers what each event has to say, which nobody here asks.
    """
    first = env.event()

    def _came(_: simpy.Event) -> None:
        if not first.triggered:
            first.succeed()

    for event in (one, other):
        assert event.callbacks is not None
        event.callbacks.append(_came)
    return first


def wake_at(env: simpy.Environment, moment: float) -> simpy.Event:
    """An event at exactly ``moment`` (s), not a rounding beside it.

    simpy adds a delay to its clock. Where that sum would miss the moment by a rounding, the delay
    is moved to the next number that meets it: a day that begins in between has the same clock.
    """
    now = env.now
    delay = moment - now
    if now + delay == moment:
        return simpy.Timeout(env, delay)
    for near in (math.nextafter(delay, math.inf), math.nextafter(delay, -math.inf)):
        if now + near == moment:
            return simpy.Timeout(env, near)
    # Far ahead of a small clock no delay may meet the moment (its sum is a tie, rounded to even):
    # go half the way, from where the rest of it is exact.
    return _by_way_of(env, moment)


def _by_way_of(env: simpy.Environment, moment: float) -> simpy.Event:
    comes = env.event()

    def _half_way(_: simpy.Event) -> None:
        rest = simpy.Timeout(env, moment - env.now)
        assert rest.callbacks is not None
        rest.callbacks.append(_there)

    def _there(_: simpy.Event) -> None:
        comes.succeed()

    half = simpy.Timeout(env, (moment - env.now) * 0.75)
    assert half.callbacks is not None
    half.callbacks.append(_half_way)
    return comes
