"""Every picture of the shipped scenarios: nothing over anything, nothing off the sheet."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from builders.drawn import texts, together
from builders.places import SCENARIOS
from builders.shipped import shipped

from pourday.outcome.base.basis import Basis
from pourday.report.figures.concrete.drying import weather_and_drying
from pourday.report.figures.concrete.finishing import finishing_bars
from pourday.report.figures.day.concrete_and_deck import deck_use, volume
from pourday.report.figures.day.time_line import time_line
from pourday.report.figures.deck.edges_by_risk import edges_figure
from pourday.report.figures.many.days import concrete_figure, waits_figure
from pourday.report.words import strip_words
from pourday.study.days import one_day
from pourday.study.pictures import Pictured
from pourday.study.prepare import prepare

NAMES = sorted(path.stem for path in SCENARIOS.glob("*.toml"))


@cache
def last_basis(name: str) -> Basis:
    """Its last plan, which is cut otherwise than the first on most."""
    scenario = shipped(name)
    return prepare(scenario, scenario.plans[-1:])[0]


def made(name: str, cold: float, stiff: float) -> Pictured:
    """Days made by hand: every edge at risk alike, a pour of twelve hours, waits to three hours."""
    basis = last_basis(name)
    clock = np.linspace(basis.plan.start, basis.plan.start + 12 * 3600.0, 73)
    volume = float(basis.layout.volume.sum())
    placed = volume * np.clip(np.linspace(0.0, 1.1, 73) * [[0.9], [1.0], [1.05]], 0.0, 1.0)
    pairs = len(basis.layout.pairs)
    return Pictured(
        basis=basis, days=100, clock=clock, placed=placed,
        delivered=np.minimum(placed * 1.08, volume),
        waits=np.geomspace(30.0, 10_000.0, 400), loads_a_day=31.4, cold=np.full(pairs, cold),
        stiff=np.full(pairs, stiff), ratio=np.full(pairs, 0.9),
    )  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(("cold", "stiff"), [(0.0, 0.0), (1.0, 0.0)])
def test_words_of_the_map_of_edges_lie_on_nothing_and_stay_on_the_sheet(name, cold, stiff):
    figure = edges_figure(made(name, cold, stiff))
    figure.set_dpi(72)
    assert together(figure) == []
    if cold or stiff:
        assert len(texts(figure, "risk ")) >= min(6, len(last_basis(name).layout.pairs))


@pytest.mark.parametrize("name", NAMES)
def test_strips_of_the_map_of_edges_have_one_name(name):
    figure, strips = edges_figure(made(name, 0.0, 0.0)), last_basis(name).layout.strips
    said = {int(t.get_gid().split()[1]): t.get_text() for t in texts(figure, "strip ")}
    assert said
    whole = {n: strip_words(n, strip.name) for n, strip in enumerate(strips, start=1)}
    assert all(words in (whole[n], f"{n}") for n, words in said.items())
    assert len({"(" in words for words in said.values()}) == 1


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("draw", [concrete_figure, waits_figure])
def test_pictures_of_many_days_can_be_read(name, draw):
    assert together(draw(made(name, 0.0, 0.0))) == []


@pytest.mark.parametrize("name", ["depot_two_pumps", "tower_level_9"])
def test_pictures_of_a_day_can_be_read(name):
    """Those with most on them: 55 trucks with letters, and a crane with its breaks."""
    day = one_day(last_basis(name), 0)
    for draw in (time_line, volume, deck_use, weather_and_drying, finishing_bars):
        figure = draw(day)
        figure.set_dpi(100)
        assert together(figure, 1.0) == [], draw.__name__
