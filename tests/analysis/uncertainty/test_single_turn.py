"""What a single turn leaves open: its interval allows for motion that does not come back with the turn."""

import math

import numpy as np
import pytest
from made_sweeps import Floats, Made, capture, made, wobble
from simulated_sweeps import measure

from analysis.harmonics import FitPlan
from analysis.results import SweepResult
from analysis.sweep.pipeline import analyse
from analysis.uncertainty.single_turn import NO_MOTION, NonRepeatingMotion, motions
from analysis.uncertainty.sweep import MOVED, tir_interval

NOISE_MM = 0.001
WOBBLE = wobble(0.1)


def turned(*, line: float = 0.0, order: float = 0.41, phase: float = 0.9, creep: float = 0.0, seed: int = 1,
           turns: int = 1) -> Made:  # fmt: skip
    """A wobble with a line so many noises high, and so many noises of creep a turn."""

    def also(deg: Floats) -> Floats:
        return np.asarray(NOISE_MM * (line * np.cos(order * np.radians(deg) + phase) + creep * deg / 360.0))

    return made(WOBBLE, turns=turns, noise_mm=NOISE_MM, seed=seed, also=also)


def known(sweep: Made, highest: int = 15) -> NonRepeatingMotion:
    return motions(sweep.angle_rad, sweep.reading_mm, highest)


def analysed(**changed: float) -> SweepResult:
    return analyse(capture(turned(**changed)))  # type: ignore[arg-type]


def test_the_shares_of_all_motions_make_one() -> None:
    assert float(known(turned()).weight.sum()) == pytest.approx(1.0, abs=1e-12)


def test_noise_alone_rarely_looks_like_motion() -> None:
    # Seven of 400 did; with one in 57, more than six of a hundred come once in a hundred.
    assert sum(known(turned(seed=seed)).moved > 0.5 for seed in range(100)) <= 6


def test_a_turn_whose_ends_meet_closely_is_believed_a_little_more_than_before() -> None:
    assert np.median([known(turned(seed=seed)).moved for seed in range(20)]) < 1 - NO_MOTION


@pytest.mark.parametrize("creep", [10.0, -10.0])
def test_a_creep_that_opens_the_ends_is_seen(creep: float) -> None:
    assert known(turned(creep=creep)).moved > 0.99


def test_a_line_that_opens_the_ends_is_seen() -> None:
    assert known(turned(line=5.0)).moved > 0.99


def test_a_creep_is_taken_off_the_orders() -> None:
    """Taken for the part, a creep D a turn puts D / pi on the sine of order 1 (Fourier series of a sawtooth)."""
    sweep = turned(creep=10.0)
    true = 0.05 * math.sin(math.radians(63.0))
    found = abs(float(known(sweep).mean_mm[1]) - true)
    assert found < 0.5 * 10.0 * NOISE_MM / math.pi


def test_without_noise_of_motion_the_orders_stay_those_of_the_fit() -> None:
    sweep = turned()
    plain = known(sweep).coefficients_mm[0]
    # What is thought of motion moves them by a part of what noise does: 2 noises / sqrt(2 N).
    assert known(sweep).mean_mm == pytest.approx(plain, abs=2 * NOISE_MM / math.sqrt(2 * 480) * 2)


def test_another_scale_gives_the_same_shares() -> None:
    sweep = turned(line=2.0)
    larger = Made(sweep.angle_rad, 25.4 * sweep.reading_mm, sweep.t_s, sweep.turn)
    assert known(larger).weight == pytest.approx(known(sweep).weight, abs=1e-9)


def test_where_the_mark_stands_gives_the_same_shares_for_an_even_turn() -> None:
    sweep = turned(line=2.0)
    moved = Made(sweep.angle_rad + 2 * math.pi, sweep.reading_mm, sweep.t_s, sweep.turn)
    assert known(moved).weight == pytest.approx(known(sweep).weight, abs=1e-6)


def test_many_readings_are_taken_in_blocks_without_a_seam() -> None:
    sweep = made(WOBBLE, turns=1, per_turn=9000, noise_mm=NOISE_MM)
    whole = known(sweep)
    from analysis.uncertainty import single_turn as one_turn

    assert len(sweep.t_s) > one_turn._AT_ONCE
    order = np.random.default_rng(1).permutation(len(sweep.t_s))
    shuffled = motions(sweep.angle_rad[order], sweep.reading_mm[order], 15)
    assert shuffled.weight == pytest.approx(whole.weight, abs=1e-7)


