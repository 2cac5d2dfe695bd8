"""The cutter gives the turns of the whole, bit by bit, however the samples are cut into blocks."""

import math
import tracemalloc
from itertools import cycle

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st
from numpy.typing import NDArray
from plain_turns import plain_turns
from turned_by_hand import PIECES, recordings

from analysis.capture import Samples, Turn, TurnCutter, TurnSamples, cut_turns
from analysis.capture.turns_of_run import TypicalStep


def fed(samples: Samples, lengths: list[int], cutter: TurnCutter) -> list[TurnSamples]:
    """Return what a cutter gives of samples in blocks of these lengths, again and again."""
    ended: list[TurnSamples] = []
    at = 0
    for length in cycle(lengths):
        if at >= len(samples):
            break
        ended += cutter.feed(samples.take(slice(at, at + length)))
        at += length
    return ended + cutter.finish()


def same_turn(one: Turn, other: Turn) -> bool:
    numbers = (one.number, one.direction, one.segment, one.start_s, one.end_s)
    others = (other.number, other.direction, other.segment, other.start_s, other.end_s)
    return numbers == others and np.array_equal(one.where, other.where)


def same_samples(one: Samples, other: Samples) -> bool:
    return all(
        np.array_equal(getattr(one, name), getattr(other, name))
        for name in ("t_s", "angle_rad", "reading_mm", "new", "out_of_range", "segment")
    )


def in_order(ended: list[TurnSamples]) -> list[TurnSamples]:
    return sorted(ended, key=lambda one: (one.turn.end_s, one.turn.where[0]))


def are_same(ended: list[Turn], expected: list[Turn]) -> bool:
    return len(ended) == len(expected) and all(map(same_turn, ended, expected))


@given(recordings(), PIECES)
@settings(max_examples=150, deadline=None)
def test_the_turns_are_those_of_the_whole_whatever_the_blocks(samples: Samples, lengths: list[int]) -> None:
    ended = in_order(fed(samples, lengths, TurnCutter()))
    assert are_same([one.turn for one in ended], plain_turns(samples))


@given(recordings())
@settings(max_examples=60, deadline=None)
def test_a_whole_recording_as_one_block_gives_the_same(samples: Samples) -> None:
    assert are_same(cut_turns(samples), plain_turns(samples))


@given(recordings(), PIECES)
@settings(max_examples=40, deadline=None)
def test_a_turn_brings_the_samples_it_names(samples: Samples, lengths: list[int]) -> None:
    for one in fed(samples, lengths, TurnCutter()):
        assert same_samples(one.samples, samples.take(one.turn.where))


@given(recordings(), PIECES)
@settings(max_examples=60, deadline=None)
def test_told_at_once_the_blocks_change_nothing_either(samples: Samples, lengths: list[int]) -> None:
    one_by_one = fed(samples, [1], TurnCutter(at_once=True))
    ended = fed(samples, lengths, TurnCutter(at_once=True))
    assert are_same([one.turn for one in in_order(ended)], [one.turn for one in in_order(one_by_one)])


@given(recordings(), PIECES, st.sampled_from((0, 1, 5)))
@settings(max_examples=60, deadline=None)
def test_what_is_left_out_of_a_rest_does_not_hang_on_the_blocks(
    samples: Samples, lengths: list[int], most: int
) -> None:
    one_by_one = fed(samples, [1], TurnCutter(most_at_rest=most))
    ended = fed(samples, lengths, TurnCutter(most_at_rest=most))
    assert are_same([one.turn for one in in_order(ended)], [one.turn for one in in_order(one_by_one)])


def at_counts(counts: NDArray[np.int64] | range, first_s: float = 0.0) -> Samples:
    """Return samples at these of 2,400 counts a turn, a millisecond apart."""
    n = len(counts)
    angle = np.asarray(counts) * (2.0 * math.pi / 2400.0)
    t_s = first_s + np.arange(n) * 1e-3
    return Samples(t_s, angle, np.zeros(n), np.ones(n, bool), np.zeros(n, bool), np.zeros(n, np.int16))


def numbers(ended: list[TurnSamples]) -> list[int]:
    return [one.turn.number for one in ended]


def test_a_turn_is_told_when_its_mark_is_left_behind() -> None:
    cutter = TurnCutter()
    assert numbers(cutter.feed(at_counts(range(2401)))) == []
    assert numbers(cutter.feed(at_counts(range(2401, 2402), 2.401))) == [0]


