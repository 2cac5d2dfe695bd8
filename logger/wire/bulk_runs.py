"""Many runs of equal length opened at once: COBS and crc16 over whole columns of bytes, with numpy.

Byte j of every run lies in row j of one array, so that each step of the slow rule in ``framing`` becomes a
few operations over all runs. This contract stands over every function here: the answer for each run is the
one that ``framing`` gives, whatever its bytes; runs hold no zero and are ``MIN_RUN`` to ``MAX_RUN`` long.
"""

from functools import cache

import numpy as np
from numpy.typing import NDArray

from logger.wire.framing import CRC_BYTES

Bytes = NDArray[np.uint8]
Words = NDArray[np.uint16]
Bools = NDArray[np.bool_]
Integers = NDArray[np.int64]

_POLYNOMIAL = np.uint16(0x1021)


def gather_columns(buffer: Bytes, starts: Integers, length: int) -> Bytes:
    """Return the runs of this length that begin at these places: shape (length, n), one run a column."""
    # Windows over the buffer as one opaque item each: gathering then copies whole runs, not single bytes.
    windows = np.ndarray((len(buffer) - length + 1,), f"V{length}", buffer, strides=(1,))
    rows = windows[starts].view(np.uint8).reshape(-1, length)
    return np.ascontiguousarray(rows.T)


def open_columns(runs: Bytes) -> tuple[Bytes, Bools]:
    """Return the bodies of runs and which of them passed.

    ``runs`` has shape (length, n), one run a column; the bodies have shape (length - 3, n), and mean nothing
    where the mask, of shape (n,), is false.
    """
    length, n = runs.shape
    opened = np.empty((length - 1, n), np.uint8)
    # A code beyond the end is met by no later byte, also when the sum passes 255 and wraps: it then points
    # to a place already behind. So such a run never ends where its last code points.
    next_code = runs[0].copy()
    is_code = np.empty(n, np.bool_)
    code = np.empty(n, np.uint8)
    for at in range(1, length):
        np.equal(next_code, at, out=is_code)
        np.multiply(runs[at], is_code.view(np.uint8), out=code)
        np.add(next_code, code, out=next_code)
        np.subtract(runs[at], code, out=opened[at - 1])  # a code stands where a zero was
    body, crc = opened[:-CRC_BYTES], opened[-CRC_BYTES:]
    sent = crc[0] | crc[1].astype(np.uint16) << np.uint16(8)
    return body, (next_code == length) & (sent == crc16_columns(body))


def crc16_columns(bodies: Bytes) -> Words:
    """Return the crc16 of each column of an array of shape (length, n)."""
    table = _two_byte_table()
    even = len(bodies) // 2 * 2
    pairs = bodies[0:even:2].astype(np.uint16) << np.uint16(8) | bodies[1:even:2]
    crc = np.full(bodies.shape[1], 0xFFFF, np.uint16)
    for pair in pairs:
        crc = table.take(crc ^ pair)
    if even < len(bodies):
        # The first 256 entries are two steps from a byte that comes second: one step from it is enough.
        crc = crc << np.uint16(8) ^ table[:256].take(crc >> np.uint16(8) ^ bodies[-1])
    return crc


@cache
def _two_byte_table() -> Words:
    """Return what two bytes, already mixed into a crc, turn it into: 65536 entries of 16 bits."""
    crc = np.arange(1 << 16, dtype=np.uint16)
    for _ in range(16):
        carry = crc >> np.uint16(15)
        crc = crc << np.uint16(1) ^ carry * _POLYNOMIAL
    return crc
