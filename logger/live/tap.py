"""Taps the session in the worker's thread: hands every reading on to the ring, once."""

import numpy as np

from logger.items import HostTime
from logger.live.ring import Block, Ring
from logger.session import Session


class Tap:
    """Follows one session; call it after every item."""

    def __init__(self, ring: Ring) -> None:
        self._ring = ring
        self._boot = self._start = self._epoch = 0
        self._zero: float | None = None
        self.last_heard_ns = 0
        """When anything at all came."""
        self.count: int | None = None
        """Newest count of the encoder."""
        self.resolution_mm = 0.0
        self.counts_per_turn = 0.0

    def __call__(self, session: Session, host: HostTime) -> None:
        """Take what is new."""
        self.last_heard_ns = host.monotonic_ns
        if session.boots - 1 != self._boot:
            self._boot, self._start = session.boots - 1, 0
            self._epoch += 1
        found = session.readings(self._start)
        if found is None:
            return
        if found.zero_count != self._zero:
            self._zero = found.zero_count
            self._epoch += 1
        self.resolution_mm, self.counts_per_turn = session.resolution_mm, session.counts_per_turn
        self.count = session.newest_count
        n = len(found.t_s)
        if not n:
            return
        self._start += n
        self._ring.push(
            Block(
                np.full(n, self._epoch),
                np.full(n, host.monotonic_ns),
                found.t_s,
                found.angle_rad,
                found.reading_mm,
                found.new,
            )
        )
