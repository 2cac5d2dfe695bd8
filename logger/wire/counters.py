"""Counters that wrap, made whole: clock, count, seq and the board's own error counters.

This contract stands over every function here: no input raises; a step of exactly half the range counts as
backwards; nothing is known of restarts, so begin anew after one.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

_U16 = 0xFFFF
_U32 = 0xFFFFFFFF
_HALF = 1 << 31


def unwrap32(last: int, raw: int) -> int:
    """Return raw, signed or unsigned 32 bits, unwrapped to lie within 2**31 of the unwrapped value before.

    Serves the clock (u32) and the count (i32). Frames slightly out of order come out right: the signed
    difference may be negative.
    """
    return last + ((raw - last + _HALF) & _U32) - _HALF


def unwrap32_array(last: int, raw: ArrayLike) -> NDArray[np.int64]:
    """Return what ``unwrap32`` gives for each of raw in turn, each from the one before; shape (n,)."""
    numbers = np.asarray(raw)
    if numbers.dtype not in (np.int32, np.uint32):
        numbers = numbers.astype(np.int64)
    low = numbers.astype(np.uint32)  # the lower 32 bits, whose differences wrap as the counters do
    steps = np.empty_like(low)
    steps[1:] = low[1:] - low[:-1]
    if len(low):
        steps[0] = (int(low[0]) - last) & _U32
    unwrapped = np.cumsum(steps.view(np.int32), dtype=np.int64)
    unwrapped += last
    return unwrapped


def lost_between(seq_before: int, seq_after: int) -> int:
    """Return how many frames are missing between two that follow each other, 0 to 65535."""
    return (seq_after - seq_before - 1) & _U16


def lost_between_array(seq_before: int, seqs: ArrayLike) -> NDArray[np.int64]:
    """Return what ``lost_between`` gives before each of seqs in turn; shape (n,)."""
    numbers = np.asarray(seqs).astype(np.int64)
    before = np.empty_like(numbers)
    before[:1] = seq_before
    before[1:] = numbers[:-1]
    return (numbers - before - 1) & _U16


def step16(before: int, after: int) -> int:
    """Return by how much a u16 counter has gone up, 0 to 65535."""
    return (after - before) & _U16
