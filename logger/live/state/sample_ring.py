"""A fixed ring between the worker, which fills it, and the timer of the screen, which empties it.

Its memory never grows: where nobody empties it in time the oldest readings are skipped, and counted. They
are in the recording and in the session all the same.
"""

import threading
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from analysis.capture import Bools, Floats

CAPACITY = 1 << 16


@dataclass(frozen=True)
class SampleBlock:
    """Readings in the order taken; arrays have shape (n,)."""

    epoch: NDArray[np.int64]
    """Grows with every restart of the board and every new mark: angles of two epochs do not compare."""
    host_ns: NDArray[np.int64]
    """Monotonic clock of the source when they had come."""
    t_s: Floats
    count: Floats
    """Count of the encoder; NaN where none has come."""
    angle_rad: Floats
    reading_mm: Floats
    new: Bools

    def __len__(self) -> int:
        return len(self.t_s)


_COLUMNS = (("epoch", np.int64), ("host_ns", np.int64), ("t_s", float), ("count", float),
            ("angle_rad", float), ("reading_mm", float), ("new", bool))  # fmt: skip


class SampleRing:
    """Holds the newest readings that were not taken yet."""

    def __init__(self, capacity: int = CAPACITY) -> None:
        self._capacity = capacity
        self._data: dict[str, NDArray[Any]] = {name: np.zeros(capacity, kind) for name, kind in _COLUMNS}
        self._put = self._read = 0
        self._lock = threading.Lock()
        self.skipped = 0
        """Readings that nobody took in time."""

    def push(self, block: SampleBlock) -> None:
        """Add readings; from one thread."""
        n = len(block)
        with self._lock:
            keep = min(n, self._capacity)
            where = (self._put + n - keep + np.arange(keep)) % self._capacity
            for name, _ in _COLUMNS:
                self._data[name][where] = getattr(block, name)[n - keep :]
            self._put += n

    def take(self) -> SampleBlock:
        """Return everything since the last time; from one thread."""
        with self._lock:
            first = max(self._read, self._put - self._capacity)
            self.skipped += first - self._read
            where = np.arange(first, self._put) % self._capacity
            self._read = self._put
            return SampleBlock(*(self._data[name][where] for name, _ in _COLUMNS))
