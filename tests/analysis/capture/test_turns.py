"""Turns: a hand that stops, trembles, goes back and goes on must make neither a short nor a double turn."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray
from work_done import CountedArray, at_most

from analysis.capture.samples import Samples
from analysis.capture.turn_cutter import cut_turns
from analysis.capture.turns import Run, coverage_and_gap_deg, largest_gap_deg, split_runs

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
    assert coverage_and_gap_deg(angle) == pytest.approx((12 * 12 / 360, 30.0))


# --- counts that no hand makes ------------------------------------------------------------------------------


def runs_in_one_look(angle_rad: NDArray[np.float64]) -> list[Run]:
    """The plain version of split_runs: each run is looked for to the end of everything."""
    runs: list[Run] = []
    start = 0
    while start < len(angle_rad):
        rest = angle_rad[start:]
        rise, fall = rest - np.minimum.accumulate(rest), np.maximum.accumulate(rest) - rest
        turned = np.flatnonzero((rise >= math.pi) | (fall >= math.pi))
        if not len(turned):
            return [*runs, Run(1 if rest[-1] >= rest[0] else -1, start, len(angle_rad))]
        direction = 1 if rise[turned[0]] >= math.pi else -1
        back = np.flatnonzero((fall if direction > 0 else rise)[turned[0] :] >= math.pi)
        if not len(back):
            return [*runs, Run(direction, start, len(angle_rad))]
        travelled = rest[: turned[0] + back[0] + 1] * direction
        runs.append(Run(direction, start, start + int(np.argmax(travelled)) + 1))
        start = runs[-1].stop
    return runs


@pytest.mark.parametrize("seed", range(60))
def test_runs_are_the_same_however_far_is_looked_ahead(seed: int) -> None:
    rng = np.random.default_rng(seed)
    steps = rng.normal(0.0, rng.choice([0.02, 0.3, 2.0, 1e6]), 3000) + rng.choice([0.0, 0.01, 0.2])
    angle_rad = np.cumsum(steps)
    assert split_runs(angle_rad) == runs_in_one_look(angle_rad)


def test_runs_of_wild_counts_cost_as_many_steps_as_there_are_counts() -> None:
    rng = np.random.default_rng(2)
    gone_over = []
    for n in (4_000, 8_000):
        split_runs(CountedArray.of(rng.uniform(-1e6, 1e6, n)))
        gone_over.append(CountedArray.values_gone_over)
    assert gone_over[1] < 2.2 * gone_over[0]


WILD = {
    "one far away": lambda n: np.where(np.arange(n) == n // 2, 2.0**31, np.arange(n) * 2.0),
    "to and fro between the ends of the counter": lambda n: (np.arange(n) % 2) * 2.0**31,
    "ever on in steps of half the counter": lambda n: np.arange(n) * 2.0**31,
    "at random": lambda n: np.random.default_rng(3).uniform(-(2.0**31), 2.0**31, n),
}


@pytest.mark.parametrize("wild", WILD.values(), ids=WILD)
def test_wild_counts_cost_no_more_steps_than_there_are_readings(
    wild: Callable[[int], NDArray[np.float64]],
) -> None:
    # 36 counts a turn: between the ends of the counter lie 119 million turns, none of which is walked.
    angle_deg = wild(2000) * 10.0
    # Each reading may be a run of its own, some 150 lines.
    with at_most(200 * 2000):
        cut_turns(samples(angle_deg))


def test_many_stretches_cost_no_more_steps_than_there_are_readings() -> None:
    gone_over = []
    for n in (500, 1000):
        cut_turns(samples(np.arange(3.0 * n), CountedArray.of(np.repeat(np.arange(n), 3))))  # type: ignore[arg-type]
        gone_over.append(CountedArray.values_gone_over)
    assert gone_over[1] < 2.2 * gone_over[0]
