"""How well a sweep is known: which road it takes, and what it says."""

import math

import numpy as np
import pytest
from intervals import NOISE_MM, known, plain
from made_sweeps import Floats, Made, Shape, made, sum_of, wobble

from analysis.errors import NotDecidable
from analysis.uncertainty.sweep import SweepUncertainty

STEP_MM = 0.01
STILL = 2
"""Turns of this seed differ by less than chance has it in one of five sets: their order 1 is not widened."""


def ends(found: SweepUncertainty) -> tuple[float, float, float, float, float]:
    """Return the TIR among its limits, from the lowest to the highest."""
    (low, high), (low_one, high_one) = found.tir.interval(), found.tir.one_sided()
    return low, low_one, found.tir.value, high_one, high


def width(found: SweepUncertainty) -> float:
    low, high = found.tir.interval()
    return high - low


def with_line(size: float) -> Made:
    def also(deg: Floats) -> Floats:
        return np.asarray(size * NOISE_MM * np.cos(2.62 * np.radians(deg)))

    return made(wobble(0.1), turns=5, noise_mm=NOISE_MM, also=also)


def wandering() -> Made:
    a, b = np.random.default_rng(5).normal(0.0, 2 * NOISE_MM, (2, 5))

    def also(deg: Floats) -> Floats:
        k = np.minimum((deg // 360.0).astype(int), 4)
        return np.asarray(a[k] * np.cos(np.radians(deg)) + b[k] * np.sin(np.radians(deg)))

    return made(wobble(0.1), turns=5, noise_mm=NOISE_MM, also=also)


ROADS = [
    ("white noise", plain(), 0.0, "white"),
    ("a line", with_line(3.0), 0.0, "lines"),
    ("coarse steps", plain(noise_mm=0.4 * STEP_MM, step_mm=STEP_MM), STEP_MM, "requantised"),
    ("steps and no noise", plain(noise_mm=0.05 * STEP_MM, step_mm=STEP_MM), STEP_MM, "resolution-limited"),
    ("fine steps", plain(step_mm=0.0001), 0.0001, "white"),
]


@pytest.mark.parametrize(
    ("sweep", "step", "road"), [case[1:] for case in ROADS], ids=[case[0] for case in ROADS]
)
def test_a_sweep_takes_its_road(sweep: Made, step: float, road: str) -> None:
    assert known(sweep, step_mm=step).branch == road


def test_the_interval_holds_its_estimate_in_order() -> None:
    found = known(plain())
    low, low_one, value, high_one, high = ends(found)
    assert low < low_one < value < high_one < high


def test_the_width_is_about_that_of_cramer_and_rao() -> None:
    """At opposite extremes 2 A_1 has 2 sigma sqrt(2 / N); with all orders unknown some sqrt(15 x 2) of sigma."""
    found = known(plain(seed=STILL), highest=1)
    u = 2 * NOISE_MM * math.sqrt(2 / 1440)
    # Limits are asked at 95.5 %, and counted in 4000 draws: a few per cent.
    assert width(found) == pytest.approx(2 * 1.96 * u, rel=0.12)


def test_more_turns_narrow_it_by_the_root_of_their_number() -> None:
    few, many = (known(plain(turns)) for turns in (3, 12))
    # The noise of each is estimated to some 2 %, the limits counted to some 5 %.
    assert (width(few)) / (width(many)) == pytest.approx(2.0, rel=0.15)


def test_the_same_seed_gives_the_same_interval() -> None:
    assert known(plain()).tir == known(plain()).tir


def test_another_seed_gives_nearly_the_same() -> None:
    widths = [width(found) for found in (known(plain(), seed=1), known(plain(), seed=2))]
    assert widths[0] == pytest.approx(widths[1], rel=0.1)


def test_other_lines_join_in_quadrature() -> None:
    without, joined = known(plain()), known(plain(), other_mm=0.002)
    # The quantile is written with seven digits.
    (_, _, value, _, high), (_, _, _, _, wider) = ends(without), ends(joined)
    assert wider - value == pytest.approx(math.hypot(high - value, 1.959964 * 0.002), rel=1e-6)


def test_the_one_sided_limits_take_them_at_1_645() -> None:
    without, joined = known(plain()), known(plain(), other_mm=0.002)
    (_, _, value, high, _), (_, _, _, wider, _) = ends(without), ends(joined)
    assert wider - value == pytest.approx(math.hypot(high - value, 1.644854 * 0.002), rel=1e-6)


def test_the_budget_is_its_parts_the_random_one_first() -> None:
    assert list(known(plain(), other_mm=0.002).tir.parts) == ["turn to turn", "gauge"]


def test_the_random_part_is_kept_apart() -> None:
    assert known(plain(), other_mm=0.002).random == known(plain()).random


def test_turns_that_wander_widen_it_and_say_so() -> None:
    found = known(wandering())
    assert found.scatter.inflated
    assert any(word.startswith("the first order wanders by") for word in found.remarks)


def test_turns_that_wander_have_the_degrees_of_freedom_of_turns() -> None:
    # Orders 1 to 3 by 2 (5 - 1) each, the others together by 83: Welch and Satterthwaite lie between.
    assert 8.0 <= known(wandering()).dof < 83.0


def test_turns_that_repeat_have_those_of_the_noise() -> None:
    # 1440 readings less a constant, 30 components and a drift.
    assert known(plain(seed=STILL)).dof == 1440 - 32


def test_steps_without_noise_say_so() -> None:
    found = known(plain(noise_mm=0.0, step_mm=STEP_MM), step_mm=STEP_MM)
    assert "resolution limits this" in found.remarks


def test_steps_without_noise_are_not_averaged_away() -> None:
    few, many = (known(plain(turns, noise_mm=0.0, step_mm=STEP_MM), step_mm=STEP_MM) for turns in (3, 30))
    assert width(many) > 0.8 * (width(few))


def test_angles_by_time_are_searched_for_no_lines() -> None:
    assert known(with_line(3.0), even=False).fit.lines == ()


def test_a_known_line_is_taken_off_the_orders() -> None:
    # Left in, three noises at 2.62 a turn would put some 0.3 noises on orders 2 and 3 of five turns.
    amplitude = float(known(with_line(3.0)).fit.amplitude_mm[1])
    assert amplitude < 0.25 * NOISE_MM


def test_as_many_unknowns_as_readings_are_not_decidable() -> None:
    with pytest.raises(NotDecidable, match="leave nothing to judge the noise by"):
        known(made(wobble(0.1), turns=1, per_turn=9, noise_mm=NOISE_MM), highest=4)


LOBED: Shape = sum_of(wobble(0.05), lambda deg: 0.03 * np.cos(np.radians(5 * deg - 40.0)))


def test_the_high_point_is_the_top_of_the_curve() -> None:
    found = known(made(LOBED, noise_mm=NOISE_MM))
    top = found.high_point.value
    grid = np.linspace(0.0, 360.0, 7200, endpoint=False)
    # A curvature of 25 x 0.03 against a slope known to 5 x 2 noises / sqrt N: a tenth of a degree.
    assert top == pytest.approx(float(grid[np.argmax(LOBED(grid))]), abs=0.5)


def test_its_interval_holds_it() -> None:
    found = known(made(LOBED, noise_mm=NOISE_MM))
    low, high = found.high_point.interval()
    assert low <= found.high_point.value <= high


def test_an_amplitude_has_the_white_noise_reference() -> None:
    """var A = 2 sigma^2 / N, var phase = 2 sigma^2 / (N A^2) (closed form)."""
    found = known(made(LOBED, noise_mm=NOISE_MM))
    u = NOISE_MM * math.sqrt(2 / 1440)
    # The noise is estimated by 1408 degrees of freedom: 1.9 %, and a drift takes a little more.
    assert found.u_amplitude_mm[4] == pytest.approx(u, rel=0.08)
    # The high place of order 5 is known five times better than its phase.
    assert found.u_high_place_rad[4] == pytest.approx(u / 0.03 / 5, rel=0.08)