def test_told_at_once_it_is_told_with_the_sample_at_the_mark() -> None:
    assert numbers(TurnCutter(at_once=True).feed(at_counts(range(2401)))) == [0]


def test_a_first_turn_begun_past_the_mark_waits_for_the_typical_step() -> None:
    # Begun one count past the mark: full where steps of one count are typical, for one and a half are forgiven.
    cutter = TurnCutter()
    assert numbers(cutter.feed(at_counts(range(1, 5000)))) == [1]
    assert numbers(cutter.finish()) == [0]


def test_told_at_once_it_goes_by_the_typical_step_so_far() -> None:
    assert numbers(TurnCutter(at_once=True).feed(at_counts(range(1, 5000)))) == [0, 1]


def test_a_first_turn_begun_too_far_past_the_mark_is_none() -> None:
    cutter = TurnCutter()
    assert numbers(cutter.feed(at_counts(range(2, 5000))) + cutter.finish()) == [1]


def test_of_a_rest_the_first_samples_are_kept_and_what_came_further() -> None:
    counts = np.concatenate([np.arange(1000), np.full(50, 1000), np.arange(1001, 2402)])
    (turn,) = TurnCutter(most_at_rest=10).feed(at_counts(counts))
    # The one that came to count 1000 and ten more of the fifty.
    assert np.count_nonzero(turn.samples.angle_rad == counts[1000] * (2.0 * math.pi / 2400.0)) == 11
    assert len(turn.samples) == 2400 + 10


def test_of_a_rest_behind_the_furthest_point_a_turn_back_loses_only_repeats() -> None:
    there = np.concatenate([np.arange(3001), np.full(50, 2999), np.arange(2998, -10, -1)])
    full, bounded = (
        [*cutter.feed(at_counts(there)), *cutter.finish()]
        for cutter in (TurnCutter(most_at_rest=None), TurnCutter(most_at_rest=10))
    )
    assert [(one.turn.number, one.turn.end_s) for one in full] == [
        (one.turn.number, one.turn.end_s) for one in bounded
    ]


@pytest.mark.parametrize("behind", [0, 2], ids=["at the furthest point", "behind it"])
def test_a_hand_that_stays_costs_no_more_memory_the_longer_it_stays(behind: int) -> None:
    cutter = TurnCutter(most_at_rest=1000)
    cutter.feed(at_counts(range(3600)))
    held: list[int] = []
    tracemalloc.start()
    for _ in range(2):
        for _ in range(40):
            cutter.feed(at_counts(np.full(1000, 3599 - behind)))
        held.append(tracemalloc.get_traced_memory()[0])
    tracemalloc.stop()
    # Forty thousand samples more: a sample is 35 bytes.
    assert held[1] - held[0] < 40_000


@pytest.mark.parametrize("n", [1, 2, 65_535, 65_536, 65_537, 200_001])
def test_the_typical_step_is_the_median_of_all_steps(n: int) -> None:
    made = np.random.default_rng(n)
    counts = np.cumsum(made.integers(1, 4, n)) * (2.0 * math.pi / 2400.0)
    steps = np.diff(counts, prepend=0.0)
    typical = TypicalStep(most=1 << 17)
    for start in range(0, n, 7001):
        typical.take(steps[start : start + 7001])
    assert typical.median_rad() == np.median(steps)


def test_the_typical_step_of_a_run_is_known_in_little_memory() -> None:
    steps = np.diff(np.arange(1 << 20) * (2.0 * math.pi / 2400.0))
    typical = TypicalStep(most=1 << 17)
    tracemalloc.start()
    for start in range(0, len(steps), 1000):
        typical.take(steps[start : start + 1000])
    held = tracemalloc.get_traced_memory()[0]
    tracemalloc.stop()
    # 65,536 steps are gathered before they are counted; the million would be 8 MB.
    assert held < 700_000


def test_counts_that_run_on_and_jump_back_end_turns_all_the_same() -> None:
    row = at_counts(np.arange(60_000) % 16_080)
    assert are_same(cut_turns(row), plain_turns(row))


def test_segments_that_come_back_are_put_together() -> None:
    row = at_counts(range(9000))
    segment = (np.arange(9000) // 3000 % 2).astype(np.int16)
    mixed = Samples(row.t_s, row.angle_rad, row.reading_mm, row.new, row.out_of_range, segment)
    assert are_same(cut_turns(mixed), plain_turns(mixed))
