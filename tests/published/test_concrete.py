"""pourday.concrete beside published values, each with its source and how sure we are of it."""

import numpy as np
import psychrolib
import pytest

from pourday.concrete.age import (
    SET_ACTIVATION,
    arrhenius_rate,
    clock_time_at_equivalent_age,
    equivalent_age_series,
)
from pourday.concrete.edges import by_set, interval_between_lifts
from pourday.concrete.evaporation import dew_point, evaporation_rate, saturation_vapour_pressure
from pourday.concrete.strength import characteristic_strength, mean_strength, strength_ratio
from pourday.concrete.temperature import relaxation
from pourday.report.words import heat_caution

HOUR, MINUTE = 3600.0, 60.0
PSF = 0.45359237 / 0.3048**2  # kg/m² in a lb/ft²
MPH = 1609.344 / 3600.0  # m/s in a mile an hour
PSI = 6894.757  # Pa in a lb/in²


def celsius(fahrenheit):
    return (np.asarray(fahrenheit, dtype=float) - 32.0) / 1.8


# ---------------------------------------------------------------------------- evaporation
# The table of evaporation against weather that goes back to W. Lerch (PCA, 1957) and stands in
# PCA and ACI hot-weather texts. Values from memory. Columns: concrete °F, air °F, relative
# humidity, wind mph, evaporation lb/ft²/h. Its row at 100 °F / 100 °F / 70 % is left out: the
# figure we remember for it (0.180) fits neither equation below, so we are not sure of it.
SAME_TEMPERATURE = np.array(
    [
        (70, 70, 0.7, 0, 0.015),
        (70, 70, 0.7, 5, 0.038),
        (70, 70, 0.7, 10, 0.062),
        (70, 70, 0.7, 15, 0.085),
        (70, 70, 0.7, 20, 0.110),
        (70, 70, 0.7, 25, 0.135),
        (70, 70, 0.9, 10, 0.020),
        (70, 70, 0.5, 10, 0.100),
        (70, 70, 0.3, 10, 0.135),
        (70, 70, 0.1, 10, 0.175),
        (50, 50, 0.7, 10, 0.026),
        (60, 60, 0.7, 10, 0.043),
        (80, 80, 0.7, 10, 0.077),
        (90, 90, 0.7, 10, 0.110),
        (90, 90, 0.1, 0, 0.070),
        (90, 90, 0.1, 10, 0.336),
        (90, 90, 0.1, 25, 0.740),
    ]
)
WARM_CONCRETE_COLD_AIR = np.array(
    [
        (80, 40, 1.0, 10, 0.205),
        (70, 40, 1.0, 10, 0.130),
        (60, 40, 1.0, 10, 0.075),
        (70, 40, 0.5, 0, 0.035),
        (70, 40, 0.5, 10, 0.162),
        (70, 40, 0.5, 25, 0.357),
    ]
)


def rate_in_pounds(rows):
    concrete, air, humidity, wind, _ = rows.T
    return evaporation_rate(celsius(concrete), celsius(air), humidity, wind * MPH) / PSF


def test_evaporation_table_with_concrete_as_warm_as_the_air():
    # The formula is a fit: 0.005 lb/ft²/h, plus 0.0005 for the rounding of the table, or 2 %.
    published = SAME_TEMPERATURE[:, 4]
    error = np.abs(rate_in_pounds(SAME_TEMPERATURE) - published)
    assert np.all(error <= np.maximum(0.0055, 0.02 * published))


def test_evaporation_table_with_warm_concrete_in_cold_air_runs_high():
    # Found: the fit gives 2 % less (no wind) to 14 % more than the table when the air is 20 to
    # 40 °F colder than the concrete; it errs towards covering early.
    ratio = rate_in_pounds(WARM_CONCRETE_COLD_AIR) / WARM_CONCRETE_COLD_AIR[:, 4]
    assert np.all(ratio >= 0.97)
    assert np.all(ratio <= 1.14)


def test_remembered_table_agrees_with_the_vapour_pressure_equation_behind_it():
    # Menzel (1954), as printed in ACI 305R: W = 0.44 (e0 - ea)(0.253 + 0.096 V), psi, mph,
    # lb/ft²/h; value from memory. That the two memories agree guards the table above, and with
    # it the tolerance: a wrong figure in either would show.
    rows = np.vstack([SAME_TEMPERATURE, WARM_CONCRETE_COLD_AIR])
    concrete, air, humidity, wind, published = rows.T
    at_surface = saturation_vapour_pressure(celsius(concrete)) / PSI
    in_air = humidity * saturation_vapour_pressure(celsius(air)) / PSI
    menzel = 0.44 * (at_surface - in_air) * (0.253 + 0.096 * wind)
    assert np.all(np.abs(menzel - published) <= np.maximum(0.0045, 0.061 * published))


def test_example_drawn_on_the_aci_305_chart():
    # ACI 305R evaporation chart, the example drawn on it: air 80 °F, 50 %, concrete 87 °F,
    # 12 mph give about 0.25 lb/ft²/h (1.2 kg/m²/h); read from a chart, so 10 %. Confirmed at
    # second hand only.
    rate = float(evaporation_rate(celsius(87.0), celsius(80.0), 0.5, 12.0 * MPH))
    assert rate == pytest.approx(0.25 * PSF, rel=0.10)
    assert rate == pytest.approx(1.2, rel=0.10)


