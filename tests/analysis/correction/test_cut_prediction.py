"""Mount vectors and what a cut leaves: golden vectors, a rigid body in space, and honest intervals."""

import math

import numpy as np
import pytest
from rigid_body import IN_BEARINGS, Face, Round, on_lathe, orders_of
from wobbles import order_one

from analysis import predict_cut
from analysis.correction.cut_prediction import advise, explain_half_turn, half_turn_reading, mounting_scatter
from analysis.errors import BadInput
from analysis.numerics.order_vectors import OrderVectors, exact

PART, SEAT, SPINDLE = order_one(0.142, 63), order_one(0.022, 260), order_one(0.030, 150)


def wind_pump(u_mm: float = 0.0, dirt: complex = 0j):
    own = OrderVectors(np.array([PART]), u_mm**2 * np.eye(2), 60.0)
    lathe = OrderVectors(np.array([PART + SEAT + SPINDLE + dirt]), u_mm**2 * np.eye(2), 60.0)
    return predict_cut(own, lathe)


def test_the_mount_vector_is_seat_and_spindle() -> None:
    found = wind_pump().mount_first
    # Golden vectors: 0.0305 @ 192.6.
    assert found.tir_first.value == pytest.approx(0.0305, abs=5e-5)
    assert found.high_side.value == pytest.approx(192.6, abs=0.05)


def test_a_perfect_cut_leaves_minus_the_mount_vector() -> None:
    found = wind_pump().predicted
    assert found.tir_first_mm == pytest.approx(0.0305, abs=5e-5)
    assert found.high_side_deg == pytest.approx(12.6, abs=0.05)


def test_a_burr_under_the_cone_asks_for_another_mounting() -> None:
    advice, _ = advise(wind_pump(1e-5, order_one(0.090, 20)), 0.050)
    assert advice == "mount-again"


def test_the_cleaned_cone_is_good_enough() -> None:
    assert advise(wind_pump(1e-5), 0.050)[0] == "mounting-good"


def test_a_limit_within_the_uncertainty_is_not_decided() -> None:
    assert advise(wind_pump(1e-3), 0.0310)[0] == "undecided"


def test_a_refused_check_leaves_it_undecided() -> None:
    assert advise(wind_pump(1e-5), 0.050, refused=["tip: at its stop"])[0] == "undecided"


def test_radial_tir_is_twice_the_eccentricity() -> None:
    """Common practice, no source."""
    advice, decision = advise(wind_pump(1e-6), 0.016, quantity="eccentricity")
    assert (advice, decision.number.value) == ("mounting-good", pytest.approx(0.0305 / 2, abs=5e-5))


def test_a_limit_of_another_quantity_is_refused() -> None:
    with pytest.raises(BadInput, match="not decided by a mounting"):
        advise(wind_pump(), 0.05, quantity="form")


def test_a_half_turn_after_the_cut_reads_twice_the_spindle() -> None:
    found = half_turn_reading([SPINDLE])
    assert found.tir_first_mm == pytest.approx(0.060, abs=1e-12)
    assert found.high_side_deg == pytest.approx(150.0)


def test_three_thou_at_a_half_turn_mean_one_and_a_half_of_arbor_and_cones() -> None:
    """Common practice, no source."""
    found = explain_half_turn([order_one(0.003, 20)])
    assert found.spindle.tir_first_mm == pytest.approx(0.0015)


def test_a_half_turn_is_blind_to_even_orders() -> None:
    found = explain_half_turn(np.ones(6, complex))
    assert (found.blind_orders, list(found.spindle.z_mm[1::2])) == ((2, 4, 6), [0, 0, 0])


def test_a_half_turn_does_not_see_the_seat() -> None:
    seat_only = half_turn_reading([0j])
    assert seat_only.tir_first_mm == 0.0


def test_another_radius_scales_the_plane() -> None:
    found = predict_cut(
        [order_one(0.10, 0)], [order_one(0.06, 0)], bearings_radius_mm=100.0, lathe_radius_mm=50.0
    )
    # At half the radius the bearings would have read 0.05: the mount vector is 0.01 there, 0.02 at 100 mm.
    assert found.mount.tir_first_mm == pytest.approx(0.01)
    assert found.predicted.tir_first_mm == pytest.approx(0.02)


