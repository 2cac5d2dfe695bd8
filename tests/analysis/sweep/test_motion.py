"""Synchronous and asynchronous motion: their definitions in closed form, their noise by other roads, their limits."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from made_sweeps import Floats, capture, made, wobble
from scipy.integrate import quad
from scipy.special import erf

from analysis.results import SweepSummary
from analysis.sweep.motion import (
    Motion,
    RoundCurves,
    asynchronous_of_noise,
    synchronous_of_noise,
    turn_at_places,
)
from analysis.sweep.pipeline import analyse, fit_sweep

PHI: Floats = np.linspace(0.0, 2 * math.pi, 360, endpoint=False)
ROUNDING = 1e-12
COUNTS = 2400


def at_places(
    *readings_mm: Floats, angle_rad: Floats = PHI, radial: bool = False, drift: float = 0.0
) -> Motion:
    """Return turns of one second each, read at the same angles; ``drift`` (mm/s) is in them, and known."""
    times = [k + angle_rad / (2.0 * math.pi) for k in range(len(readings_mm))]
    turns = [
        turn_at_places(angle_rad, each + drift * t_s, t_s)
        for each, t_s in zip(readings_mm, times, strict=True)
    ]
    return RoundCurves.of(turns, len(turns)).motion(drift, remove_first_order=radial)


def pooled_of(
    *, turns: int = 3, noise_mm: float = 0.001, also: Callable[[Floats], Floats] | None = None
) -> SweepSummary:
    """Return what is told of a wobble of 0.142 mm, with what comes on top by unwrapped degrees."""
    sweep = made(wobble(0.142), turns=turns, noise_mm=noise_mm, also=also)
    return analyse(capture(sweep, surface="outside")).pooled


class TestAtPlaces:
    """Turns at 360 even places from the mark."""

    def test_readings_at_the_places_stay_as_they_are(self) -> None:
        reading: Floats = np.random.default_rng(1).normal(size=360)
        assert at_places(reading).level_mm[0] == pytest.approx(reading, abs=ROUNDING)

    def test_readings_elsewhere_are_joined_by_straight_lines_over_the_mark_too(self) -> None:
        found = at_places(np.array([1.0, 3.0]), angle_rad=np.radians(np.array([10.0, 350.0])))
        # Angles are told apart to 1e-7 deg.
        assert found.level_mm[0, [0, 5, 355]] == pytest.approx([2.0, 1.5, 2.5], abs=1e-7)

    def test_the_order_of_the_readings_does_not_matter(self) -> None:
        found = at_places(np.cos(PHI), angle_rad=PHI[::-1].copy())
        assert found.level_mm == pytest.approx(at_places(np.cos(PHI[::-1])).level_mm, abs=ROUNDING)

    def test_several_readings_at_one_count_count_by_their_mean(self) -> None:
        angle, reading = np.append(PHI, [PHI[60], PHI[60]]), np.append(np.cos(PHI), [1.0, 3.0])
        found = at_places(reading, angle_rad=angle)
        assert found.level_mm[0, 60] == pytest.approx((np.cos(PHI[60]) + 4.0) / 3.0, abs=ROUNDING)
        assert found.noise_share[0, 60] == pytest.approx(1.0 / 3.0, abs=ROUNDING)

    @pytest.mark.parametrize("seed", range(5))
    def test_whole_counts_and_angles_a_last_bit_off_give_the_same(self, seed: int) -> None:
        """Every twentieth of 2400 counts falls on one of the places; a hand stands there and reads again and again."""
        rng = np.random.default_rng(seed)
        count = np.repeat(np.arange(COUNTS), rng.integers(1, 5, COUNTS))
        reading = rng.standard_normal(len(count))
        whole = count * (2 * math.pi / COUNTS)
        off = np.nextafter(whole, np.where(rng.random(len(count)) < 0.5, -9.0, 99.0)) + 2 * math.pi * 7
        same, other = (at_places(reading, angle_rad=angle).level_mm for angle in (whole, off))
        assert other == pytest.approx(same, abs=ROUNDING)

    def test_the_noise_at_the_places_is_that_of_drawn_readings(self) -> None:
        rng = np.random.default_rng(1)
        angle = np.sort(rng.uniform(0.0, 2 * math.pi, 300))
        drawn = at_places(*rng.standard_normal((4000, 300)), angle_rad=angle)
        # A variance of 4,000 draws is known to sqrt(2 / 4000) of itself; the furthest of 360 lies four of that off.
        assert drawn.level_mm.var(axis=0) == pytest.approx(drawn.noise_share[0], rel=0.1)


class TestSynchronousAndAsynchronous:
    """ISO 230-7, ASME B89.3.4 (from memory)."""

    def test_a_face_keeps_its_order_one(self) -> None:
        assert at_places(np.cos(PHI)).synchronous_mm == pytest.approx(2.0, abs=ROUNDING)

    def test_a_radial_sweep_loses_its_eccentricity(self) -> None:
        found = at_places(np.cos(PHI - 1.0) + 0.1 * np.cos(2 * PHI), radial=True)
        assert found.synchronous_mm == pytest.approx(0.2, abs=ROUNDING)

    def test_the_asynchronous_value_is_the_greatest_width_at_one_angle(self) -> None:
        assert at_places(np.cos(PHI), 1.5 * np.cos(PHI)).asynchronous_mm == pytest.approx(0.5, abs=ROUNDING)

    def test_a_drift_that_was_fitted_is_no_motion(self) -> None:
        turns = at_places(np.cos(PHI), np.cos(PHI), np.cos(PHI), drift=0.3, radial=True)
        # Across the mark readings of one turn stand a turn's drift apart; places fall on readings but for rounding.
        assert (turns.synchronous_mm, turns.asynchronous_mm) == pytest.approx((0.0, 0.0), abs=1e-9)

    def test_a_part_that_repeats_has_none(self) -> None:
        assert at_places(np.cos(PHI), np.cos(PHI)).asynchronous_mm == 0.0

    @pytest.mark.parametrize(("turns", "printed"), [(2, 4.5), (5, 5.3), (20, 6.3)])
    def test_noise_alone_shows_this_much(self, turns: int, printed: float) -> None:
        # Printed with one decimal, from draws; 2 turns are exactly the mean of max |N(0, 2)| of 360: 4.4492.
        assert asynchronous_of_noise(turns, 1.0) == pytest.approx(printed, abs=0.06)

    def test_two_turns_show_the_largest_of_360_differences(self) -> None:
        judge, _ = quad(lambda w: 1.0 - erf(w / 2.0) ** 360, 0.0, 20.0)
        assert asynchronous_of_noise(2, 1.0) == pytest.approx(judge, abs=1e-5)

    @pytest.mark.parametrize("turns", [2, 3, 10])
    def test_it_is_the_mean_of_what_noise_shows_when_drawn(self, turns: int) -> None:
        levels = np.random.default_rng(turns).normal(size=(2000, turns, 360))
        # 2,000 draws of values that scatter by less than half a noise: four deviations of the mean are 0.045.
        assert asynchronous_of_noise(turns, 1.0) == pytest.approx(
            np.ptp(levels, axis=1).max(axis=1).mean(), abs=0.045
        )
        assert synchronous_of_noise(turns, 1.0) == pytest.approx(
            np.ptp(levels.mean(axis=1), axis=1).mean(), abs=0.045
        )

    def test_the_mean_range_is_that_of_the_tables(self) -> None:
        """Expected range of 360 normal numbers, 5.87 (tables of the range, from memory)."""
        assert synchronous_of_noise(1, 1.0) == pytest.approx(5.87, abs=0.01)

    def test_one_turn_has_no_asynchronous_noise(self) -> None:
        assert asynchronous_of_noise(1, 1.0) == 0.0

    def test_it_goes_with_the_noise(self) -> None:
        assert asynchronous_of_noise(5, 0.002) == pytest.approx(0.002 * asynchronous_of_noise(5, 1.0))

    def test_the_printed_sweep_has_what_noise_alone_would_show(self) -> None:
        pooled = pooled_of(turns=5)
        # 5.3 noises at five turns; the greatest of 360 widths scatters by 0.45 of a noise.
        assert pooled.asynchronous_mm / pooled.asynchronous_of_noise_mm == pytest.approx(1.0, abs=0.3)


class TestWithoutNoise:
    """The 95 % intervals of the motion alone."""

    def test_readings_without_noise_are_the_motion(self) -> None:
        pooled = pooled_of(noise_mm=0.0, also=lambda deg: 0.005 * np.cos(0.41 * np.radians(deg)))
        # All that is left is the gauge's angle, set by eye: the cosine of 3 deg is 0.0014 under 1.
        assert pooled.synchronous_95_mm == pytest.approx((pooled.synchronous_mm,) * 2, rel=0.002)
        assert pooled.asynchronous_95_mm == pytest.approx((pooled.asynchronous_mm,) * 2, rel=0.002)

    def test_noise_alone_may_be_no_motion_at_all(self) -> None:
        pooled = pooled_of()
        assert pooled.asynchronous_95_mm is not None
        assert pooled.asynchronous_95_mm[0] == 0.0
        assert pooled.asynchronous_95_mm[1] < pooled.asynchronous_mm

    def test_one_turn_tells_neither(self) -> None:
        pooled = pooled_of(turns=1)
        assert (pooled.synchronous_95_mm, pooled.asynchronous_95_mm) == (None, None)

    def test_few_places_tell_neither(self) -> None:
        angle = np.arange(25) * (2 * math.pi / 12)
        pooled = fit_sweep(angle, 0.05 * np.cos(angle), resolution_mm=0.01).pooled
        assert (pooled.turns, pooled.synchronous_95_mm, pooled.asynchronous_95_mm) == (2, None, None)

    def test_the_steps_of_a_coarse_gauge_widen_both(self) -> None:
        sweep = made(wobble(0.142), noise_mm=0.001, step_mm=0.010)
        coarse, fine = analyse(capture(sweep, 0.010)).pooled, pooled_of()
        for steps, smooth in (
            (coarse.synchronous_95_mm, fine.synchronous_95_mm),
            (coarse.asynchronous_95_mm, fine.asynchronous_95_mm),
        ):
            assert steps is not None
            assert smooth is not None
            assert steps[1] - steps[0] > 0.008 > smooth[1] - smooth[0]

    def test_twice_the_noise_and_motion_are_twice_the_limits(self) -> None:
        levels = np.random.default_rng(2).standard_normal((3, 360)) + np.cos(3 * PHI)
        once, twice = at_places(*levels), at_places(*(2.0 * levels))
        for limits in ("synchronous_of_motion", "asynchronous_of_motion"):
            ends = getattr(once, limits)(1.0).interval()
            assert getattr(twice, limits)(2.0).interval() == pytest.approx(
                [2.0 * end for end in ends], rel=1e-9
            )

    def test_many_turns_narrow_the_mean_and_are_told_as_few_are(self) -> None:
        rng = np.random.default_rng(3)
        few, many = (at_places(*(rng.standard_normal((n, 360)) + 5.0 * np.cos(2 * PHI))) for n in (3, 300))
        (low, high), (lower, higher) = (each.synchronous_of_motion(1.0).interval() for each in (many, few))
        assert low <= 10.0 <= high
        assert high - low < 0.15 * (higher - lower)
