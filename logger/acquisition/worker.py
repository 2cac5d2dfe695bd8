"""Reads a source, records what it reads, has the session fed, talks to the board.

Bytes are in the recording before anything decodes them, and whatever the decoder makes of them: it has a
thread of its own while a recording is written, and may be late or break off. Turns that have ended and
remarks go into a queue; whoever waits there stores and shows them, and never holds the reading up.
"""

import logging
import queue
import threading
from collections.abc import Callable, Mapping

from analysis.capture.event_words import encode
from analysis.capture.events import BoardRestarted, Event, LinkLost, LinkReopened, NotDecoded, StopPressed
from analysis.errors import BadInput, FullturnError
from logger.acquisition.decoding_thread import DecodingThread
from logger.acquisition.greeting import NS, Greeting
from logger.acquisition.item_writing import ItemWriting
from logger.acquisition.recording_end import RecordingEnd, Until
from logger.acquisition.watched_session import KEPT_SAMPLES, Outcome, WatchedSession
from logger.acquisition.worker_messages import (
    BoardStarted,
    EventTaken,
    StopRead,
    Warned,
    WorkerEnded,
    WorkerMessage,
    message_queue,
)
from logger.decoding import BoardMessage, LinkOutput, PressRefused
from logger.recording import RecordingWriter
from logger.session import Session, SweepUnderWay
from logger.stream import HostTime, Item, RecordedEvent, SetupChange, Source
from logger.wire.handshake import Handshake

READ_S = 0.02
log = logging.getLogger("fullturn.worker")
BEHIND_S = 2.0
"""Decoding that is so far behind is told."""
NO_READING_S = 5.0
"""So long after a board streams, readings of the chosen channel should have come."""


