"""Separation by order: golden vectors, noise factors, what cannot be told, and the best position to add."""

import itertools
import math

import numpy as np
import pytest
from brute_force import best_next_position_deg
from wobbles import order_one

from analysis import separate
from analysis.correction.cut_prediction import half_turn_reading
from analysis.errors import BadInput
from analysis.numerics.order_vectors import OrderVectors
from analysis.separation.by_position import best_next_deg, noise_factors

RNG = np.random.default_rng(11)
FIRST_DRAW = RNG.bit_generator.state


@pytest.fixture(autouse=True)
def draws_begin_anew() -> None:
    """Every test draws the same whichever ran before it."""
    RNG.bit_generator.state = FIRST_DRAW


def reads(part: np.ndarray, spindle: np.ndarray, deg: float) -> np.ndarray:
    n = np.arange(1, len(part) + 1)
    return part * np.exp(1j * n * math.radians(deg)) + spindle


# Plan, section 3: P 20/6/3 and S 9/4/1 (TIR, all at angle 0) at orders 1, 2, 3.
P = np.array([10.0, 3.0, 1.5], complex)
S = np.array([4.5, 2.0, 0.5], complex)
HALF_TURN = separate([reads(P, S, 0), reads(P, S, 180)], [0, 180])


@pytest.mark.parametrize(("n", "tir"), [(1, 20.0), (3, 3.0)])
def test_a_half_turn_gives_the_odd_orders_of_the_part(n: int, tir: float) -> None:
    found = HALF_TURN.orders[n - 1].part_mm
    assert found is not None
    assert 2 * abs(found) == pytest.approx(tir, abs=1e-12)


def test_a_half_turn_gives_no_number_for_order_two() -> None:
    order = HALF_TURN.orders[1]
    assert (order.part_mm, order.spindle_mm, order.u_part_mm, order.noise_factor) == (None,) * 4


def test_equal_tirs_before_the_cut_hide_a_spindle() -> None:
    found = separate([[order_one(0.124770, 73.869)], [order_one(0.124814, 226.049)]], [0, 180])
    spindle = found.spindle
    # The golden vectors are printed to 1e-6 mm and 0.001 deg.
    assert (spindle.tir_first_mm, spindle.high_side_deg) == pytest.approx((0.0300, 150.0), abs=0.03)
    assert spindle.tir_first_mm == pytest.approx(0.0300, abs=5e-6)


@pytest.mark.parametrize(
    ("angles", "factors"),
    [  # Plan, section 3: noise factors by order, None = cannot be separated.
        ((0, 180), (0.71, None)),
        ((0, 90), (1.00, 0.71, 1.00, None)),
        ((0, 120, 240), (0.58, 0.58, None)),
        ((0, 60, 180), (0.61, 0.71, 0.61, 0.71, 0.61, None)),
        ((0, 72), (1.20, 0.74, 0.74, 1.20, None)),
        ((0, 144), (0.74, 1.20, 1.20, 0.74, None)),
    ],
)
def test_noise_factors_are_those_of_the_table(angles: tuple[int, ...], factors: tuple) -> None:
    found = noise_factors([math.radians(deg) for deg in angles], len(factors))
    expected = [math.inf if each is None else each for each in factors]
    assert list(found) == pytest.approx(expected, abs=0.005)  # two printed digits


@pytest.mark.parametrize("angles", [(0, 72), (15, 87, 195), (0, 100, 250)])
def test_random_part_and_spindle_come_back(angles: tuple[int, ...]) -> None:
    part, spindle = (RNG.normal(size=4) + 1j * RNG.normal(size=4) for _ in range(2))
    found = separate([reads(part, spindle, deg) for deg in angles], angles)
    assert found.part.z_mm == pytest.approx(part, abs=1e-12)
    assert found.spindle.z_mm == pytest.approx(spindle, abs=1e-12)


def test_the_uncertainty_is_the_noise_factor_times_the_noise() -> None:
    sigma = 0.3
    sweeps = [OrderVectors(reads(P, S, deg), sigma**2 * np.eye(6), 50.0) for deg in (0, 90)]
    found = separate(sweeps, [0, 90])
    assert found.orders[0].u_part_mm == pytest.approx(1.00 * sigma)
    assert found.orders[1].u_spindle_mm == pytest.approx(sigma / math.sqrt(2))


