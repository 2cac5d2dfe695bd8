"""The named numbers of a fitted sweep: what was put in comes out, with no more certainty than there is."""

import math
from dataclasses import replace

import numpy as np
import pytest
from made_sweeps import Made, Shape, capture, made, sum_of, wobble

from analysis.capture.angle_source import AngleSource
from analysis.capture.samples import Capture
from analysis.results import SweepSummary
from analysis.sweep.fitting import FittedSweep, fit_turns
from analysis.sweep.pooling import pool_turns
from analysis.sweep.summary import pooled_vectors, summarise
from analysis.uncertainty import without_order_one

TIR_MM, HIGH_DEG, OVAL_MM, NOISE_MM = 0.142, 63.0, 0.010, 0.001
ROUNDING = 1e-9


def oval(deg: np.ndarray) -> np.ndarray:
    return np.asarray(OVAL_MM / 2 * np.cos(2 * np.radians(deg)))


SHAPE = sum_of(wobble(TIR_MM, HIGH_DEG), oval)


def fitted(given: Capture) -> FittedSweep:
    pool = pool_turns(given, (), None)
    return fit_turns(given, pool, 1)


def summed(sweep: Made, **setup: str) -> SweepSummary:
    return summarise(fitted(capture(sweep, **setup)))


def places(number: int, shape: Shape = SHAPE, digit_mm: float = 0.01, turns: int = 1) -> FittedSweep:
    """A few places read one by one, each rounded to the last written digit."""
    few = made(shape, turns=turns, per_turn=number, step_mm=digit_mm)
    return fitted(replace(capture(few, digit_mm), angle_source=AngleSource.TYPED, timed=False))


def test_every_order_comes_back_with_its_size_and_high_place() -> None:
    first, second, *rest = summed(made(SHAPE)).orders
    assert (first.amplitude_mm, first.high_deg) == pytest.approx((TIR_MM / 2, HIGH_DEG), abs=ROUNDING)
    assert second.amplitude_mm == pytest.approx(OVAL_MM / 2, abs=ROUNDING)
    assert (second.high_deg + 90.0) % 180.0 == pytest.approx(90.0, abs=1e-6)
    assert max(order.amplitude_mm for order in rest) < ROUNDING


def test_form_is_what_is_left_without_order_one() -> None:
    assert summed(made(SHAPE)).form.value == pytest.approx(OVAL_MM, rel=1e-6)


def test_without_order_one_the_other_orders_stay() -> None:
    fit = fitted(capture(made(SHAPE))).fit
    left = without_order_one(fit)
    assert left.amplitude_mm[0] == 0.0
    assert left.amplitude_mm[1] == fit.amplitude_mm[1]


@pytest.mark.parametrize(
    ("surface", "centre"), [("outside", HIGH_DEG), ("bore", HIGH_DEG + 180.0), ("face", None)]
)
def test_the_centre_lies_where_an_outside_reads_high_and_opposite_of_a_bore(
    surface: str, centre: float | None
) -> None:
    found = summed(made(SHAPE), surface=surface).centre_deg
    assert found == (None if centre is None else pytest.approx(centre, abs=1e-6))


def test_more_turns_make_every_order_surer() -> None:
    few, many = (summed(made(SHAPE, turns=turns, noise_mm=NOISE_MM)) for turns in (2, 20))
    assert all(many.orders[n].u_mm < few.orders[n].u_mm for n in range(2))


def test_the_true_tir_lies_in_its_interval() -> None:
    low, high = summed(made(SHAPE, turns=5, noise_mm=NOISE_MM)).tir_fit.interval()
    angle = np.radians(np.arange(0.0, 360.0, 0.1))
    truth = float(np.ptp(SHAPE(np.degrees(angle))))
    assert low < truth < high


class TestFewPlaces:
    """Of so few places no curve is believed."""

    def test_the_high_and_low_point_are_the_places_that_read_so(self) -> None:
        found = summarise(places(8))
        assert (found.high_point.value, found.low_point_deg) == pytest.approx((45.0, 225.0), abs=ROUNDING)

    def test_where_nothing_is_left_to_judge_by_an_angle_is_unknown(self) -> None:
        found = summarise(places(3))
        assert found.dof == 0.0
        assert found.high_point.interval()[1] - found.high_point.interval()[0] == pytest.approx(360.0)

    def test_the_interval_reaches_up_to_what_may_lie_unseen(self) -> None:
        # Between four places a wobble of order 1 may be higher by 1 / cos 45 deg, and its last digit is vague.
        found = summarise(places(4, wobble(TIR_MM, 45.0)))
        assert found.tir_fit.interval()[1] > TIR_MM

    def test_the_last_written_digit_stands_in_for_scatter(self) -> None:
        # Three places carry order 1 alone: 2 s^2 / N of each component, s the digit over root 12.
        known = pooled_vectors(places(3))
        assert np.sqrt(np.diag(known.covariance_mm2)) == pytest.approx(math.sqrt(2.0 * 0.01**2 / 12.0 / 3))


def test_an_angle_that_is_unsure_widens_every_place() -> None:
    sweep = made(SHAPE, noise_mm=NOISE_MM)
    known, vague = (
        summarise(fitted(replace(capture(sweep), u_angle_rad=math.radians(u)))) for u in (0.0, 2.0)
    )
    assert vague.high_side.u == pytest.approx(math.hypot(known.high_side.u, 2.0), rel=1e-3)
    assert np.ptp(vague.high_point.interval()) > np.ptp(known.high_point.interval())
