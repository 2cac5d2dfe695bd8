"""The sweep of a session that still goes on, as it would be if it ended now, without going over it again.

So long as the session holds all its samples, whatever an analysis asks for beside what was made of them as
they came is had from it; afterwards from the recording.
"""

import threading
from collections.abc import Iterator

from analysis.capture import Capture, Samples
from logger.acquisition import Recorder
from logger.inputs import load_sweep
from logger.session import Session


class GrowingSweep:
    """One session and its recording, None where it replays one; ``lock`` is held while it is read."""

    def __init__(self, session: Session, lock: threading.Lock, recorder: Recorder | None) -> None:
        self._session, self._lock, self._recorder = session, lock, recorder

    def capture(self) -> Capture:
        """Return the sweep so far. Raises BadInput, NotDecidable, RecordingError."""
        with self._lock:
            taken = self._recorder.sweep_so_far() if self._recorder is not None else None
            if taken is not None:
                zeroed, passed = taken
                samples = Samples.on_demand(lambda: self._first(passed.gauge.samples), passed)
                return self._session.capture_taken(zeroed, samples)
            if self._session.has_all_samples:
                return self._session.capture()
        return self._recorded()

    def _first(self, number: int) -> Iterator[Samples]:
        """Yield so many samples from the first on: more may have come since."""
        with self._lock:
            whole = self._session.capture() if self._session.has_all_samples else None
        for block in (whole or self._recorded()).samples.blocks():
            yield block if len(block) <= number else block.take(slice(0, number))
            number -= len(block)
            if number <= 0:
                return

    def _recorded(self) -> Capture:
        assert self._recorder is not None  # without one nothing is forgotten
        return load_sweep(str(self._recorder.path), {}).capture
