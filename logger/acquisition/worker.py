"""Reads a source, records what it reads, has the session fed, talks to the board.

Bytes are in the recording before anything decodes them, and whatever the decoder makes of them: it has a
thread of its own while a recording is written, and may be late or break off. Turns that have ended and
remarks go into a queue; whoever waits there stores and shows them, and never holds the reading up.
"""

import logging
import queue
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import assert_never

from analysis.capture.event_words import encode
from analysis.capture.events import (
    BoardRestarted,
    Event,
    LinkLost,
    LinkReopened,
    NotDecoded,
    StopPressed,
)
from analysis.errors import BadInput, FullturnError, LinkError
from logger.acquisition.decoding_thread import DecodingThread
from logger.decoding import BoardMessage, LinkOutput, PressRefused
from logger.recording import RecordingWriter
from logger.session import FinishedTurnSamples, Session, TurnDetector
from logger.stream import HostTime, Item, LinkBytes, RecordedEvent, SetupChange, Source
from logger.wire.handshake import Handshake, HandshakeState
from logger.wire.messages import STALLED_S

READ_S = 0.02
log = logging.getLogger("fullturn.worker")
NS = 1e-9
BEHIND_S = 2.0
"""Decoding that is so far behind is told."""
NO_READING_S = 5.0
"""So long after a board streams, readings of the chosen channel should have come."""
TOKENS_APART = 100
"""Each handshake has its own tokens, so that late answers to the one before are not taken for its own."""


@dataclass(frozen=True, slots=True)
class Until:
    """When a recording ends by itself; both None = when it is stopped."""

    turns: int | None = None
    seconds: float | None = None


@dataclass(frozen=True, slots=True)
class BoardStarted:
    """The board answered and streams."""

    board: str
    """Its device number, as text."""


@dataclass(frozen=True, slots=True)
class WorkerEnded:
    """The last message of a worker."""

    error: FullturnError | None
    """Why it ended, where it did not end as asked."""
    turns: int
    short: bool = False
    """Whether it ended by itself before the turns or seconds asked for had come."""


@dataclass(frozen=True, slots=True)
class StopRead:
    """A stop was pressed, or the mark's button while the part turned."""

    reading_mm: float | None
    """Median of the still second; None where there was none."""
    words: str
    """What to tell the person."""


@dataclass(frozen=True, slots=True)
class EventTaken:
    """An event that was taken: noted by a person or the board, or read from a recording."""

    host: HostTime
    event: Event


@dataclass(frozen=True, slots=True)
class Warned:
    """Something that a person should know at once, and that ends nothing."""

    words: str


WorkerMessage = BoardStarted | StopRead | EventTaken | FinishedTurnSamples | Warned | WorkerEnded


