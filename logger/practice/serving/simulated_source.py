"""The virtual bench inside the process: a source whose clock is simulated and moves on when it is read.

Needs no port, no pseudo-terminal and no time: a sweep of a minute is read in a second. The clocks it gives
come from seed and scenario, so that a recording of it is the same every time.
"""

from collections.abc import Mapping

from analysis.capture.events import Event
from logger.practice.bench.another_part import another_part
from logger.practice.bench.bench import Bench
from logger.practice.bench.faults import Fault, fault as find_fault
from logger.practice.bench.scenario import Scenario
from logger.practice.naming import PRACTICE
from logger.practice.stories.catalogue import scenario as find_scenario
from logger.stream import HostTime, Item, LinkBytes, RecordedEvent

FIRST_WALL_S = 1_767_600_000
"""Wall clock at power on of seed 0: 2026-01-05 08:00 UTC."""
DAY_S = 86_400
SLICE_US = 10_000
"""Bytes are handed out at most this late, as a port's driver would."""
LEAST_STEP_US = 1_000
"""A read moves the clock on at least this far, even one that does not want to wait."""
TAIL_US = 20_000
"""After the last turn, for what is still on the line."""


class PracticeSource:
    """``practice:NAME`` as a source: bytes of the bench, and what its person notes, in order."""

    def __init__(
        self,
        name: str,
        seed: int = 1,
        fault: str | Fault | None = None,
        turns: int | None = None,
        *,
        day: int | None = None,
        later_s: float = 0.0,
        piece_us: int = SLICE_US,
        part: str = "",
    ) -> None:
        """Set a bench up: scenario ``name``, ``fault`` or its name, and ``turns`` instead of its own number.

        ``day`` is the seed whose day it is, where not its own; ``later_s``: so much later on it;
        ``piece_us``: bytes come in pieces of so long, as from a busy machine: fewer to go through one by one;
        ``part``: which part of a batch lies on it, as ``another_part`` draws it. Raises BadInput for an
        unknown scenario or fault.
        """
        chosen = find_scenario(name)
        if part:
            chosen = another_part(chosen, part)
        self.bench = Bench(chosen, seed, find_fault(fault) if isinstance(fault, str) else fault)
        self.name = f"{PRACTICE}{chosen.name}"
        self._piece_us = piece_us
        self._turns = chosen.turns if turns is None else turns
        self._wall_ns = (
            FIRST_WALL_S + (seed if day is None else day) % 10_000 * DAY_S + chosen.begins_s
        ) * 1_000_000_000 + round(later_s * 1e9)
        self._events: list[tuple[int, Event]] | None = None
        self._end_us: int | None = None
        self._closed = False

    @property
    def scenario(self) -> Scenario:
        """The scenario as it runs, a fault already in it."""
        return self.bench.scenario

    @property
    def setup(self) -> Mapping[str, str]:
        """The scenario's set-up, text to text: what its recording carries from the beginning."""
        return self.bench.scenario.setup

    @property
    def at_end(self) -> bool:
        """True when the scenario's turns are done and all their bytes were handed out, or it was closed."""
        return self._closed or (self._end_us is not None and self.bench.now_us >= self._end_us)

    def now(self) -> HostTime:
        """Return the simulated clock; its monotonic zero is the bench's power on."""
        ns = self.bench.now_us * 1000
        return HostTime(self._wall_ns + ns, ns)

    def read(self, timeout_s: float) -> list[Item]:
        """Let simulated time go on until something comes, or for ``timeout_s``; return what came."""
        least_us = LEAST_STEP_US if self._piece_us == SLICE_US else self._piece_us
        until_us = self.bench.now_us + max(least_us, round(timeout_s * 1e6))
        while self.bench.now_us < until_us and not self.at_end:
            items = self._step(min(until_us, self.bench.now_us + self._piece_us))
            if items:
                return items
        return []

    def write(self, data: bytes) -> None:
        """Send bytes to the board; they arrive now."""
        if not self._closed:
            self.bench.command(data, self.bench.now_us)

    def close(self) -> None:
        """Be at the end; harmless twice."""
        self._closed = True

    def _step(self, to_us: int) -> list[Item]:
        """Advance to this time, or to the next thing the person notes, or to the end."""
        if self._end_us is not None:
            to_us = min(to_us, self._end_us)
        noted: list[Event] = []
        if self._events and self._events[0][0] <= to_us:
            to_us = max(self.bench.now_us, self._events[0][0])
            noted.append(self._events.pop(0)[1])
        data = self.bench.advance(to_us)
        if self._events is None and self.bench.started_us is not None:
            self._plan()
        items: list[Item] = [LinkBytes(self.now(), data)] if data else []
        return items + [RecordedEvent(self.now(), event) for event in noted]

    def _plan(self) -> None:
        """Once turning has begun: when it ends, and when the person notes what."""
        end_us = self.bench.end_us(self._turns)
        self._end_us = None if end_us is None else end_us + TAIL_US
        self._events = []
        for number in range(self._turns):
            for share, event in self.scenario.events:
                at_us = self.bench.time_of(number + share)
                if at_us is not None:
                    self._events.append((at_us, event))
