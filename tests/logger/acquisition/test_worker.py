"""The worker: records before it decodes, brings a board to streaming, ends when asked, hides no mistake."""

import random
import threading
from collections.abc import Callable, Iterable
from pathlib import Path

import pytest
from boards import ScriptedBoard, counts, host, wobble

from analysis.capture.events import (
    BoardRestarted,
    Event,
    LinkLost,
    LinkReopened,
    MarkTouched,
    NotDecoded,
    Pushed,
    TurnStarred,
)
from analysis.errors import BadInput, FullturnError, LinkError, NotDecidable, RecordingError, StoreError
from analysis.setup import MarkSide
from logger.acquisition import decoding_thread, worker as worker_module
from logger.acquisition.recording_end import Until
from logger.acquisition.worker import Worker
from logger.acquisition.worker_messages import (
    BoardStarted,
    EventTaken,
    Warned,
    WorkerEnded,
    WorkerMessage,
    message_queue,
)
from logger.decoding import LinkOutput
from logger.practice.serving.simulated_source import PracticeSource
from logger.recording import RecordingReader, RecordingWriter
from logger.session.session import Session, replay
from logger.session.turn_detector import FinishedTurnSamples
from logger.stream import HostTime, Item, LinkBytes, RecordedEvent, SetupChange
from logger.wire.handshake import Handshake
from logger.wire.messages import Reply


class Script:
    """A source that yields what a test wrote down, 20 ms a read, and keeps what was sent to the board."""

    name = "script"

    def __init__(self, reads: Iterable[list[Item]], *, gone: bool = False, endless: bool = False) -> None:
        self._reads = list(reads)
        self._gone, self._endless = gone, endless
        self._ms = 0
        self.sent: list[bytes] = []
        self.closed = 0

    @property
    def at_end(self) -> bool:
        return not self._reads and not self._endless

    def now(self) -> HostTime:
        return host(self._ms / 1000)

    def read(self, timeout_s: float) -> list[Item]:
        self._ms += round(timeout_s * 1000)
        return self._reads.pop(0) if self._reads else []

    def write(self, data: bytes) -> None:
        self.sent.append(data)
        if self._gone:
            raise LinkError("gone for good")

    def close(self) -> None:
        self.closed += 1


def handshake(token: int) -> Handshake:
    return Handshake(first_token=token)


def ran(worker: Worker) -> list[WorkerMessage]:
    worker.run()
    messages: list[WorkerMessage] = []
    while not worker.messages.empty():
        messages.append(worker.messages.get())
    return messages


def of(messages: list[WorkerMessage], kind: type) -> list[WorkerMessage]:
    return [one for one in messages if isinstance(one, kind)]


def error_of(messages: list[WorkerMessage]) -> FullturnError | None:
    assert isinstance(messages[-1], WorkerEnded)
    return messages[-1].error


def practice(turns: int = 2, fault: str | None = None, **more: object) -> Worker:
    source = PracticeSource("wind-pump/as-found", 1, fault, turns)
    return Worker(source, Session(source.setup), make_handshake=handshake, **more)  # type: ignore[arg-type]


@pytest.fixture
def writer(tmp_path: Path) -> Iterable[RecordingWriter]:
    with RecordingWriter(
        tmp_path / "kept.mcap",
        setup={},
        recording_id="r",
        started="2026-01-05T08:00:00Z",
        version="0",
        clock=lambda: host(0),
        fsync=lambda _: None,
    ) as made:
        yield made


def recorded(writer: RecordingWriter) -> list[Item]:
    writer.close()
    return list(RecordingReader(writer.path).items())


def events_of(writer: RecordingWriter) -> list[Event]:
    return [item.event for item in recorded(writer) if isinstance(item, RecordedEvent)]


def board_stream(make: Callable[[ScriptedBoard], None] | None = None) -> bytes:
    board = ScriptedBoard()
    board.greet()
    board.describe()
    board.turn(counts(0.2), value=wobble)
    if make is not None:
        make(board)
    return board.take()


# --- from opening to end ----------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def messages_of_two_turns() -> list[WorkerMessage]:
    return ran(practice())


