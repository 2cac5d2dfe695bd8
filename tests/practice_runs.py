"""Runs of the virtual bench for tests: one opening at fixed simulated times, everything decoded."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from analysis.capture.events import Event
from logger.practice.bench.bench import Bench
from logger.practice.bench.faults import Fault
from logger.practice.bench.scenario import Scenario
from logger.practice.serving.simulated_source import PracticeSource
from logger.stream import LinkBytes, RecordedEvent
from logger.wire.messages import Message, Sample
from logger.wire.parsing import MessageDecoder

OPENING = (b"1 stop\n", b"2 mode single\n", b"3 start\n")
SETTLE_S = 0.05
"""Between two commands, and before the first: the board has booted and answered by then."""


@dataclass(frozen=True)
class Run:
    """What came of one run."""

    scenario: Scenario
    data: bytes
    messages: tuple[Message, ...]
    bad: int
    events: tuple[tuple[int, Event], ...]
    """Each with its simulated microseconds."""
    started_us: int
    ended_us: int

    def of(self, kind: type) -> list[Any]:
        """Return the messages of one kind, in order."""
        return [message for message in self.messages if isinstance(message, kind)]

    @property
    def samples(self) -> list[Sample]:
        """Every sample, in order."""
        return self.of(Sample)

    def column(self, name: str) -> NDArray[np.int64]:
        """Return one field of all samples."""
        return np.array([getattr(sample, name) for sample in self.samples], dtype=np.int64)

    @property
    def turns(self) -> NDArray[np.float64]:
        """Angle of the samples by their counts, turns."""
        return self.column("count") / self.scenario.encoder.counts_per_turn

    @property
    def reading_mm(self) -> NDArray[np.float64]:
        """Reading of the samples in the indicator's own window, mm."""
        return self.column("value").astype(np.float64) * self.scenario.gauge.resolution_mm


@lru_cache(maxsize=64)
def run(
    name: str,
    fault: str | Fault | None = None,
    *,
    seed: int = 1,
    turns: int | None = None,
    commands: tuple[bytes, ...] = OPENING,
    wait_s: float = 0.5,
) -> Run:
    """Return the run of one scenario, read until its end."""
    source = PracticeSource(name, seed, fault, turns)
    decoder = MessageDecoder()
    data = bytearray()
    messages: list[Message] = []
    events: list[tuple[int, Event]] = []

    def take(wait: float) -> None:
        for item in source.read(wait):
            if isinstance(item, LinkBytes):
                data.extend(item.data)
                messages.extend(decoder.feed(item.data))
            elif isinstance(item, RecordedEvent):
                events.append((item.host.monotonic_ns // 1000, item.event))

    for command in commands:
        until_us = source.bench.now_us + round(SETTLE_S * 1e6)
        while source.bench.now_us < until_us:
            take((until_us - source.bench.now_us) * 1e-6)
        source.write(command)
    while not source.at_end:
        take(wait_s)
    started_us = source.bench.started_us
    assert started_us is not None
    return Run(
        source.scenario,
        bytes(data),
        tuple(messages),
        decoder.bad,
        tuple(events),
        started_us,
        source.bench.now_us,
    )


def fit_orders(
    turns: NDArray[np.float64], reading_mm: NDArray[np.float64], highest: int
) -> dict[int, complex]:
    """Return orders 1..highest of readings by plain least squares with a constant, a + i b in mm."""
    angle = 2 * np.pi * turns
    columns = [np.ones_like(angle)]
    for n in range(1, highest + 1):
        columns += [np.cos(n * angle), np.sin(n * angle)]
    found = np.linalg.lstsq(np.column_stack(columns), reading_mm, rcond=None)[0]
    return {n: complex(found[2 * n - 1], found[2 * n]) for n in range(1, highest + 1)}


def drive(bench: Bench, steps_us: list[int], until_us: int = 4_000_000) -> bytes:
    """Start a bench at a fixed time and advance it in these steps over and over."""
    bench.command(b"1 start\n", 100_000)
    out = bytearray()
    k = 0
    while bench.now_us < until_us:
        out += bench.advance(min(until_us, bench.now_us + steps_us[k % len(steps_us)]))
        k += 1
    return bytes(out)
