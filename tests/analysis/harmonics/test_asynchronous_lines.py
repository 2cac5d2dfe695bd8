"""Lines between whole orders, told from the part by several turns."""

import numpy as np
import pytest
from made_sweeps import Made, made, wobble

from analysis.harmonics import Line, asynchronous_lines
from analysis.harmonics.asynchronous_lines import CLEAR_P, HIGHEST_LINE, candidate_orders, find_lines

NOISE_MM = 0.001


def lined(*lines: tuple[float, float], turns: int = 5, seed: int = 1) -> Made:
    """A wobble with lines of so many cycles a turn and such a height in noises."""
    return made(
        wobble(0.05),
        turns=turns,
        noise_mm=NOISE_MM,
        seed=seed,
        also=lambda deg: np.asarray(
            sum(size * NOISE_MM * np.cos(order * np.radians(deg) + 0.4) for order, size in lines) + 0.0 * deg
        ),
    )


def found(sweep: Made) -> tuple[Line, ...]:
    turns = float(np.ptp(sweep.angle_rad)) / (2 * np.pi)
    return find_lines(sweep.angle_rad, sweep.reading_mm, sweep.t_s, highest_order=15, turns=turns)


@pytest.mark.parametrize("order", [0.41, 1.5, 3.62, 7.35, 18.4, 47.7])
def test_a_line_is_found_at_its_order(order: float) -> None:
    (line,) = found(lined((order, 3.0)))
    # Frequency of a sine: sqrt(6) / (pi T) noise / (A sqrt(N / 2)) is 0.0015 cycles a turn here.
    assert line.order == pytest.approx(order, abs=0.006)


def test_a_line_has_its_height() -> None:
    (line,) = found(lined((3.62, 3.0)))
    # Noise x sqrt(2 / N) is 0.03 noises; four of them.
    assert line.amplitude_mm == pytest.approx(3 * NOISE_MM, abs=0.12 * NOISE_MM)


def test_two_lines_are_told_largest_first() -> None:
    orders = [line.order for line in found(lined((3.62, 2.0), (0.41, 4.0)))]
    assert orders == pytest.approx([0.41, 3.62], abs=0.02)


def test_more_than_three_are_not_told() -> None:
    assert len(found(lined((0.41, 3.0), (2.5, 3.0), (4.6, 3.0), (6.4, 3.0)))) == 3


@pytest.mark.parametrize("seed", range(1, 31))
def test_noise_shows_no_line(seed: int) -> None:
    # One in a thousand by its own threshold: 3 % for one of these thirty.
    assert found(lined(seed=seed)) == ()


@pytest.mark.parametrize("turns", [2.0, 3.0, 10.0])
def test_candidates_lie_between_whole_orders(turns: float) -> None:
    orders = candidate_orders(turns)
    assert float(np.abs(orders - np.round(orders)).min()) >= 0.1 * min(1.0, 4.0 / turns)


def test_more_turns_look_nearer_to_whole_orders() -> None:
    off = [float(np.abs(orders - np.round(orders)).min()) for orders in map(candidate_orders, (2.0, 20.0))]
    assert off[1] < off[0]


def test_candidates_end_at_the_highest_line() -> None:
    assert float(candidate_orders(5.0).max()) < HIGHEST_LINE


def test_no_line_is_looked_for_that_has_fewer_than_three_readings_to_a_cycle() -> None:
    sweep = made(wobble(0.05), turns=5, per_turn=100, noise_mm=NOISE_MM,
                 also=lambda deg: 8 * NOISE_MM * np.cos(40.4 * np.radians(deg)))  # fmt: skip
    assert all(line.order < 33 for line in found(sweep))


def test_a_line_is_believed_at_one_chance_in_a_thousand() -> None:
    assert CLEAR_P == 0.001


def test_lines_looked_for_part_by_part_are_those_of_all_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    sweep = lined((0.41, 3.0), (2.5, 3.0), (18.4, 3.0))
    at_once = found(sweep)
    monkeypatch.setattr(asynchronous_lines, "_MOST_KEPT", 0)
    monkeypatch.setattr(asynchronous_lines, "_MOST_AT_ONCE", 5000)
    by_parts = found(sweep)
    assert len(by_parts) == 3
    # The same candidates in products of other widths: to the last digits of a float.
    assert [one.order for one in by_parts] == pytest.approx([one.order for one in at_once], rel=1e-9)


def test_none_is_looked_for_where_a_count_jumped_by_turns_that_nobody_made() -> None:
    sweep = lined((3.62, 3.0))
    jumped = sweep.angle_rad + np.where(sweep.angle_rad > 15.0, 2 * np.pi * 800_000, 0.0)
    turns = float(np.ptp(jumped)) / (2 * np.pi)
    assert find_lines(jumped, sweep.reading_mm, sweep.t_s, highest_order=15, turns=turns) == ()
