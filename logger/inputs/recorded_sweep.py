"""The sweep of a recording: read piece by piece where an encoder tells the angle, as a whole otherwise.

Events and set-ups are read first. Then samples are decoded with all of them known, so that none is kept
because something later might change it; whoever wants samples themselves has them read again.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from analysis.capture import (
    Capture,
    Samples,
)
from analysis.capture.events import MarkTouched, MarkUndone, SweepBroken, TimedEvent
from analysis.setup import Stage
from analysis.sweep import PassedSweep, SweepPass
from logger.recording import RecordingReader
from logger.session import Foreseen, NeedsWholeSweep, SampleBlocks, Session, settings_known
from logger.stream import SetupChange

Progress = Callable[[int], None]
"""Is told how many bytes were read."""


@dataclass(frozen=True)
class RecordedSweep:
    """One recording and how it is to be read."""

    reader: RecordingReader
    override: Mapping[str, str]
    """What was given to the session itself."""
    given: Mapping[str, str]
    """The set-up that holds from the first message."""

    def read(self, progress: Progress) -> tuple[Session, Capture]:
        """Return the sweep, and the session that heard it. Raises BadInput, RecordingError."""
        try:
            return self._in_blocks(progress)
        except NeedsWholeSweep:
            return self._whole(progress)

    def _whole(self, progress: Progress) -> tuple[Session, Capture]:
        session = self._session()
        for item in self.reader.items(joined=True):
            session.take(item)
            progress(self.reader.bytes)
        return session, session.capture(last=True)

    def _in_blocks(self, progress: Progress) -> tuple[Session, Capture]:
        """Return the sweep with all that one pass makes of it, its samples only on demand."""
        foreseen, events = self._foreseen()
        session, blocks = self._session(), SampleBlocks(foreseen)
        one_pass: SweepPass | None = None
        for samples in self._blocks(session, blocks, progress):
            if one_pass is None:
                one_pass = SweepPass(settings_known(session, foreseen.setup, events))
            one_pass.feed(samples)
        if one_pass is None or session.events != [one.event for one in events]:
            raise NeedsWholeSweep
        samples = self.samples_on_demand(one_pass.finish(), foreseen)
        return session, session.capture_taken(blocks, samples)

    def samples_on_demand(self, passed: PassedSweep, foreseen: Foreseen | None = None) -> Samples:
        """Return its samples, read from the file when asked for; ``passed``: what was made of them."""

        def read() -> Iterator[Samples]:
            try:
                blocks = SampleBlocks(self._foreseen()[0] if foreseen is None else foreseen)
            except NeedsWholeSweep:
                _, whole = self._whole(lambda _: None)
                yield from whole.samples.blocks()
            else:
                yield from self._blocks(self._session(), blocks)

        return Samples.on_demand(read, passed)

    def _blocks(
        self, session: Session, blocks: SampleBlocks, progress: Progress | None = None
    ) -> Iterator[Samples]:
        for item in self.reader.items(joined=True):
            session.take(item)
            yield from session.take_samples(blocks)
            if progress is not None:
                progress(self.reader.bytes)
        yield from session.take_last_samples(blocks)

    def _session(self) -> Session:
        session = Session(self.override, live=False)
        session.change_setup(self.given)
        return session

    def _foreseen(self) -> tuple[Foreseen, tuple[TimedEvent, ...]]:
        """Read events and set-ups alone. Raises NeedsWholeSweep where they say that not even angles last."""
        setup, touched, events = self._session(), list[MarkTouched](), list[TimedEvent]()
        for note in self.reader.notes():
            if isinstance(note, SetupChange):
                setup.change_setup(note.setup)
                continue
            event = note.event
            if isinstance(event, MarkUndone | SweepBroken):
                raise NeedsWholeSweep
            if isinstance(event, MarkTouched):
                touched.append(event)
            events.append(TimedEvent(None, event))
        mine = [event.count for event in touched if event.on == setup.setup.mark_on]
        taken_back = any(count == before for count, before in zip(mine[2:], mine, strict=False))
        if taken_back or setup.setup.stage == Stage.END_FLOAT:
            raise NeedsWholeSweep
        return Foreseen(setup.setup, len(mine)), tuple(events)
