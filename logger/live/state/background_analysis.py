"""The analysis of the turns so far, made in one thread beside the painting and handed over to it."""

import queue
from dataclasses import replace

from analysis.capture import AngleSource
from analysis.errors import BadInput, NotDecidable, RecordingError
from analysis.setup import Setup
from logger.live.state.growing_sweep import GrowingSweep
from logger.live.state.state import LiveState
from logger.live.state.sweep_so_far import SweepSoFar, analyse_so_far

STEADY_APART_NS = 2_000_000_000
"""A steady spin has no turns before it is looked at whole: so often it is."""


class BackgroundAnalysis:
    """What of a sweep that goes on was analysed, and what came of it."""

    def __init__(self, sweep: GrowingSweep) -> None:
        self._sweep = sweep
        self._revision = 0
        self._setup: Setup | None = None
        self._analysed_ns = 0
        self._done: queue.SimpleQueue[SweepSoFar] = queue.SimpleQueue()

    def wanted(self, state: LiveState) -> bool:
        """Tell whether turns or set-up have changed since the last analysis began."""
        changed = state.revision != self._revision
        if state.board.angle_source is AngleSource.STEADY:
            return state.reading.newest_ns - self._analysed_ns > STEADY_APART_NS
        if state.board.angle_source is AngleSource.STOPS:
            return changed
        return bool(state.sweep.turns) and (changed or self._setup is not state.setup)

    def now(self, state: LiveState) -> None:
        """Analyse all turns so far; from any one thread at a time."""
        self._revision, self._setup = state.revision, state.setup
        self._analysed_ns = state.reading.newest_ns
        try:
            so_far = analyse_so_far(self._sweep.capture())
        except (BadInput, NotDecidable, RecordingError) as error:
            so_far = SweepSoFar(None, str(error), None, None, None)
        self._done.put(replace(so_far, revision=state.revision))

    def take(self) -> list[SweepSoFar]:
        """Return what was done since the last time; from the thread that paints."""
        done = []
        while not self._done.empty():
            done.append(self._done.get())
        return done
