"""The named numbers that are not read off the fit alone, in closed form or against noise of known size."""

import math
from dataclasses import replace

import numpy as np
import pytest
from made_sweeps import Floats, box, capture, made, sum_of, wobble

from analysis.harmonics import fit_harmonics
from analysis.results import SweepResult
from analysis.sweep.pipeline import analyse, fit_sweep
from analysis.sweep.quantities import (
    clock_tir_mm,
    closure,
    dial_reading,
    difference_between_turns_mm,
    distinct_places,
)

PHI: Floats = np.linspace(0.0, 2 * math.pi, 360, endpoint=False)
ROUNDING = 1e-12


def analysed(*, turns: int = 3, noise_mm: float = 0.0, creep_mm: float = 0.0, **setup: str) -> SweepResult:
    """A wobble of 0.142 at 63 degrees; ``creep_mm`` a turn."""
    sweep = made(wobble(0.142), turns=turns, noise_mm=noise_mm, also=lambda deg: creep_mm * deg / 360.0)
    return analyse(capture(sweep, 0.0, **setup))


def at_readings(curve_mm: Floats) -> tuple[Floats, float]:
    """Return a curve whose ends lie at readings, and its range."""
    return curve_mm, float(np.ptp(curve_mm))


class TestRaw:
    """Max - min of the readings of a turn: what a dial shows."""

    def test_it_is_the_range_of_the_readings(self) -> None:
        assert analysed().turns[0].tir_raw_mm == pytest.approx(
            0.142, abs=1e-5
        )  # a reading within 0.4 deg of the top

    def test_the_sweeps_is_the_median_of_its_turns(self) -> None:
        result = analysed(turns=5, noise_mm=0.001)
        assert result.pooled.tir_raw_mm == np.median([turn.tir_raw_mm for turn in result.turns])

    def test_a_chip_is_in_it(self) -> None:
        sweep = made(sum_of(wobble(0.02), box(0.022, 63.0, 1.0)))
        assert analyse(capture(sweep)).pooled.tir_raw_mm == pytest.approx(0.042, abs=1e-5)

    def test_a_hole_left_out_is_not(self) -> None:
        sweep = made(sum_of(wobble(0.02), box(-0.5, 100.0, 6.0)))
        assert analyse(capture(sweep, holes="100:8")).pooled.tir_raw_mm == pytest.approx(0.020, abs=1e-5)

    @pytest.mark.parametrize(("n", "d2"), [(360, 5.87), (1000, 6.48)])
    def test_a_part_with_no_runout_reads_the_range_of_its_noise(self, n: int, d2: float) -> None:
        """Expected range of N normal numbers (tables of the range, from memory): 5.87 and 6.48 deviations."""
        # The median of 200 draws of a range that scatters by 0.5, and lies 0.06 under its mean.
        assert 9.0 - dial_reading(9.0, [at_readings(np.zeros(n))], 1.0, 0.0, seed=1).value == pytest.approx(
            d2, abs=0.2
        )

    def test_a_true_twenty_with_noise_one_reads_twenty_four(self) -> None:
        curve = 10.0 * np.cos(2 * math.pi * np.arange(400) / 400)
        # A range that scatters by 0.7, over 200 draws: three deviations of the median.
        assert dial_reading(24.1, [at_readings(curve)], 1.0, 0.0, seed=1).value == pytest.approx(
            20.0, abs=0.2
        )

    def test_a_top_between_readings_is_missed_by_all_of_them(self) -> None:
        """Readings 2 deg apart on a top cos^2(45 off / 2 deg) miss up to 0.15 of it (closed form: sin^2 of 22.5 deg)."""
        curve = 10.0 * np.cos(2 * math.pi * np.arange(180) / 180)
        flat = np.where(np.arange(180) == 90, 5.0, 0.0)  # one reading on a ridge whose top is 5 / 0.854 high
        plain, missed = (
            dial_reading(20.0, [at_readings(curve)], 0.1, 0.0, seed=1, narrow_mm=[(flat, top)])
            for top in (5.0, 5.0 / 0.854)
        )
        assert missed.value - plain.value == pytest.approx(5.0 / 0.854 - 5.0, abs=1e-9)

    def test_turns_narrow_what_a_dial_shows(self) -> None:
        curve = 10.0 * np.cos(2 * math.pi * np.arange(400) / 400)
        one, five = (dial_reading(24.1, [at_readings(curve)] * turns, 1.0, 0.0, seed=1).u for turns in (1, 5))
        # The median of five scatters by 0.54 of one (tables of order statistics, from memory).
        assert five / one == pytest.approx(0.54, abs=0.12)

    def test_without_noise_nothing_is_taken_off(self) -> None:
        assert dial_reading(1.0, [at_readings(np.cos(PHI))], 0.0, 0.0, seed=1).interval() == (1.0, 1.0)

    def test_the_same_seed_takes_off_the_same(self) -> None:
        first, again = (dial_reading(2.2, [at_readings(np.cos(PHI))], 0.1, 0.01, seed=3) for _ in range(2))
        assert first == again

    def test_rounding_alone_leaves_a_step_open_on_either_side(self) -> None:
        """A range of 20.5 steps at any zero reads 20 or 21: never further off than a step (closed form)."""
        curve = 10.25 * np.cos(2 * math.pi * np.arange(4000) / 4000)
        low, high = dial_reading(20.0, [at_readings(curve)], 1.0 / math.sqrt(12.0), 1.0, seed=1).interval()
        assert low <= 19.5 + 1e-9
        assert 20.5 - 1e-9 <= high <= 21.0 + 1e-9