def test_uno_formula_in_km_per_hour_by_hand():
    # P. J. Uno, ACI Materials Journal 95-M34 (1998), with Tc 30, Ta 25, r 0.5, V 20 km/h:
    # 48^2.5 = 15962.6; 43^2.5 = 12124.7; 5 (15962.6 - 6062.3) 24 x 1e-6 = 1.18804 kg/m²/h.
    assert float(evaporation_rate(30.0, 25.0, 0.5, 20.0 / 3.6)) == pytest.approx(1.18804, abs=2e-5)


# -------------------------------------------------------------------------- equivalent age
def test_astm_c1074_equivalent_age_rates_by_hand():
    # ASTM C1074, Q = 5000 K, Ts = 20 °C = 293.15 K.
    # 30 °C: 5000 (1/293.15 - 1/303.15) = 5000 x 1.125262e-4 = 0.562631; e^ = 1.75528.
    # 10 °C: 5000 (1/293.15 - 1/283.15) = -5000 x 1.204738e-4 = -0.602369; e^- = 0.54751.
    rate = arrhenius_rate([30.0, 20.0, 10.0])
    assert rate == pytest.approx([1.75528, 1.0, 0.54751], abs=2e-5)


def test_astm_c1074_equivalent_age_sum_by_hand():
    # 2 h at 10 °C, 3 h at 20 °C, 4 h at 30 °C, with changes of a second between them:
    # 2 x 0.54751 + 3 + 4 x 1.75528 = 11.1161 h.
    times = np.array([0.0, 2 * HOUR - 1, 2 * HOUR, 5 * HOUR - 1, 5 * HOUR, 9 * HOUR])
    aged = equivalent_age_series(times, [10.0, 10.0, 20.0, 20.0, 30.0, 30.0])
    assert aged[-1] / HOUR == pytest.approx(11.1161, abs=5e-4)


def test_astm_c1074_with_another_activation_and_reference():
    # Q = 4000 K, Ts = 23 °C = 296.15 K, concrete at 35 °C = 308.15 K:
    # 4000 (1/296.15 - 1/308.15) = 4000 x 1.314944e-4 = 0.525978; e^ = 1.69211.
    rate = arrhenius_rate(35.0, activation=4000.0, reference=23.0)
    assert float(rate) == pytest.approx(1.69211, abs=2e-5)


# ---------------------------------------------------------------------------- setting time
# Guide values of setting time against temperature, printed in the trade under "setting time of
# concrete at various temperatures". 60 to 100 °F confirmed at second hand (web reprints of that
# table, its first publication unknown to us); 50 °F is a value from memory.
GUIDE_FAHRENHEIT = np.array([50.0, 60.0, 70.0, 80.0, 90.0, 100.0])
GUIDE_HOURS = np.array([10 + 2 / 3, 8.0, 6.0, 4.0, 2 + 2 / 3, 1 + 2 / 3])


def model_over_guide(activation=SET_ACTIVATION):
    """Set time of the model, tied to the guide's 6 h at 70 °F, as a ratio to the guide."""
    rate = arrhenius_rate(celsius(GUIDE_FAHRENHEIT), activation, float(celsius(70.0)))
    return 6.0 / rate / GUIDE_HOURS


def test_set_time_from_50_to_70_fahrenheit_stays_within_five_percent_of_the_guide():
    ratio = model_over_guide()[:3]
    assert np.all(np.abs(ratio - 1.0) <= 0.05)


def test_set_time_from_80_fahrenheit_on_is_longer_than_the_guide_and_reports_say_so():
    # Found: 17, 37 and 74 % longer at 80, 90 and 100 °F. Burg's measured sets (PCA RD113), which
    # the default follows, move less than the guide: in heat not on the cautious side.
    assert model_over_guide()[3:] == pytest.approx([1.17, 1.37, 1.74], abs=0.01)
    assert heat_caution(26.0) == ""
    said = heat_caution(33.0)
    assert "a printed guide has them in 73 % of these times at 32 °C and in 58 % at 38" in said
    assert 1 / model_over_guide()[4:] == pytest.approx([0.73, 0.58], abs=0.006)


def test_an_activation_of_7000_kelvin_follows_the_guide_in_heat_but_not_in_the_cold():
    # What a planner can do about it: the hot half of the guide asks for Q near 7000 K (within
    # 6 % from 70 to 100 °F), which in turn overstates the set time at 50 °F by more than 40 %.
    ratio = model_over_guide(7000.0)
    assert np.all(np.abs(ratio[2:] - 1.0) <= 0.06)
    assert ratio[0] > 1.4


