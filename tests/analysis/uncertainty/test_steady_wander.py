"""What a wander of order 1 leaves in other orders, against the Fourier series of a saw tooth (closed form)."""

import math

import numpy as np
import pytest

from analysis.harmonics import contrast_rows, harmonic_rows
from analysis.uncertainty.steady_wander import left_by_wander

TURNS = 3
HIGHEST = 8
ANGLE = np.arange(TURNS * 720) / 720 * 2.0 * math.pi
TURN = np.repeat(np.arange(TURNS), 720)


def left(direction: int) -> np.ndarray:
    angle = ANGLE if direction > 0 else -ANGLE[::-1]
    rows = np.vstack([harmonic_rows(angle, HIGHEST), contrast_rows(angle, TURN)])
    return left_by_wander(angle, TURN, rows, slice(1, 1 + 2 * HIGHEST)).reshape(TURNS + 2, 2, HIGHEST, 2)


@pytest.mark.parametrize("direction", [1, -1])
def test_an_axis_that_goes_on_the_same_way_leaves_the_same_on_every_turn(direction: int) -> None:
    # A knot moved by one mm a turn; (phi / 2 pi - 1/2) cos phi has order n in its sine, by -n / pi (n^2 - 1).
    knots = np.arange(TURNS + 2, dtype=np.float64)
    along_cos, along_sin = np.einsum("k,kwnp->wnp", knots, left(direction))
    n = np.arange(2, HIGHEST + 1)
    assert along_cos[1:, 1] == pytest.approx(-n / (math.pi * (n**2 - 1)), abs=2e-3)
    assert along_cos[1:, 0] == pytest.approx(np.zeros(len(n)), abs=2e-3)
    assert along_sin[1:, 0] == pytest.approx(1 / (math.pi * (n**2 - 1)), abs=2e-3)


def test_an_axis_that_does_not_move_leaves_nothing() -> None:
    still = left(1).sum(axis=0)
    assert np.abs(still[:, 1:]).max() < 1e-9
    assert still[0, 0] == pytest.approx([1.0, 0.0], abs=1e-9)


def test_a_turn_that_was_left_out_is_gone_over_in_a_straight_line() -> None:
    kept = TURN != 1
    rows = np.vstack([harmonic_rows(ANGLE[kept], HIGHEST), contrast_rows(ANGLE[kept], TURN[kept])])
    found = left_by_wander(ANGLE[kept], TURN[kept], rows, slice(1, 3))
    assert found.shape == (2 * 4, 2)
    assert found.reshape(4, 2, 2).sum(axis=0) == pytest.approx(np.eye(2), abs=1e-9)
