"""Orders fitted to readings: closed forms, symmetry, other roads and refusals."""

import math

import numpy as np
import pytest
import scipy.linalg

from analysis.errors import NotDecidable
from analysis.harmonics import Line, default_highest_order, fit_harmonics, harmonic_rows
from analysis.numerics.curve_extremes import evaluate, extremes
from analysis.numerics.linear_fit import least_squares

TWO_PI = 2 * math.pi
# Noiseless readings of about 0.1 mm, solved in binary64 at condition below 10: errors stay below 1e-15 mm.
ROUNDING_MM = 1e-14


@pytest.fixture
def rng():
    return np.random.default_rng(20)


def part(rng, highest=15):
    return 0.1 * rng.standard_normal(highest) / np.arange(1, highest + 1), 0.1 * rng.standard_normal(
        highest
    ) / np.arange(1, highest + 1)


def uneven(rng, n=700, turns=1):
    return np.sort(rng.uniform(0, TWO_PI * turns, n))


def noisy_sweep(rng, n=700, turns=1):
    angle = uneven(rng, n, turns)
    return angle, 2.0 + evaluate(*part(rng), angle) + 0.001 * rng.standard_normal(n)


# ---- closed forms


def test_noiseless_orders_come_back_from_uneven_angles(rng):
    angle, (a, b) = uneven(rng), part(rng)
    fit = fit_harmonics(angle, 3.0 + evaluate(a, b, angle), highest_order=15)
    assert np.abs(fit.vectors_mm - (a + 1j * b)).max() < ROUNDING_MM


def test_the_constant_comes_back(rng):
    angle = uneven(rng)
    fit = fit_harmonics(angle, 3.0 + evaluate(*part(rng), angle), highest_order=15)
    assert fit.constant_mm == pytest.approx(3.0, abs=1e-14)


def test_drift_is_told_from_the_part(rng):
    angle = uneven(rng, turns=3)
    t = angle * 0.7
    fit = fit_harmonics(angle, evaluate(*part(rng), angle) + 0.002 * t - 1.0, t, highest_order=15, drift=True)
    assert fit.drift_mm_per_s == pytest.approx(0.002, rel=1e-10)


def test_the_constant_with_drift_holds_at_time_zero(rng):
    angle = uneven(rng, turns=3)
    t = 100 + angle
    fit = fit_harmonics(angle, evaluate(*part(rng), angle) + 0.002 * t - 1.0, t, highest_order=15, drift=True)
    assert fit.constant_mm == pytest.approx(-1.0, abs=1e-12)


def test_a_known_line_is_told_from_the_part(rng):
    angle, (a, b) = uneven(rng, turns=3), part(rng)
    reading = evaluate(a, b, angle) + 0.004 * np.cos(0.41 * angle - 1.0)
    near = Line(0.41, 0.002, 0.003)
    fit = fit_harmonics(angle, reading, highest_order=15, lines=(near,))
    assert np.abs(fit.vectors_mm - (a + 1j * b)).max() < 1e-12


def test_an_eccentric_perfect_round_has_a_tir_of_twice_its_eccentricity(rng):
    # Closed form: r = e cos phi reads 2 e exactly, here to the rounding of the fit.
    angle = uneven(rng)
    fit = fit_harmonics(angle, 0.03 * np.cos(angle - 2.0), highest_order=15)
    assert fit.tir_mm == pytest.approx(0.06, abs=ROUNDING_MM)


def test_the_true_trace_of_an_eccentric_circle_has_the_same_tir_and_a_false_second_order(rng):
    # Distance from the axis to a circle of radius R off by e: TIR = 2 e exactly, false order 2 = e^2 / 4 R.
    e, radius, angle = 0.1, 5.0, uneven(rng)
    reading = e * np.cos(angle) + np.sqrt(radius**2 - (e * np.sin(angle)) ** 2) - radius
    fit = fit_harmonics(angle, reading, highest_order=15)
    assert fit.tir_mm == pytest.approx(2 * e, abs=1e-12)  # order 16 and up are below (e / R)^15
    assert fit.amplitude_mm[1] == pytest.approx(e**2 / (4 * radius), rel=2e-4)  # next term: (e / R)^2 / 4


