"""The wind-pump as-found sweep as other gauges would see it: text lines, index pulses, stops, two ports.

Values and times are the virtual bench's own; only what a gauge of each kind cannot tell is taken away.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from logger.acquisition.worker import Worker
from logger.decoding.boot_samples import BootSamples
from logger.practice.serving.simulated_source import PracticeSource
from logger.practice.stories.catalogue import SCENARIOS
from logger.session.session import Session
from logger.stream import HostTime, LinkBytes
from logger.wire.handshake import Handshake

TRUTH = SCENARIOS["wind-pump/as-found"].truth()
FIRST_S = 1000.0


@dataclass(frozen=True)
class Seen:
    """What the bench really did."""

    t_s: NDArray[np.float64]
    count: NDArray[np.int64]
    reading_mm: NDArray[np.float64]
    pulse_s: list[float]


def as_found(seed: int = 2, turns: int = 5, name: str = "wind-pump/as-found") -> Seen:
    """Return the sweep of one seed in plain numbers."""
    source = PracticeSource(name, seed, None, turns)
    session = Session(source.setup)
    Worker(source, session, make_handshake=lambda token: Handshake(first_token=token)).run()
    boot: BootSamples = session._links.gauge.boots[0]
    zero = int(boot.t_us.view()[0])
    return Seen(
        (boot.t_us.view() - zero) * 1e-6,
        boot.count.view().copy(),
        session.capture().samples.reading_mm,
        [(pulse.t_us - zero) * 1e-6 for pulse in boot.pulses],
    )


def host(t_s: float) -> HostTime:
    """Return a host time this long after the beginning."""
    ns = round((FIRST_S + t_s) * 1e9)
    return HostTime(1_767_600_000_000_000_000 + ns, ns)


def in_pieces(lines: list[tuple[float, str]], link: int = 0, late_s: float = 0.0) -> list[LinkBytes]:
    """Return (time, line) pairs as bytes that arrive when they were sent, or ``late_s`` later."""
    return [LinkBytes(host(t + late_s), line.encode(), link) for t, line in lines]
