"""The analysis of the turns so far, made in one thread beside the painting and handed over to it."""

import queue
from typing import TYPE_CHECKING

from analysis.errors import BadInput, NotDecidable
from analysis.setup import Setup
from logger.live.state.sweep_so_far import SweepSoFar, analyse_so_far

if TYPE_CHECKING:
    from logger.live.state.runtime import LiveRuntime

STEADY_APART_NS = 2_000_000_000
"""A steady spin has no turns before it is looked at whole: so often it is."""
WHOLE_ONLY = ("steady", "stops")
"""Where angles come from so, there are no turns before the sweep is looked at whole."""


class BackgroundAnalysis:
    """What of a desk still has to be analysed, and what came of it."""

    def __init__(self, runtime: "LiveRuntime") -> None:
        self._runtime = runtime
        self.stale = False
        """Something has changed since the last analysis began."""
        self._setup: Setup | None = None
        self._analysed_ns = 0
        self._done: queue.SimpleQueue[SweepSoFar] = queue.SimpleQueue()

    @property
    def wanted(self) -> bool:
        """Tell whether turns or set-up have changed since the last analysis."""
        runtime = self._runtime
        source = runtime.session.angle_source
        if source == "steady":
            return runtime.readout.newest_ns - self._analysed_ns > STEADY_APART_NS
        if source == "stops":
            return self.stale
        return bool(runtime.turns) and (self.stale or self._setup is not runtime.session.setup)

    def now(self) -> None:
        """Analyse all turns so far; from any one thread at a time."""
        runtime = self._runtime
        self.stale, self._setup, self._analysed_ns = False, runtime.session.setup, runtime.readout.newest_ns
        with runtime.worker.lock:
            try:
                capture = runtime.session.capture()
            except (BadInput, NotDecidable) as error:
                self._done.put(SweepSoFar(None, str(error), None, None, None))
                return
        self._done.put(analyse_so_far(capture))

    def take(self) -> None:
        """Hand over what is done; from the thread that paints."""
        runtime = self._runtime
        source = runtime.session.angle_source
        while not self._done.empty():
            done = self._done.get()
            if runtime.turns or source in WHOLE_ONLY:
                runtime.analysis = done
            if source == "steady" and done.last_turn is not None:
                runtime.readout.redraw(*done.last_turn)
