"""Vectors of orders: turning, mirroring and adding carry values and covariance alike."""

import math

import numpy as np
import pytest
from wobbles import order_one

from analysis.errors import BadInput
from analysis.numerics.order_vectors import OrderVectors, as_vectors, combined, exact

RNG = np.random.default_rng(5)
FIRST_DRAW = RNG.bit_generator.state


@pytest.fixture(autouse=True)
def draws_begin_anew() -> None:
    """Every test draws the same whichever ran before it."""
    RNG.bit_generator.state = FIRST_DRAW


def drawn(highest: int = 4) -> OrderVectors:
    z = RNG.normal(size=highest) + 1j * RNG.normal(size=highest)
    root = RNG.normal(size=(2 * highest, 2 * highest)) * 0.1
    return OrderVectors(z, root @ root.T, 20.0)


def test_turning_moves_the_curve_on_by_the_angle() -> None:
    one = drawn()
    phi = np.linspace(0, 2 * math.pi, 50)
    assert np.allclose(one.turned(0.7).curve(phi), one.curve(phi - 0.7), atol=1e-12)  # rounding


def test_turning_there_and_back_leaves_the_covariance() -> None:
    one = drawn()
    assert np.allclose(one.turned(1.1).turned(-1.1).covariance_mm2, one.covariance_mm2, atol=1e-12)


def test_turning_a_covariance_is_what_turned_draws_show() -> None:
    one = drawn(2)
    draws = RNG.multivariate_normal(np.zeros(4), one.covariance_mm2, 200_000)
    z = (draws[:, 0::2] + 1j * draws[:, 1::2]) * np.exp(1j * np.array([1, 2]) * 0.9)
    seen = np.cov(np.stack([z.real, z.imag], axis=2).reshape(-1, 4).T)
    # 200,000 draws: relative error of a variance about 1 / sqrt(100,000).
    assert np.allclose(one.turned(0.9).covariance_mm2, seen, atol=0.02 * np.trace(seen))


def test_a_mirrored_surface_reads_the_same_the_other_way_round() -> None:
    one = drawn()
    phi = np.linspace(0, 2 * math.pi, 50)
    assert np.allclose(one.mirrored().curve(phi), one.curve(-phi), atol=1e-12)


def test_a_sum_keeps_the_orders_that_both_have() -> None:
    assert (drawn(4) + drawn(2)).highest_order == 2


def test_variances_add_in_a_difference() -> None:
    a, b = drawn(), drawn()
    assert np.allclose((a - b).covariance_mm2, a.covariance_mm2 + b.covariance_mm2)


def test_degrees_of_freedom_of_two_alike_are_twice_one() -> None:
    a = OrderVectors(np.ones(1, complex), np.eye(2), 10.0)
    assert (a + a).dof == pytest.approx(20.0)  # Welch and Satterthwaite, two equal variances


def test_an_unsure_angle_turns_all_orders_together() -> None:
    one = exact([1.0, 0.5])
    widened = one.with_angle(0.01)
    # z moves by i n z u: 0.01 across for order 1, 2 x 0.5 x 0.01 for order 2, fully correlated.
    assert widened.covariance_mm2[1, 3] == pytest.approx(1e-4)


def test_only_leaves_the_orders_asked_for() -> None:
    assert list(np.abs(drawn(3).only([2]).z_mm) > 0) == [False, True, False]


def test_a_term_may_carry_a_factor_for_each_order() -> None:
    assert combined([(exact([1.0, 1.0]), np.array([1j, 2.0]))]).z_mm == pytest.approx([1j, 2.0])


def test_a_wobble_is_half_its_tir_at_its_high_side() -> None:
    assert order_one(0.2, 90.0) == pytest.approx(0.1j)


def test_pint_quantities_are_taken() -> None:
    import pint

    inch = pint.UnitRegistry().inch
    assert as_vectors(np.array([1.0, 2.0]) * inch).z_mm == pytest.approx([25.4, 50.8])


@pytest.mark.parametrize("value", [[], [[1.0, 2.0]], [math.nan]])
def test_what_is_no_row_of_finite_numbers_is_refused(value: object) -> None:
    with pytest.raises(BadInput, match="finite complex"):
        as_vectors(value)