class TestDriftAndClosure:
    """What does not come back with the turn."""

    def test_the_drift_is_that_put_in(self) -> None:
        # A creep of 0.006 a turn of 6 s.
        assert analysed(creep_mm=0.006).pooled.drift_mm_per_s == pytest.approx(0.001, rel=1e-9)

    def test_one_turn_tells_no_drift(self) -> None:
        assert analysed(turns=1, creep_mm=0.006).pooled.drift_mm_per_s is None

    def test_readings_without_times_have_no_drift_per_second(self) -> None:
        sweep = made(wobble(0.142), also=lambda deg: 0.006 * deg / 360.0)
        assert fit_sweep(sweep.angle_rad, sweep.reading_mm).pooled.drift_mm_per_s is None

    def test_a_part_alone_closes(self) -> None:
        assert analysed().pooled.closure_mm == pytest.approx(0.0, abs=ROUNDING)

    def test_creep_shows_as_closure(self) -> None:
        # Over one whole turn, from mark to mark; the form takes a little of what one turn creeps.
        assert analysed(turns=1, creep_mm=0.006).pooled.closure_mm == pytest.approx(0.006, rel=0.05)

    def test_a_straight_creep_of_a_turn_is_its_closure(self) -> None:
        angle = np.linspace(0.0, 2 * math.pi, 361)
        assert closure(angle, 0.01 * angle / (2 * math.pi)).mm == pytest.approx(0.01, rel=1e-9)

    def test_turned_backwards_it_is_the_same_closure(self) -> None:
        angle = np.linspace(0.0, 2 * math.pi, 361)
        assert closure(-angle, 0.01 * angle / (2 * math.pi)).mm == pytest.approx(0.01, rel=1e-9)

    def test_the_form_is_taken_off_first(self) -> None:
        angle = np.linspace(0.0, 2 * math.pi, 361)
        form = np.cos(15 * angle)
        assert closure(angle, form + 0.01 * angle / (2 * math.pi), form).mm == pytest.approx(0.01, rel=1e-9)

    def test_a_turn_cut_short_is_closed_by_its_slope(self) -> None:
        angle = np.radians(np.arange(2.0, 358.5, 1.0))
        assert closure(angle, angle / (2 * math.pi)).mm == pytest.approx(1.0, rel=1e-9)

    def test_its_deviation_is_that_of_drawn_noise(self) -> None:
        rng = np.random.default_rng(1)
        angle = np.linspace(0.0, 2 * math.pi, 361)
        drawn = [closure(angle, rng.standard_normal(361)).mm for _ in range(2000)]
        # A standard deviation of 2000: 1 / sqrt 4000 of itself, three of them.
        assert np.std(drawn) == pytest.approx(closure(angle, np.zeros(361)).per_noise, rel=0.048)


