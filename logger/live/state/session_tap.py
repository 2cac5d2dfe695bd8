"""Taps the session in the worker's thread: hands every reading on to the ring, once."""

import numpy as np

from analysis.capture import Floats
from analysis.diagnosis import smallest_step_mm
from analysis.setup import MarkSide
from logger.live.state.reading import BoardReport
from logger.live.state.sample_ring import SampleBlock, SampleRing
from logger.session import Session
from logger.stream import HostTime

STEP_READINGS = 2000
"""So many readings tell the step of a gauge that prints lines."""


class SessionTap:
    """Follows one session; call it after every item."""

    def __init__(self, sample_ring: SampleRing) -> None:
        self._sample_ring = sample_ring
        self._boot = self._start = self._epoch = 0
        self._zero: float | None = None
        self._values: Floats = np.empty(0)
        self._step_mm, self._looked_at = 0.0, 0
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
        self.counts_per_turn = session.counts_per_turn
        self.resolution_mm = session.resolution_mm or self._step_of(found.reading_mm)
        self.count = session.newest_count
        n = len(found.t_s)
        if not n:
            return
        self._start += n
        length = np.isfinite(found.reading_mm)
        self._sample_ring.push(
            SampleBlock(
                np.full(n, self._epoch)[length],
                np.full(n, host.monotonic_ns)[length],
                found.t_s[length],
                found.count[length],
                found.angle_rad[length],
                found.reading_mm[length],
                found.new[length],
            )
        )

    def report(self, session: Session, problem: str) -> BoardReport:
        """Return what the board says now; from any thread. ``problem``: why there is none yet."""
        part, arbor = session.mark_counts(MarkSide.PART), session.mark_counts(MarkSide.ARBOR)
        return BoardReport(
            angle_source=session.angle_source,
            count=self.count,
            counts_per_turn=self.counts_per_turn,
            part_mark=part[-1] if part else None,
            arbor_mark=arbor[-1] if arbor else None,
            zero_known=session.zero_count is not None,
            boots=session.boots,
            two_ports=session.two_ports,
            step_mm=self.resolution_mm,
            frames_lost=session.frames_lost(),
            heard_ns=self.last_heard_ns,
            problem=problem,
        )

    def _step_of(self, reading_mm: Floats) -> float:
        """Return the step that the first readings show, where the gauge does not say it; 0 before a few."""
        if len(self._values) < STEP_READINGS and len(reading_mm):
            self._values = np.concatenate([self._values, reading_mm])[:STEP_READINGS]
            if len(self._values) >= 2 * self._looked_at:
                self._looked_at = len(self._values)
                gaps = np.diff(np.unique(np.round(self._values, 9)))
                self._step_mm = smallest_step_mm(self._values) or float(gaps.min(initial=np.inf))
                self._step_mm = self._step_mm if np.isfinite(self._step_mm) else 0.0
        return self._step_mm
