"""Highest and lowest point of a sum of orders: closed forms and symmetry."""

import math

import numpy as np
import pytest

from analysis.numerics.curve_extremes import evaluate, extremes, on_grid

LAST_PLACES = 1e-12


def drawn(seed: int, highest: int = 15) -> tuple[np.ndarray, np.ndarray]:
    rng = np.random.default_rng(seed)
    return rng.normal(size=highest), rng.normal(size=highest)


def test_one_order_is_high_at_its_phase_over_n() -> None:
    cos_mm, sin_mm = np.zeros(3), np.zeros(3)
    cos_mm[0], sin_mm[0] = math.cos(1.1), math.sin(1.1)
    assert extremes(cos_mm, sin_mm).high_rad == pytest.approx(1.1, abs=LAST_PLACES)


def test_one_order_is_low_half_an_undulation_on() -> None:
    assert extremes(np.array([1.0]), np.array([0.0])).low_rad == pytest.approx(math.pi, abs=LAST_PLACES)


def test_two_orders_have_the_height_of_their_closed_form() -> None:
    """cos x + cos 2x: 2 at 0, lowest -9/8 where cos x = -1/4 (closed form)."""
    found = extremes(np.array([1.0, 1.0]), np.zeros(2))
    assert (found.highest_mm, found.lowest_mm) == pytest.approx((2.0, -9 / 8), abs=LAST_PLACES)


def test_the_lowest_place_is_where_the_cosine_is_a_quarter_below_nothing() -> None:
    low = extremes(np.array([1.0, 1.0]), np.zeros(2)).low_rad
    assert math.cos(low) == pytest.approx(-0.25, abs=1e-7)  # a flat bottom: root of the last places


@pytest.mark.parametrize("seed", range(20))
def test_turning_the_curve_turns_both_places(seed: int) -> None:
    cos_mm, sin_mm = drawn(seed)
    z = (cos_mm + 1j * sin_mm) * np.exp(1j * np.arange(1, 16) * 0.7)
    plain, turned = extremes(cos_mm, sin_mm), extremes(z.real, z.imag)
    assert [turned.high_rad, turned.low_rad] == pytest.approx(
        [(plain.high_rad + 0.7) % (2 * math.pi), (plain.low_rad + 0.7) % (2 * math.pi)], abs=1e-9
    )


@pytest.mark.parametrize("seed", range(20))
def test_upside_down_high_and_low_change_places(seed: int) -> None:
    cos_mm, sin_mm = drawn(seed)
    plain, other = extremes(cos_mm, sin_mm), extremes(-cos_mm, -sin_mm)
    assert (plain.high_rad, plain.highest_mm) == pytest.approx(
        (other.low_rad, -other.lowest_mm), abs=LAST_PLACES
    )


@pytest.mark.parametrize("seed", range(20))
def test_no_point_of_a_fine_grid_lies_outside(seed: int) -> None:
    cos_mm, sin_mm = drawn(seed)
    values, found = on_grid(cos_mm, sin_mm, 1 << 14), extremes(cos_mm, sin_mm)
    assert values.max() <= found.highest_mm + LAST_PLACES
    assert values.min() >= found.lowest_mm - LAST_PLACES


def test_the_grid_holds_the_values_of_the_curve() -> None:
    cos_mm, sin_mm = drawn(1)
    angle = np.linspace(0.0, 2 * math.pi, 64, endpoint=False)
    assert on_grid(cos_mm, sin_mm, 64) == pytest.approx(evaluate(cos_mm, sin_mm, angle), abs=LAST_PLACES)


def test_many_curves_go_on_a_grid_at_once() -> None:
    cos_mm, sin_mm = drawn(1)
    both = on_grid(np.array([cos_mm, 2 * cos_mm]), np.array([sin_mm, 2 * sin_mm]), 64)
    assert both[1] == pytest.approx(2 * both[0], abs=LAST_PLACES)


@pytest.mark.parametrize("derivative", [1, 2])
def test_derivatives_are_those_of_small_steps(derivative: int) -> None:
    cos_mm, sin_mm = drawn(1, 4)
    angle, h = np.array([0.3, 2.0]), 1e-4
    before, here, after = (evaluate(cos_mm, sin_mm, angle + s, derivative - 1) for s in (-h, 0.0, h))
    assert here.shape == (2,)
    # Central differences: h^2 / 6 times a third derivative of up to 4^4 amplitudes.
    assert evaluate(cos_mm, sin_mm, angle, derivative) == pytest.approx((after - before) / (2 * h), abs=1e-5)


def test_a_curve_of_no_height_lies_at_nothing() -> None:
    assert extremes(np.zeros(3), np.zeros(3)).tir_mm == 0.0