def test_a_tilted_face_reads_two_r_tan_t():
    # numerics, section 6: r 100, t 0.05 deg -> 0.17453 mm.
    angle = np.arange(360) * TWO_PI / 360
    fit = fit_harmonics(angle, 100 * math.tan(math.radians(0.05)) * np.cos(angle), highest_order=15)
    assert round(fit.tir_mm, 5) == 0.17453


@pytest.mark.parametrize("seed", range(20))
def test_the_tir_lies_between_the_bounds_that_hold_for_any_profile(seed):
    # (pi / 2) A_k <= max - min <= 2 sum A_k: the lower end from the mean of |f| against a square wave.
    a, b = part(np.random.default_rng(seed))
    amplitude, tir = np.hypot(a, b), extremes(a, b).tir_mm
    assert math.pi / 2 * amplitude.max() <= tir <= 2 * amplitude.sum()


def test_the_tir_of_one_order_is_twice_its_amplitude():
    a, b = np.zeros(15), np.zeros(15)
    a[6], b[6] = 0.003, -0.004
    assert extremes(a, b).tir_mm == pytest.approx(0.01, rel=1e-14)


@pytest.mark.parametrize("seed", range(20))
def test_the_extremes_are_those_of_a_very_fine_grid(seed):
    a, b = part(np.random.default_rng(seed))
    fine = evaluate(a, b, np.linspace(0, TWO_PI, 200_001))
    found = extremes(a, b)
    # Between its points the curve rises by at most f'' step^2 / 8 above the grid.
    missed = float(np.sum(np.arange(1, 16) ** 2 * np.hypot(a, b))) * (TWO_PI / 200_000) ** 2 / 8
    assert found.highest_mm == pytest.approx(fine.max(), abs=missed)
    assert found.lowest_mm == pytest.approx(fine.min(), abs=missed)


def test_the_curve_at_the_high_point_is_the_highest_value(rng):
    a, b = part(rng)
    found = extremes(a, b)
    assert evaluate(a, b, np.array([found.high_rad]))[0] == pytest.approx(found.highest_mm, abs=1e-15)


def test_a_curve_of_no_height_has_no_runout():
    assert extremes(np.zeros(3), np.zeros(3)).tir_mm == 0.0


def test_white_noise_gives_the_reference_variance_of_an_amplitude():
    # var A = 2 sigma^2 / N for evenly spaced places.
    angle = np.arange(1000) * TWO_PI / 1000
    noise = np.random.default_rng(3).standard_normal(1000)
    fit = fit_harmonics(angle, 50 * np.cos(angle) + noise, highest_order=15)
    assert fit.covariance_mm2[0, 0] == pytest.approx(2 * fit.noise_mm**2 / 1000, rel=1e-10)


def test_the_residual_deviation_divides_by_readings_less_unknowns(rng):
    angle, reading = noisy_sweep(rng)
    fit = fit_harmonics(angle, reading, highest_order=15)
    assert fit.dof == 700 - 31
    assert fit.noise_mm == pytest.approx(math.sqrt(float(fit.residual_mm @ fit.residual_mm) / fit.dof))


# ---- half the places: cosine only


@pytest.mark.parametrize("start_deg", [0.0, 10.0])
def test_the_order_of_half_the_places_is_seen_with_factor_one(start_deg):
    angle = np.radians(start_deg) + np.arange(8) * TWO_PI / 8
    fit = fit_harmonics(angle, 0.01 * (-1.0) ** np.arange(8), highest_order=4)
    assert fit.amplitude_mm[3] == pytest.approx(0.01, rel=1e-12)


def test_two_turns_at_the_same_eight_places_leave_degrees_of_freedom(rng):
    angle = np.arange(16) * TWO_PI / 8
    fit = fit_harmonics(angle, rng.standard_normal(16), highest_order=4)
    assert fit.dof == 8


def test_exact_interpolation_owns_up_to_knowing_no_noise():
    angle = np.arange(8) * TWO_PI / 8
    fit = fit_harmonics(angle, np.arange(8.0), highest_order=4)
    assert math.isnan(fit.noise_mm)


# ---- symmetry


def test_turning_the_part_turns_every_phase_by_n_times_the_angle(rng):
    angle, reading = noisy_sweep(rng)
    here = fit_harmonics(angle, reading, highest_order=15)
    there = fit_harmonics(angle + 0.7, reading, highest_order=15)
    turned = here.vectors_mm * np.exp(1j * 0.7 * np.arange(1, 16))
    assert np.abs(there.vectors_mm - turned).max() < ROUNDING_MM


