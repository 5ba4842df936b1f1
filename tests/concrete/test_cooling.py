"""A slab between two films: closed forms, the equation of heat in 20 layers, and units of wind."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from pourday.concrete.cooling import (
    CAPACITY,
    CONDUCTIVITY,
    CoolingSlab,
    Faces,
    face_temperatures,
    faces,
    film,
    joined,
    slab_relaxation,
    under_mats,
)
from pourday.concrete.temperature import Air, at, concrete_temperature, relaxation

HOUR = 3600.0


def steady(warm, wind=0.0, hours=48.0):
    """Air that stays as it is."""
    two = np.ones(2)
    return Air(np.array([0.0, hours * HOUR]), warm * two, 0.7 * two, wind * two)


def layered(depth, films, around, start, end, layers=20):
    """Layers of a slab cooling between two films: temperatures (layers,) over time, by scipy."""
    cell = depth / layers
    heat, inside = 2400.0 * CAPACITY * cell, CONDUCTIVITY / cell
    outer = [1.0 / (1.0 / h + cell / 2.0 / CONDUCTIVITY) for h in films]

    def _warming(_, warm):
        flow = inside * np.diff(warm)
        gain = np.zeros(layers)
        gain[:-1] += flow
        gain[1:] -= flow
        gain[0] += outer[0] * (around[0] - warm[0])
        gain[-1] += outer[1] * (around[1] - warm[-1])
        return gain / heat

    run = solve_ivp(
        _warming, (0.0, end), np.full(layers, start), method="BDF", dense_output=True,
        rtol=1e-8, atol=1e-8,
    )  # fmt: skip

    def _top(t):
        first = run.sol(t)[0]
        return around[0] + outer[0] / films[0] * (first - around[0])

    return run.sol, _top


def lumped(depth, films, around, start):
    """Mean and top face of the one node over time."""
    held = Faces(*(np.array(v) for v in (*films, *around)))
    conductance, rest = joined(held, depth)
    relax = relaxation([0.0], [float(rest)], 2400.0 * CAPACITY * depth / float(conductance))

    def _mean(t):
        return float(concrete_temperature(relax, t, 0.0, start))

    return _mean, lambda t: float(face_temperatures(held, depth, _mean(t))[0])


@pytest.mark.parametrize(
    ("depth", "films", "around"),
    [
        (0.130, (15.0, 10.0), (-5.0, -5.0)),  # the slab of the issue
        (0.102, (15.0, 10.0), (-5.0, -5.0)),
        (0.180, (25.0, 8.0), (-5.0, -5.0)),
        (0.130, (20.0, 8.0), (-8.0, 2.0)),  # some heat below
    ],
)
def test_top_face_reaches_zero_when_twenty_layers_say_within_a_third_of_an_hour(
    depth, films, around
):
    _, reference = layered(depth, films, around, 12.0, 40 * HOUR)
    _, ours = lumped(depth, films, around, 12.0)
    told = brentq(reference, 0.1 * HOUR, 39 * HOUR)
    found = brentq(ours, 0.1 * HOUR, 39 * HOUR)
    assert abs(found - told) < 0.3 * HOUR


def test_the_slab_of_issue_14_freezes_at_its_top_near_4_2_hours_not_near_7():
    # 130 mm, 12 °C into -5 °C, 15 and 10 W/m²K: 4.2 h by the issue's own layers. One time constant
    # of 6 h, as it was, gives 6 ln(17/5) = 7.3 h.
    _, reference = layered(0.130, (15.0, 10.0), (-5.0, -5.0), 12.0, 40 * HOUR)
    _, ours = lumped(0.130, (15.0, 10.0), (-5.0, -5.0), 12.0)
    assert brentq(reference, HOUR, 20 * HOUR) / HOUR == pytest.approx(4.2, abs=0.15)
    assert brentq(ours, HOUR, 20 * HOUR) / HOUR == pytest.approx(4.2, abs=0.3)
    assert 6.0 * np.log(17.0 / 5.0) == pytest.approx(7.3, abs=0.05)


def test_steady_flow_passes_two_films_and_the_depth_in_series():
    held = Faces(*(np.array(v) for v in (15.0, 9.0, -5.0, 15.0)))
    conductance, rest = joined(held, 0.130)
    top, bottom = face_temperatures(held, 0.130, rest)
    flow = 20.0 / (1 / 15.0 + 0.130 / CONDUCTIVITY + 1 / 9.0)
    assert float(top) == pytest.approx(-5.0 + flow / 15.0)
    assert float(bottom) == pytest.approx(15.0 - flow / 9.0)
    assert float(rest) == pytest.approx((float(top) + float(bottom)) / 2.0)
    assert float(conductance) < 15.0 + 9.0


def test_a_thin_slab_between_two_films_cools_by_the_closed_form():
    # Thin against its films: tau is heat / (h1 + h2), whatever happens inside.
    held = Faces(*(np.array(v) for v in (15.0, 10.0, -5.0, -5.0)))
    conductance, rest = joined(held, 1e-4)
    assert float(conductance) == pytest.approx(25.0, rel=1e-3)
    assert float(rest) == pytest.approx(-5.0)


def test_films_of_the_standard_take_wind_in_metres_a_second():
    # EN ISO 6946: external surface resistance 0.04 m²K/W at 4 m/s; with km/h it would be 0.015.
    assert 1.0 / float(film(4.0, 10.0)) == pytest.approx(0.04, abs=0.001)
    # A wind of 14.4 km/h in a weather table: wind_km_h comes in as 4 m/s.
    around = faces(steady(10.0, 14.4 / 3.6), CoolingSlab(0.130, 2400.0), 0.0)
    assert float(around.top) == pytest.approx(24.6, abs=0.1)
    assert float(around.bottom) == pytest.approx(12.6, abs=0.1)


def test_wind_that_rises_through_the_hours_agrees_with_a_general_ode_solver():
    rows = np.arange(0.0, 25.0, 4.0) * HOUR
    air = Air(
        rows,
        np.array([-2.0, -5.0, -3.0, 4.0, 6.0, 1.0, -4.0]),
        np.full(7, 0.7),
        np.array([0.5, 1.0, 6.0, 8.0, 3.0, 1.0, 0.2]),
    )
    slab = CoolingSlab(0.110, 2450.0, sky_loss=60.0)
    relax = slab_relaxation(air, slab)

    def _cooling(t, warm):
        conductance, rest = joined(faces(air, slab, t), slab.depth)
        return conductance * (rest - warm) / slab.heat

    clock = np.linspace(5 * HOUR, 24 * HOUR, 40)
    run = solve_ivp(
        _cooling, (clock[0], clock[-1]), [14.0], t_eval=clock, rtol=1e-9, atol=1e-9, max_step=300.0
    )
    found = concrete_temperature(relax, clock, clock[0], 14.0)
    np.testing.assert_allclose(found, run.y[0], atol=0.1)


def test_a_clear_sky_takes_the_slab_below_the_air_and_mats_keep_it_above_bare_concrete():
    air = steady(2.0, 1.0)
    clear, cloudy = CoolingSlab(0.13, 2400.0, sky_loss=70.0), CoolingSlab(0.13, 2400.0)
    late = 40 * HOUR
    bare = float(concrete_temperature(slab_relaxation(air, clear), late, 0.0, 12.0))
    assert bare < 2.0 - 1.0
    assert float(concrete_temperature(slab_relaxation(air, cloudy), late, 0.0, 12.0)) > 1.99
    early = 4 * HOUR
    kept = slab_relaxation(air, under_mats(cloudy, 0.5))
    assert float(concrete_temperature(kept, early, 0.0, 12.0)) > float(
        concrete_temperature(slab_relaxation(air, cloudy), early, 0.0, 12.0)
    )
    assert under_mats(cloudy, 0.0) is cloudy


def test_heat_below_holds_the_deck_above_its_top():
    air, slab = steady(-5.0, 1.5), CoolingSlab(0.13, 2400.0, below=15.0)
    around = faces(air, slab, 0.0)
    _, rest = joined(around, slab.depth)
    top, bottom = face_temperatures(around, slab.depth, rest)
    assert -5.0 < float(top) < float(rest) < float(bottom) < 15.0


def test_nothing_but_a_slab_is_refused():
    with pytest.raises(ValueError, match="depth"):
        slab_relaxation(steady(5.0), CoolingSlab(0.0, 2400.0))


def test_air_between_rows_is_what_the_relaxation_rests_at_in_still_times():
    air = steady(7.0, 2.0)
    relax = slab_relaxation(air, CoolingSlab(0.13, 2400.0))
    assert np.allclose(relax.air, at(air.times, air.temperature, relax.times))