@pytest.mark.parametrize("lathe_mm", [50.0, 200.0])
def test_another_radius_counts_in_axial_motion_that_was_not_seen(lathe_mm: float) -> None:
    """Own derivation: the cut leaves the motion once, the reading brought to another radius holds it R'/R times."""
    rng = np.random.default_rng(5)
    ratio, u_mm, held, sweeps = 100.0 / lathe_mm, 2e-5, 0, 400
    for _ in range(sweeps):
        part, mount = (order_one(0.1 * rng.uniform(0.2, 1.0), rng.uniform(0, 360)) for _ in range(2))
        motion = order_one(0.005 * rng.uniform(), rng.uniform(0, 360))
        noise = u_mm * (rng.standard_normal(2) + 1j * rng.standard_normal(2))
        own = OrderVectors(np.array([part + noise[0]]), u_mm**2 * np.eye(2), 60.0)
        lathe = OrderVectors(
            np.array([(part + mount) / ratio + motion + noise[1]]), u_mm**2 * np.eye(2), 60.0
        )
        found = predict_cut(own, lathe, bearings_radius_mm=100.0, lathe_radius_mm=lathe_mm)
        low, high = found.tir.interval()
        held += low <= 2.0 * abs(mount + motion) <= high
    # 95 %; fewer than 359 of 400 come once in ten thousand. Without the motion counted in it is one in six.
    assert held >= 359


def test_the_same_radius_counts_in_no_axial_motion() -> None:
    own = OrderVectors(np.array([0.05 + 0j]), 1e-10 * np.eye(2), 60.0)
    same = predict_cut(own, own, bearings_radius_mm=100.0, lathe_radius_mm=100.0)
    assert same.predicted.u_mm[0] == pytest.approx(math.sqrt(2e-10), rel=1e-9)
    half = predict_cut(own, own, bearings_radius_mm=100.0, lathe_radius_mm=50.0)
    # 0.0025 |2 - 1| / root 6 a component, and the noise of both (own derivation).
    assert half.predicted.u_mm[0] == pytest.approx(
        math.hypot(0.0025 / math.sqrt(6.0), math.sqrt(5e-10)), rel=1e-9
    )


def test_another_radius_says_nothing_of_higher_orders() -> None:
    found = predict_cut([1, 2, 3], [1, 2, 3], bearings_radius_mm=100.0, lathe_radius_mm=50.0)
    assert found.orders_predicted == 1


def test_a_radius_on_one_side_alone_is_refused() -> None:
    with pytest.raises(BadInput, match="track_radius"):
        predict_cut([1], [1], bearings_radius_mm=100.0)


def test_a_tool_elsewhere_than_the_tip_makes_higher_orders_uncertain() -> None:
    at_one_clock, apart = (
        predict_cut([0.1, 0.0], [0.1, 0.01], clock_apart_deg=deg).tir.u for deg in (0.0, 90.0)
    )
    assert (at_one_clock, apart > 0.01) == (0.0, True)


def test_scatter_joins_only_where_the_part_comes_off() -> None:
    mounts = [exact([z]) for z in (0.010, 0.012, 0.011j)]
    stays, leaves = (
        predict_cut([0.05], [0.06], mountings=mounts, comes_off=off).tir.u for off in (False, True)
    )
    assert (stays, leaves > 0.004) == (0.0, True)


def test_the_interval_holds_what_the_next_mounting_leaves() -> None:
    rng = np.random.default_rng(12)
    covered, trials, scatter = 0, 400, 0.004
    for _ in range(trials):
        usual = random_vector(rng, 0.06)
        drawn = usual + rng.normal(0, scatter, (5, 2)) @ np.array([1, 1j])
        found = predict_cut(
            [0.05], [0.05 + drawn[3]], mountings=[exact([z]) for z in drawn[:4]], comes_off=True
        )
        low, high = found.tir.interval()
        covered += low <= 2 * abs(drawn[4]) <= high
    # 95 % of 400, less three standard deviations of the count.
    assert covered / trials > 0.95 - 3 * math.sqrt(0.95 * 0.05 / trials)


def test_one_mounting_tells_no_scatter_and_that_is_said() -> None:
    found = predict_cut([0.05], [0.06], mountings=[exact([0.01])], comes_off=True)
    assert (found.tir.u, "not counted in" in found.remarks[-1]) == (0.0, True)


def test_the_scatter_of_mountings_is_the_deviation_of_a_component() -> None:
    drawn = np.random.default_rng(2).normal(0, 0.002, (4000, 2)) @ np.array([1, 1j])
    # 4,000 vectors: the deviation is known to about 1 %.
    assert mounting_scatter([exact([z]) for z in drawn]) == pytest.approx(0.002, rel=0.04)


