"""Counters that wrap: clock, count, seq and error counters, one by one and as arrays."""

import numpy as np
import pytest
from hypothesis import given, strategies as st

from logger.wire.counters import lost_between, lost_between_array, step16, unwrap32, unwrap32_array

any_raw = st.integers(-(2**31), 2**32 - 1)


@pytest.mark.parametrize(
    ("last", "raw", "unwrapped"),
    [
        (0, 5, 5),
        (2**32 - 10, 5, 2**32 + 5),  # the clock passes its end after 71.58 minutes
        (2**32 + 5, 2**32 - 10, 2**32 - 10),  # and a frame from before comes late
        (3 * 2**32, 7, 3 * 2**32 + 7),
        (2**31 - 1, -(2**31), 2**31),  # the count passes its end forward
        (-(2**31), 2**31 - 1, -(2**31) - 1),  # and back
        (-5, -7, -7),
        (5, -2, -2),
    ],
)
def test_unwrapping_takes_the_nearer_way(last: int, raw: int, unwrapped: int) -> None:
    assert unwrap32(last, raw) == unwrapped


@given(st.integers(-(2**40), 2**40), st.integers(-(2**31), 2**31 - 1))
def test_any_step_shorter_than_half_the_range_is_found(last: int, step: int) -> None:
    assert unwrap32(last, (last + step) % 2**32) == last + step


@given(st.integers(-(2**40), 2**40), st.integers(-(2**31), 2**31 - 1))
def test_signed_and_unsigned_raw_unwrap_alike(last: int, raw: int) -> None:
    assert unwrap32(last, raw) == unwrap32(last, raw % 2**32)


@given(st.integers(-(2**40), 2**40), st.lists(any_raw, max_size=20))
def test_array_unwraps_as_one_by_one(last: int, raws: list[int]) -> None:
    expected, at = [], last
    for raw in raws:
        at = unwrap32(at, raw)
        expected.append(at)
    assert unwrap32_array(last, np.array(raws, np.int64)).tolist() == expected


@pytest.mark.parametrize("dtype", [np.uint32, np.int32])
def test_array_of_wire_numbers_unwraps_over_several_wraps(dtype: type) -> None:
    true = np.arange(0, 5 * 2**32, 2**30 - 7)
    assert unwrap32_array(0, true.astype(np.uint32).view(dtype)).tolist() == true.tolist()


def test_pieces_unwrap_as_the_whole() -> None:
    raw = (np.arange(1000) * 123_456_789).astype(np.uint32)
    first = unwrap32_array(0, raw[:400])
    rest = unwrap32_array(int(first[-1]), raw[400:])
    assert np.concatenate([first, rest]).tolist() == unwrap32_array(0, raw).tolist()


def test_no_numbers_unwrap_to_none() -> None:
    assert unwrap32_array(7, np.empty(0, np.uint32)).tolist() == []


@pytest.mark.parametrize(
    ("before", "after", "lost"), [(0, 1, 0), (0, 3, 2), (65535, 0, 0), (65534, 1, 2), (5, 5, 65535)]
)
def test_lost_frames_are_those_missing_between(before: int, after: int, lost: int) -> None:
    assert lost_between(before, after) == lost


@given(st.integers(0, 65535), st.lists(st.integers(0, 65535), max_size=20))
def test_lost_array_counts_as_one_by_one(before: int, seqs: list[int]) -> None:
    expected = [lost_between(a, b) for a, b in zip([before, *seqs], seqs, strict=False)]
    assert lost_between_array(before, np.array(seqs, np.uint16)).tolist() == expected


@pytest.mark.parametrize(("before", "after", "step"), [(0, 0, 0), (3, 5, 2), (65535, 1, 2)])
def test_error_counters_step_across_their_wrap(before: int, after: int, step: int) -> None:
    assert step16(before, after) == step
