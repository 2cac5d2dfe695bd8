"""Quantiles and tails against closed forms and printed tables."""

import math

import pytest

from analysis.numerics.quantiles import f_upper_tail, normal_quantile, t_quantile

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
