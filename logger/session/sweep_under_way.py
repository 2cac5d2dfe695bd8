"""The sweep of a session that is still going on: one pass over its samples as they come.

What comes of it at the end is what the recording gives when it is read, without reading it. Where something
said later changes what was taken before, it begins anew so long as the session has all its samples, and is
given up otherwise.
"""

from collections.abc import Iterable, Sequence
from copy import deepcopy

from analysis.capture import Capture, Samples, windows_of_events, windows_of_setup
from analysis.capture.events import TimedEvent
from analysis.setup import Setup
from analysis.sweep import PassedSweep, PassSettings, SweepPass
from logger.session.sample_blocks import Foreseen, SampleBlocks
from logger.session.scaling import NeedsWholeSweep
from logger.session.session import Session


class SweepUnderWay:
    """Feed it after every item that the session took."""

    def __init__(self) -> None:
        self._blocks: SampleBlocks | None = None
        self._pass: SweepPass | None = None
        self._given_up = False

    def take(self, session: Session) -> None:
        """Take the samples that have come since."""
        if self._given_up:
            return
        try:
            if self._blocks is None or session.setup != self._blocks.foreseen.setup:
                self._begin(session)
            assert self._blocks is not None
            self._feed(session, session.take_samples(self._blocks))
        except NeedsWholeSweep:
            self._begin_anew(session)

    def so_far(self, session: Session) -> tuple[SampleBlocks, PassedSweep] | None:
        """Return what ``finish`` would if the session ended now; it goes on."""
        if self._given_up or self._blocks is None or self._pass is None:
            return None
        as_if_ended = SweepUnderWay()
        as_if_ended._blocks, as_if_ended._pass = self._blocks.copied(), deepcopy(self._pass)
        return as_if_ended.finish(session)

    def finish(self, session: Session) -> tuple[SampleBlocks, PassedSweep] | None:
        """Return where samples were taken and all that was made of them; None where it was given up."""
        if self._given_up or self._blocks is None:
            return None
        try:
            self._feed(session, session.take_last_samples(self._blocks))
        except NeedsWholeSweep:
            return None
        return None if self._pass is None else (self._blocks, self._pass.finish())

    def taken(self, session: Session) -> int:
        """Return how many samples of the newest boot it has taken, all where it takes none any more."""
        if self._given_up or self._blocks is None:
            return session.samples_of_newest
        return self._blocks.taken(session.boots - 1)

    def _begin(self, session: Session) -> None:
        if not session.has_all_samples:
            raise NeedsWholeSweep
        self._blocks = SampleBlocks(Foreseen(session.setup), forget=False)
        self._pass = None

    def _begin_anew(self, session: Session) -> None:
        """Take what there is anew, by what is known now."""
        self._blocks = self._pass = None
        try:
            self._begin(session)
            assert self._blocks is not None
            self._feed(session, session.take_samples(self._blocks))
        except NeedsWholeSweep:
            self._given_up, self._blocks, self._pass = True, None, None

    def _feed(self, session: Session, blocks: Iterable[Samples]) -> None:
        for samples in blocks:
            if self._pass is None:
                self._pass = SweepPass(settings_known(session, session.setup, session.timed_events()))
            self._pass.feed(samples)


def settings_known(session: Session, setup: Setup, events: Sequence[TimedEvent]) -> PassSettings:
    """Return what an analysis without further wishes is going to ask of a pass, so far as is known now.

    Parameters: the session with its first samples; the set-up in force at its end, and the events of it.
    """
    known = Capture(
        Samples.none(),
        setup,
        counts_per_turn=session.counts_per_turn,
        resolution_mm=session.resolution_mm,
        events=tuple(events),
    )
    return PassSettings.of(known, (*windows_of_setup(setup), *windows_of_events(events)))