@pytest.mark.parametrize("highest", [1, 2, 3, 8])
def test_no_line_above_the_highest_order_is_thought_of(highest: int) -> None:
    lines = 1 + 4 * (1 + 9 + min(14, 2 * (highest - 1)))  # none; four heights of a drift and of each line
    assert len(known(turned(), highest).weight) == lines


def test_drawn_errors_scatter_about_the_mean() -> None:
    found = known(turned(line=3.0))
    drawn = found.draw(20_000, np.random.default_rng(1))
    spread = drawn.std(axis=0)
    # Means of 20,000 draws: 0.7 % of their deviation, five of them.
    assert np.abs(drawn.mean(axis=0) / spread).max() < 0.036


def test_a_turn_that_moves_says_so() -> None:
    assert MOVED in analysed(creep=10.0).remarks


def test_a_turn_that_closes_does_not() -> None:
    assert MOVED not in analysed().remarks


def test_the_check_says_that_the_intervals_may_not_hold_it_all() -> None:
    (check,) = [check for check in analysed().checks if check.name == "turns"]
    assert check.state == "doubtful"
    assert "the intervals may not hold all of it" in check.text


def test_the_random_line_of_one_turn_has_its_own_name() -> None:
    assert next(iter(analysed().pooled.tir_fit.parts)) == "one turn by itself"


def test_a_turn_that_moves_is_known_much_less() -> None:
    widths = [np.diff(result.pooled.high_side.interval())[0] for result in (analysed(), analysed(creep=10.0))]
    assert widths[1] > 5 * widths[0]


def test_the_vectors_of_a_still_turn_are_hardly_known_less_than_its_noise_tells() -> None:
    ratios = []
    for seed in range(20):
        result = analysed(seed=seed)
        assert result.vectors is not None
        ratios.append(float(np.sqrt(result.vectors.covariance_mm2[0, 0])) / (NOISE_MM * math.sqrt(2 / 480)))
    # Half as much again by simulation; a few draws that lie far out would make it five times.
    assert np.median(ratios) < 2.0


def test_two_turns_are_no_matter_of_belief() -> None:
    assert next(iter(analysed(turns=2).pooled.tir_fit.parts)) == "turn to turn"


def test_the_ends_of_the_high_side_hold_the_high_side() -> None:
    pooled = analysed(line=4.0).pooled
    low, high = pooled.high_side.interval()
    assert low <= pooled.high_side.value <= high


# 200 seeds; one deviation of a share of 95 % is 1.5 %, of 90 % 2.1 %. What the plan hopes for is nine in ten; a
# slow line that happens to close is not seen in one turn, and of such lines the first order holds less.
HELD = [
    ("white", 93.0, 93.0, 1.8),
    ("ball-pass", 84.0, 77.0, 15.0),
]


@pytest.mark.slow
@pytest.mark.parametrize(("name", "tir", "first", "width"), HELD, ids=[name for name, *_ in HELD])
def test_one_turn_holds_the_truth_about_as_often_as_it_says(
    name: str, tir: float, first: float, width: float
) -> None:
    tally = measure(name, 1, range(200))
    print(tally.row(name, 1))
    assert tally.share(tally.held) >= tir
    assert tally.share(tally.first_held) >= first
    assert tally.share(tally.high_point_held) >= 93.0
    assert tally.width / tally.reference <= width


@pytest.mark.parametrize("seed", range(5))
def test_the_stairs_of_a_coarse_gauge_are_no_motion(seed: int) -> None:
    """Two steps of 0.01 mm, noise of a twentieth of a step, 5,000 readings of one turn: the interval of stairs."""
    rng = np.random.default_rng(seed)
    angle = 2 * math.pi * np.arange(5000) / 5000
    reading = 0.01 * np.cos(angle - 1.0) + rng.uniform(-0.005, 0.005) + rng.normal(0.0, 0.0005, 5000)
    found = tir_interval(
        angle,
        np.round(reading, 2),
        angle,
        np.zeros(5000, np.int64),
        plan=FitPlan(15, 1),
        resolution_mm=0.01,
    )
    assert found.branch == "resolution-limited"
    low, high = found.tir.interval()
    assert low <= 0.02 <= high
    # 0.8 steps to either side (numerics of steps coarser than the noise), and next to nothing for the noise.
    assert high - low == pytest.approx(0.016, rel=0.05)
