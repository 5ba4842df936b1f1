"""Figures in US units: the same data, whose axes count yards, feet, inches and pounds."""

from __future__ import annotations

import re

import numpy as np
import pytest
from builders.drawn import texts, words
from builders.places import SCENARIOS
from builders.shipped import day_of, shipped
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from typer.testing import CliRunner

from pourday.cli import app
from pourday.outcome.deck.peaks import group_peaks
from pourday.report.figures.concrete.drying import weather_and_drying
from pourday.report.figures.concrete.finishing import finishing_bars
from pourday.report.figures.day.concrete_and_deck import deck_use, volume
from pourday.report.figures.day.time_line import time_line
from pourday.report.figures.deck.level import level_survey
from pourday.report.figures.deck.moments import moment_envelope
from pourday.report.figures.deck.shape import deflected_shape
from pourday.report.figures.deck.use import use_plan
from pourday.report.figures.strip_plan import strip_plan
from pourday.report.units import US, Unit

METRIC = re.compile(r"m³|m²|°C|kNm?\b|km/h|kg/|\bmm\b|(?<=[\d,(] )m(?![\w²³/])|(?<=[xy] \()m\b")
# Exact by definition: yard 0.9144 m, foot 0.3048 m, pound 0.45359237 kg at 9.80665 m/s2.
YARD, FOOT, POUND = 0.9144, 0.3048, 0.45359237
FORCE = POUND * 9.80665 / 1e3  # kN


@pytest.fixture(scope="module")
def outcome():
    return day_of(shipped("clinic_level_1"))


@pytest.fixture(scope="module")
def figures(outcome):
    basis = outcome.basis
    peaks = group_peaks(basis, None)
    return {
        "strip plan": strip_plan(basis.scenario, basis.plan, basis.layout, outcome, US),
        "time line": time_line(outcome, US),
        "volume": volume(outcome, units=US),
        "use over the day": deck_use(outcome, US),
        "moments": moment_envelope(basis, peaks, None, US),
        "shape": deflected_shape(basis, None, US),
        "use": use_plan(basis, peaks, None, US),
        "level": level_survey(basis, US),
        "drying": weather_and_drying(outcome, US),
        "finishing": finishing_bars(outcome, US),
    }


def test_no_metric_word_is_left(figures):
    for name, figure in figures.items():
        left = [line for line in words(figure).splitlines() if METRIC.search(line)]
        assert left == [], name


def read(axes: Axes, which: str) -> tuple[np.ndarray, np.ndarray]:
    """Where the numbers of an axis stand in its data, and what they say."""
    axis = axes.xaxis if which == "x" else axes.yaxis
    said = [t.get_text().replace("\N{MINUS SIGN}", "-") for t in axis.get_ticklabels()]
    return np.array(axis.get_ticklocs()), np.array([float(each) for each in said])


@pytest.mark.parametrize(
    ("name", "axes", "which", "word", "one"),
    [
        ("strip plan", 0, "x", "ft", FOOT),
        ("strip plan", 0, "y", "ft", FOOT),
        ("level", 0, "x", "ft", FOOT),
        ("volume", 0, "y", "yd³", YARD**3),
        ("volume", 1, "y", "yd³", YARD**3),
        ("shape", 0, "y", "in", 1e3 * FOOT / 12),
        ("moments", 1, "y", "plf", FORCE / FOOT),
        ("drying", 4, "y", "lb/ft²/h", POUND / FOOT**2),
    ],
)
def test_numbers_of_an_axis_stand_at_the_metric_data_they_name(
    figures, name, axes, which, word, one
):
    drawn = figures[name].axes[axes]
    at, said = read(drawn, which)
    assert len(said) >= 2
    assert at == pytest.approx(said * one, abs=1e-9)
    label = drawn.get_xlabel() if which == "x" else drawn.get_ylabel()
    assert word in label


def test_moments_of_both_signs_are_of_a_foot(figures):
    at, said = read(figures["moments"].axes[0], "y")
    # A kip-foot in a foot of width is a kip.
    assert np.abs(at) == pytest.approx(said * 1e3 * FORCE, abs=1e-9)


def test_air_is_written_in_fahrenheit_and_miles(outcome, figures):
    ours = weather_and_drying(outcome)
    for lane, by, zero in (("air", 1.8, 32.0), ("wind", 1 / 1.609344, 0.0), ("humidity", 1.0, 0.0)):
        metric, theirs = (
            np.array([float(t.get_text()) for t in texts(each, f"number {lane}")])
            for each in (ours, figures["drying"])
        )
        # Both are rounded to a whole number.
        assert np.abs(theirs - (metric * by + zero)).max() <= 0.5 + 0.5 * by


def test_levels_are_inches_of_the_same_millimetres(outcome, figures):
    for ours in texts(level_survey(outcome.basis), "level "):
        gid = ours.get_gid()
        theirs = next(t for t in texts(figures["level"], gid) if t.get_gid() == gid)
        mm, inch = (float(t.get_text().replace("\N{MINUS SIGN}", "-")) for t in (ours, theirs))
        assert abs(inch - mm / 25.4) <= 0.05 + 0.5 / 25.4 + 1e-9


def test_the_metric_figure_stays_metric(outcome):
    axes = volume(outcome).axes[0]
    at, said = read(axes, "y")
    assert at == pytest.approx(said)
    assert axes.get_ylabel().startswith("m³")
    assert Unit("m³").is_metric


@pytest.mark.parametrize(
    ("command", "option", "to"),
    [("check", "--draw", "plan.png"), ("day", "--figures", "")],
)
def test_commands_hand_their_units_to_their_figures(tmp_path, monkeypatch, command, option, to):
    said = []

    def write(figure, file, **_):
        said.append(words(figure))
        file.write(b"x")

    monkeypatch.setattr(Figure, "savefig", write)
    plan = ["--plan", "line, 21 min"]
    call = [command, f"{SCENARIOS / 'clinic_level_1'}.toml", *plan, option, str(tmp_path / to)]
    ran = CliRunner().invoke(app, [*call, "--units", "us"])
    assert ran.exit_code == 0, ran.output
    assert said
    for written in said:
        assert [line for line in written.splitlines() if METRIC.search(line)] == []
