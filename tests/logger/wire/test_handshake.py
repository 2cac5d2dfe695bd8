"""The handshake against a scripted board: late, repeated, newer, refusing, forgetful."""

from collections import Counter
from dataclasses import dataclass, field, replace
from itertools import pairwise

import pytest

from logger.wire.board_commands import Command, CommandParser
from logger.wire.handshake import CommandState, Handshake, HandshakeState, Repeater
from logger.wire.messages import BoardError, Channel, Hello, Message, Reply, Sample

HELLO = Hello(0, 0, 1, 1, 0, 5, 0x51AB0001, 2400, 1000, 0, 1, 1, 7, 20000)
CHANNEL = Channel(1, 0, 0, 1, 0, 1000, 1, -(2**30), 2**30, "indicator")
STEP_S = 0.05


@dataclass
class Board:
    """Answers command lines as a board would, with what the test makes go wrong."""

    hello: Hello = HELLO
    up_at_s: float = 0.0
    """Deaf and dumb before."""
    deaf_to: Counter[str] = field(default_factory=Counter)
    """How often each verb goes unheard."""
    dumb_to: Counter[str] = field(default_factory=Counter)
    """How often each verb is done but its answer lost."""
    refuses: tuple[str, ...] = ()
    channels: int = 1
    channels_lost: int = 0
    """How often the channel frames after a hello are lost."""
    done: list[Command] = field(default_factory=list)
    _parser: CommandParser = field(default_factory=CommandParser)

    def hear(self, line: bytes, now_s: float) -> list[Message]:
        """Take bytes, return the messages that reach the PC."""
        if now_s < self.up_at_s:
            return []
        return [message for command in self._parser.feed(line) for message in self._do(command)]

    def _do(self, command: Command) -> list[Message]:
        if self.deaf_to[command.verb] > 0:
            self.deaf_to[command.verb] -= 1
            return []
        self.done.append(command)
        if command.verb == "hello":
            self.channels_lost -= 1
            described = 0 if self.channels_lost >= 0 else self.channels
            return [self.hello, *(replace(CHANNEL, channel=i) for i in range(described))]
        if self.dumb_to[command.verb] > 0:
            self.dumb_to[command.verb] -= 1
            return []
        if command.verb in self.refuses:
            return [BoardError(0, 0, f"{command.token} err range")]
        return [Reply(0, 0, " ".join([str(command.token), "ok", command.verb, *command.args]))]


def run(handshake: Handshake, board: Board, until_s: float = 20.0) -> list[tuple[float, str]]:
    """Poll every 50 ms until ready or failed; return what was sent, each line with its time."""
    sent = []
    for step in range(round(until_s / STEP_S)):
        now_s = step * STEP_S
        line = handshake.poll(now_s)
        if line:
            sent.append((round(now_s, 3), line.decode()))
        for message in board.hear(line, now_s):
            handshake.receive(message, now_s)
        if handshake.state.is_final:
            break
    return sent


def times_of(verb: str, sent: list[tuple[float, str]]) -> list[float]:
    """Return when a verb was sent."""
    return [now_s for now_s, line in sent if verb in line.split()]


def test_good_board_is_ready_after_one_line_each() -> None:
    handshake = Handshake(rate_hz=1000)
    sent = [line for _, line in run(handshake, Board())]
    assert sent == ["hello\n", "1 stop\n", "2 rate 1000\n", "3 mode single\n", "4 start\n"]


def test_good_board_ends_ready_with_its_hello() -> None:
    handshake = Handshake()
    run(handshake, Board())
    assert (handshake.state, handshake.problem, handshake.hello) == (HandshakeState.READY, "", HELLO)


def test_rate_is_left_alone_when_none_is_asked() -> None:
    board = Board()
    run(Handshake(), board)
    assert [command.verb for command in board.done] == ["hello", "stop", "mode", "start"]


def test_further_commands_go_before_start() -> None:
    board = Board()
    run(Handshake(mode="batch", extra=[("beep", 2), ("lamp", 1)]), board)
    assert [(c.verb, *c.args) for c in board.done][2:] == [
        ("mode", "batch"),
        ("beep", "2"),
        ("lamp", "1"),
        ("start",),
    ]


def test_answers_are_kept_with_their_values() -> None:
    handshake = Handshake(rate_hz=500)
    run(handshake, Board())
    assert handshake.answers["rate"] == ("rate", "500")


def test_late_hello_is_waited_for_and_asked_for_every_300_ms() -> None:
    handshake = Handshake()
    sent = run(handshake, Board(up_at_s=1.4))
    assert (times_of("hello", sent), handshake.state) == (
        [0.0, 0.3, 0.6, 0.9, 1.2, 1.5],
        HandshakeState.READY,
    )


