"""Sessions fed with a scripted board's bytes, and what of them is compared."""

import numpy as np
from boards import ScriptedBoard, host

from analysis.capture.events import (
    MarkTouched,
)
from analysis.capture.samples import Capture, Samples
from analysis.setup import MarkSide
from logger.decoding.link_events import BoardMessage
from logger.practice.serving.simulated_source import PracticeSource
from logger.session.session import Session
from logger.stream import Item, LinkBytes
from logger.wire.handshake import Handshake

ARRAYS = ("t_s", "angle_rad", "reading_mm", "new", "out_of_range", "segment")
PULSES = ("t_s", "angle_rad", "direction", "segment")


def touched(count: int) -> MarkTouched:
    """Return that the part's mark stood under the tip at this count."""
    return MarkTouched(MarkSide.PART, count)


def same(one: Capture, other: Capture) -> None:
    for name in ARRAYS:
        np.testing.assert_array_equal(getattr(one.samples, name), getattr(other.samples, name), name)
    for name in PULSES:
        np.testing.assert_array_equal(getattr(one.index, name), getattr(other.index, name), name)
    assert (one.link, one.broken, one.marked, one.events) == (
        other.link,
        other.broken,
        other.marked,
        other.events,
    )
    assert (one.counts_per_turn, one.resolution_mm, one.range_mm) == (
        other.counts_per_turn,
        other.resolution_mm,
        other.range_mm,
    )


def fed(items: list[Item], setup: dict[str, str] | None = None, *, live: bool = True) -> Session:
    session = Session(setup, live=live)
    for item in items:
        session.take(item)
    return session


def whole(data: bytes, setup: dict[str, str] | None = None, *, live: bool = True) -> Session:
    return fed([LinkBytes(host(0), data)], setup, live=live)


def samples_of(board: ScriptedBoard, setup: dict[str, str] | None = None) -> Samples:
    return whole(board.take(), setup).capture().samples


def degrees(session: Session) -> list[float]:
    return np.degrees(session.capture().samples.angle_rad).round(6).tolist()


def of_the_bench(name: str, fault: str | None, turns: int = 2) -> list[Item]:
    """Return what the bench yields over an ordinary opening."""
    source, handshake = PracticeSource(name, 1, fault, turns), Handshake()
    session, items = Session(source.setup), []
    while not source.at_end:
        source.write(handshake.poll(source.now().monotonic_ns * 1e-9))
        for item in source.read(0.02):
            items.append(item)
            for output in session.take(item):
                if isinstance(output, BoardMessage):
                    handshake.receive(output.message, item.host.monotonic_ns * 1e-9)
    return items
