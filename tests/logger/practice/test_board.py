"""The board on the wire: what it says to every command, and that it owns up to what it did not send."""

from dataclasses import replace
from itertools import pairwise

import pytest

from logger.practice.bench.bench import Bench
from logger.practice.bench.board import NAME
from logger.practice.bench.link import LinkKind
from logger.practice.stories.catalogue import scenario
from logger.wire.handshake import Handshake
from logger.wire.messages import (
    Batch as BatchMessage,
    BoardError,
    Button,
    Channel,
    Heartbeat,
    Hello,
    Message,
    Reply,
    Sample,
)
from logger.wire.parsing import MessageDecoder
from logger.wire.text_frames import parse_line


class BoardLine:
    """A bench whose bytes are decoded as they come."""

    def __init__(self, baud: int = 500_000) -> None:
        good = scenario("wind-pump/as-found")
        self.bench = Bench(replace(good, link=LinkKind(baud=baud)))
        self.decoder = MessageDecoder()
        self.data = b""
        self.messages: list[Message] = []

    def send(self, line: str) -> list[Message]:
        """Send one line, wait 50 ms and return what came."""
        self.bench.command(line.encode() + b"\n", self.bench.now_us)
        return self.wait(0.05)

    def wait(self, seconds: float) -> list[Message]:
        """Let time go on and return what came."""
        data = self.bench.advance(self.bench.now_us + round(seconds * 1e6))
        self.data += data
        came = self.decoder.feed(data)
        self.messages += came
        return came


@pytest.fixture
def line_to_board() -> BoardLine:
    """Return a bench that has booted."""
    fresh = BoardLine()
    fresh.wait(0.1)
    return fresh


def texts(messages: list[Message]) -> list[str]:
    return [message.text for message in messages if isinstance(message, Reply | BoardError)]


def test_it_says_hello_and_names_its_channel_when_it_has_booted(line_to_board: BoardLine) -> None:
    assert [type(message) for message in line_to_board.messages] == [Hello, Channel]


def test_a_hello_is_preceded_by_a_zero_that_ends_whatever_went_before(line_to_board: BoardLine) -> None:
    assert line_to_board.data[0] == 0


def test_the_hello_tells_the_encoder_and_the_rate(line_to_board: BoardLine) -> None:
    hello = line_to_board.messages[0]
    assert isinstance(hello, Hello)
    assert (hello.version, hello.counts_per_turn, hello.rate_hz, hello.channels) == (1, 2400, 0, 1)


def test_the_channel_is_a_digital_indicator_of_a_thousandth(line_to_board: BoardLine) -> None:
    channel = line_to_board.messages[1]
    assert isinstance(channel, Channel)
    assert (channel.kind, channel.scale_num, channel.scale_den, channel.name) == (1, 1000, 1, NAME)


@pytest.mark.parametrize(
    ("line", "answer"),
    [
        ("7 rate 1000", "7 ok rate 1000"),
        ("7 rate -1", "7 err range"),
        ("7 rate 99999", "7 err range"),
        ("7 rate", "7 err arguments"),
        ("7 mode batch", "7 ok mode batch"),
        ("7 mode loud", "7 err range"),
        ("7 start", "7 ok start"),
        ("7 stop", "7 ok stop"),
        ("7 zero", "7 ok zero"),
        ("7 ping", "7 ok ping"),
        ("ping", "ok ping"),
        ("7 ident", "7 ok ident"),
        ("7 beep 3", "7 ok beep 3"),
        ("7 lamp 1", "7 ok lamp 1"),
        ("7 lamp 2", "7 err range"),
        ("7 dance", "7 err verb"),
        ("7 hello", "7 ok hello"),
    ],
)
def test_a_command_is_answered_with_its_token(line_to_board: BoardLine, line: str, answer: str) -> None:
    assert texts(line_to_board.send(line)) == [answer]


def test_the_opening_of_the_wire_brings_it_to_streaming(line_to_board: BoardLine) -> None:
    opening = Handshake(mode="single")
    while opening.state in ("waiting", "configuring"):
        now_s = line_to_board.bench.now_us * 1e-6
        line_to_board.bench.command(opening.poll(now_s), line_to_board.bench.now_us)
        for message in line_to_board.wait(0.02):
            opening.receive(message, now_s)
    assert opening.state == "ready"
    assert any(isinstance(message, Sample) for message in line_to_board.wait(0.1))


def test_a_line_that_cannot_be_read_is_counted_in_the_heartbeat(line_to_board: BoardLine) -> None:
    line_to_board.send("x" * 60)
    beats = [message for message in line_to_board.wait(0.6) if isinstance(message, Heartbeat)]
    assert beats[-1].rx_errors == 1


def test_a_heartbeat_comes_every_half_second_always(line_to_board: BoardLine) -> None:
    line_to_board.wait(5.0)
    beats = [message for message in line_to_board.messages if isinstance(message, Heartbeat)]
    assert {later.t_us - beat.t_us for beat, later in pairwise(beats)} == {500_000}


def test_the_heartbeat_says_whether_samples_are_being_sent(line_to_board: BoardLine) -> None:
    before = [m.streaming for m in line_to_board.wait(0.6) if isinstance(m, Heartbeat)]
    line_to_board.send("start")
    after = [m.streaming for m in line_to_board.wait(0.6) if isinstance(m, Heartbeat)]
    assert (before, after) == ([False], [True])


def test_a_second_start_begins_nothing_anew(line_to_board: BoardLine) -> None:
    line_to_board.send("start")
    began_us = line_to_board.bench.started_us
    line_to_board.wait(2.0)
    line_to_board.send("start")
    assert line_to_board.bench.started_us == began_us