@dataclass(frozen=True, slots=True)
class _Outcome:
    """What came of an item in the session."""

    item: Item
    outputs: list[LinkOutput]
    ended: list[FinishedTurnSamples]
    error: FullturnError | None = None
    fault: Exception | None = None


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
    ) -> None:
        """``after_item`` sees the session after each item; ``patient`` greets again where nobody answered."""
        self._source, self._session, self._writer = source, session, writer
        self._make_handshake = make_handshake
        self._handshakes = 0
        self._handshake = self._new_handshake()
        self._until = until or Until()
        self._after_item, self._patient = after_item, patient
        self._no_board = self._missing = self._not_decoded = ""
        self._decoding = DecodingThread(self._decode, threaded=False)
        self.lock = threading.Lock()
        """Held while the session takes an item; whoever reads the session elsewhere holds it too."""
        self._turns = TurnDetector()
        self._stop = threading.Event()
        self._heard: HostTime | None = None
        self._unplugged = False
        self._began: HostTime | None = None
        """When the first reading came."""
        self._streams: HostTime | None = None
        """When the board was brought to streaming, or the first byte came of what is only listened to."""
        self._warned_of: set[str] = set()
        self.link_bytes = 0
        """Bytes that have come from the board."""
        self.fault: Exception | None = None
        """A mistake of the program itself that ended it, for whoever waits to raise."""
        self._inbox: queue.SimpleQueue[Event | SetupChange] = queue.SimpleQueue()
        self.messages: queue.Queue[WorkerMessage] = queue.Queue()
        """What has happened, in order; ``WorkerEnded`` is the last."""
        self._thread = threading.Thread(target=self._run, name="fullturn-worker", daemon=True)

    @property
    def problem(self) -> str:
        """Why there is no board yet, or why what comes is not decoded; empty while all is well."""
        return self._not_decoded or self._no_board

    def start(self) -> None:
        """Begin in a thread of its own."""
        # Without a recording nothing is lost where decoding takes its time.
        self._decoding = DecodingThread(self._decode, threaded=self._writer is not None)
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
                self._farewell()
            self._finish_decoding()
        except FullturnError as found:
            error = found
        except Exception as fault:
            # Of whatever kind, whoever waits raises it again: a thread would print it and the command go on.
            self.fault = fault
        finally:
            self._decoding.give_up()
            self.messages.put(WorkerEnded(error, self._turns.turns, self._is_short()))

    def _round(self) -> None:
        now = self._source.now()
        if self._handshake is not None:
            line = self._handshake.poll(now.monotonic_ns * NS)
            if line:
                self._source.write(line)
            if self._handshake.state is HandshakeState.FAILED:
                if not self._patient:
                    raise LinkError(self._why_not())
                self._no_board, self._handshake = self._why_not(), self._new_handshake()
        for item in self._source.read(READ_S):
            self._take(item)
        self._take_outcomes()
        self._warn(now)
        while not self._inbox.empty():
            asked = self._inbox.get()
            self._take(asked if isinstance(asked, SetupChange) else RecordedEvent(self._source.now(), asked))
        if self._writer is not None:
            self._writer.poll()

    def _take(self, item: Item) -> None:
        # Recorded first, decoded afterwards: whatever the decoder makes of it, the bytes are kept.
        self._write(item)
        if isinstance(item, RecordedEvent):
            if isinstance(item.event, LinkLost | LinkReopened):
                self._unplugged = isinstance(item.event, LinkLost)
            if isinstance(item.event, LinkReopened):
                self._handshake = self._new_handshake()
        if not self._decoding.give(item):
            self._session.skip(item)
            if not self._decoding.given_up:
                self._give_up_decoding("the decoder is too far behind what comes")
            if isinstance(item, RecordedEvent):
                self._announce(item)
        self._take_outcomes()

    def _decode(self, item: Item) -> _Outcome:
        """Have the session take an item; in the decoding thread. What it raises is told, not raised."""
        outputs: list[LinkOutput] = []
        ended: list[FinishedTurnSamples] = []
        try:
            with self.lock:
                outputs = self._session.take(item)
                ended = self._turns.look(self._session, item.host)
                if self._after_item is not None:
                    self._after_item(self._session, item.host)
        except FullturnError as error:
            return _Outcome(item, outputs, ended, error=error)
        except Exception as fault:
            return _Outcome(item, outputs, ended, fault=fault)
        return _Outcome(item, outputs, ended)

    def _take_outcomes(self) -> None:
        for outcome in self._decoding.outcomes():
            self._take_outcome(outcome)

    def _take_outcome(self, outcome: _Outcome) -> None:
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
            if self._writer is None:
                raise outcome.fault
            self.fault = outcome.fault
            self._give_up_decoding(f"a fault of the program ({type(outcome.fault).__name__})")
            return
        ready = self._handshake is None or self._handshake.state is HandshakeState.READY
        if ready:
            first = self._streams is None and (self._handshake is not None or self._heard is not None)
            if first:
                self._streams = item.host
            if first or isinstance(item, SetupChange):
                self._hold_to_its_channels()
            self._no_board = self._missing
        if ready and self._began is None and self._session.has_samples:
            self._began = item.host
            hello = self._session.hello
            self.messages.put(BoardStarted(f"board {hello.device_id:08x}" if hello else "board"))
        for ended in outcome.ended:
            self.messages.put(ended)

    def _hold_to_its_channels(self) -> None:
        """Refuse at once a channel that a board has not, all of whose channels are known by now."""
        self._missing = self._session.missing_channel() if self._handshake is not None else ""
        if self._missing and not self._patient:
            raise BadInput(self._missing)

    def _give_up_decoding(self, why: str) -> None:
        """Record on without decoding, and say so in the recording too."""
        self._decoding.give_up()
        recorded = RecordedEvent(self._source.now(), NotDecoded(why))
        self._write(recorded)
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
        if self._began is None and self._streams is not None:
            waited_s = (now.monotonic_ns - self._streams.monotonic_ns) * NS
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

    def _write(self, item: Item) -> None:
        match item:
            case LinkBytes():
                self._heard = item.host
                self.link_bytes += len(item.data)
                if self._writer is not None:
                    self._writer.link_bytes(item)
            case RecordedEvent():
                if self._writer is not None:
                    self._writer.event(item)
            case SetupChange():
                if self._writer is not None:
                    self._writer.setup(item)
            case _:
                assert_never(item)

    def _take_output(self, host: HostTime, output: LinkOutput) -> None:
        """Hand an answer of the board to the handshake; record an event that came of its bytes."""
        if isinstance(output, BoardMessage):
            if self._handshake is not None:
                self._handshake.receive(output.message, host.monotonic_ns * NS)
            return
        if isinstance(output, PressRefused):
            self.messages.put(StopRead(None, output.words))
            return
        if isinstance(output, BoardRestarted):
            log.info("the board restarted: boot %08x", output.boot_id)
            self._handshake = self._new_handshake()
        elif isinstance(output, NotDecoded):
            self._tell_not_decoded(output.why)
        else:
            log.info("noted %r", encode(output))
        recorded = RecordedEvent(host, output)
        self._write(recorded)
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

    def _why_not(self) -> str:
        """Say why the board could not be brought to streaming, and what came instead of a hello."""
        assert self._handshake is not None
        link = self._session.snapshot().link
        if self._handshake.hello is None and link.frames == 0 and link.bad:
            return (
                f"{self._source.name} talks, but not this wire: {link.bad} pieces of what came are "
                f"no frames, expected "
                "a hello within 3 s; check baud rate and port, or whether another kind of device hangs there"
            )
        return f"{self._source.name}: {self._handshake.problem}"

    def _new_handshake(self) -> Handshake | None:
        """A board that restarted or was plugged in again has to be brought to streaming anew."""
        if self._make_handshake is None:
            return None
        self._handshakes += 1
        log.info("opening %d of %s", self._handshakes, self._source.name)
        return self._make_handshake(1 + TOKENS_APART * (self._handshakes - 1))

    def _enough(self) -> bool:
        if self._until.turns is not None and self._turns.turns >= self._until.turns:
            return True
        since = self._began or self._streams
        if self._until.seconds is None or since is None:
            return False
        gone_ns = self._source.now().monotonic_ns - since.monotonic_ns
        return gone_ns >= self._until.seconds * 1e9

    def _is_short(self) -> bool:
        """Tell whether it ended by itself without what was asked for; a link silent at its end gave no more.

        Turns that came are enough, however the link was at the end.
        """
        if self._stop.is_set() or self._until == Until():
            return False
        if not self._enough():
            return True
        if self._until.turns is not None and self._turns.turns >= self._until.turns:
            return False
        if self._unplugged:
            return True
        silent_ns = self._source.now().monotonic_ns - (self._heard or self._source.now()).monotonic_ns
        return silent_ns > STALLED_S * 1e9

    def _farewell(self) -> None:
        """Ask the board to be quiet, and let go of the port; a board that is gone needs no asking."""
        try:
            if self._handshake is not None and self._handshake.state is HandshakeState.READY:
                self._source.write(b"stop\n")
        except LinkError:
            pass
        finally:
            self._source.close()