def random_vector(rng: np.random.Generator, most_tir: float) -> complex:
    return order_one(rng.uniform(0, most_tir), rng.uniform(0, 360))


def test_the_prediction_agrees_with_a_rigid_body_on_a_face_for_a_thousand_parts() -> None:
    rng = np.random.default_rng(7)
    largest = 0.0
    for _ in range(1000):
        radius = rng.uniform(50, 150)
        part, seat, spindle = (random_vector(rng, 0.2) for _ in range(3))
        face = Face(radius, part, {2: random_vector(rng, 0.02), 3: random_vector(rng, 0.01)})
        lathe = on_lathe(seat, spindle, radius, 0.0)
        found = predict_cut(orders_of(IN_BEARINGS.sweep(face)), orders_of(lathe.sweep(face)))
        left = orders_of(IN_BEARINGS.sweep(lathe.cut(face)))
        largest = max(largest, float(np.abs(found.predicted.z_mm - left).max()))
    assert largest < 1e-6  # plan, section 6: a 3-D rigid model agrees on a face to 1e-6 mm


def test_and_at_any_index_angle() -> None:
    rng = np.random.default_rng(8)
    for _ in range(20):
        alpha = rng.uniform(0, 2 * math.pi)
        face = Face(80.0, random_vector(rng, 0.2), {2: random_vector(rng, 0.02)})
        lathe = on_lathe(random_vector(rng, 0.2), random_vector(rng, 0.2), 80.0, alpha)
        read = OrderVectors(orders_of(lathe.sweep(face)), np.zeros((16, 16))).turned(-alpha)
        found = predict_cut(orders_of(IN_BEARINGS.sweep(face)), read)
        left = orders_of(IN_BEARINGS.sweep(lathe.cut(face)))
        assert np.abs(found.predicted.z_mm - left).max() < 1e-6


def test_the_prediction_agrees_with_a_rigid_body_on_an_outside_for_a_thousand_parts() -> None:
    rng = np.random.default_rng(9)
    largest = 0.0
    for _ in range(1000):
        radius = rng.uniform(50, 150)
        centre, seat, spindle = (random_vector(rng, 0.2) for _ in range(3))
        form = {2: random_vector(rng, 0.02), 3: random_vector(rng, 0.01)}
        part, mount = Round(radius, centre, form), seat + spindle
        found = predict_cut(
            orders_of(part.sweep()), orders_of(part.sweep(seat, 0.0, spindle)), surface="outside"
        )
        # The cut leaves a circle about the spindle's axis, which lies at -(seat + spindle) in the part.
        left = orders_of(Round(radius, -mount, {}).sweep())
        # Each of the three sweeps has its own false order 2 of e^2 / 4R; the form is met e / R elsewhere.
        false = (abs(centre) ** 2 + abs(centre + mount) ** 2 + abs(mount) ** 2) / (4 * radius)
        room = 1e-6 + false + sum(n * abs(z) for n, z in form.items()) * abs(mount) / radius
        largest = max(largest, float(np.abs(found.predicted.z_mm - left).max()) / room)
    assert largest < 1.0


def test_the_interval_of_a_prediction_covers_what_is_left() -> None:
    rng = np.random.default_rng(10)
    covered = 0
    trials = 50
    for _ in range(trials):
        sigma = 0.001
        truth = np.array([random_vector(rng, 0.06), random_vector(rng, 0.01), random_vector(rng, 0.004)])
        own = np.array([random_vector(rng, 0.2), random_vector(rng, 0.02), random_vector(rng, 0.01)])
        cov = sigma**2 * 2 / 360 * np.eye(6)
        noise = rng.normal(0, sigma * math.sqrt(2 / 360), (2, 3, 2)) @ np.array([1, 1j])
        found = predict_cut(
            OrderVectors(own + noise[0], cov, 300.0), OrderVectors(own - truth + noise[1], cov, 300.0)
        )
        true_tir = exact(truth).extremes.tir_mm
        covered += found.tir.interval()[0] <= true_tir <= found.tir.interval()[1]
    # 95 % of 50, less three standard deviations of the count; the campaign does a thousand from readings.
    assert covered / trials > 0.95 - 3 * math.sqrt(0.95 * 0.05 / trials)