def test_turning_the_part_keeps_the_tir(rng):
    angle, reading = noisy_sweep(rng)
    here = fit_harmonics(angle, reading, highest_order=15)
    there = fit_harmonics(angle + 0.7, reading, highest_order=15)
    assert there.tir_mm == pytest.approx(here.tir_mm, abs=ROUNDING_MM)


def test_turning_the_part_turns_the_high_point(rng):
    angle, reading = noisy_sweep(rng)
    here = fit_harmonics(angle, reading, highest_order=15)
    there = fit_harmonics(angle + 0.7, reading, highest_order=15)
    # A flat top: an error of rounding in height is its square root in angle.
    assert there.high_point_rad == pytest.approx((here.high_point_rad + 0.7) % TWO_PI, abs=1e-7)


def test_the_mirrored_sense_conjugates_every_order(rng):
    angle, reading = noisy_sweep(rng)
    here = fit_harmonics(angle, reading, highest_order=15)
    mirrored = fit_harmonics(-angle, reading, highest_order=15)
    assert np.abs(mirrored.vectors_mm - here.vectors_mm.conj()).max() < ROUNDING_MM


def test_shuffled_readings_give_the_same_orders(rng):
    angle, reading = noisy_sweep(rng)
    order = rng.permutation(len(angle))
    here = fit_harmonics(angle, reading, highest_order=15)
    there = fit_harmonics(angle[order], reading[order], highest_order=15)
    assert np.abs(there.vectors_mm - here.vectors_mm).max() < ROUNDING_MM


def test_a_zero_set_elsewhere_leaves_the_orders_alone(rng):
    angle, reading = noisy_sweep(rng)
    here = fit_harmonics(angle, reading, highest_order=15)
    there = fit_harmonics(angle, reading + 7.0, highest_order=15)
    # Readings near 9 have a last place of 2e-15.
    assert np.abs(there.vectors_mm - here.vectors_mm).max() < ROUNDING_MM


def test_turned_upside_down_high_and_low_change_places(rng):
    a, b = part(rng)
    up, down = extremes(a, b), extremes(-a, -b)
    assert (up.high_rad, up.low_rad) == pytest.approx((down.low_rad, down.high_rad), abs=1e-9)


# ---- other roads


def full_design(angle, highest=15):
    waves = [wave(n * angle) for n in range(1, highest + 1) for wave in (np.cos, np.sin)]
    return np.column_stack([np.ones_like(angle), *waves])


def test_the_fit_is_that_of_a_general_least_squares_on_the_full_matrix(rng):
    angle, reading = noisy_sweep(rng)
    expected = scipy.linalg.lstsq(full_design(angle), reading)[0][1:]
    fit = fit_harmonics(angle, reading, highest_order=15)
    assert np.linalg.norm(fit.coefficients_mm - expected) < 1e-12 * np.linalg.norm(expected)


def test_estimates_and_covariance_are_those_of_statsmodels(rng):
    from statsmodels.regression.linear_model import OLS

    angle, reading = noisy_sweep(rng)
    expected = OLS(reading, full_design(angle)).fit()
    fit = fit_harmonics(angle, reading, highest_order=15)
    assert fit.coefficients_mm == pytest.approx(expected.params[1:], abs=1e-14)
    assert fit.covariance_mm2 == pytest.approx(expected.cov_params()[1:, 1:], rel=1e-9, abs=1e-20)


def test_amplitude_and_phase_are_those_of_a_nonlinear_fit_by_lmfit(rng):
    import lmfit

    angle, reading = noisy_sweep(rng)
    fit = fit_harmonics(angle, reading, highest_order=2)

    def misfit(p):
        v = p.valuesdict()
        return v["c"] + v["A1"] * np.cos(angle - v["p1"]) + v["A2"] * np.cos(2 * (angle - v["p2"])) - reading

    start = lmfit.Parameters()
    for name, value in (("c", 2.0), ("A1", 0.1), ("p1", fit.high_place_rad(1) + 0.2), ("A2", 0.05)):
        start.add(name, value)
    start.add("p2", fit.high_place_rad(2) + 0.1)
    found = lmfit.minimize(misfit, start).params
    # The iteration stops at a relative change of 1e-8 or so.
    assert found["A1"].value == pytest.approx(fit.amplitude_mm[0], rel=1e-6)
    assert found["p2"].value == pytest.approx(fit.high_place_rad(2), abs=1e-5)


