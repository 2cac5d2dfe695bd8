"""The whole way from readings to a decision held against what the trade has published; each test names its source.

Where no source is named, the number is a closed form that anybody can check, or says "common practice, no source".
"""

import math
from typing import ClassVar

import numpy as np
import pytest
from made_sweeps import capture, made, wobble

from analysis.decision.rule import Decision
from analysis.harmonics import fit_harmonics
from analysis.results import SweepResult
from analysis.sweep.pipeline import analyse, fit_sweep
from logger.inputs.csv_file import typed_capture

INCH = 25.4
LAST_PLACES = 1e-12
_PLACES = 720
PHI = np.linspace(0.0, 2 * math.pi, 720, endpoint=False)


def decided(result: SweepResult) -> Decision:
    assert result.decision is not None
    return result.decision


class TestRunoutByTheClock:
    """US Army TM 10-3930-664-24, p. 3-41 (public domain): readings at 3, 6, 9 and 12 o'clock.

    0, +.003, -.002, +.003 in: "total indicator reading" .005, the limit .008.
    """

    READINGS = "0:0 90:+.003 180:-.002 270:+.003 in"

    def test_the_total_is_five_thou(self) -> None:
        pooled = analyse(typed_capture(self.READINGS, {})).pooled
        assert pooled.tir_raw_mm == pytest.approx(0.005 * INCH, rel=LAST_PLACES)

    def test_that_is_what_is_decided_on(self) -> None:
        decision = decided(analyse(typed_capture(self.READINGS, {"limit": "0.008 in"})))
        assert decision.number.value == pytest.approx(0.005 * INCH, rel=LAST_PLACES)

    def test_the_plain_wobble_is_only_two_thou(self) -> None:
        """Order 1 of four places: (0 - (-.002)) / 2 in across, nothing the other way; twice that is the TIR."""
        pooled = analyse(typed_capture(self.READINGS, {})).pooled
        assert pooled.tir_first.value == pytest.approx(0.002 * INCH, rel=LAST_PLACES)

    def test_four_readings_of_five_thou_are_within_eight(self) -> None:
        # .005 / cos 45 deg is .00707, and the last digit .001 / sqrt 6 x 1.645 adds .00067: .00774.
        decision = decided(analyse(typed_capture(self.READINGS, {"limit": "0.008 in"})))
        assert decision.state == "within"

    def test_and_over_four(self) -> None:
        decision = decided(analyse(typed_capture(self.READINGS, {"limit": "0.004 in"})))
        assert decision.state == "over"

    def test_and_not_decided_against_six(self) -> None:
        decision = decided(analyse(typed_capture(self.READINGS, {"limit": "0.006 in"})))
        assert decision.state == "undecided"


class TestLimitByTheRadius:
    """US Army TM 9-2815-202-34, p. 4-75 (public domain): .001 in for each inch of radius."""

    SETUP: ClassVar[dict[str, str]] = {"limit": "0.001 in", "limit_radius": "1 in", "track_radius": "12 in"}
    READINGS = "0:+.004 90:0 180:-.007 270:0 in"

    def test_twelve_inches_allow_twelve_thou(self) -> None:
        assert decided(analyse(typed_capture(self.READINGS, self.SETUP))).limit_mm == pytest.approx(
            0.012 * INCH, rel=LAST_PLACES
        )

    def test_extremes_of_plus_four_and_minus_seven_are_eleven(self) -> None:
        assert decided(analyse(typed_capture(self.READINGS, self.SETUP))).number.value == pytest.approx(
            0.011 * INCH, rel=LAST_PLACES
        )

    def test_four_such_places_may_hide_more_than_twelve(self) -> None:
        """.011 / cos 45 deg is .0156: by the rule for few places not decided, where the manual reads on."""
        assert decided(analyse(typed_capture(self.READINGS, self.SETUP))).state == "undecided"

    def test_seen_all_round_eleven_is_within_twelve(self) -> None:
        sweep = made(wobble(0.011 * INCH), noise_mm=0.0008, step_mm=0.001)
        assert decided(analyse(capture(sweep, 0.001, **self.SETUP))).state == "within"


class TestCommonPractice:
    """Common practice, no source."""

    @staticmethod
    def state(tir_in: float, limit: str, **setup: str) -> str:
        sweep = made(wobble(tir_in * INCH), noise_mm=0.0008, step_mm=0.001)
        return decided(analyse(capture(sweep, 0.001, limit=limit, **setup))).state

    @pytest.mark.parametrize(
        ("tir_in", "state"), [(0.0025, "within"), (0.0035, "over"), (0.003, "undecided")]
    )
    def test_a_ring_gear_flange_is_held_to_three_thou(self, tir_in: float, state: str) -> None:
        assert self.state(tir_in, "0.003 in") == state

    @pytest.mark.parametrize(
        ("tir_in", "state"), [(0.0006, "within"), (0.0014, "over"), (0.001, "undecided")]
    )
    def test_a_lathe_arbor_is_held_to_one_thou(self, tir_in: float, state: str) -> None:
        assert self.state(tir_in, "0.001 in", surface="outside") == state

    def test_a_radial_tir_is_twice_the_eccentricity(self) -> None:
        pooled = analyse(capture(made(wobble(0.142)), 0.0, surface="outside")).pooled
        assert pooled.eccentricity_mm is not None
        assert pooled.tir_fit.value == pytest.approx(2 * pooled.eccentricity_mm, rel=1e-9)

    def test_so_a_limit_on_eccentricity_is_half_as_wide(self) -> None:
        """An eccentricity of .0007 in is over .0005 in, its TIR of .0014 in within .0020 in."""
        outside = {"surface": "outside"}
        assert self.state(0.0014, "0.0005 in", limit_quantity="eccentricity", **outside) == "over"
        assert self.state(0.0014, "0.0020 in", **outside) == "within"


