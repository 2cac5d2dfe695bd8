"""The links of a sweep, and what every way to its angles does with them."""

from dataclasses import dataclass, replace

import numpy as np

from analysis.capture import AngleSource, Capture, Floats, Samples
from analysis.capture.events import Event, TimedEvent
from analysis.errors import BadInput
from analysis.setup import AngleFrom, Setup
from logger.decoding import BootSamples, FrameLink, LineLink
from logger.session.scaling import readings_mm

Link = FrameLink | LineLink


@dataclass(frozen=True)
class Links:
    """The links of one sweep: the gauge's, and a second one that has the counts, if any."""

    gauge: Link
    angle: Link | None
    setup: Setup

    @property
    def counting(self) -> Link:
        """The link whose counts tell the angle."""
        return self.gauge if self.angle is None else self.angle

    @property
    def counts_per_turn(self) -> float:
        """Counts a turn: the set-up's learnt value, else the device's own; 0 = no encoder."""
        return self.setup.counts_per_turn or self.counting.counts_per_turn

    @property
    def source(self) -> AngleSource:
        """Where the angle comes from, ``auto`` resolved."""
        if self.setup.angle_source is not AngleFrom.AUTO:
            return AngleSource(self.setup.angle_source)
        if self.counts_per_turn:
            return AngleSource.ENCODER
        pulses = any(boot.pulses for boot in self.gauge.boots)
        return AngleSource.INDEX if pulses else AngleSource.NONE


def only_boot(links: Links) -> BootSamples:
    """Return the one boot of the gauge's link; BadInput where too little came to fit anything."""
    boot = links.gauge.boots[0]
    if len(boot) < 3:
        raise BadInput(f"{len(boot)} readings in this sweep: nothing to fit; is the gauge switched on?")
    return boot


def samples_at_angles(boot: BootSamples, links: Links, t_s: Floats, angle_rad: Floats) -> Samples:
    """Return a boot as samples with these angles; those of which nothing is known are left out."""
    reading = readings_mm(boot, links.gauge.channel())
    samples = Samples(
        t_s,
        angle_rad * links.setup.sense,
        reading,
        ~boot.held(),
        boot.out_of_range(),
        np.zeros(len(boot), np.int16),
    )
    return samples.take(np.isfinite(angle_rad) & np.isfinite(reading))


def with_events(bare: Capture, *found: Event) -> Capture:
    """Return a capture with what was found out beside its angles."""
    return replace(bare, events=(*bare.events, *(TimedEvent(None, event) for event in found)))