def test_interval_between_lifts_of_jsce_beside_the_open_time_of_an_ordinary_mix():
    # JSCE Standard Specifications for Concrete Structures, Materials and Construction: placing
    # of one lift after another within 2.5 h at up to 25 °C, within 2.0 h above (2.5 h confirmed
    # at second hand; 2.0 h a value from memory). JSCE counts from placing the lower lift, the
    # open time here from batching.
    # Found for 150 min at 20 °C: 243, 190, 150, 119, 96, 77 min at 10, 15, 20, 25, 30, 35 °C.
    # The model allows more than JSCE below 20 °C and less above, the more so in heat.
    temperatures = np.array([10.0, 15.0, 25.0, 30.0, 35.0])
    model = np.empty(temperatures.size)
    for k, temperature in enumerate(temperatures):
        relax = relaxation([0.0], [temperature], 2 * HOUR)
        model[k] = (
            clock_time_at_equivalent_age(relax, 0.0, temperature, 150 * MINUTE, SET_ACTIVATION)
            / MINUTE
        )
    jsce = np.where(temperatures > 25.0, 120.0, 150.0)
    assert np.all(model[:2] > jsce[:2])
    assert np.all(model[2:] < jsce[2:])
    # By hand, 4000 K: 150 / 1.56847 = 95.63 min at 30 °C, 150 / 0.61761 = 242.87 min at 10 °C.
    assert model[3] == pytest.approx(95.63, abs=0.01)
    assert model[0] == pytest.approx(242.87, abs=0.02)


def test_interval_between_lifts_of_jsce_beside_four_fifths_of_the_time_to_initial_set():
    # The same standard beside the rule "set" for a mix with initial set at 5 h (ASTM C403), at 5,
    # 15, 25, 30 and 35 °C. Set allows 501, 304, 191, 153, 124 min from loading; JSCE 150, then 120
    # from placing. In the cold set allows three times as much, at 35 °C hardly more.
    temperatures = np.array([5.0, 15.0, 25.0, 30.0, 35.0])
    cold = by_set(5 * HOUR).cold
    assert cold is not None
    model = np.empty(temperatures.size)
    for k, temperature in enumerate(temperatures):
        relax = relaxation([0.0], [temperature], 2 * HOUR)
        model[k] = (
            clock_time_at_equivalent_age(relax, 0.0, temperature, cold, SET_ACTIVATION) / MINUTE
        )
    assert model == pytest.approx([500.94, 304.12, 190.91, 153.01, 123.52], abs=0.01)
    jsce = interval_between_lifts(temperatures) / MINUTE
    assert jsce.tolist() == [150.0, 150.0, 150.0, 120.0, 120.0]
    assert model[0] / jsce[0] == pytest.approx(3.34, abs=0.01)
    assert np.all(model > jsce)
    assert model[4] / jsce[4] == pytest.approx(1.03, abs=0.01)


# -------------------------------------------------------------------------------- strength
@pytest.mark.parametrize(
    ("cement", "three", "seven"),
    [
        # EN 1992-1-1 3.1.2(6). t = 7: 1 - sqrt(4) = -1. t = 3: 1 - 3.055050 = -2.055050.
        ("R", 0.66298, 0.81873),  # e^-0.411010, e^-0.20
        ("N", 0.59824, 0.77880),  # e^-0.513763, e^-0.25
        ("S", 0.45798, 0.68386),  # e^-0.780919, e^-0.38
    ],
)
def test_en_1992_strength_ratio_at_3_7_and_28_days(cement, three, seven):
    ratio = strength_ratio([3.0, 7.0, 28.0], cement)
    assert ratio == pytest.approx([three, seven, 1.0], abs=1e-5)


def test_en_1992_strength_of_c25_30_at_7_days():
    # fcm = 33 MPa, class N: fcm(7) = 33 x 0.778801 = 25.700; fck(7) = 17.700 MPa, 3.1.2(5).
    assert float(mean_strength(33e6, 7.0, "N")) == pytest.approx(25.700e6, abs=1e3)
    assert float(characteristic_strength(33e6, 7.0, "N")) == pytest.approx(17.700e6, abs=1e3)


# ------------------------------------------------------------------------------ psychrometry
def test_saturation_pressure_and_dew_point_beside_the_ashrae_formulas_of_psychrolib():
    # psychrolib: ASHRAE Handbook of Fundamentals. Magnus stays within 0.3 % from 0 to 50 °C;
    # dew points above freezing within 0.05 K.
    psychrolib.SetUnitSystem(psychrolib.SI)
    temperatures = np.linspace(0.5, 50.0, 100)
    ashrae = np.array([psychrolib.GetSatVapPres(t) for t in temperatures])
    np.testing.assert_allclose(saturation_vapour_pressure(temperatures), ashrae, rtol=3e-3)
    compared = 0
    for temperature in (10.0, 20.0, 30.0, 40.0):
        for humidity in (0.3, 0.5, 0.7, 0.9):
            reference = psychrolib.GetTDewPointFromRelHum(temperature, humidity)
            if reference > 0.5:
                compared += 1
                assert float(dew_point(temperature, humidity)) == pytest.approx(reference, abs=0.05)
    assert compared >= 13


def test_saturation_pressure_at_20_celsius():
    # 2339 Pa, the steam-table value (common knowledge of the trade; value from memory).
    assert float(saturation_vapour_pressure(20.0)) == pytest.approx(2339.0, rel=3e-3)