def test_the_board_is_said_to_stream_once(messages_of_two_turns: list[WorkerMessage]):
    assert of(messages_of_two_turns, BoardStarted) == [BoardStarted("board 51ab0001")]


def test_every_turn_is_told_as_it_ends(messages_of_two_turns: list[WorkerMessage]):
    assert [one.number for one in of(messages_of_two_turns, FinishedTurnSamples)] == [0, 1]  # type: ignore[union-attr]


def test_the_last_message_is_that_it_ended(messages_of_two_turns: list[WorkerMessage]):
    assert messages_of_two_turns[-1] == WorkerEnded(None, 2)
    assert len(of(messages_of_two_turns, WorkerEnded)) == 1


def test_it_ends_after_the_turns_asked_for():
    worker = practice(turns=5, until=Until(turns=1))
    assert ran(worker)[-1] == WorkerEnded(None, 1)


def test_it_ends_after_the_seconds_asked_for():
    source = PracticeSource("wind-pump/as-found", turns=5)
    session = Session(source.setup)
    ran(Worker(source, session, make_handshake=handshake, until=Until(seconds=3.0)))
    times = session.capture().samples.t_s
    # From the first reading on; the last one lies within its distance (20 ms) and a read (20 ms) of the end.
    assert 3.0 - 0.05 < times[-1] <= 3.0 + 0.05


def test_the_seconds_count_only_once_it_streams():
    # Silent for longer than asked for, and then refused: not ended as if all were well.
    messages = ran(
        Worker(Script([], endless=True), Session(), make_handshake=handshake, until=Until(seconds=1.0))
    )
    assert isinstance(error_of(messages), LinkError)


def test_it_ends_with_its_source():
    assert ran(practice(turns=1))[-1] == WorkerEnded(None, 1)


def ended(worker: Worker) -> WorkerEnded:
    last = ran(worker)[-1]
    assert isinstance(last, WorkerEnded)
    return last


def test_a_source_that_ends_before_the_turns_asked_for_is_short():
    assert ended(practice(turns=1, until=Until(turns=2))) == WorkerEnded(None, 1, short=True)


def test_a_source_that_ends_before_the_seconds_asked_for_is_short():
    assert ended(practice(turns=1, until=Until(seconds=1000.0))).short


LOST, BACK = RecordedEvent(host(0), LinkLost("unplugged")), RecordedEvent(host(0), LinkReopened())


@pytest.mark.parametrize(
    ("seconds", "then", "short"),
    [
        (5.0, [], True),  # not a byte for longer than a reading is waited for
        (0.1, [], False),
        (0.1, [LOST], True),
        (0.1, [LOST, BACK], False),
    ],
)
def test_a_link_that_is_silent_or_gone_at_its_end_gave_no_more(seconds: float, then: list[Item], short: bool):
    source = Script([[LinkBytes(host(0), board_stream())], then], endless=True)
    assert ended(Worker(source, Session(), until=Until(seconds=seconds))).short == short


def test_told_to_stop_it_is_not_short():
    worker = practice(until=Until(turns=100))
    worker.stop()
    assert not ended(worker).short


def test_a_source_that_cannot_be_let_go_of_leaves_nobody_waiting():
    source = Script([])
    source.close = break_down  # type: ignore[method-assign]
    worker = Worker(source, Session())
    worker.start()
    worker.join()
    assert isinstance(worker.fault, ZeroDivisionError)
    assert isinstance(worker.messages.get_nowait(), WorkerEnded)


def test_told_to_stop_it_stops():
    worker = Worker(Script([], endless=True), Session())
    worker.stop()
    assert ran(worker) == [WorkerEnded(None, 0)]


def test_in_a_thread_of_its_own_it_does_the_same(messages_of_two_turns: list[WorkerMessage]):
    worker = practice()
    worker.start()
    worker.join()
    messages = []
    while not worker.messages.empty():
        messages.append(worker.messages.get())
    assert [type(one) for one in messages] == [type(one) for one in messages_of_two_turns]


