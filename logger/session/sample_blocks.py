"""The samples of a session with an encoder as they come, each given once and then forgotten.

What lies behind a mark is known only when the mark is: samples wait for it where one is foreseen. All else
that tells an angle needs the whole sweep, and is refused here.
"""

import math
from collections.abc import Iterator
from copy import copy
from dataclasses import dataclass

from analysis.angle import FEW_COUNTS
from analysis.capture import AngleSource, IndexPulses, Samples
from analysis.setup import MarkKind, Setup
from logger.decoding import BootSamples, FrameLink
from logger.session.scaling import (
    NO_ANGLE_AFTER_RESTART,
    TOUCHED_ELSEWHERE,
    NeedsWholeSweep,
    Zeroed,
    ZeroedBoot,
    is_touched_elsewhere,
    join_pulses,
    marks_in_force,
)
from logger.session.sweep_links import Links

_MOST_AT_ONCE = 1 << 15
_KEPT = 2
"""So many samples stay: what comes next may look back at them."""


@dataclass(frozen=True)
class Foreseen:
    """What is known of a sweep before its first sample."""

    setup: Setup
    """The one in force at its end."""
    marks: int = 0
    """How often its mark is going to be touched, so far as that is known."""


class SampleBlocks:
    """Takes samples out of the links of a session.

    Raises NeedsWholeSweep, whenever it is asked, where the angle is told otherwise than by an encoder of many
    counts, or where what was foreseen does not come so.
    """

    def __init__(self, foreseen: Foreseen, *, forget: bool = True) -> None:
        """``forget``: what was given goes from the links."""
        self.foreseen, self._forget = foreseen, forget
        self._boot = 0
        self._given = 0
        """Samples given of the boot under way."""
        self._zeroed: ZeroedBoot | None = None
        self._segment = 0
        self._counts_per_turn = 0.0
        self._pulses: list[IndexPulses] = []
        self._remarks: list[str] = []
        self._touched_elsewhere = self._marked = False
        self._lowest_rad, self._highest_rad = math.inf, -math.inf

    def take(self, links: Links) -> Iterator[Samples]:
        """Yield the samples that have come since, in order, as far as their angles are known."""
        gauge = self._frames(links)
        while self._boot < len(gauge.boots):
            boot, newest = gauge.boots[self._boot], self._boot == len(gauge.boots) - 1
            yield from self._samples(links, gauge, boot, whole=not newest)
            if newest:
                break
            self._leave(boot)

    def copied(self) -> "SampleBlocks":
        """Return one that takes the rest without this one, or the links, hearing of it."""
        other = copy(self)
        other._forget, other._pulses, other._remarks = False, list(self._pulses), list(self._remarks)
        other._zeroed = None if self._zeroed is None else self._zeroed.copied()
        return other

    def taken(self, boot: int) -> int:
        """Return how many samples of the boot of this number have been given."""
        return self._given if boot == self._boot else 0

    def finish(self, links: Links) -> Iterator[Samples]:
        """Yield those whose angles nothing more will tell better."""
        gauge = self._frames(links)
        yield from self.take(links)
        boot = gauge.boots[self._boot]
        yield from self._samples(links, gauge, boot, whole=True)
        self._leave(boot)
        if links.setup != self.foreseen.setup or links.counts_per_turn != self._counts_per_turn:
            raise NeedsWholeSweep

    def zeroed(self) -> Zeroed:
        """Return what is to be said of the samples given, at the end."""
        elsewhere = [TOUCHED_ELSEWHERE] if self._marked and self._touched_elsewhere else []
        turned_rad = max(0.0, self._highest_rad - self._lowest_rad)
        return Zeroed(turned_rad, join_pulses(self._pulses), self._marked, (*self._remarks, *elsewhere))

    def _frames(self, links: Links) -> FrameLink:
        if links.angle is not None or not isinstance(links.gauge, FrameLink):
            raise NeedsWholeSweep
        return links.gauge

    def _samples(
        self, links: Links, gauge: FrameLink, boot: BootSamples, *, whole: bool
    ) -> Iterator[Samples]:
        if not len(boot) or self._given == len(boot):
            return
        if self._zeroed is None and not self._begin(links, gauge, boot, whole=whole):
            return
        assert self._zeroed is not None
        while self._given < len(boot):
            upto = min(len(boot), self._given + _MOST_AT_ONCE)
            samples = self._zeroed.samples(self._given, upto)
            self._given = upto
            if self._forget:
                boot.forget(upto - _KEPT)
            if len(samples):
                self._lowest_rad = min(self._lowest_rad, float(samples.angle_rad.min()))
                self._highest_rad = max(self._highest_rad, float(samples.angle_rad.max()))
                yield samples

    def _begin(self, links: Links, gauge: FrameLink, boot: BootSamples, *, whole: bool) -> bool:
        """Find the zero of a boot; return whether its samples can be given."""
        setup = self.foreseen.setup
        if links.source is not AngleSource.ENCODER or 0.0 < links.counts_per_turn < FEW_COUNTS:
            raise NeedsWholeSweep
        marks = marks_in_force(boot, setup)
        by_hand = any(mark.on == setup.mark_on for mark in boot.marks)
        if not whole and not by_hand:
            forward = any(pulse.turns > 0 for pulse in boot.pulses)
            if self._touched(gauge) < self.foreseen.marks or (setup.mark == MarkKind.INDEX and not forward):
                return False
            if not marks and self._boot:
                return False
        if setup.channel not in gauge.channels and not whole:
            return False
        if not marks and self._boot:
            return False
        first = next(one for one in gauge.boots if len(one))
        self._counts_per_turn = links.counts_per_turn
        self._zeroed = ZeroedBoot(boot, first, gauge.channel(), links.counts_per_turn, setup, self._segment)
        self._marked |= bool(marks)
        return True

    def _touched(self, gauge: FrameLink) -> int:
        on = self.foreseen.setup.mark_on
        return sum(mark.on == on for boot in gauge.boots for mark in boot.marks)

    def _leave(self, boot: BootSamples) -> None:
        """Be done with a boot."""
        if self._zeroed is not None:
            self._pulses.append(self._zeroed.pulses())
            self._segment = self._zeroed.next_segment(len(boot))
            self._touched_elsewhere |= is_touched_elsewhere(boot, self.foreseen.setup, self._counts_per_turn)
        elif len(boot):
            self._remarks.append(NO_ANGLE_AFTER_RESTART)
            if self._forget:
                boot.forget(len(boot) - _KEPT)
        self._zeroed, self._given = None, 0
        self._boot += 1
