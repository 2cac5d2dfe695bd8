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

    def __init__(self, desk: "LiveRuntime") -> None:
        self._desk = desk
        self.stale = False
        """Something has changed since the last analysis began."""
        self._setup: Setup | None = None
        self._taken_ns = 0
        self._done: queue.SimpleQueue[SweepSoFar] = queue.SimpleQueue()

    @property
    def wanted(self) -> bool:
        """Tell whether turns or set-up have changed since the last analysis."""
        desk = self._desk
        source = desk.session.angle_source
        if source == "steady":
            return desk.meter.taken_ns - self._taken_ns > STEADY_APART_NS
        if source == "stops":
            return self.stale
        return bool(desk.turns) and (self.stale or self._setup is not desk.session.setup)

    def now(self) -> None:
        """Analyse all turns so far; from any one thread at a time."""
        desk = self._desk
        self.stale, self._setup, self._taken_ns = False, desk.session.setup, desk.meter.taken_ns
        with desk.worker.lock:
            try:
                capture = desk.session.capture()
            except (BadInput, NotDecidable) as error:
                self._done.put(SweepSoFar(None, str(error), None, None, None))
                return
        self._done.put(analyse_so_far(capture))

    def take(self) -> None:
        """Hand over what is done; from the thread that paints."""
        desk = self._desk
        source = desk.session.angle_source
        while not self._done.empty():
            told = self._done.get()
            if desk.turns or source in WHOLE_ONLY:
                desk.study = told
            if source == "steady" and told.last_turn is not None:
                desk.meter.redraw(*told.last_turn)