def test_the_board_is_asked_to_be_quiet_at_the_end():
    source = PracticeSource("wind-pump/as-found", turns=1)
    sent = []
    write = source.write

    def keep(data: bytes) -> None:
        sent.append(data)
        write(data)

    source.write = keep  # type: ignore[method-assign]
    ran(Worker(source, Session(source.setup), make_handshake=handshake))
    assert sent[-1] == b"stop\n"
    assert [line.split()[1] for line in sent[:-1] if b"hello" not in line] == [b"stop", b"mode", b"start"]


def test_the_source_is_let_go():
    source = Script([])
    ran(Worker(source, Session(), make_handshake=handshake))
    assert source.closed == 1


def test_a_source_is_let_go_even_if_the_board_is_gone():
    source = Script([], gone=True, endless=True)
    assert isinstance(error_of(ran(Worker(source, Session(), make_handshake=handshake))), LinkError)
    assert source.closed == 1


# --- recorded first ---------------------------------------------------------------------------------------


def test_bytes_are_recorded_even_if_nobody_can_decode_them(writer: RecordingWriter):
    board = ScriptedBoard()
    board.greet(version=2)
    data = board.take()
    messages = ran(Worker(Script([[LinkBytes(host(0), data)]]), Session(), writer=writer))
    assert isinstance(error_of(messages), BadInput)
    assert [item.data for item in recorded(writer) if isinstance(item, LinkBytes)] == [data]


def test_what_is_recorded_is_what_came_in_its_order(writer: RecordingWriter):
    items: list[Item] = [
        LinkBytes(host(0.0), b"one"),
        RecordedEvent(host(0.1), Pushed()),
        SetupChange(host(0.1), {"part": "disc"}),  # a set-up has the time of what came before it
        LinkBytes(host(0.3), b"two"),
    ]
    ran(Worker(Script([items]), Session(), writer=writer))
    assert recorded(writer) == items


def test_a_press_of_the_button_is_recorded_once_as_a_mark(writer: RecordingWriter):
    data = board_stream(lambda board: board.button(500_000, 240))
    ran(Worker(Script([[LinkBytes(host(0), data)]]), Session(), writer=writer))
    assert events_of(writer) == [MarkTouched(MarkSide.PART, 240)]


def test_a_restart_is_recorded(writer: RecordingWriter):
    data = board_stream(lambda board: board.greet(boot_id=8))
    ran(Worker(Script([[LinkBytes(host(0), data)]]), Session(), writer=writer))
    assert events_of(writer) == [BoardRestarted(8)]


def test_what_a_person_notes_is_recorded_and_known(writer: RecordingWriter):
    session = Session()
    worker = Worker(Script([[LinkBytes(host(0), board_stream())], []]), session, writer=writer)
    touched = MarkTouched(MarkSide.PART, 120)
    worker.record_event(touched)
    messages = ran(worker)
    assert session.mark_counts(MarkSide.PART) == [120]
    assert events_of(writer) == [touched]
    assert [one.event for one in messages if isinstance(one, EventTaken)] == [touched]


def test_a_set_up_given_on_the_way_is_recorded_and_in_force(writer: RecordingWriter):
    session = Session()
    worker = Worker(Script([[LinkBytes(host(0), b"x")], []]), session, writer=writer)
    worker.change_setup({"part": "disc"})
    ran(worker)
    assert session.setup.part == "disc"
    assert [item.setup for item in recorded(writer) if isinstance(item, SetupChange)] == [{"part": "disc"}]


def test_bytes_from_the_board_are_counted():
    worker = Worker(Script([[LinkBytes(host(0), b"12345")], [LinkBytes(host(0), b"67")]]), Session())
    ran(worker)
    assert worker.link_bytes == 7


# --- boards that do not answer, or begin anew -------------------------------------------------------------


def test_a_silent_board_ends_it_after_three_seconds():
    source = Script([], endless=True)
    error = error_of(ran(Worker(source, Session(), make_handshake=handshake)))
    assert str(error).startswith("script: No hello from the board within 3 s, expected one frame of it")
    # Every 300 ms for 3 s, by the source's own clock.
    assert source.sent == [b"hello\n"] * 10


def test_a_board_that_talks_something_else_is_told_from_a_silent_one():
    source = Script([[LinkBytes(host(0), b"+00.134 mm\r\n" * 12)]], endless=True)
    error = error_of(ran(Worker(source, Session(), make_handshake=handshake)))
    assert "talks, but not this wire: 1 pieces of what came are no frames" in str(error)