def test_hello_just_before_3_s_still_counts() -> None:
    handshake = Handshake()
    run(handshake, Board(up_at_s=2.7))
    assert handshake.state is HandshakeState.READY


def test_no_hello_within_3_s_fails() -> None:
    handshake = Handshake()
    sent = run(handshake, Board(up_at_s=3.0))
    assert handshake.state is HandshakeState.FAILED
    assert len(times_of("hello", sent)) == 10
    assert handshake.problem.startswith("No hello from the board within 3 s, expected")


def test_hello_that_comes_unasked_is_enough() -> None:
    handshake = Handshake()
    handshake.receive(HELLO, 0.0)
    handshake.receive(CHANNEL, 0.0)
    assert handshake.poll(0.0) == b"1 stop\n"


def test_newer_version_is_refused_with_its_number() -> None:
    handshake = Handshake()
    run(handshake, Board(hello=replace(HELLO, version=2)))
    assert handshake.state is HandshakeState.FAILED
    assert "version 2 of the wire, this program knows version 1" in handshake.problem


def test_nothing_is_sent_to_a_board_of_a_newer_version() -> None:
    board = Board(hello=replace(HELLO, version=9))
    sent = run(Handshake(), board)
    assert [line for _, line in sent] == ["hello\n"]


@pytest.mark.parametrize("verb", ["stop", "rate", "mode", "start"])
def test_refused_command_fails_in_the_boards_own_words(verb: str) -> None:
    handshake = Handshake(rate_hz=5000)
    run(handshake, Board(refuses=(verb,)))
    assert handshake.state is HandshakeState.FAILED
    assert handshake.problem.startswith(f"The board refused `{verb}")
    assert "err range" in handshake.problem


@pytest.mark.parametrize("verb", ["stop", "rate", "mode", "start"])
@pytest.mark.parametrize("lost", [1, 4])
def test_lost_commands_are_repeated_every_300_ms_with_the_same_token(verb: str, lost: int) -> None:
    handshake = Handshake(rate_hz=100)
    sent = run(handshake, Board(deaf_to=Counter({verb: lost})))
    times = times_of(verb, sent)
    assert [round(b - a, 3) for a, b in pairwise(times)] == [0.3] * lost
    assert len({line for _, line in sent if verb in line.split()}) == 1
    assert handshake.state is HandshakeState.READY


@pytest.mark.parametrize("verb", ["stop", "rate", "mode", "start"])
def test_lost_answers_are_asked_for_again(verb: str) -> None:
    handshake = Handshake(rate_hz=100)
    board = Board(dumb_to=Counter({verb: 2}))
    run(handshake, board)
    assert ([c.verb for c in board.done].count(verb), handshake.state) == (3, HandshakeState.READY)


def test_board_that_never_answers_fails_after_five_tries() -> None:
    handshake = Handshake()
    sent = run(handshake, Board(deaf_to=Counter({"mode": 99})))
    assert handshake.state is HandshakeState.FAILED
    assert len(times_of("mode", sent)) == 5
    assert "did not answer `mode single`, sent 5 times" in handshake.problem


def test_last_try_is_given_its_full_300_ms() -> None:
    handshake = Handshake()
    run(handshake, Board(deaf_to=Counter({"stop": 5})), until_s=1.45)
    assert handshake.state is HandshakeState.CONFIGURING


def test_repeated_hello_of_the_same_boot_changes_nothing() -> None:
    handshake = Handshake()
    board = Board(deaf_to=Counter({"mode": 1}))
    run(handshake, board, until_s=0.2)
    handshake.receive(replace(HELLO, seq=9), 0.2)
    run(handshake, board)
    assert [c.verb for c in board.done] == ["hello", "stop", "mode", "start"]


def test_restart_in_the_middle_begins_anew_with_fresh_tokens() -> None:
    handshake = Handshake()
    board = Board(deaf_to=Counter({"mode": 1}))
    run(handshake, board, until_s=0.2)
    handshake.receive(replace(HELLO, boot_id=8), 0.2)
    handshake.receive(CHANNEL, 0.2)
    run(handshake, board)
    assert [(c.token, c.verb) for c in board.done][-3:] == [(3, "stop"), (4, "mode"), (5, "start")]


