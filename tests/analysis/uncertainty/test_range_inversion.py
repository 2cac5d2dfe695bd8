"""From a fitted curve and the scatter of its coefficients to an interval, against closed forms and counting."""

import math

import numpy as np
import pytest

from analysis.uncertainty.range_inversion import LEVELS, curves, grid_points, invert_first, invert_range
from analysis.uncertainty.tir_limits import DRAWS, draw_errors, limits_of_curve

RNG_SEED = 1


def scattered(sigma: float, highest: int = 1, seed: int = RNG_SEED) -> np.ndarray:
    return np.asarray(np.random.default_rng(seed).normal(0.0, sigma, (DRAWS, 2 * highest)))


def heights(draws: np.ndarray) -> np.ndarray:
    return np.asarray(np.ptp(curves(draws, grid_points(draws.shape[1] // 2)), axis=1))


def inverted(observed: float, shape: np.ndarray, draws: np.ndarray) -> np.ndarray:
    return invert_range(observed, shape, draws, heights(draws))


@pytest.mark.parametrize(("highest", "points"), [(1, 32), (4, 32), (5, 64), (15, 128)])
def test_drawn_curves_are_seen_at_eight_places_an_order_or_more(highest: int, points: int) -> None:
    assert grid_points(highest) == points


def test_a_curve_on_the_grid_is_the_sum_of_its_orders() -> None:
    angle = np.arange(32) * (2 * math.pi / 32)
    found = curves(np.array([0.3, -0.2, 0.0, 1.0]), 32)
    assert found == pytest.approx(0.3 * np.cos(angle) - 0.2 * np.sin(angle) + np.sin(2 * angle), abs=1e-14)


class TestOneOrderAlone:
    """2 A_1 of a vector with normal errors: limits that a non-central chi-square gives in closed form."""

    def test_far_out_of_the_noise_the_limits_are_those_of_a_normal_quantity(self) -> None:
        """2 A_1 seen 100 with sigma 1 of a component: 100 +- 2 x z(.9775) (closed form, less A's curvature)."""
        found = invert_first(100.0, scattered(1.0))
        # Quantiles counted in 4000 draws: sqrt(p q / N) / density is .04 deviations of 2 at p = .0225.
        assert found[[0, 4]] == pytest.approx([100 - 2 * 2.0047, 100 + 2 * 2.0047], abs=0.35)

    def test_its_middle_is_what_was_seen(self) -> None:
        assert invert_first(100.0, scattered(1.0))[2] == pytest.approx(
            100.0, abs=4 * 2 * 1.25 / math.sqrt(DRAWS)
        )

    def test_a_value_that_noise_explains_reaches_down_to_nothing(self) -> None:
        # 2 A_1 of noise alone exceeds 2 in exp(-1/2) = 61 % of all cases.
        assert invert_first(2.0, scattered(1.0))[0] == 0.0

    def test_a_value_that_noise_explains_has_an_upper_limit_still(self) -> None:
        assert invert_first(2.0, scattered(1.0))[4] > 2.0

    @pytest.mark.parametrize("true", [0.0, 1.0, 3.0, 10.0])
    def test_the_interval_holds_the_truth_as_often_as_it_says(self, true: float) -> None:
        rng = np.random.default_rng(5)
        inside = 0
        for _ in range(400):
            seen = 2 * math.hypot(true / 2 + rng.normal(), rng.normal())
            low, high = invert_first(seen, rng.normal(size=(500, 2)))[[0, 4]]
            inside += low <= true <= high
        # 95.5 % asked for by LEVELS; 400 trials at 95 %: one deviation is 1.1 %.
        assert inside / 400 >= 0.955 - 3 * 0.011

    def test_range_and_first_order_give_the_same_limits(self) -> None:
        draws = scattered(1.0)
        by_range = inverted(20.0, np.array([1.0, 0.0]), draws)
        # A peak between grid points stands above them by at most five hundredths of a deviation.
        assert by_range == pytest.approx(invert_first(20.0, draws), abs=0.1)


class TestManyOrders:
    """Which true TIR would show a max - min as large as the one seen, how often?"""

    SHAPE = np.array([1.0, 0.0, 0.3, 0.1, 0.0, 0.2])

    def share_at_least(self, k: float, observed: float, draws: np.ndarray) -> float:
        shape = self.SHAPE / float(np.ptp(curves(self.SHAPE, 4096)))
        return float(np.mean(heights(k * shape + draws) >= observed))

    @pytest.mark.parametrize(("level", "at"), list(enumerate(LEVELS)))
    def test_a_part_of_that_tir_shows_as_much_in_that_share_of_draws(self, level: int, at: float) -> None:
        draws = scattered(1.0, 3)
        k = float(inverted(20.0, self.SHAPE, draws)[level])
        # Steps of 1/4000 and a grid whose peaks are up to five hundredths of a deviation low.
        assert self.share_at_least(k, 20.0, draws) == pytest.approx(at, abs=0.03)

    def test_the_limits_rise(self) -> None:
        assert (np.diff(inverted(20.0, self.SHAPE, scattered(1.0, 3))) > 0).all()

    def test_the_bias_of_max_less_min_is_taken_out(self) -> None:
        assert inverted(20.0, self.SHAPE, scattered(1.0, 3))[2] < 20.0

    def test_twice_the_size_of_everything_gives_twice_the_limits(self) -> None:
        draws = scattered(1.0, 3)
        assert inverted(40.0, self.SHAPE, 2 * draws) == pytest.approx(
            2 * inverted(20.0, self.SHAPE, draws), rel=1e-9
        )

    def test_the_height_of_the_shape_does_not_matter(self) -> None:
        draws = scattered(1.0, 3)
        plain, higher = inverted(20.0, self.SHAPE, draws), inverted(20.0, 7 * self.SHAPE, draws)
        # A higher shape is looked at on a finer grid: peaks stand up to five hundredths of a deviation higher.
        assert higher == pytest.approx(plain, abs=0.15)

    def test_a_part_that_noise_explains_has_nothing_as_its_lower_limit(self) -> None:
        draws = scattered(1.0, 3)
        seen = float(np.median(heights(draws)))
        assert inverted(seen, self.SHAPE, draws)[0] == 0.0


class TestLimits:
    """A curve put together from several sweeps."""

    COS = np.array([10.0, 2.0])
    SIN = np.array([0.0, 1.0])

    def test_a_curve_known_exactly_has_no_width(self) -> None:
        found = limits_of_curve(self.COS, self.SIN, np.zeros((4, 4)), 10.0)
        assert found.interval() == (found.value, found.value)

    def test_no_curve_at_all_has_no_runout(self) -> None:
        assert limits_of_curve([0.0, 0.0], [0.0, 0.0], np.eye(4), 10.0).interval()[1] == 0.0

    def test_the_same_seed_gives_the_same_limits(self) -> None:
        assert limits_of_curve(self.COS, self.SIN, np.eye(4), 10.0) == limits_of_curve(
            self.COS, self.SIN, np.eye(4), 10.0
        )

    def test_one_sided_limits_lie_inside_the_two_sided_ones(self) -> None:
        found = limits_of_curve(self.COS, self.SIN, np.eye(4), 10.0)
        assert (
            found.interval()[0]
            < found.one_sided()[0]
            < found.value
            < found.one_sided()[1]
            < found.interval()[1]
        )

    def test_fewer_degrees_of_freedom_are_wider(self) -> None:
        few, many = (
            np.ptp(limits_of_curve(self.COS, self.SIN, np.eye(4), dof).interval()) for dof in (3.0, 1e9)
        )
        assert few > 1.3 * many

    def test_drawn_errors_have_the_covariance_asked_for(self) -> None:
        covariance = np.array([[4.0, 1.0], [1.0, 9.0]])
        drawn = draw_errors(covariance, math.inf, np.random.default_rng(1))
        # A variance of 4000 draws: sqrt(2 / N) = 2.2 % of itself, three of them.
        assert np.diag(np.cov(drawn.T)) == pytest.approx(np.diag(covariance), rel=0.067)

    def test_drawn_errors_of_few_degrees_of_freedom_are_students(self) -> None:
        drawn = draw_errors(np.eye(1), 5.0, np.random.default_rng(1))
        # Variance of t with 5 degrees of freedom: 5 / 3; its own deviation over 4000 draws is 4.7 %.
        assert float(np.var(drawn)) == pytest.approx(5 / 3, rel=0.14)