def test_a_patient_worker_goes_on_and_says_why_there_is_no_board():
    source = Script([[] for _ in range(200)])
    worker = Worker(source, Session(), make_handshake=handshake, patient=True)
    assert error_of(ran(worker)) is None
    assert "No hello from the board within 3 s" in worker.problem


def tokens(sent: list[bytes]) -> set[int]:
    return {int(line.split()[0]) for line in sent if line[:1].isdigit()}


def test_a_board_that_restarted_is_brought_to_streaming_again():
    worker = practice(turns=2, fault="restart")
    messages = ran(worker)
    assert error_of(messages) is None
    # It streams again although a restart stops it: readings of the second boot are there.
    assert len(worker._session._links.gauge.boots[1]) > 50


def test_each_opening_has_its_own_tokens():
    board = ScriptedBoard()
    board.greet()
    board.describe()
    first = board.take()
    board.greet()
    board.describe()
    source = Script(
        [
            [LinkBytes(host(0), first)],
            [],
            [RecordedEvent(host(1), LinkReopened()), LinkBytes(host(1), board.take())],
            [],
            [],
        ]
    )
    ran(Worker(source, Session(), make_handshake=handshake))
    assert tokens(source.sent) == {1, 101}


def test_a_cable_that_was_out_is_greeted_anew():
    worker = practice(turns=2, fault="unplug")
    assert error_of(ran(worker)) is None


# --- mistakes ---------------------------------------------------------------------------------------------


def break_down(*_: object) -> None:
    raise ZeroDivisionError("a mistake of ours")


def test_a_mistake_of_ours_reaches_whoever_ran_it():
    worker = Worker(Script([[LinkBytes(host(0), b"x")]]), Session(), after_item=break_down)
    with pytest.raises(ZeroDivisionError, match="a mistake of ours"):
        worker.run()


def test_a_mistake_of_ours_in_the_thread_is_kept_for_whoever_waits():
    source = Script([[LinkBytes(host(0), b"x")]])
    worker = Worker(source, Session(), after_item=break_down)
    worker.start()
    worker.join()
    assert isinstance(worker.fault, ZeroDivisionError)
    assert isinstance(worker.messages.get(), WorkerEnded)
    assert source.closed == 1


# --- whatever the decoder makes of it -----------------------------------------------------------------------


class BrokenOff(Session):
    """A session whose decoder breaks off at the bytes that a test names."""

    def __init__(self, at: bytes) -> None:
        super().__init__()
        gauge, feed = self._links.gauge, self._links.gauge.feed

        def broken(host: HostTime, data: bytes) -> list[LinkOutput]:
            outputs = feed(host, data)
            if at in data:
                break_down()
            return outputs

        gauge.feed = broken  # type: ignore[method-assign]


def not_decoded(messages: list[WorkerMessage]) -> list[str]:
    return [
        one.event.why for one in messages if isinstance(one, EventTaken) and isinstance(one.event, NotDecoded)
    ]


@pytest.mark.parametrize("threaded", [False, True])
def test_where_the_decoder_breaks_off_all_is_recorded_and_that_is_said(
    writer: RecordingWriter, threaded: bool
):
    pieces = [board_stream(), b"poison\x00", b"more", b"and more"]
    session = BrokenOff(b"poison")
    worker = Worker(
        Script([[LinkBytes(host(0.1 * k), one)] for k, one in enumerate(pieces)]), session, writer=writer
    )
    if threaded:
        worker.start()
        worker.join()
    else:
        worker.run()
    messages = [worker.messages.get() for _ in range(worker.messages.qsize())]
    why = "the decoder broke off (ZeroDivisionError: a mistake of ours)"
    assert (error_of(messages), worker.fault, not_decoded(messages)) == (None, None, [why])
    assert worker.problem == f"not decoded: {why}; the recording goes on"
    items = recorded(writer)
    assert b"".join(item.data for item in items if isinstance(item, LinkBytes)) == b"".join(pieces)
    assert [item.event for item in items if isinstance(item, RecordedEvent)] == [NotDecoded(why)]
    # What came before is there, and the link's account says how much is not.
    found = session.capture()
    assert (len(found.samples), found.link and found.link.not_decoded) == (13, len(b"".join(pieces[1:])))


