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
    numbers = np.asarray(raw).astype(np.int64)
    before = np.empty_like(numbers)
    before[:1] = last & _U32
    before[1:] = numbers[:-1]
    steps = ((numbers - before + _HALF) & _U32) - _HALF
    return last + np.cumsum(steps)


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
