"""One sweep fitted: closure, budget and angle as far as the pool carries them."""

import math
from dataclasses import replace

import numpy as np
import pytest
from made_sweeps import Made, box, capture, made, sum_of, wobble

from analysis.capture import AngleSource
from analysis.capture.events import ClosingReading, TimedEvent
from analysis.capture.samples import Capture
from analysis.diagnosis.lag import GaugeLag, LagSource
from analysis.errors import BadInput
from analysis.sweep.fitting import FittedSweep, fit_turns, lag_of_pool
from analysis.sweep.pooling import pool_turns

NOISE_MM = 0.001
SWEEP = made(wobble(0.142), noise_mm=NOISE_MM)


def fitted(given: Capture, orders: int | None = None) -> FittedSweep:
    pool = pool_turns(given, (), orders)
    return fit_turns(given, pool, 1)


def test_two_turns_tell_a_drift() -> None:
    creeping = made(wobble(0.142), turns=2, also=lambda deg: 0.006 * deg / 360.0)
    # 0.006 mm a turn of 6 s.
    assert fitted(capture(creeping)).fit.drift_mm_per_s == pytest.approx(0.001, rel=1e-6)


def test_readings_less_drift_are_the_part_alone() -> None:
    creeping = made(wobble(0.142), turns=2, also=lambda deg: 0.006 * deg / 360.0)
    still = made(wobble(0.142), turns=2)
    off = fitted(capture(creeping)).detrended_mm - still.reading_mm
    assert float(np.ptp(off)) < 1e-9  # rounding of a solved system


@pytest.mark.parametrize(("places", "few_places"), [(36, True), (37, False)])
def test_up_to_36_places_are_few(places: int, few_places: bool) -> None:
    assert fitted(capture(made(wobble(0.142), per_turn=places))).few_places is few_places


class TestFewPlacesTwice:
    """Eight places read one after the other, twice round: one model for bumps, interval and numbers."""

    FOUND = fitted(capture(made(wobble(0.142), turns=2, per_turn=8, also=lambda deg: 0.006 * deg / 360.0)))

    def test_no_drift_is_fitted_for_the_interval_either(self) -> None:
        assert self.FOUND.uncertainty is not None
        assert self.FOUND.uncertainty.fit.drift_mm_per_s is None
        assert self.FOUND.fit.drift_mm_per_s is None

    def test_no_line_that_does_not_repeat_is_told_from_them(self) -> None:
        assert self.FOUND.fit.lines == ()

    def test_what_crept_between_the_rounds_is_noise(self) -> None:
        # Each place was read 0.006 mm apart: 0.003 to either side, 16 readings less 7 unknowns to judge it by.
        assert self.FOUND.noise_mm >= 0.003


def test_closure_is_the_median_over_turns() -> None:
    # One of three turns does not close; the median does not see it.
    jumping = made(
        wobble(0.142), noise_mm=1e-6, also=lambda deg: np.where((deg > 700.0) & (deg < 720.0), 0.05, 0.0)
    )
    found = fitted(capture(jumping)).closure_mm
    assert found is not None
    assert abs(found) < 0.01


def test_closure_leaves_a_bump_at_the_mark_out() -> None:
    nicked = made(sum_of(wobble(0.142), box(0.05, 3.0, 4.0)), noise_mm=NOISE_MM)
    found = fitted(capture(nicked)).closure_mm
    assert found is not None
    # Straight fits over some twelve readings at each end, three turns: half a noise; four of that.
    assert abs(found) < 2 * NOISE_MM


def test_turns_of_few_values_have_no_closure() -> None:
    # 15.3 values a turn over ten turns: many places together, but none near enough to its mark.
    angle = np.linspace(0.0, 20 * math.pi, 154)
    sweep = Made(angle, np.cos(angle), np.linspace(0.0, 60.0, 154), np.zeros(154, np.int64))
    found = fitted(capture(sweep))
    assert not found.few_places
    assert found.closure_mm is None


def test_a_typed_set_closes_by_what_was_typed() -> None:
    few = capture(made(wobble(0.142), turns=1, per_turn=8))
    typed = replace(few, angle_source=AngleSource.TYPED, events=(TimedEvent(None, ClosingReading(0.0254)),))
    typed = replace(typed, samples=typed.samples.take(np.arange(8)))
    assert fitted(typed).closure_mm == 0.0254


def test_orders_asked_for_that_the_gaps_do_not_carry_are_bad_input() -> None:
    # A gap of 100 degrees in every turn: 40 orders of so many places cannot be told.
    keep = np.mod(SWEEP.deg, 360.0) > 100.0
    gapped = Made(SWEEP.angle_rad[keep], SWEEP.reading_mm[keep], SWEEP.t_s[keep], SWEEP.turn[keep])
    with pytest.raises(BadInput):
        fitted(capture(gapped), orders=40)


def test_without_being_asked_as_many_orders_are_fitted_as_can_be_told() -> None:
    keep = np.mod(SWEEP.deg, 360.0) > 100.0
    gapped = Made(SWEEP.angle_rad[keep], SWEEP.reading_mm[keep], SWEEP.t_s[keep], SWEEP.turn[keep])
    assert 1 <= fitted(capture(gapped)).fit.highest_order < 15


def test_angles_told_by_time_take_heights_turn_by_turn() -> None:
    found = fitted(replace(capture(SWEEP), angle_source=AngleSource.INDEX))
    assert found.uncertainty is not None
    assert found.uncertainty.dof == 2.0


def test_few_places_carry_no_interval_where_nothing_is_left_to_judge_by() -> None:
    few = capture(made(wobble(0.142), turns=1, per_turn=3))
    assert (
        fitted(
            replace(few, angle_source=AngleSource.TYPED, samples=few.samples.take(np.arange(3)))
        ).uncertainty
        is None
    )


def test_an_encoder_without_speed_changes_tells_no_lag() -> None:
    given = replace(capture(SWEEP), counts_per_turn=2400.0)
    lag = lag_of_pool(given, pool_turns(given, (), None))
    assert lag.source is LagSource.NOT_KNOWN
    assert lag.may_turn_rad == pytest.approx(0.150 * lag.speed_rad_s)
    assert lag.speed_rad_s > 0.0


def test_readings_without_times_are_not_asked_for_a_lag() -> None:
    given = replace(capture(SWEEP), counts_per_turn=2400.0, timed=False)
    assert lag_of_pool(given, pool_turns(given, (), None)) == GaugeLag()


def test_the_angle_of_the_capture_is_in_every_angle() -> None:
    assert fitted(replace(capture(SWEEP), u_angle_rad=0.01)).u_angle_rad == pytest.approx(0.01, rel=1e-9)


def test_the_local_noise_is_not_inflated_by_a_step() -> None:
    stepping = made(wobble(0.142), noise_mm=NOISE_MM, also=lambda deg: np.where(deg > 500.0, 0.2, 0.0))
    found = fitted(capture(stepping))
    assert found.noise_mm > 10 * NOISE_MM
    # The slope of the wobble, up to 0.0009 from reading to reading, adds a fifth of the noise.
    assert found.local_noise_mm == pytest.approx(NOISE_MM, rel=0.25)
