"""Quantiles and tails against closed forms and printed tables."""

import math

import numpy as np
import pytest
import scipy
from hypothesis import given, strategies as st

from analysis.numerics.quantiles import f_upper_tail, normal_cdf, normal_quantile, t_quantile

# Tables give the digits stated; the functions are good to about 1e-14.
EXACT = 1e-12


def test_the_normal_quantile_of_a_half_is_zero():
    assert normal_quantile(0.5) == 0.0


def test_the_normal_quantile_agrees_with_the_usual_table():
    assert round(normal_quantile(0.975), 6) == 1.959964


def test_t_with_one_degree_of_freedom_is_the_tangent_of_an_angle():
    assert t_quantile(0.95, 1) == pytest.approx(math.tan(0.45 * math.pi), rel=EXACT)


def test_t_with_two_degrees_of_freedom_has_its_closed_form():
    p = 0.95
    assert t_quantile(p, 2) == pytest.approx((2 * p - 1) / math.sqrt(2 * p * (1 - p)), rel=EXACT)


@pytest.mark.parametrize(("dof", "printed"), [(2, 2.92), (4, 2.13), (8, 1.86)])
def test_t_agrees_with_the_guard_band_factors_of_the_plan(dof, printed):
    assert round(t_quantile(0.95, dof), 2) == printed


def test_t_with_infinite_degrees_of_freedom_is_normal():
    assert t_quantile(0.95, math.inf) == normal_quantile(0.95)


def test_f_with_two_numerator_degrees_has_its_closed_form():
    f, d2 = 3.7, 11
    assert f_upper_tail(f, 2, d2) == pytest.approx((1 + 2 * f / d2) ** (-d2 / 2), rel=EXACT)


def test_f_of_one_numerator_degree_is_t_squared():
    # Twice the tail beyond t: t_quantile undone.
    assert f_upper_tail(t_quantile(0.99, 7) ** 2, 1, 7) == pytest.approx(0.02, rel=1e-10)


def test_f_with_infinite_denominator_degrees_is_a_scaled_chi_square():
    assert f_upper_tail(3.0, 2, math.inf) == pytest.approx(math.exp(-3.0), rel=EXACT)


@pytest.mark.parametrize("p", [0.0, 1.0, -0.1, math.nan])
def test_a_quantile_refuses_what_is_no_probability(p):
    with pytest.raises(ValueError, match="not between 0 and 1"):
        t_quantile(p, 5)


@pytest.mark.parametrize("dof", [0, -1, math.nan])
def test_a_quantile_refuses_no_degrees_of_freedom(dof):
    with pytest.raises(ValueError, match="take more readings"):
        t_quantile(0.95, dof)


# --- against another library, scipy.special, everywhere that a sweep may come to -----------------------

CLOSE = 1e-12
FAR = 1e-9
"""Past ten thousand degrees of freedom 1 - x has lost digits before it comes here, in scipy as well."""
LOGARITHMS = st.floats(-0.3, 6.5)


@given(st.integers(1, 120), LOGARITHMS, st.floats(-3.0, 1.5))
def test_the_tail_of_f_is_that_of_another_library(d1: int, log_d2: float, log_f: float):
    d2, f = 10.0**log_d2, 10.0**log_f
    judge = float(scipy.special.fdtrc(d1, d2, f))
    found = f_upper_tail(f, d1, d2)
    if judge == 0.0:  # where the judge underflows, as at 1e-264, it cannot say how small
        assert found < 1e-250
        return
    assert found == pytest.approx(judge, rel=CLOSE * 10 if d2 < 1e4 else FAR, abs=1e-280)


@given(st.integers(1, 120), st.floats(-3.0, 2.0))
def test_the_tail_of_chi_squared_is_that_of_another_library(d1: int, log_f: float):
    judge = float(scipy.special.chdtrc(d1, d1 * 10.0**log_f))
    assert f_upper_tail(10.0**log_f, d1, math.inf) == pytest.approx(judge, rel=CLOSE, abs=1e-280)


@given(st.floats(1e-9, 1.0 - 1e-9), LOGARITHMS)
def test_the_quantile_of_t_is_that_of_another_library(p: float, log_dof: float):
    judge = float(scipy.special.stdtrit(10.0**log_dof, p))
    assert t_quantile(p, 10.0**log_dof) == pytest.approx(judge, rel=FAR, abs=1e-9)


@given(st.floats(1e-300, 1.0 - 1e-12))
def test_the_normal_quantile_is_that_of_another_library(p: float):
    assert normal_quantile(p) == pytest.approx(float(scipy.special.ndtri(p)), rel=CLOSE, abs=CLOSE)


def test_the_normal_distribution_is_that_of_another_library():
    z = np.linspace(-38.0, 38.0, 2001)
    assert normal_cdf(z) == pytest.approx(scipy.special.ndtr(z), rel=1e-12, abs=1e-300)


@pytest.mark.parametrize(("f", "tail"), [(0.0, 1.0), (math.inf, 0.0)])
def test_the_ends_of_f(f: float, tail: float):
    assert f_upper_tail(f, 3, 20) == tail
