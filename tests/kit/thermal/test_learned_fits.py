"""Cooling, focus and dew are recovered from readings within the uncertainty that is stated."""

import math
from datetime import UTC, datetime

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import curve_fit
from scipy.stats import binom, linregress, t

from logbook.kit.thermal.cooling_fit import CoolingFit, fit_cooling
from logbook.kit.thermal.cooling_response import response
from logbook.kit.thermal.dew_point import dew_now, dew_point_c, frost_point_c
from logbook.kit.thermal.focus_fit import FocusSlope, fit_focus, suggest, with_zone
from logbook.kit.thermal.tube_constant import TubeConstant, tube_constant
from logbook.kit.thermal.uncertainty import NotLearned, student_t

TRIALS = 200


@pytest.mark.parametrize("degrees", [1, 2, 3, 4, 6, 10, 30, 200])
def test_student_t_is_that_of_scipy(degrees: int) -> None:
    assert student_t(degrees) == pytest.approx(float(t.ppf(0.975, degrees)), rel=4e-3)


def test_the_lag_is_the_solution_of_its_equation() -> None:
    """Reference: scipy's integrator, with air that goes up and down from reading to reading."""
    tau, air_min, air_c = 37.0, np.array([0.0, 30.0, 90.0, 140.0]), np.array([9.0, 6.5, 7.0, 3.0])
    at = np.array([5.0, 33.0, 100.0, 139.0])
    left, weights = response(np.array([tau]), air_min, 0.0, at)

    def rate(minute: float, body: np.ndarray) -> np.ndarray:
        return np.asarray((np.interp(minute, air_min, air_c) - body) / tau)

    exact = solve_ivp(rate, (0, 140), [18.0], t_eval=at, rtol=1e-9, atol=1e-9, max_step=5.0).y[0]
    np.testing.assert_allclose(left[0] * 18.0 + weights[0] @ air_c, exact, atol=1e-5)


def test_a_curve_worked_by_hand() -> None:
    """10 K over steady air of 0 °C with tau 60 min: 10/e after an hour, 1 K after 60 ln 10."""
    body = [(minutes, 10.0 * math.exp(-minutes / 60.0)) for minutes in (0, 30, 60, 90)]
    fit = fit_cooling([(0.0, 0.0), (90.0, 0.0)], body)
    assert isinstance(fit, CoolingFit)
    assert fit.tau_min == pytest.approx(60.0, rel=2e-3)
    assert fit.body_at(60.0) == pytest.approx(3.679, abs=0.01)
    assert fit.within(1.0).at_min == pytest.approx(138.2, abs=0.5)


def test_with_steady_air_the_best_tau_is_that_of_scipy() -> None:
    rng = np.random.default_rng(7)
    at = np.linspace(0.0, 150.0, 14)
    body = 4.0 + 9.0 * np.exp(-at / 45.0) + rng.normal(0.0, 0.15, len(at))

    def curve(minutes: np.ndarray, start: float, tau: float) -> np.ndarray:
        return np.asarray(4.0 + start * np.exp(-minutes / tau))

    best, covariance = curve_fit(curve, at, body, p0=(9.0, 40.0))
    fit = fit_cooling([(each, 4.0) for each in at], list(zip(at, body, strict=True)))
    assert isinstance(fit, CoolingFit)
    assert fit.tau_min == pytest.approx(best[1], rel=0.02)
    assert fit.sigma_min == pytest.approx(math.sqrt(covariance[1, 1]), rel=0.3)


