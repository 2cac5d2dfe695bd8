"""A recording as a source: read again as fast as asked for, or followed while it still grows.

Nothing downstream can tell it from a port, but for its clock, which is the recording's own.
"""

import math
import time
from collections.abc import Callable

from logger.recording.decoder import RecordingDecoder
from logger.recording.reader import BLOCK, RecordingReader, reading
from logger.stream import HostTime, Item

BATCH = 256
"""Most items handed on at once."""
FOLLOW_S = 0.02
"""Time between two looks at a growing file."""
TICK_S = 0.001
"""Shortest wait for an item that is not due yet."""


class ReplaySource:
    """Yields the items of a recording in order.

    Parameters: ``reader``; ``speed`` times life (infinite: as fast as they are taken; 0: paused), may be
    changed at any time; ``clock`` in seconds and ``wait`` (seconds) serve a finite speed only.
    """

    def __init__(
        self,
        reader: RecordingReader,
        *,
        speed: float = math.inf,
        clock: Callable[[], float] = time.monotonic,
        wait: Callable[[float], object] = time.sleep,
    ) -> None:
        self.name = str(reader.path)
        self.speed = speed
        self._clock = clock
        self._wait = wait
        self._items = reader.items()
        self._next: Item | None = next(self._items, None)
        self._now = self._next.host if self._next else HostTime(0, 0)
        self._place_ns = float(self._now.monotonic_ns)
        """How far the replay has come, on the recording's monotonic clock."""
        self._looked_s = clock()

    @property
    def at_end(self) -> bool:
        """True once everything was handed on."""
        return self._next is None

    def now(self) -> HostTime:
        """Return the time of the newest item handed on."""
        return self._now

    def read(self, timeout_s: float) -> list[Item]:
        """Return the items that are due, at most 256 at a time. Raises RecordingError."""
        self._advance()
        items: list[Item] = []
        while self._next is not None and self._is_due(self._next) and len(items) < BATCH:
            items.append(self._take())
        if not items and self._next is not None:
            self._wait(min(timeout_s, self._time_to(self._next)))
        return items

    def step(self) -> list[Item]:
        """Return the next item whatever the speed."""
        return [self._take()] if self._next is not None else []

    def skip_to(self, monotonic_ns: int) -> None:
        """Let everything up to this moment of the recording be due at once."""
        self._place_ns = max(self._place_ns, monotonic_ns)

    def write(self, data: bytes) -> None:
        """Ignore it: a recording cannot be talked to."""

    def close(self) -> None:
        """Let go of the file; harmless twice."""
        self._items.close()
        self._next = None

    def _advance(self) -> None:
        now_s = self._clock()
        if math.isfinite(self.speed):
            self._place_ns += (now_s - self._looked_s) * 1e9 * self.speed
        self._looked_s = now_s

    def _is_due(self, item: Item) -> bool:
        return not math.isfinite(self.speed) or item.host.monotonic_ns <= self._place_ns

    def _time_to(self, item: Item) -> float:
        """Return the seconds until an item is due; a rest below a tick of the clock would never pass."""
        ahead_ns = item.host.monotonic_ns - self._place_ns
        return max(TICK_S, ahead_ns / self.speed * 1e-9) if self.speed > 0 else math.inf

    def _take(self) -> Item:
        item = self._next
        assert item is not None
        self._now = item.host
        self._place_ns = max(self._place_ns, item.host.monotonic_ns)
        self._next = next(self._items, None)
        return item


class FollowSource:
    """Yields the items of a recording that another process is still writing; view-only.

    Parameters: ``reader`` of the file; ``wait`` (seconds). It is at its end once the closing records are
    there; after a crash of the writer they never come.
    """

    def __init__(self, reader: RecordingReader, *, wait: Callable[[float], object] = time.sleep) -> None:
        self.name = str(reader.path)
        self._path = reader.path
        self._wait = wait
        self._decoder = RecordingDecoder()
        self._now = HostTime(0, 0)
        self._closed = False

    @property
    def at_end(self) -> bool:
        """True once the writer has closed the recording, or this source was closed."""
        return self._decoder.closed or self._closed

    def now(self) -> HostTime:
        """Return the time of the newest item."""
        return self._now

    def read(self, timeout_s: float) -> list[Item]:
        """Return what has been written since; an empty list when nothing was. Raises RecordingError."""
        if self.at_end:
            return []
        # Opened anew for every look: nothing is held that the writer or the person might want to move.
        with reading(self._path) as file:
            file.seek(self._decoder.bytes)
            data = file.read(BLOCK)
        if not data:
            self._wait(min(timeout_s, FOLLOW_S))
        items = self._decoder.feed(data)
        if items:
            self._now = items[-1].host
        return items

    def write(self, data: bytes) -> None:
        """Ignore it: only the process that owns the port talks to the board."""

    def close(self) -> None:
        """Look no more; harmless twice."""
        self._closed = True
