"""Orders of the virtual bench: closed forms and symmetries."""

import math

import pytest
from hypothesis import given, strategies as st

from logger.practice.bench.orders import Orders, extremes, runout

GRID_DEG = 1e-3  # a parabola through three of 7200 places finds a smooth extreme far better than a place
ROUND = 1e-12  # float64 sums of a few terms below 1 mm


def test_one_order_is_highest_where_it_was_put() -> None:
    curve = extremes(runout(0.142, 63.0))
    assert curve.high_point_deg == pytest.approx(63.0, abs=GRID_DEG)


@pytest.mark.parametrize("n", [1, 2, 3, 7])
def test_one_order_alone_has_the_tir_it_was_given(n: int) -> None:
    assert extremes(runout(0.06, 20.0, n)).tir_mm == pytest.approx(0.06, abs=1e-9)  # grid's second order


def test_two_cosines_have_the_extremes_of_school_calculus() -> None:
    # cos x + cos 2x: highest 2 at 0; lowest where cos x = -1/4, there -1/4 + 2/16 - 1 = -9/8.
    curve = extremes(runout(2.0, 0.0) + runout(2.0, 0.0, n=2))
    assert (curve.high_mm, curve.low_mm) == pytest.approx((2.0, -1.125), abs=1e-9)


def test_the_lowest_place_of_two_cosines_is_at_its_closed_form() -> None:
    low = extremes(runout(2.0, 0.0) + runout(2.0, 0.0, n=2)).low_point_deg
    assert low is not None
    assert min(low, 360.0 - low) == pytest.approx(math.degrees(math.acos(-0.25)), abs=GRID_DEG)


@given(st.floats(0.0, 360.0), st.floats(-720.0, 720.0))
def test_turning_moves_the_high_side_and_keeps_the_tir(high_deg: float, by_deg: float) -> None:
    turned = runout(0.1, high_deg).turned(by_deg)
    assert turned.tir_first_mm == pytest.approx(0.1, abs=ROUND)
    assert turned.high_side_deg is not None
    away = (turned.high_side_deg - high_deg - by_deg + 180.0) % 360.0 - 180.0
    assert away == pytest.approx(0.0, abs=1e-9)  # degrees, float64 of angles below 1000


def test_two_equal_runouts_on_opposite_sides_take_each_other_out() -> None:
    assert (runout(0.1, 10.0) + runout(0.1, 190.0)).tir_first_mm == pytest.approx(0.0, abs=ROUND)


def test_a_flat_surface_has_no_high_place() -> None:
    flat = Orders()
    assert (flat.high_side_deg, extremes(flat).high_point_deg) == (None, None)


def test_orders_and_their_negative_read_nothing_together() -> None:
    orders = runout(0.1, 33.0) + runout(0.02, 5.0, n=3)
    assert extremes(orders + -orders).tir_mm == pytest.approx(0.0, abs=ROUND)
