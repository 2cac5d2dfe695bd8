"""One link that carries lines of text: bytes in, integers out, by the rule of a rig.

Readings are kept in nanometres; a line without a count has count 0. Knows nothing of angles or turns.
"""

import numpy as np

from analysis.capture import LinkCounts
from analysis.setup import Setup
from logger.decoding.boot_samples import BootSamples, Pulse
from logger.decoding.link_events import LinkOutput
from logger.decoding.link_statistics import LinkStatistics
from logger.decoding.rig import Rig
from logger.decoding.text_lines import LineDecoder, LineSample
from logger.stream import HostTime
from logger.wire.messages import Channel, Hello

_U32 = 0xFFFFFFFF
_FAR_NM = (1 << 31) - 1
NANOMETRES = Channel(0, 0, 0, 1, 0, 1, 1, -_FAR_NM, _FAR_NM, "lines")
"""What lines amount to: a channel whose raw values are nanometres."""


class LineLink:
    """The state of one link that carries lines."""

    hello: Hello | None = None
    waiting_bytes = 0
    """A line is read when it ends."""
    rate_hz = 0.0

    def __init__(self, setup: Setup, rig: Rig, *, host_clock: bool = False) -> None:
        self.setup = setup
        self.rig = rig
        self.decoder = LineDecoder(rig.line, rig.port.newline)
        self.boots = [BootSamples()]
        self.statistics = LinkStatistics()
        self.broken: list[str] = []
        self._host_clock = host_clock
        self._started = False

    def feed(self, host: HostTime, data: bytes) -> list[LinkOutput]:
        """Take the next bytes."""
        boot = self.boots[0]
        if not self._started:
            boot.started_ns, self._started = host.monotonic_ns, True
        samples = self.decoder.feed(host.monotonic_ns // 1000, data)
        readings = [one for one in samples if not one.index]
        if readings:
            self._add(readings, host)
        for one in samples:
            if one.index:
                t_us = boot.unwrap_time(one.t_us & _U32)
                count = boot.unwrap_count((one.count or 0) & _U32)
                boot.pulses.append(Pulse(t_us, count, len(boot.pulses) + 1))
        return []

    def _add(self, readings: list[LineSample], host: HostTime) -> None:
        boot = self.boots[0]
        host_us = host.monotonic_ns // 1000
        times = [host_us if self._host_clock else one.t_us for one in readings]
        boot.add_samples(
            np.array(times, np.int64) & _U32,
            np.zeros(len(readings), np.int64),
            np.array([one.count or 0 for one in readings], np.int64) & _U32,
            np.array([one.value_nm or 0 for one in readings], np.int64),
        )
        boot.heard(host.monotonic_ns)

    @property
    def has_samples(self) -> bool:
        """Whether any reading has come."""
        return len(self.boots[0]) > 0

    def flush(self) -> list[LinkOutput]:
        """Nothing waits here: a line is read when it ends."""
        return []

    @property
    def counts_per_turn(self) -> float:
        """Counts a turn as the rig says; 0 = no encoder."""
        return self.rig.counts_per_turn

    def channel(self) -> Channel:
        """Return what the lines amount to."""
        return NANOMETRES

    def link_counts(self, *, with_gaps: bool = False) -> LinkCounts:
        """Return what the link did: lines read and lines refused."""
        gaps = self.statistics.gaps(self.boots) if with_gaps else ()
        return self.statistics.counts(self.decoder.lines, self.decoder.bad, 0, gaps)

    def unplugged(self) -> None:
        """Note that the cable went out here."""
        self.statistics.unplugged_at.append((0, len(self.boots[0])))

    def break_angle(self, why: str) -> None:
        """Note why the angle can no longer be trusted, once."""
        if why not in self.broken:
            self.broken.append(why)