@pytest.mark.parametrize(
    ("tau", "noise", "count", "span"),
    [(38.0, 0.1, 8, 120.0), (38.0, 0.3, 12, 180.0), (77.0, 0.1, 6, 200.0), (60.0, 0.05, 5, 150.0)],
)
def test_the_stated_interval_holds_the_constant_in_95_of_100_nights(
    tau: float, noise: float, count: int, span: float
) -> None:
    rng = np.random.default_rng(11)
    hits = fitted = 0
    for _ in range(TRIALS):
        at = np.concatenate(([0.0], np.sort(rng.uniform(1.0, span, count - 1))))
        air_min = np.linspace(0.0, span, max(3, count // 2))
        air_c = 6.0 - 2.0 * air_min / span + 0.3 * np.sin(air_min / 30.0)
        left, weights = response(np.array([tau]), air_min, 0.0, at)
        body = left[0] * 16.0 + weights[0] @ air_c + rng.normal(0.0, noise, count)
        air = air_c + rng.normal(0.0, noise, len(air_c))
        fit = fit_cooling(list(zip(air_min, air, strict=True)), list(zip(at, body, strict=True)))
        if isinstance(fit, CoolingFit):
            fitted += 1
            hits += fit.low_min <= tau <= fit.high_min
    assert fitted > 0.9 * TRIALS
    assert binom.ppf(0.001, fitted, 0.95) <= hits


def test_the_tubes_own_interval_holds_it_in_95_of_100_seasons() -> None:
    rng = np.random.default_rng(3)
    hits = 0
    for _ in range(1000):
        nights = [
            (40.0 * math.exp(rng.normal(0.0, 0.15) + rng.normal(0.0, sigma)), 40.0 * sigma)
            for sigma in rng.uniform(0.02, 0.1, 5)
        ]
        found = tube_constant(nights)
        assert isinstance(found, TubeConstant)
        hits += found.low_min <= 40.0 <= found.high_min
    assert hits >= binom.ppf(0.001, 1000, 0.95)


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ([], "none so far"),
        ([(0, 9.0), (9, 8.0), (20, 7.0)], "3 so far"),
        ([(0, 5.2), (9, 5.1), (20, 5.3), (30, 5.0)], "never 1 K"),
        ([(0, 8.0), (9, 9.0), (20, 10.0), (30, 12.0)], "warmed"),
        ([(0, 15.0), (1, 15.1), (2, 14.9), (3, 15.0)], "not yet come near"),
        ([(0, math.nan), (1, math.inf), (2, 9.0), (3, 8.0)], "2 so far"),
    ],
)
def test_readings_that_teach_nothing_are_refused(
    body: list[tuple[float, float]], words: str
) -> None:
    found = fit_cooling([(0.0, 5.0)], body)
    assert isinstance(found, NotLearned)
    assert words in found.words


def test_a_logger_that_reads_every_second_is_averaged() -> None:
    body = [(second / 60.0, 5.0 + 12.0 * math.exp(-second / 2400.0)) for second in range(6000)]
    fit = fit_cooling([(0.0, 5.0)], body)
    assert isinstance(fit, CoolingFit)
    assert fit.count == 60
    assert fit.tau_min == pytest.approx(40.0, rel=0.01)


def nights_of_focus(
    rng: np.random.Generator, count: int, noise: float
) -> list[list[tuple[float, float]]]:
    """Four nights; the camera sits anew in each, by as much as the slope moves in 10 K."""
    found = []
    for level in rng.normal(5000.0, 200.0, 4):
        celsius = rng.uniform(5.0, 12.0) - np.linspace(0.0, 5.0, count)
        position = level - 20.0 * celsius + rng.normal(0.0, noise, count)
        found.append(list(zip(celsius.tolist(), position.tolist(), strict=True)))
    return found


@pytest.mark.parametrize(("count", "noise"), [(2, 5.0), (4, 10.0), (8, 30.0)])
def test_the_stated_slope_holds_the_true_one_in_95_of_100(count: int, noise: float) -> None:
    rng = np.random.default_rng(5)
    hits = 0
    for _ in range(1000):
        found = fit_focus(nights_of_focus(rng, count, noise))
        assert isinstance(found, FocusSlope)
        hits += found.low_per_k <= -20.0 <= found.high_per_k
    assert binom.ppf(0.001, 1000, 0.95) <= hits <= binom.ppf(0.999, 1000, 0.95)


def test_one_night_gives_the_line_of_scipy() -> None:
    night = [(10.0, 100.0), (8.0, 141.0), (7.0, 158.0), (5.0, 202.0), (4.0, 219.0)]
    found, line = fit_focus([night]), linregress(*zip(*night, strict=True))
    assert isinstance(found, FocusSlope)
    assert found.per_k == pytest.approx(line.slope)
    assert found.sigma_per_k == pytest.approx(line.stderr)