class Worker:
    """Runs one recording from an open source until it is told to stop or has what was asked for."""

    def __init__(
        self,
        source: Source,
        session: Session,
        *,
        writer: RecordingWriter | None = None,
        make_handshake: Callable[[int], Handshake] | None = None,
        until: Until | None = None,
        after_item: Callable[[Session, HostTime], None] | None = None,
        patient: bool = False,
        under_way: SweepUnderWay | None = None,
        kept_samples: int = KEPT_SAMPLES,
    ) -> None:
        """``after_item`` sees the session after each item; ``patient`` greets again where nobody answered.

        ``under_way`` takes the sweep as it comes, and the session forgets what was taken, but for the newest
        ``kept_samples``.
        """
        self._source, self._session, self._patient = source, session, patient
        self._writing = ItemWriting(writer)
        self._greeting = Greeting(source, make_handshake, patient=patient)
        self._watched = WatchedSession(session, after_item, under_way, kept_samples)
        self._end = RecordingEnd(until or Until())
        self._decoding = DecodingThread(self._watched.take, threaded=False)
        self._no_board = self._missing = self._not_decoded = ""
        self._stop = threading.Event()
        self._warned_of: set[str] = set()
        self.decoded_all = True
        """False where bytes that were recorded were not decoded."""
        self.fault: Exception | None = None
        """A mistake of the program itself that ended it, for whoever waits to raise."""
        self._inbox: queue.SimpleQueue[Event | SetupChange] = queue.SimpleQueue()
        self.messages: queue.Queue[WorkerMessage] = message_queue(writer.path.parent if writer else None)
        """What has happened, in order; ``WorkerEnded`` is the last."""
        self._thread = threading.Thread(target=self._run, name="fullturn-worker", daemon=True)

    @property
    def lock(self) -> threading.Lock:
        """Held while the session takes an item; whoever reads the session elsewhere holds it too."""
        return self._watched.lock

    @property
    def link_bytes(self) -> int:
        """Bytes that have come from the board."""
        return self._writing.link_bytes

    @property
    def heard(self) -> HostTime | None:
        """When the newest bytes of the board came; None before the first."""
        return self._writing.heard

    @property
    def problem(self) -> str:
        """Why there is no board yet, or why what comes is not decoded; empty while all is well."""
        return self._not_decoded or self._no_board

    def start(self) -> None:
        """Begin in a thread of its own."""
        # Without a recording nothing is lost where decoding takes its time.
        self._decoding = DecodingThread(self._watched.take, threaded=self._writing.recorded)
        self._thread.start()

    def stop(self) -> None:
        """Ask it to end; what has been read is recorded. Harmless at any time."""
        self._stop.set()

    def record_event(self, event: Event) -> None:
        """Have an event recorded and taken into the session, dated now; from any thread."""
        self._inbox.put(event)

    def change_setup(self, text: Mapping[str, str]) -> None:
        """Have a whole new set-up recorded and taken into the session, dated now; from any thread."""
        self._inbox.put(SetupChange(self._source.now(), dict(text)))

    def join(self) -> None:
        """Wait until it has ended."""
        self._thread.join()

    def run(self) -> None:
        """Do the whole work in this thread; for a source whose time is simulated."""
        self._run()
        if self.fault is not None:
            raise self.fault

    def _run(self) -> None:
        error: FullturnError | None = None
        try:
            try:
                while not self._stop.is_set() and not self._source.at_end and not self._enough():
                    self._round()
            finally:
                self._greeting.farewell()
            self._finish_decoding()
        except FullturnError as found:
            error = found
        except Exception as fault:
            # Of whatever kind, whoever waits raises it again: a thread would print it and the command go on.
            self.fault = fault
        finally:
            self._decoding.give_up()
            self.messages.put(WorkerEnded(error, self._watched.turns, self._is_short()))

    def _round(self) -> None:
        now = self._source.now()
        self._no_board = self._greeting.poll(now, lambda: self._session.snapshot().link) or self._no_board
        for item in self._source.read(READ_S):
            self._take(item)
        self._take_outcomes()
        self._warn(now)
        while not self._inbox.empty():
            asked = self._inbox.get()
            self._take(asked if isinstance(asked, SetupChange) else RecordedEvent(self._source.now(), asked))
        self._writing.poll()

    def _take(self, item: Item) -> None:
        # Recorded first, decoded afterwards: whatever the decoder makes of it, the bytes are kept.
        self._writing.take(item)
        if isinstance(item, RecordedEvent):
            if isinstance(item.event, LinkLost | LinkReopened):
                self._end.unplugged = isinstance(item.event, LinkLost)
            if isinstance(item.event, LinkReopened):
                self._greeting.begin()
        if not self._decoding.give(item):
            self._session.skip(item)
            if not self._decoding.given_up:
                self._give_up_decoding("the decoder is too far behind what comes")
            if isinstance(item, RecordedEvent):
                self._announce(item)
        self._take_outcomes()

    def _take_outcomes(self) -> None:
        for outcome in self._decoding.outcomes():
            self._take_outcome(outcome)

    def _take_outcome(self, outcome: Outcome) -> None:
        item = outcome.item
        if outcome.error is not None:
            raise outcome.error
        if isinstance(item, RecordedEvent):
            log.info("event %r", encode(item.event))
            self._announce(item)
        for output in outcome.outputs:
            self._take_output(item.host, output)
        if outcome.fault is not None:
            # A mistake of ours beside the decoder: raised when it has ended, and until then all is recorded.
            if not self._writing.recorded:
                raise outcome.fault
            self.fault = outcome.fault
            self._give_up_decoding(f"a fault of the program ({type(outcome.fault).__name__})")
            return
        if self._greeting.ready:
            heard = not self._greeting.listens_only or self._writing.heard is not None
            first = self._end.streams is None and heard
            if first:
                self._end.streams = item.host
            if first or isinstance(item, SetupChange):
                self._hold_to_its_channels()
            self._no_board = self._missing
            if self._end.began is None and self._session.has_samples:
                self._end.began = item.host
                hello = self._session.hello
                self.messages.put(BoardStarted(f"board {hello.device_id:08x}" if hello else "board"))
        for ended in outcome.ended:
            self.messages.put(ended)

    def _hold_to_its_channels(self) -> None:
        """Refuse at once a channel that a board has not, all of whose channels are known by now."""
        self._missing = "" if self._greeting.listens_only else self._session.missing_channel()
        if self._missing and not self._patient:
            raise BadInput(self._missing)

    def _give_up_decoding(self, why: str) -> None:
        """Record on without decoding, and say so in the recording too."""
        self.decoded_all = False
        self._decoding.give_up()
        recorded = RecordedEvent(self._source.now(), NotDecoded(why))
        self._writing.take(recorded)
        self._tell_not_decoded(why)
        self.messages.put(EventTaken(recorded.host, recorded.event))

    def _tell_not_decoded(self, why: str) -> None:
        self._not_decoded = f"not decoded: {why}; the recording goes on"

    def _finish_decoding(self) -> None:
        """Take what still waits to be decoded, for a little while."""
        if not self._decoding.given_up:
            for outcome in self._decoding.finish():
                self._take_outcome(outcome)
            if self._decoding.waits:
                self._give_up_decoding("the decoder did not come to its end")

    def _warn(self, now: HostTime) -> None:
        """Say once each what keeps the numbers away while bytes come."""
        behind_s = 0.0 if self._decoding.given_up else self._decoding.behind_ns(now.monotonic_ns) * NS
        if behind_s > BEHIND_S:
            self._tell_not_decoded(f"the decoder is {behind_s:.0f} s behind")
            self._warn_once(
                "behind", f"not decoded yet: the decoder is {behind_s:.0f} s behind; all is recorded"
            )
        elif not self._decoding.given_up and not self._session.given_up:
            self._not_decoded = ""
        if self._end.began is None and self._end.streams is not None:
            waited_s = (now.monotonic_ns - self._end.streams.monotonic_ns) * NS
            if waited_s > NO_READING_S:
                self._warn_once(
                    "no reading",
                    f"{self._source.name} streams, and no reading of channel {self._session.setup.channel} "
                    "comes; all is recorded",
                )

    def _warn_once(self, of: str, words: str) -> None:
        if of not in self._warned_of:
            self._warned_of.add(of)
            self.messages.put(Warned(words))

    def _take_output(self, host: HostTime, output: LinkOutput) -> None:
        """Hand an answer of the board to the handshake; record an event that came of its bytes."""
        if isinstance(output, BoardMessage):
            self._greeting.receive(output.message, host)
            return
        if isinstance(output, PressRefused):
            self.messages.put(StopRead(None, output.words))
            return
        if isinstance(output, BoardRestarted):
            log.info("the board restarted: boot %08x", output.boot_id)
            self._greeting.begin()
        elif isinstance(output, NotDecoded):
            self._tell_not_decoded(output.why)
        else:
            log.info("noted %r", encode(output))
        recorded = RecordedEvent(host, output)
        self._writing.take(recorded)
        self._announce(recorded)

    def _announce(self, recorded: RecordedEvent) -> None:
        self.messages.put(EventTaken(recorded.host, recorded.event))
        if isinstance(recorded.event, StopPressed):
            self._announce_stop()

    def _announce_stop(self) -> None:
        """Say at once whether a stop was still enough to count; the recording has it either way."""
        try:
            stop = self._session.stop_now()
        except BadInput as error:
            self.messages.put(StopRead(None, str(error)))
            return
        if stop.still:
            self.messages.put(StopRead(stop.reading_mm, "taken; on to the next place"))
        else:
            self.messages.put(StopRead(None, "wait, still moving: press again when it stands"))

    def _enough(self) -> bool:
        return self._end.is_reached(self._watched.turns, self._source.now())

    def _is_short(self) -> bool:
        if self._stop.is_set():
            return False
        return self._end.is_short(self._watched.turns, self._source.now(), self._writing.heard)