@pytest.mark.parametrize(("angles", "lost"), [((0, 180), (2, 4, 6)), ((0, 72), (5,)), ((30, 30), (1, 2, 3))])
def test_what_looks_alike_at_all_positions_is_named(angles: tuple[int, int], lost: tuple[int, ...]) -> None:
    flat = np.zeros(6, complex)
    found = separate([reads(flat, flat, deg) for deg in angles], angles)
    assert set(lost) <= set(found.not_separable)


def test_all_angles_equal_cannot_be_separated_at_all() -> None:
    found = separate([P, P], [40, 40])
    assert (found.first_separable, found.not_separable) == (False, (1, 2, 3))


def test_the_arbor_alone_and_one_mounting_separate_every_order() -> None:
    found = separate([S, reads(P, S, 40)], [None, 40])
    assert found.not_separable == ()
    assert found.part.z_mm == pytest.approx(P, abs=1e-12)
    assert found.spindle.z_mm == pytest.approx(S, abs=1e-12)


@pytest.mark.parametrize("angles", [(None, 0), (None, 0, 0), (None, None, 10, 130)])
def test_with_the_arbor_alone_the_noise_is_that_of_the_normal_equations(angles: tuple) -> None:
    """Another road: the normal equations inverted, order by order."""
    rad = [None if deg is None else math.radians(deg) for deg in angles]
    for n, factor in enumerate(noise_factors(rad, 6), 1):
        e = np.array([0.0 if one is None else np.exp(1j * n * one) for one in rad])
        design = np.stack([e, np.ones_like(e)], axis=1)
        gram = np.linalg.inv(design.conj().T @ design)
        assert factor == pytest.approx(math.sqrt(gram[0, 0].real))


def test_a_perfect_cut_is_a_sweep_of_nothing_where_it_was_made() -> None:
    # After the cut at 0 the part and its seat are minus the spindle's share, as the arbor stood then.
    found = separate([half_turn_reading(S, 100.0), np.zeros(3)], [100, 0])
    assert found.spindle.z_mm == pytest.approx(S, abs=1e-12)
    assert found.part.z_mm == pytest.approx(-S, abs=1e-12)


@pytest.mark.parametrize("angles", [(0,), (0, 180), (0, 72), (0, 60, 180), (10, 10)])
def test_the_best_next_position_is_right_by_brute_force(angles: tuple[int, ...]) -> None:
    assert best_next_deg(angles) == best_next_position_deg(angles)


def test_seen_from_the_far_end_it_is_the_mirror_image() -> None:
    deg = (0.0, 100.0)
    near = separate([reads(P, S, each) for each in deg], deg)
    far = separate([reads(P, S, each).conj() for each in deg], [-each for each in deg])
    assert far.part.z_mm == pytest.approx(near.part.z_mm.conj(), abs=1e-12)


def test_ten_degrees_off_by_eye_puts_nine_hundredths_of_the_part_into_the_spindle() -> None:
    part, none = np.array([1.0 + 0j]), np.array([0j])
    found = separate([reads(part, none, 0), reads(part, none, 170)], [0, 180])
    assert abs(found.spindle.z_mm[0]) == pytest.approx(0.087, abs=0.0005)  # plan: 8.7 %


@pytest.mark.parametrize(
    ("sweeps", "angles", "words"),
    [
        ([P], [0], "at least two"),
        ([P, P], [0], "one angle to each"),
        ([P, P], [0, math.nan], "not a finite number"),
        ([P, P], [None, None], "arbor alone in every sweep"),
    ],
)
def test_too_little_is_refused(sweeps: list, angles: list, words: str) -> None:
    with pytest.raises(BadInput, match=words):
        separate(sweeps, angles)


def test_more_positions_never_make_it_noisier() -> None:
    for extra in range(1, 360, 30):
        angles = [0.0, math.radians(100), math.radians(extra)]
        pairs = [noise_factors(list(pair), 1)[0] for pair in itertools.combinations(angles, 2)]
        assert noise_factors(angles, 1)[0] <= min(pairs) + 1e-12