def test_a_mistake_beside_the_decoder_is_raised_only_when_all_is_recorded(writer: RecordingWriter):
    source = Script([[LinkBytes(host(k), b"%d" % k)] for k in range(5)])
    worker = Worker(source, Session(), writer=writer, after_item=break_down)
    worker.start()
    worker.join()
    assert isinstance(worker.fault, ZeroDivisionError)
    assert b"".join(item.data for item in recorded(writer) if isinstance(item, LinkBytes)) == b"01234"


class Held(Session):
    """A session whose decoder comes to no end before a test lets it."""

    def __init__(self) -> None:
        super().__init__()
        self.let_go = threading.Event()

    def feed(self, host: HostTime, data: bytes, link: int = 0) -> list[LinkOutput]:
        self.let_go.wait()
        return super().feed(host, data, link)


def test_a_decoder_that_comes_to_no_end_holds_no_byte_up_and_ends_nothing(
    writer: RecordingWriter, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(decoding_thread, "END_S", 0.0)
    session, data = Held(), random.Random(1).randbytes(1000)
    worker = Worker(Script([[LinkBytes(host(k), data)] for k in range(20)]), session, writer=writer)
    worker.start()
    worker.join()
    session.let_go.set()
    messages = [worker.messages.get() for _ in range(worker.messages.qsize())]
    assert isinstance(messages[-1], WorkerEnded)
    assert not_decoded(messages) == ["the decoder did not come to its end"]
    assert b"".join(item.data for item in recorded(writer) if isinstance(item, LinkBytes)) == 20 * data


def test_what_waits_to_be_decoded_is_bounded(writer: RecordingWriter, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(decoding_thread, "MOST_WAITING_BYTES", 5000)
    monkeypatch.setattr(decoding_thread, "IN_STEP_S", 0.0)
    monkeypatch.setattr(worker_module, "BEHIND_S", 0.03)
    session = Held()
    worker = Worker(Script([[LinkBytes(host(0), bytes(1000))] for _ in range(20)]), session, writer=writer)
    worker.start()
    worker.join()
    session.let_go.set()
    messages = [worker.messages.get() for _ in range(worker.messages.qsize())]
    assert not_decoded(messages) == ["the decoder is too far behind what comes"]
    assert [one.words for one in messages if isinstance(one, Warned)] == [
        "not decoded yet: the decoder is 0 s behind; all is recorded"
    ]
    assert sum(len(item.data) for item in recorded(writer) if isinstance(item, LinkBytes)) == 20_000


def test_what_waits_is_decoded_before_it_ends(writer: RecordingWriter, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(decoding_thread, "IN_STEP_S", 0.0)  # never in step
    session, data = Session(), board_stream(lambda board: board.turn(counts(2), first_us=300_000))
    reads = [[LinkBytes(host(0.02 * at), data[at : at + 40])] for at in range(0, len(data), 40)]
    worker = Worker(Script(reads), session, writer=writer)
    worker.start()
    worker.join()
    messages = [worker.messages.get() for _ in range(worker.messages.qsize())]
    assert not_decoded(messages) == []
    read = replay(recorded(writer))
    assert len(read.capture().samples) == len(session.capture().samples) == 13 + 121


# --- a board without the channel that was asked for ------------------------------------------------------------


def asking_for(channel: int, of: int, until: Until, **more: bool) -> Worker:
    """Return a worker at a board that describes channel 0 and has readings of ``of``."""
    board = ScriptedBoard()
    board.greet()
    board.describe()
    reads: list[list[Item]] = [[LinkBytes(host(0), board.take())], [], [], []]
    for token, verb in enumerate(("stop", "mode single", "start"), 1):
        board._send(Reply, 0, f"{token} ok {verb}")
        reads += [[LinkBytes(host(0.1 * token), board.take())], [], []]
    for k in range(600):
        board.sample(10_000 * k, 12 * k, 0, channel=of)
        reads.append([LinkBytes(host(1.0 + 0.02 * k), board.take())])
    session = Session({"channel": str(channel)})
    source = Script(reads, endless=True)
    return Worker(source, session, make_handshake=handshake, until=until, **more)  # type: ignore[arg-type]


def test_a_channel_that_the_board_has_not_is_refused_at_once():
    worker = asking_for(3, 0, Until(seconds=3.0))
    error = error_of(ran(worker))
    assert isinstance(error, BadInput)
    assert str(error).startswith("channel 3 was asked for, the board described: 0 (channel 0)")
    assert worker._source.now().monotonic_ns < 1e9  # within the first second


def test_who_is_patient_is_told_of_it():
    worker = asking_for(3, 0, Until(seconds=1.0), patient=True)
    assert error_of(ran(worker)) is None
    assert "channel 3 was asked for" in worker.problem


def test_the_seconds_come_to_their_end_where_only_another_channel_has_readings():
    worker = asking_for(0, 9, Until(seconds=6.0))
    messages = ran(worker)
    assert error_of(messages) is None
    assert 6e9 <= worker._source.now().monotonic_ns < 8e9
    assert [one.words for one in messages if isinstance(one, Warned)] == [
        "script streams, and no reading of channel 0 comes; all is recorded"
    ]


def test_the_seconds_come_to_their_end_where_no_line_is_a_reading():
    session = Session({"rig.line.pattern": r"^(?P<reading>\d+)$"})
    source = Script([[LinkBytes(host(0.02 * k), b"worn\n")] for k in range(500)], endless=True)
    ran(Worker(source, session, until=Until(seconds=3.0)))
    assert 3e9 <= source.now().monotonic_ns < 4e9


# --- nobody takes what it tells ---------------------------------------------------------------------------


def everything_told(most_bytes: int, monkeypatch: pytest.MonkeyPatch) -> tuple[list[object], int, int]:
    """Return what a worker tells of six turns, comparable, the most it kept in memory, and whether any lay on disk."""
    monkeypatch.setattr("logger.acquisition.worker_messages.MOST_BYTES", most_bytes)
    source = PracticeSource("wind-pump/as-found", turns=6)
    session = Session(source.setup)
    kept: list[tuple[int, int]] = []

    def look(_: Session, __: HostTime) -> None:
        kept.append((worker.messages.bytes_in_memory, worker.messages.bytes_on_disk))

    worker = Worker(source, session, make_handshake=handshake, after_item=look)
    for number in range(300):
        worker.record_event(TurnStarred(number, 0.0, 1.0))
    heard_of: list[object] = []
    for message in ran(worker):
        if isinstance(message, FinishedTurnSamples):
            where = message.turn.where
            heard_of.append(
                (message.number, message.heard, message.mark, message.turn.number, where.tobytes())
            )
            heard_of.append(message.capture.samples.reading_mm[where].tobytes())
            heard_of.append((message.capture.setup.text, message.capture.setup.limit))
        else:
            heard_of.append(message)
    return heard_of, max(memory for memory, _ in kept), max(disk for _, disk in kept)


def test_what_nobody_takes_waits_on_disk_beyond_a_bound_and_nothing_is_lost(monkeypatch: pytest.MonkeyPatch):
    plain, most, on_disk = everything_told(1 << 30, monkeypatch)
    assert (most > 300_000, on_disk) == (True, 0)
    found, most, on_disk = everything_told(100_000, monkeypatch)
    assert found == plain
    assert most <= 100_000 < on_disk


@pytest.mark.parametrize("kind", [BadInput, RecordingError, StoreError, NotDecidable, LinkError])
def test_why_it_ended_is_the_same_after_it_lay_on_disk(
    kind: type[FullturnError], monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr("logger.acquisition.worker_messages.MOST_BYTES", 0)
    waiting = message_queue(None)
    waiting.put(Warned("first"))
    waiting.put(WorkerEnded(kind("found, expected, to do"), 3, short=True))
    waiting.get()
    found = waiting.get()
    assert isinstance(found, WorkerEnded)
    assert (type(found.error), str(found.error), found.turns, found.short) == (
        kind,
        "found, expected, to do",
        3,
        True,
    )
