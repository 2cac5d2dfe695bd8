"""The first order: its interval, and the high side."""

import math
from dataclasses import replace

import numpy as np
import pytest
from made_sweeps import made, wobble

from analysis.harmonics import HarmonicFit, fit_harmonics
from analysis.uncertainty.first_order import FirstOrderEstimate, first_interval, polar_uncertainties
from analysis.uncertainty.tir_limits import draw_errors

NOISE_MM = 0.001


def fitted(tir_mm: float = 0.1) -> HarmonicFit:
    sweep = made(wobble(tir_mm), noise_mm=NOISE_MM)
    return fit_harmonics(sweep.angle_rad, sweep.reading_mm, highest_order=3)


def known(fit: HarmonicFit, *, steps_mm: float = 0.0, counted: bool = False) -> FirstOrderEstimate:
    draws = draw_errors(fit.covariance_mm2, fit.dof, np.random.default_rng(1))
    return first_interval(fit, fit.covariance_mm2, fit.dof, draws, steps_mm, counted=counted)


def test_the_value_is_twice_the_amplitude() -> None:
    fit = fitted()
    assert known(fit).tir_first.value == 2 * float(fit.amplitude_mm[0])


def test_its_standard_uncertainty_is_twice_that_of_the_amplitude() -> None:
    fit = fitted()
    assert known(fit).tir_first.u == pytest.approx(
        2 * float(polar_uncertainties(fit, fit.covariance_mm2)[0][0]), rel=1e-12
    )


def test_the_high_side_is_known_to_noise_over_amplitude() -> None:
    """u = sigma sqrt(2 / N) / A (closed form)."""
    expected = NOISE_MM * math.sqrt(2 / 1440) / 0.05
    # The noise is estimated by 1433 degrees of freedom: 1.9 %, four of them.
    assert known(fitted()).high_side.u == pytest.approx(math.degrees(expected), rel=0.08)


def test_its_interval_lies_evenly_about_it() -> None:
    side = known(fitted()).high_side
    low, high = side.interval()
    assert high - side.value == pytest.approx(side.value - low, rel=1e-9)


def test_counted_from_draws_it_is_the_same_for_normal_errors() -> None:
    by_t, by_draws = (known(fitted(), counted=counted).high_side.interval() for counted in (False, True))
    # Quantiles counted in 4000 draws: 4 % each.
    assert by_draws[1] - by_draws[0] == pytest.approx(by_t[1] - by_t[0], rel=0.1)


def test_counted_from_draws_a_skew_error_is_skew_the_other_way() -> None:
    fit = fitted()
    error = np.zeros((1000, 6))
    side = fit.coefficients_mm[:2] / float(fit.amplitude_mm[0])
    # Errors across the vector, always ahead: the truth lies behind the estimate.
    error[:, :2] = np.linspace(0.0, 0.005, 1000)[:, None] * np.array([-side[1], side[0]])
    side = first_interval(fit, fit.covariance_mm2, fit.dof, error, counted=True).high_side
    low, high = side.interval()
    assert high == pytest.approx(side.value, abs=math.degrees(1e-4))
    assert side.value - low > math.degrees(0.05)


def test_steps_join_each_half_width_in_quadrature() -> None:
    plain, coarse = (known(fitted(), steps_mm=steps).tir_first for steps in (0.0, 0.004))
    expected = math.hypot(plain.interval()[1] - plain.value, 0.004)
    assert coarse.interval()[1] - coarse.value == pytest.approx(expected, rel=1e-9)


def test_no_limit_lies_below_nothing() -> None:
    assert known(fitted(0.0001)).tir_first.interval()[0] == 0.0


def test_of_no_first_order_no_direction_is_known() -> None:
    fit = fitted()
    none = replace(fit, cos_mm=np.zeros(3), sin_mm=np.zeros(3))
    assert known(none).high_side.u == 180.0


def test_of_no_first_order_the_uncertainty_is_that_of_a_component() -> None:
    fit = fitted()
    none = replace(fit, cos_mm=np.zeros(3), sin_mm=np.zeros(3))
    expected = math.sqrt(float(np.trace(fit.covariance_mm2[:2, :2])) / 2)
    assert polar_uncertainties(none, fit.covariance_mm2)[0][0] == pytest.approx(expected, rel=1e-12)