class TestEccentricPerfectPart:
    """Closed form: a circle of radius R whose centre lies e off the axis, under a tip that points at the axis."""

    R, E = 20.0, 0.5

    @pytest.fixture
    def surface(self) -> np.ndarray:
        """e cos phi + sqrt(R^2 - e^2 sin^2 phi): where the tip meets the circle."""
        return np.asarray(self.E * np.cos(PHI) + np.sqrt(self.R**2 - (self.E * np.sin(PHI)) ** 2))

    def test_its_full_indicator_movement_is_twice_the_eccentricity(self, surface: np.ndarray) -> None:
        assert fit_sweep(PHI, surface).turns[0].tir_raw_mm == pytest.approx(2 * self.E, rel=LAST_PLACES)

    def test_the_fitted_curve_shows_the_same(self, surface: np.ndarray) -> None:
        fit = fit_harmonics(PHI, surface, highest_order=15)
        assert fit.tir_mm == pytest.approx(2 * self.E, rel=1e-9)

    def test_it_has_a_false_second_order(self, surface: np.ndarray) -> None:
        """Amplitude e^2 / 4R, and e^4 / R^3 beyond it."""
        fit = fit_harmonics(PHI, surface, highest_order=15)
        assert fit.amplitude_mm[1] == pytest.approx(self.E**2 / (4 * self.R), rel=(self.E / self.R) ** 2)

    def test_the_false_second_order_is_high_on_the_high_side_and_opposite(self, surface: np.ndarray) -> None:
        fit = fit_harmonics(PHI, surface, highest_order=15)
        # Half an undulation is added before comparing, so that nothing and a whole one are the same.
        assert (fit.high_place_rad(2) + math.pi / 2) % math.pi == pytest.approx(math.pi / 2, abs=1e-9)


def test_a_tilted_face_reads_twice_r_tan_t() -> None:
    """Closed form: r 100 mm, t 0.05 deg give .17453 mm."""
    reading = 100.0 * math.tan(math.radians(0.05)) * np.cos(PHI)
    result = fit_sweep(PHI, reading, setup={"track_radius": "100 mm"})
    assert round(result.turns[0].tir_raw_mm, 5) == 0.17453
    # A slope of tan t, in thousandths of a radian.
    assert result.pooled.tilt_mrad == pytest.approx(1000 * math.tan(math.radians(0.05)), rel=1e-9)


@pytest.mark.parametrize("seed", range(40))
def test_the_bounds_of_any_profile_hold_for_the_printed_tir(seed: int) -> None:
    """(pi / 2) A_k <= FIM <= 2 sum A_k (closed form), for each order k."""
    rng = np.random.default_rng(seed)
    z = rng.normal(size=12) + 1j * rng.normal(size=12)
    orders = np.arange(1, 13)
    reading = (z[:, None] * np.exp(-1j * orders[:, None] * PHI)).real.sum(axis=0)
    (turn,) = fit_sweep(PHI, reading, orders=12).turns
    assert math.pi / 2 * float(np.abs(z).max()) <= turn.tir_fit_mm * (1 + LAST_PLACES)
    assert turn.tir_fit_mm <= 2 * float(np.abs(z).sum()) * (1 + LAST_PLACES)


def test_the_lower_bound_is_met_by_a_square_wave() -> None:
    """max - min 2 of +-1, its first order 4 / pi: (pi / 2) (4 / pi) = 2, met with equality (closed form)."""
    square = np.sign(np.sin(PHI + math.pi / 720))
    fit = fit_harmonics(PHI, square, highest_order=15)
    # 720 readings in place of a continuum: 2 / 720 of a half turn, squared.
    assert math.pi / 2 * float(fit.amplitude_mm[0]) == pytest.approx(float(np.ptp(square)), rel=1e-5)


@pytest.mark.parametrize(("places", "share"), [(4, 0.7071), (6, 0.8660), (8, 0.9239), (12, 0.9659)])
def test_so_many_places_see_at_least_this_share_of_a_wobble(places: int, share: float) -> None:
    """cos(pi / N) (closed form): the least over all directions of the high side."""
    deg = [360.0 * k / places for k in range(places)]
    seen = []
    for side in np.linspace(0.0, 360.0 / places, 61):
        words = [f"{one:.6g}:{0.5 * math.cos(math.radians(one - side)):.9f}" for one in deg]
        seen.append(analyse(typed_capture(" ".join(words) + " mm", {})).pooled.tir_raw_mm)
    assert round(min(seen), 4) == share


