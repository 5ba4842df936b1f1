"""Sources of chance: every stream belongs to one, and a day can have one of them drawn anew."""

from __future__ import annotations

import pytest
from builders.shipped import shipped

from pourday.day.chance.sources import SOURCES, source_of
from pourday.day.chance.streams import DaySeed, Stream
from pourday.scenario.base.distribution import Distribution, fixed
from pourday.study.days import one_day
from pourday.study.prepare import prepare

NORMAL = Distribution("normal", (0.0, 1.0, -9.0, 9.0))


@pytest.mark.parametrize("name", ["clinic_level_1", "tower_level_9", "depot_two_pumps", "hot_roof"])
def test_every_stream_that_a_day_draws_belongs_to_a_source(name: str):
    scenario = shipped(name)
    for basis in prepare(scenario, scenario.plans):
        seed = DaySeed(3)
        one_day(basis, seed)
        assert {source_of(stream) for stream, _ in seed.drawn} <= set(SOURCES)


@pytest.mark.parametrize(
    ("stream", "source"),
    [
        ("wash", "gate, positions, wash"),
        ("wash out", "set-up and wash-out"),
        ("front 2: discharge", "discharge of each truck"),
        ("travel from Mill Road", "each trip"),
        ("travel of the day", "travel of the day"),
        ("length of pump down 1", "breakdowns and closures"),
        ("rain 0 comes", "weather"),
        ("guess of stop 3", "telephone and measuring"),
    ],
)
def test_a_stream_is_known_by_how_its_name_begins(stream: str, source: str):
    assert source_of(stream) == source


def test_a_stream_of_no_source_is_an_error():
    with pytest.raises(KeyError, match="moonlight"):
        source_of("moonlight")


def test_only_the_source_that_is_drawn_anew_changes():
    day = DaySeed(5)
    before = {name: Stream(day, name, NORMAL)(0) for name in ("a", "b")}
    other = day.with_anew(lambda name: name == "a")
    assert Stream(other, "b", NORMAL)(0) == before["b"]
    assert Stream(other, "a", NORMAL)(0) != before["a"]
    assert Stream(day, "a", NORMAL)(0) == before["a"], "the day itself stays as it was"
    # What was not drawn on the day itself is of the same two days.
    assert Stream(other, "c", NORMAL)(0) == Stream(5, "c", NORMAL)(0)
    again = DaySeed(5).with_anew(lambda name: name in "ac")
    assert Stream(again, "a", NORMAL)(0) == Stream(other, "a", NORMAL)(0)


def test_a_source_that_only_gave_fixed_values_has_drawn_nothing():
    day = DaySeed(5)
    Stream(day, "a", fixed(3.0))(0)
    Stream(day, "b", NORMAL)
    assert not day.has_drawn(lambda name: name in "ab")
    Stream(day, "b", NORMAL)(0)
    assert day.has_drawn(lambda name: name == "b")


@pytest.mark.parametrize("name", ["clinic_level_1", "library_level_2"])
def test_a_day_with_all_sources_drawn_anew_is_another_day_whole(name: str):
    scenario = shipped(name)
    basis = prepare(scenario, scenario.plans[:1])[0]
    anew = one_day(basis, DaySeed(4).with_anew(lambda _: True))
    whole = one_day(basis, DaySeed(4 + 2**61))
    for part in ("visits", "stretches", "stops", "strip_volumes", "factors"):
        assert getattr(anew.log, part) == getattr(whole.log, part)
    # What is judged afterwards (weather, heaps, temperatures) is of that day too.
    assert anew.cost == whole.cost
    assert (anew.edges.ratio == whole.edges.ratio).all()
    assert anew.deck.use.value == whole.deck.use.value


def test_a_source_that_drew_nothing_could_not_have_changed_the_day():
    scenario = shipped("clinic_level_1")
    basis = prepare(scenario, scenario.plans[:1])[0]
    day = DaySeed(2)
    log = one_day(basis, day).log
    silent = [s for s in SOURCES if not day.has_drawn(lambda name, s=s: source_of(name) == s)]
    assert silent
    for source in silent:
        other = day.with_anew(lambda name, s=source: source_of(name) == s)
        assert one_day(basis, other).log == log
