"""The virtual bench inside the process at the pace of a clock: what a screen looks at without any port.

As ``practice:NAME`` elsewhere, but it turns until it is closed and takes as long as life.
"""

import time
from collections.abc import Callable, Mapping

from analysis.capture.events import GapCause, LinkLost, LinkReopened
from logger.practice.bench.another_part import another_part
from logger.practice.bench.bench import Bench
from logger.practice.bench.faults import fault as find_fault
from logger.practice.naming import PRACTICE
from logger.practice.stories.catalogue import scenario as find_scenario
from logger.stream import HostTime, Item, LinkBytes, RecordedEvent

SLICE_S = 0.02
LEAP_S = 1.0
"""Asleep for longer than this (a laptop closed), the bench stands still for the rest."""


class PacedPractice:
    """A bench whose simulated time follows ``clock`` (seconds); ``wait`` waits."""

    def __init__(
        self,
        name: str,
        seed: int = 1,
        fault: str | None = None,
        *,
        bench: Bench | None = None,
        part: str = "",
        clock: Callable[[], float] = time.monotonic,
        wall_ns: Callable[[], int] = time.time_ns,
        wait: Callable[[float], object] = time.sleep,
    ) -> None:
        """Set a bench up, ``part`` as in PracticeSource; raises BadInput for an unknown scenario or fault."""
        scenario = find_scenario(name) if bench is None else bench.scenario
        if part:
            scenario = another_part(scenario, part)
        self.bench = bench or Bench(scenario, seed, None if fault is None else find_fault(fault))
        self.name = f"{PRACTICE}{scenario.name}"
        self._clock, self._wait = clock, wait
        self._wall_ns = wall_ns()
        self._last_s = clock()
        self._plugged = True
        self._closed = False

    @property
    def setup(self) -> Mapping[str, str]:
        """The scenario's set-up, text to text."""
        return self.bench.scenario.setup

    @property
    def at_end(self) -> bool:
        """True once it was closed."""
        return self._closed

    def now(self) -> HostTime:
        """Return simulated time as a host's clock."""
        ns = self.bench.now_us * 1000
        return HostTime(self._wall_ns + ns, ns)

    def read(self, timeout_s: float) -> list[Item]:
        """Return what came since the last read; waits a little where it is too early."""
        self._wait(min(timeout_s, SLICE_S))
        now_s = self._clock()
        gone_s, self._last_s = min(now_s - self._last_s, LEAP_S), now_s
        data = self.bench.advance(self.bench.now_us + round(gone_s * 1e6))
        items: list[Item] = [LinkBytes(self.now(), data)] if data else []
        if self.bench.plugged != self._plugged:
            self._plugged = self.bench.plugged
            event = LinkReopened() if self._plugged else LinkLost(GapCause.UNPLUGGED)
            items.append(RecordedEvent(self.now(), event))
        return items

    def write(self, data: bytes) -> None:
        """Send bytes to the board; they arrive now."""
        if not self._closed:
            self.bench.command(data, self.bench.now_us)

    def close(self) -> None:
        """Be at the end; harmless twice."""
        self._closed = True
