"""Turns: a hand that stops, trembles, goes back and goes on must make neither a short nor a double turn."""

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from analysis.capture.samples import Samples
from analysis.capture.turns import coverage, cut_turns, largest_gap_deg, split_runs

DEG = math.pi / 180.0


def along(*stops_deg: float, step_deg: float = 0.5) -> NDArray[np.float64]:
    """Angles in degrees of a hand that goes from stop to stop."""
    pieces = [
        np.arange(a, b, math.copysign(step_deg, b - a))
        for a, b in zip(stops_deg, stops_deg[1:], strict=False)
    ]
    return np.concatenate([*pieces, [stops_deg[-1]]])


def samples(angle_deg: NDArray[np.float64], segment: NDArray[np.int16] | None = None) -> Samples:
    n = len(angle_deg)
    return Samples(
        np.arange(n) * 0.01,
        angle_deg * DEG,
        np.zeros(n),
        np.ones(n, bool),
        np.zeros(n, bool),
        np.zeros(n, np.int16) if segment is None else segment,
    )


CASES = [
    ("plain", along(0, 1100), [(0, 1), (1, 1), (2, 1)]),
    ("stops short of the third", along(0, 1070), [(0, 1), (1, 1)]),
    ("starts before the mark", along(-100, 730), [(0, 1), (1, 1)]),
    ("goes back 100 and on", along(0, 300, 200, 730), [(0, 1), (1, 1)]),
    ("goes back across the mark", along(0, 380, 300, 730), [(0, 1), (1, 1)]),
    ("backwards", along(0, -730), [(-1, -1), (-2, -1)]),
    ("two on, two back", along(0, 730, -10), [(0, 1), (1, 1), (1, -1), (0, -1)]),
    ("rests at the mark", np.concatenate([along(0, 360), np.full(50, 360.0), along(360, 720.2)]), None),
    ("rocks about the mark", along(0, 365, 355, 365, 355, 365, 730), [(0, 1), (1, 1)]),
    ("never gets round", along(0, 350, 10, 340), []),
]


@pytest.mark.parametrize(("name", "angle_deg", "expected"), CASES, ids=[case[0] for case in CASES])
def test_a_hand_makes_these_turns(
    name: str, angle_deg: NDArray[np.float64], expected: list[tuple[int, int]] | None
) -> None:
    got = [(turn.number, turn.direction) for turn in cut_turns(samples(angle_deg))]
    assert got == ([(0, 1), (1, 1)] if expected is None else expected)


def test_retrodden_ground_is_kept_once() -> None:
    turn = cut_turns(samples(along(0, 300, 200, 361)))[0]
    angle = along(0, 300, 200, 361)[turn.where]
    assert (np.diff(angle) >= -0.036).all()
    assert largest_gap_deg(angle * DEG) < 1.0


def test_a_turn_never_spans_a_break() -> None:
    angle = along(0, 720)
    segment = np.where(np.arange(len(angle)) < len(angle) // 4, 0, 1).astype(np.int16)
    assert [turn.number for turn in cut_turns(samples(angle, segment))] == [1]


def test_sparse_readings_close_their_turn() -> None:
    assert [t.number for t in cut_turns(samples(np.arange(0.0, 360.0, 10.0)))] == [0]


def test_the_speed_is_that_between_the_passings_of_the_mark() -> None:
    turn = cut_turns(samples(along(-20, 400)))[0]
    assert turn.rpm == pytest.approx(60.0 / (720 * 0.01), rel=1e-9)


def test_cutting_the_stream_anywhere_only_takes_turns_away() -> None:
    angle = along(0, 500, 420, 1100)
    whole = [turn.number for turn in cut_turns(samples(angle))]
    for cut in range(10, len(angle), 37):
        part = [turn.number for turn in cut_turns(samples(angle[:cut]))]
        assert part == whole[: len(part)]


def test_runs_split_only_where_the_hand_goes_back_half_a_turn() -> None:
    assert [run.direction for run in split_runs(along(0, 500, 330, 900) * DEG)] == [1]
    assert [run.direction for run in split_runs(along(0, 500, 310, 900) * DEG)] == [1, -1, 1]


def test_coverage_and_gap_of_evenly_spaced_places() -> None:
    angle = np.arange(0.0, 360.0, 30.0) * DEG
    assert largest_gap_deg(angle) == pytest.approx(30.0)
    assert coverage(angle) == pytest.approx(12 * 12 / 360)