def test_restarted_board_has_to_describe_its_channels_again() -> None:
    handshake = Handshake()
    board = Board(deaf_to=Counter({"mode": 1}))
    run(handshake, board, until_s=0.2)
    handshake.receive(replace(HELLO, boot_id=8), 0.2)
    board.hello = replace(HELLO, boot_id=8)
    run(handshake, board)
    assert [c.verb for c in board.done][-4:] == ["stop", "mode", "hello", "start"]


def test_lost_channels_are_asked_for_before_start() -> None:
    handshake = Handshake()
    board = Board(channels_lost=2)
    run(handshake, board)
    assert [c.verb for c in board.done] == ["hello", "stop", "mode", "hello", "hello", "start"]
    assert handshake.channels == {0: CHANNEL}


def test_board_that_describes_fewer_channels_than_promised_fails() -> None:
    handshake = Handshake()
    run(handshake, Board(hello=replace(HELLO, channels=2)))
    assert handshake.state is HandshakeState.FAILED
    assert "described 1 of the 2 channels" in handshake.problem


def test_board_without_channels_needs_none() -> None:
    handshake = Handshake()
    run(handshake, Board(hello=replace(HELLO, channels=0), channels=0))
    assert handshake.state is HandshakeState.READY


@pytest.mark.parametrize(
    "stray",
    [Reply(0, 0, "99 ok stop"), Reply(0, 0, "ok stop"), Reply(0, 0, "1 ok rate 5"), BoardError(0, 0, "hm")],
)
def test_answer_to_something_else_is_passed_over(stray: Message) -> None:
    handshake = Handshake()
    handshake.receive(HELLO, 0.0)
    handshake.poll(0.0)
    handshake.receive(stray, 0.1)
    assert (handshake.poll(0.1), handshake.poll(0.3)) == (b"", b"1 stop\n")


def test_answer_before_the_command_went_out_is_passed_over() -> None:
    handshake = Handshake()
    handshake.receive(HELLO, 0.0)
    handshake.receive(Reply(0, 0, "1 ok stop"), 0.0)
    assert handshake.poll(0.0) == b"1 stop\n"


def test_samples_of_a_board_already_running_do_not_disturb() -> None:
    handshake = Handshake()
    handshake.poll(0.0)
    handshake.receive(Sample(0, 0, 0, 0, 0), 0.1)
    assert handshake.state is HandshakeState.WAITING


@pytest.mark.parametrize("state", [HandshakeState.READY, HandshakeState.FAILED])
def test_nothing_is_sent_afterwards(state: HandshakeState) -> None:
    handshake = Handshake()
    run(handshake, Board(refuses=("start",) if state is HandshakeState.FAILED else ()))
    assert (handshake.state, handshake.poll(60.0)) == (state, b"")


@pytest.mark.parametrize(
    "board", [Board(), Board(up_at_s=9), Board(refuses=("mode",)), Board(channels_lost=9)]
)
def test_zero_is_never_sent(board: Board) -> None:
    assert times_of("zero", run(Handshake(rate_hz=100), board)) == []


@pytest.mark.parametrize(
    ("mode", "extra"),
    [("fast", []), ("single", [("zero",)]), ("single", [("turn", 5)]), ("single", [("ident", "x" * 40)])],
)
def test_opening_that_could_not_be_sent_is_refused_at_once(
    mode: str, extra: list[tuple[str | int, ...]]
) -> None:
    with pytest.raises(ValueError, match="found"):
        Handshake(mode=mode, extra=extra)


def test_tokens_wrap_within_their_range() -> None:
    board = Board()
    run(Handshake(first_token=65535), board)
    assert [c.token for c in board.done][1:] == [65535, 1, 2]


def test_repeater_ends_done_with_its_answer() -> None:
    repeater = Repeater("beep", 3, token=12)
    line = repeater.poll(5.0)
    repeater.receive(Reply(0, 0, "12 ok beep 3"))
    assert (line, repeater.state, repeater.answer) == (
        b"12 beep 3\n",
        CommandState.DONE,
        (12, True, ("beep", "3")),
    )


def test_repeater_may_send_zero_when_asked_for_it() -> None:
    assert Repeater("zero", token=1).poll(0.0) == b"1 zero\n"


def test_repeater_that_hears_nothing_is_silent_after_1500_ms() -> None:
    repeater = Repeater("ping", token=1)
    lines = [repeater.poll(0.1 * i) for i in range(16)]
    assert (sum(map(bool, lines)), repeater.state) == (5, CommandState.SILENT)


def test_repeater_takes_a_bare_ok() -> None:
    repeater = Repeater("ping", token=4)
    repeater.poll(0.0)
    repeater.receive(Reply(0, 0, "4 ok"))
    assert repeater.state is CommandState.DONE