def test_one_slip_does_not_bend_the_slope() -> None:
    nights = nights_of_focus(np.random.default_rng(2), 5, 3.0)
    celsius, position = nights[1][0]
    nights[1][0] = (celsius, position + 900.0)
    found = fit_focus(nights)
    assert isinstance(found, FocusSlope)
    assert found.left_out == ((celsius, position + 900.0),)
    assert found.low_per_k <= -20.0 <= found.high_per_k


def test_focus_is_redone_when_half_the_zone_is_used_up() -> None:
    found = fit_focus([[(10.0, 100.0), (8.0, 141.0), (7.0, 158.0), (5.0, 202.0)]])
    assert isinstance(found, FocusSlope)
    stepped = with_zone(found, 40.0)
    assert stepped.redo_after_k == pytest.approx(20.0 / abs(found.per_k))
    assert suggest(stepped, [(5.0, 202.0)], 3.9).redo
    assert not suggest(stepped, [(5.0, 202.0)], 4.9).redo
    assert with_zone(found, None).redo_after_k == 2.0


def test_focus_without_a_change_of_temperature_is_refused() -> None:
    same = fit_focus([[(5.0, 100.0), (5.1, 101.0), (5.2, 99.0), (5.0, 98.0)]])
    assert isinstance(same, NotLearned)
    assert "0.2 K at most" in same.words
    assert isinstance(fit_focus([[(5.0, 100.0)]] * 9), NotLearned)  # one in each night
    assert isinstance(fit_focus([]), NotLearned)


@pytest.mark.parametrize(
    ("air_c", "humidity", "expected", "metpy"),
    [
        (20.0, 50.0, 9.261, 9.256),
        (10.0, 80.0, 6.708, 6.704),
        (0.0, 90.0, -1.444, -1.453),
        (-10.0, 70.0, -14.436, -14.451),
        (5.0, 95.0, 4.265, 4.259),
        (30.0, 30.0, 10.540, 10.518),
    ],
)
def test_the_dew_point_is_that_of_the_paper_and_of_metpy(
    air_c: float, humidity: float, expected: float, metpy: float
) -> None:
    """Alduchov & Eskridge 1996; MetPy's dewpoint_from_relative_humidity has a formula of its own
    (Bolton 1980) and agrees to 0.03 K."""
    assert dew_point_c(air_c, humidity) == pytest.approx(expected, abs=1e-3)
    assert dew_point_c(air_c, humidity) == pytest.approx(metpy, abs=0.03)


@pytest.mark.parametrize("air_c", [-40.0, -25.0, -10.0, -1.0])
def test_air_saturated_over_ice_has_its_frost_point_there(air_c: float) -> None:
    """Both pressures by ECMWF's formula and constants (Metview documentation,
    saturation_vapour_pressure); its temperatures are counted from 273.16 K."""

    def pressure(a3: float, a4_k: float) -> float:
        kelvin = air_c + 273.15
        return 611.21 * math.exp(a3 * (kelvin - 273.16) / (kelvin - a4_k))

    over_ice, over_water = pressure(22.587, -0.7), pressure(17.502, 32.19)
    assert frost_point_c(air_c, 100.0 * over_ice / over_water) == pytest.approx(air_c, abs=0.1)


def test_frost_comes_before_dew_below_freezing() -> None:
    found = dew_now(datetime(2026, 1, 9, tzinfo=UTC), -10.0, 70.0)
    assert found.frost
    assert found.frost_point_c is not None
    assert found.dew_point_c < found.frost_point_c < -10.0
    assert found.margin_k == pytest.approx(-10.0 - found.frost_point_c)
    assert "frost point" in found.words


def test_air_that_cannot_be_is_refused_and_dry_air_is_not() -> None:
    with pytest.raises(ValueError, match="no such air"):
        dew_point_c(10.0, 101.0)
    with pytest.raises(ValueError, match="no such air"):
        dew_point_c(math.nan, 50.0)
    assert dew_point_c(10.0, 0.0) < -50.0
    assert dew_point_c(10.0, 100.0) == pytest.approx(10.0)