class TestFirstOrderNumbers:
    """Eccentricity, tilt and the side the centre lies on."""

    def test_a_radial_eccentricity_is_half_the_first_orders_tir(self) -> None:
        assert analysed(surface="outside").pooled.eccentricity_mm == pytest.approx(0.071, rel=1e-9)

    def test_a_face_has_no_eccentricity(self) -> None:
        assert analysed(surface="face").pooled.eccentricity_mm is None

    def test_the_tilt_of_a_face_is_its_amplitude_over_the_radius(self) -> None:
        # 0.071 mm at 110 mm, in thousandths of a radian.
        assert analysed(track_radius="110 mm").pooled.tilt_mrad == pytest.approx(
            1000 * 0.071 / 110.0, rel=1e-9
        )

    def test_without_a_radius_there_is_no_tilt(self) -> None:
        assert analysed().pooled.tilt_mrad is None

    def test_an_outside_has_no_tilt(self) -> None:
        assert analysed(surface="outside", track_radius="110 mm").pooled.tilt_mrad is None

    def test_the_centre_of_an_outside_lies_on_its_high_side(self) -> None:
        assert analysed(surface="outside").pooled.centre_deg == pytest.approx(63.0, abs=1e-9)

    def test_the_centre_of_a_bore_lies_opposite_to_its_high_side(self) -> None:
        assert analysed(surface="bore").pooled.centre_deg == pytest.approx(243.0, abs=1e-9)

    def test_the_high_side_of_a_bore_stays_that_of_the_reading(self) -> None:
        assert analysed(surface="bore").pooled.high_side.value == pytest.approx(63.0, abs=1e-9)

    def test_a_face_has_no_centre(self) -> None:
        assert analysed(surface="face").pooled.centre_deg is None

    def test_form_is_what_is_left_without_order_one(self) -> None:
        sweep = made(sum_of(wobble(0.142), lambda deg: 0.009 * np.cos(np.radians(2 * deg))))
        assert analyse(capture(sweep)).pooled.form.value == pytest.approx(0.018, rel=1e-9)


class TestClockPlaces:
    """What a reading at so many even places would have shown."""

    @pytest.mark.parametrize(("places", "seen"), [("4", 0.7071), ("8", 0.9239), ("12", 0.9659)])
    def test_places_between_see_at_least_the_cosine_of_half_their_space(
        self, places: str, seen: float
    ) -> None:
        fit = fit_harmonics(PHI, np.cos(PHI - math.pi / int(places)), highest_order=3)
        assert round(clock_tir_mm(fit)[places] / 2.0, 4) == seen

    def test_places_on_the_high_side_see_all_of_it(self) -> None:
        fit = fit_harmonics(PHI, np.cos(PHI), highest_order=3)
        assert clock_tir_mm(fit) == pytest.approx({"4": 2.0, "8": 2.0, "12": 2.0}, rel=1e-12)

    def test_four_places_miss_a_fourth_order_altogether(self) -> None:
        fit = fit_harmonics(PHI, np.cos(4 * PHI), highest_order=4)
        assert clock_tir_mm(fit)["4"] == pytest.approx(0.0, abs=ROUNDING)

    def test_clock_values_are_those_of_the_fitted_curve(self) -> None:
        fit = fit_harmonics(PHI, np.cos(PHI) + 0.3 * np.sin(3 * PHI), highest_order=5)
        reading = fit.curve(np.radians(np.arange(0.0, 360.0, 45.0)))
        assert clock_tir_mm(replace(fit, constant_mm=7.0))["8"] == pytest.approx(
            float(np.ptp(reading)), abs=ROUNDING
        )


def test_places_are_counted_once_over_all_turns() -> None:
    assert distinct_places(np.radians([0.0, 90.0, 360.0, 450.0, 359.99999])) == 2


def test_turns_differ_by_the_greatest_difference_at_one_angle() -> None:
    assert difference_between_turns_mm(np.array([[0.0, 1.0], [0.5, 0.9], [0.2, 1.3]])) == pytest.approx(0.5)


def test_one_turn_differs_from_nothing() -> None:
    assert difference_between_turns_mm(np.array([[0.0, 1.0]])) == 0.0