def test_without_start_there_are_no_samples(line_to_board: BoardLine) -> None:
    assert not any(isinstance(message, Sample) for message in line_to_board.wait(3.0))


def test_after_stop_there_are_no_samples(line_to_board: BoardLine) -> None:
    line_to_board.send("start")
    line_to_board.send("stop")
    assert not any(isinstance(message, Sample) for message in line_to_board.wait(1.0))


def test_as_values_come_there_are_fifty_samples_a_second_and_none_is_held(line_to_board: BoardLine) -> None:
    line_to_board.send("start")
    samples = [message for message in line_to_board.wait(2.0) if isinstance(message, Sample)]
    assert (len(samples), any(sample.held for sample in samples)) == (100, False)


def test_at_a_rate_above_the_gauges_own_the_samples_between_are_held(line_to_board: BoardLine) -> None:
    line_to_board.send("rate 200")
    line_to_board.send("start")
    samples = [message for message in line_to_board.wait(2.0) if isinstance(message, Sample)]
    assert (len(samples), sum(not sample.held for sample in samples)) == (400, 100)


def test_every_frame_is_numbered_without_a_hole(line_to_board: BoardLine) -> None:
    line_to_board.send("start")
    line_to_board.wait(5.0)
    assert [message.seq for message in line_to_board.messages] == list(range(len(line_to_board.messages)))


def test_zero_sets_the_count_to_nothing_and_the_part_turns_on(line_to_board: BoardLine) -> None:
    line_to_board.send("start")
    line_to_board.wait(4.0)
    before = [message for message in line_to_board.messages if isinstance(message, Sample)][-1]
    line_to_board.send("zero")
    after = next(message for message in line_to_board.wait(0.1) if isinstance(message, Sample))
    assert (before.count > 500, abs(after.count) < 60) == (True, True)  # 60 counts: 70 ms at 860 a second


def test_a_batch_says_the_same_as_single_samples(line_to_board: BoardLine) -> None:
    other = BoardLine()
    other.wait(0.1)
    line_to_board.send("mode single")
    other.send("mode batch")
    for each in (line_to_board, other):
        each.send("start")
        each.wait(10.0)
        each.send("stop")
    single = [(m.t_us, m.count, m.value) for m in line_to_board.messages if isinstance(m, Sample)]
    batches = [m for m in other.messages if isinstance(m, BatchMessage)]
    assert [(s.t_us, s.count, s.value) for batch in batches for s in batch.expand()] == single


def test_batches_of_a_fast_rate_are_full(line_to_board: BoardLine) -> None:
    line_to_board.send("mode batch")
    line_to_board.send("rate 1000")
    line_to_board.send("start")
    sizes = {len(m.values) for m in line_to_board.wait(2.0) if isinstance(m, BatchMessage)}
    assert sizes == {28}


def test_text_mode_sends_one_readable_line_a_sample(line_to_board: BoardLine) -> None:
    line_to_board.send("mode text")
    line_to_board.send("start")
    began = len(line_to_board.data)
    line_to_board.wait(1.0)
    lines = [line for part in line_to_board.data[began:].split(b"\x00") for line in part.split(b"\n")]
    samples = [parse_line(line.decode("ascii", "replace")) for line in lines]
    assert sum(sample is not None for sample in samples) == 50


def test_in_text_mode_the_frames_between_the_lines_stay_whole(line_to_board: BoardLine) -> None:
    line_to_board.send("mode text")
    line_to_board.send("start")
    assert sum(isinstance(message, Heartbeat) for message in line_to_board.wait(2.0)) == 4


def test_the_first_frame_after_text_mode_is_no_tail_of_a_line(line_to_board: BoardLine) -> None:
    line_to_board.send("mode text")
    line_to_board.send("start")
    line_to_board.wait(0.5)
    # A line may have been cut anywhere by the switch: the answer to it must still be read.
    assert "ok mode single" in texts(line_to_board.send("mode single"))


def test_what_a_slow_line_cannot_carry_is_owned_up_to_as_dropped() -> None:
    line_to_board = BoardLine(baud=115_200)
    line_to_board.wait(0.1)
    line_to_board.send("rate 2000")
    line_to_board.send("start")
    line_to_board.wait(2.0)
    line_to_board.send("stop")
    line_to_board.wait(1.0)
    beats = [message for message in line_to_board.messages if isinstance(message, Heartbeat)]
    sent = sum(isinstance(message, Sample) for message in line_to_board.messages)
    assert beats[-1].dropped > 1000
    assert sent + beats[-1].dropped == 4100  # 2.05 s from start to stop at 2000 a second


def test_overload_leaves_no_hole_in_the_numbers_of_the_frames() -> None:
    line_to_board = BoardLine(baud=115_200)
    line_to_board.wait(0.1)
    line_to_board.send("rate 2000")
    line_to_board.send("start")
    line_to_board.wait(1.0)
    assert [message.seq for message in line_to_board.messages] == list(range(len(line_to_board.messages)))


def test_a_pressed_button_is_sent_with_the_count_of_its_press(line_to_board: BoardLine) -> None:
    line_to_board.send("start")
    line_to_board.bench.press(2, line_to_board.bench.now_us + 3_000_000)
    presses = [message for message in line_to_board.wait(4.0) if isinstance(message, Button)]
    assert [(press.button, press.down) for press in presses] == [(2, 1), (2, 0)]
    assert presses[0].count > 300  # 3 s of a hand that takes 6 to 9 s a turn of 2400


def test_a_pulled_plug_loses_commands_too() -> None:
    line_to_board = BoardLine()
    line_to_board.wait(0.1)
    line_to_board.bench._link.unplugged_us = (0, 1_000_000)
    line_to_board.send("start")
    assert line_to_board.bench.started_us is None