def test_evenly_spaced_places_give_the_discrete_fourier_sums(rng):
    reading = rng.standard_normal(360)
    fit = fit_harmonics(np.arange(360) * TWO_PI / 360, reading, highest_order=15)
    assert fit.vectors_mm == pytest.approx(2 / 360 * np.fft.fft(reading)[1:16].conj(), abs=1e-14)


def test_a_sweep_summed_in_blocks_gives_the_fit_in_one(rng):
    angle, reading = noisy_sweep(rng, n=150_000, turns=3)
    expected = least_squares(harmonic_rows(angle, 3).T, reading).estimates[1:]
    fit = fit_harmonics(angle, reading, highest_order=3)
    assert fit.coefficients_mm == pytest.approx(expected, abs=1e-13)


def test_a_badly_spread_sweep_is_solved_as_well_as_by_orthogonal_factors(rng):
    angle = rng.uniform(0.6, TWO_PI, 500)
    reading = 2 + evaluate(*part(rng), angle) + 0.001 * rng.standard_normal(500)
    fit = fit_harmonics(angle, reading, highest_order=15)
    expected = least_squares(full_design(angle), reading).estimates[1:]
    assert fit.condition > 20
    assert fit.coefficients_mm == pytest.approx(expected, abs=1e-12)


def test_each_order_turned_once_more_is_its_cosine(rng):
    angle = uneven(rng, turns=5)
    # 30 * 31 rad have a last place of 1e-13 themselves.
    assert np.abs(harmonic_rows(angle, 30).T - full_design(angle, 30)).max() < 2e-13


# ---- refusals and defaults


def test_a_short_arc_is_refused_with_its_gap():
    angle = np.linspace(0, math.radians(60), 500)
    with pytest.raises(NotDecidable, match="gap of 300 deg"):
        fit_harmonics(angle, np.cos(angle), highest_order=15)


def test_three_fifths_of_a_turn_are_refused_though_the_rank_is_full():
    angle = np.linspace(0, math.radians(216), 500)
    with pytest.raises(NotDecidable, match="close the gap"):
        fit_harmonics(angle, np.cos(angle), highest_order=15)


def test_a_bolt_hole_left_out_is_no_reason_to_refuse():
    angle = np.linspace(math.radians(10), math.radians(350), 500)
    assert fit_harmonics(angle, np.cos(angle), highest_order=15).condition < 10


def test_too_few_readings_are_refused():
    with pytest.raises(NotDecidable, match="at least 31 are needed"):
        fit_harmonics(np.arange(20.0), np.zeros(20), highest_order=15)


def test_six_places_do_not_carry_three_orders_when_unevenly_spread():
    angle = np.radians([0, 10, 20, 30, 40, 50, 60.0])
    with pytest.raises(NotDecidable):
        fit_harmonics(angle, np.zeros(7), highest_order=3)


def test_drift_without_times_is_refused():
    with pytest.raises(ValueError, match="hand over t_s"):
        fit_harmonics(np.arange(40.0), np.zeros(40), highest_order=3, drift=True)


@pytest.mark.parametrize(
    ("per_turn", "places", "expected"),
    [(1000, 1000, 15), (110, 110, 15), (72, 72, 10), (10, 10, 1), (3, 3, 1), (1000, 12, 5)],
)
def test_the_default_highest_order_asks_for_seven_new_values_an_undulation(per_turn, places, expected):
    assert default_highest_order(per_turn, places) == expected


def test_two_places_carry_no_order():
    with pytest.raises(NotDecidable, match="at least 3"):
        default_highest_order(1000, 2)


# ---- general least squares


def test_columns_of_very_different_size_are_solved_alike(rng):
    x = rng.standard_normal((50, 4))
    y = rng.standard_normal(50)
    size = np.array([1e-9, 1.0, 1e6, 1e12])
    assert least_squares(x * size, y).estimates * size == pytest.approx(
        least_squares(x, y).estimates, rel=1e-12
    )


def test_columns_that_are_the_same_are_refused():
    column = np.arange(10.0)
    with pytest.raises(NotDecidable, match="cannot be told apart"):
        least_squares(np.column_stack([column, column]), column)


def test_fewer_readings_than_unknowns_are_refused():
    with pytest.raises(NotDecidable, match="take at least 3"):
        least_squares(np.ones((2, 3)), np.ones(2))