class TestByAnotherRoad:
    """The same numbers by libraries that know nothing of runout."""

    @pytest.fixture
    def sweep(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Nearly three turns of five orders and a drift, turned unevenly; angle, reading, time."""
        rng = np.random.default_rng(3)
        t = np.linspace(0.0, 18.0, 1500)
        angle = 2 * math.pi * (t / 6.0 + 0.02 * np.sin(t))
        z = rng.normal(size=5) * 0.02 + 1j * rng.normal(size=5) * 0.02
        orders = np.arange(1, 6)[:, None]
        reading = (z[:, None] * np.exp(-1j * orders * angle)).real.sum(axis=0) + 0.001 * t
        return angle, reading + rng.normal(0.0, 0.001, len(t)), t

    @staticmethod
    def design(angle: np.ndarray, t: np.ndarray) -> np.ndarray:
        waves = [wave(n * angle) for n in range(1, 6) for wave in (np.cos, np.sin)]
        return np.column_stack([np.ones_like(angle), *waves, t])

    def test_orders_and_drift_are_those_of_scipy_lstsq(self, sweep: tuple[np.ndarray, ...]) -> None:
        from scipy.linalg import lstsq

        angle, reading, t = sweep
        fit = fit_harmonics(angle, reading, t, highest_order=5, drift=True)
        plain = lstsq(self.design(angle, t), reading)[0]
        assert fit.coefficients_mm == pytest.approx(plain[1:11], abs=1e-13)
        assert fit.drift_mm_per_s == pytest.approx(plain[11], rel=1e-9)

    def test_their_uncertainties_are_those_of_statsmodels(self, sweep: tuple[np.ndarray, ...]) -> None:
        from statsmodels.api import OLS  # type: ignore[import-untyped]

        angle, reading, t = sweep
        fit = fit_harmonics(angle, reading, t, highest_order=5, drift=True)
        assert np.sqrt(np.diag(fit.covariance_mm2)) == pytest.approx(
            OLS(reading, self.design(angle, t)).fit().bse[1:11], rel=1e-9
        )

    def test_amplitude_and_phase_are_those_of_scipy_curve_fit(self, sweep: tuple[np.ndarray, ...]) -> None:
        from scipy.optimize import curve_fit

        angle, reading, t = sweep

        def model(x: np.ndarray, *p: float) -> np.ndarray:
            return np.asarray(
                p[0] + p[1] * t + sum(p[2 * n] * np.cos(n * (x - p[2 * n + 1])) for n in range(1, 6))
            )

        fit = fit_harmonics(angle, reading, t, highest_order=5, drift=True)
        start = [
            0.0,
            0.0,
            *[v for n in range(1, 6) for v in (fit.amplitude_mm[n - 1], fit.high_place_rad(n) + 0.02)],
        ]
        found, _ = curve_fit(model, angle, reading, start)
        # The iteration stops where its sum of squares changes by 1e-8 of itself: 1e-4 of a deviation.
        assert found[2::2] == pytest.approx(fit.amplitude_mm, abs=1e-7)
        assert found[3::2] == pytest.approx([fit.high_place_rad(n) for n in range(1, 6)], abs=1e-5)

    def test_the_whole_sweep_prints_the_same_first_order(self, sweep: tuple[np.ndarray, ...]) -> None:
        from scipy.linalg import lstsq

        angle, reading, t = sweep
        whole = angle < 4 * math.pi
        angle, reading, t = angle[whole], reading[whole], t[whole]
        known = fit_sweep(angle, reading, t, orders=5).pooled
        plain = lstsq(self.design(angle, t), reading)[0]
        assert (known.orders[0].cos_mm, known.orders[0].sin_mm) == pytest.approx(plain[1:3], abs=1e-13)

    def test_one_sided_guards_are_quantiles_of_scipy_stats(self) -> None:
        from scipy import stats

        from analysis.numerics import Component, UncertainNumber

        for dof in (1.0, 2.0, 4.0, 8.0, 29.0):
            guard = UncertainNumber(5.0, {"scatter": Component(1.0, dof)}).one_sided()[1] - 5.0
            assert guard == pytest.approx(float(stats.t.ppf(0.95, dof)), rel=1e-10)

    def test_limits_of_the_first_order_are_those_of_a_noncentral_chi_square(self) -> None:
        """|z|^2 / s^2 of a vector with normal errors is chi-square with 2 and (A / s)^2 (closed form)."""
        from scipy import stats
        from scipy.optimize import brentq

        from analysis.uncertainty.range_inversion import LEVELS, invert_first

        seen, errors = 8.0, np.random.default_rng(2).normal(size=(40_000, 2))
        exact = [
            brentq(lambda tir, p=p: stats.ncx2.sf((seen / 2) ** 2, 2, (tir / 2) ** 2) - p, 1e-9, 40.0)
            for p in LEVELS
        ]
        # A share of .0225 counted in 40,000 draws moves a limit by .014 x 2 deviations; four of them.
        assert invert_first(seen, errors) == pytest.approx(exact, abs=0.12)
