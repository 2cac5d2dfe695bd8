"""Standard input as a source of lines: ``-`` wherever a port is named, for pipes and home-made senders."""

import os
import select
import sys

from logger.sources.clock import Clock, host_now
from logger.stream import HostTime, Item, LinkBytes

BLOCK = 1 << 16


class StandardInput:
    """Reads what another program writes, until it ends."""

    name = "-"

    def __init__(self, descriptor: int | None = None, clock: Clock = host_now) -> None:
        self._descriptor = sys.stdin.fileno() if descriptor is None else descriptor
        self._clock = clock
        self._ended = False

    @property
    def at_end(self) -> bool:
        """True when the other program has ended."""
        return self._ended

    def now(self) -> HostTime:
        """Return the host's clock."""
        return self._clock()

    def read(self, timeout_s: float) -> list[Item]:
        """Return what has come; an empty list when nothing came in time."""
        # Where pipes cannot be waited for (Windows), the read itself waits: it ends when a line comes.
        if os.name == "posix" and not select.select([self._descriptor], [], [], timeout_s)[0]:
            return []
        data = os.read(self._descriptor, BLOCK)
        if not data:
            self._ended = True
            return []
        return [LinkBytes(self._clock(), data)]

    def write(self, data: bytes) -> None:
        """Nobody listens at the other end."""

    def close(self) -> None:
        """Nothing is held that is ours to release."""
