"""What the reference firmware says besides readings: who it is, answers, index, button, restart."""

from pathlib import Path

import numpy as np
import pytest
from firmware_bench import INDEX_WIDTH, INDICATOR, NEEDED, OPENING, PER_TURN, PROBE, Run, scripted

from logger.wire.board_commands import VERBS, parse_answer
from logger.wire.handshake import Handshake, HandshakeState
from logger.wire.layout import CAP_ANALOGUE, CAP_DIGITAL, FLAG_INDEX, KIND_ANALOGUE, KIND_DIGITAL
from logger.wire.messages import BoardError, Button, Channel, Heartbeat, Hello, Index, Reply

pytestmark = NEEDED

QUIET = ("--words=0",)


def answers(run: Run) -> list[str]:
    """Return every answer's text, in order."""
    return [message.text for message in run.messages if isinstance(message, Reply | BoardError)]


def said(*lines: str, every_s: float = 0.05) -> list[str]:
    """Return what makes the script say these lines, one after the other."""
    return [f"--say={0.1 + every_s * k:.3f},{line}" for k, line in enumerate(lines)]


def test_it_says_who_it_is_without_being_asked(tmp_path: Path) -> None:
    run = scripted(tmp_path, *QUIET, "--seconds=0.05")
    assert [type(message) for message in run.messages] == [Hello, Channel, Channel]


def test_the_first_hello_has_a_zero_before_it(tmp_path: Path) -> None:
    assert scripted(tmp_path, *QUIET, "--seconds=0.05").data[0] == 0


def test_the_hello_tells_what_the_board_can_do(tmp_path: Path) -> None:
    hello = scripted(tmp_path, *QUIET, "--seconds=0.05").of(Hello)[0]
    assert (hello.version, hello.tick_ns, hello.counts_per_turn, hello.channels) == (1, 1000, PER_TURN, 2)
    assert hello.caps & (CAP_DIGITAL | CAP_ANALOGUE) == CAP_DIGITAL | CAP_ANALOGUE


def test_the_channels_tell_their_scales_exactly(tmp_path: Path) -> None:
    channels = scripted(tmp_path, *QUIET, "--seconds=0.05").of(Channel)
    found = [
        (one.channel, one.kind, one.scale_num, one.scale_den, one.raw_min, one.raw_max) for one in channels
    ]
    assert found == [
        (INDICATOR, KIND_DIGITAL, 100, 1, -(2**21) + 1, 2**21 - 1),
        (PROBE, KIND_ANALOGUE, 15625, 64, -512, 511),
    ]


def test_our_own_handshake_opens_it(tmp_path: Path) -> None:
    opening = Handshake(rate_hz=1000)
    said_first = opening.poll(0.0)
    run = scripted(tmp_path, *OPENING, "--say=0.05,hello", "--seconds=0.4")
    assert said_first == b"hello\n"
    for message in run.messages:
        opening.receive(message, 0.0)
        opening.poll(0.0)
    assert (opening.state, opening.problem) == (HandshakeState.READY, "")


def test_every_verb_is_understood(tmp_path: Path) -> None:
    words = {"rate": "rate 50", "mode": "mode single", "beep": "beep 2", "lamp": "lamp 1"}
    lines = [f"{token} {words.get(verb, verb)}" for token, verb in enumerate(sorted(VERBS), 1)]
    run = scripted(tmp_path, *QUIET, *said(*lines), "--seconds=1")
    assert answers(run) == [f"{line.split()[0]} ok {line.split(maxsplit=1)[1]}" for line in lines]


@pytest.mark.parametrize(
    ("line", "answer"),
    [
        ("7 rate 1000", "7 ok rate 1000"),
        ("7 rate 2001", "7 err range"),
        ("7 rate x", "7 err range"),
        ("7 rate -1", "7 err range"),
        ("7 rate", "7 err arguments"),
        ("7 start now", "7 err arguments"),
        ("7 mode quick", "7 err range"),
        ("7 lamp 2", "7 err range"),
        ("7 beep 10", "7 err range"),
        ("7 dance", "7 err verb"),
        ("7 dance with me", "7 err verb"),
        ("65536 ping", "err verb"),
        ("ping", "ok ping"),
        ("  7   ping ", "7 ok ping"),
        ("7 ping\r", "7 ok ping"),
    ],
)
def test_a_command_is_answered_with_its_token(tmp_path: Path, line: str, answer: str) -> None:
    run = scripted(tmp_path, *QUIET, *said(line), "--seconds=0.2")
    assert answers(run) == [answer]
    assert parse_answer(answer).ok == bool(run.of(Reply))


@pytest.mark.parametrize("line", ["7", "   ", "x" * 41, "7 ping\x01", "7 p\xffng"])
def test_a_line_that_cannot_be_read_is_counted_and_not_answered(tmp_path: Path, line: str) -> None:
    run = scripted(tmp_path, *QUIET, *said(line, "8 ping"), "--seconds=0.6")
    assert answers(run) == ["8 ok ping"]
    assert run.of(Heartbeat)[-1].rx_errors == 1


def test_a_line_of_forty_characters_is_read(tmp_path: Path) -> None:
    line = "7 ping" + " " * 33  # with its line end, forty
    assert answers(scripted(tmp_path, *QUIET, *said(line), "--seconds=0.2")) == ["7 ok ping"]


def test_a_command_that_comes_twice_with_its_token_is_answered_twice_and_done_once(tmp_path: Path) -> None:
    turning = ("--begin=0", "--move=1,1")
    run = scripted(tmp_path, *QUIET, *turning, *said("5 zero", "5 zero", every_s=0.2), "--seconds=0.6")
    assert answers(run) == ["5 ok zero"] * 2
    # Zeroed at 0.1 s, not again at 0.3 s: 960 counts on at 0.5 s, less a few while the line was read.
    assert run.of(Heartbeat)[0].count == pytest.approx(960, abs=5)


def test_zero_with_another_token_is_done_again(tmp_path: Path) -> None:
    turning = ("--begin=0", "--move=1,1")
    run = scripted(tmp_path, *QUIET, *turning, *said("5 zero", "6 zero", every_s=0.2), "--seconds=0.6")
    assert run.of(Heartbeat)[0].count == pytest.approx(480, abs=5)


def test_index_and_button_are_told_from_the_new_zero(tmp_path: Path) -> None:
    # A quarter of a turn done when it is zeroed, standing still.
    script = ("--say=0.3,zero", "--begin=0", "--move=0.25,0.2", "--move=0,0.2", "--move=1,1", "--press=1800")
    run = scripted(tmp_path, *QUIET, *script, "--seconds=2")
    assert [pulse.count for pulse in run.of(Index)] == [PER_TURN - 600]
    assert run.of(Button)[0].count == 1800 - 600


def test_readings_on_their_way_at_zero_are_told_from_the_new_zero(tmp_path: Path) -> None:
    script = ("--say=0.1,rate 2000", "--say=0.2,mode batch", "--say=0.3,start", "--say=0.8,zero")
    run = scripted(tmp_path, *script, "--begin=0", "--move=1,1", "--seconds=1")
    seen = False
    for message in run.messages:
        seen = seen or (isinstance(message, Reply) and "zero" in message.text)
    counts = [sample.count for sample in run.samples(PROBE)]
    jumps = np.flatnonzero(np.diff(counts) < -1)
    assert seen
    assert len(jumps) == 1  # once from the old zero to the new one, not to and fro


def test_the_heartbeat_comes_every_half_second_whatever_else_is_sent(tmp_path: Path) -> None:
    run = scripted(tmp_path, *OPENING, "--say=0.3,rate 2000", "--seconds=4.2")
    beats = [beat.t_us for beat in run.of(Heartbeat)]
    assert (
        np.abs(np.array(beats) - 500_000 * np.arange(1, 9)).max() < 2000
    )  # a turn of the main loop, or a wake-up


def test_the_heartbeat_says_whether_readings_are_wanted(tmp_path: Path) -> None:
    run = scripted(tmp_path, "--say=0.6,start", "--say=1.2,stop", "--seconds=1.7")
    assert [beat.streaming for beat in run.of(Heartbeat)] == [False, True, False]


def test_the_index_is_told_each_turn_at_its_count(tmp_path: Path) -> None:
    run = scripted(tmp_path, *OPENING, "--move=3.2,3", "--seconds=3.5")
    assert [(pulse.count, pulse.turns) for pulse in run.of(Index)] == [(PER_TURN * n, n) for n in (1, 2, 3)]


def test_back_over_the_index_its_own_width_shows(tmp_path: Path) -> None:
    run = scripted(tmp_path, *OPENING, "--move=1.2,1", "--move=0,0.1", "--move=-2.4,2", "--seconds=4")
    found = [(pulse.count, pulse.turns) for pulse in run.of(Index)]
    # Going back the pulse begins at its other edge; the count has just left it.
    back = INDEX_WIDTH - 1
    assert found == [(PER_TURN, 1), (PER_TURN + back, 0), (back, -1), (-PER_TURN + back, -2)]


@pytest.mark.parametrize("channel", [INDICATOR, PROBE])
def test_the_first_reading_after_the_index_carries_it(tmp_path: Path, channel: int) -> None:
    run = scripted(tmp_path, *OPENING, "--move=1.5,1.5", "--seconds=2.5")
    (pulse,) = run.of(Index)
    flagged = [sample for sample in run.samples(channel) if sample.flags & FLAG_INDEX]
    after = next(sample for sample in run.samples(channel) if sample.t_us >= pulse.t_us)
    assert flagged == [after]


def test_the_button_is_told_at_the_count_of_its_press_and_bounces_count_once(tmp_path: Path) -> None:
    run = scripted(tmp_path, *OPENING, "--move=1,2", "--press=1234", "--seconds=2.5")
    (down, up) = run.of(Button)
    assert (down.count, down.button, down.down, up.down) == (1234, 1, 1, 0)


@pytest.mark.parametrize("bounce", ["12,3", "8,11", "4,20"])
def test_worn_contacts_bounce_for_long_and_set_no_other_place(tmp_path: Path, bounce: str) -> None:
    # 33 ms in steps of 3, 77 in steps of 11 and 60 in steps of 20: at 24 rpm many counts after the first contact.
    turning = (*OPENING, "--move=1,2.5", f"--bounce={bounce}")
    run = scripted(tmp_path, *turning, "--press=600", "--press=1500", "--seconds=3.2")
    presses = [(press.count, press.down) for press in run.of(Button)]
    assert [count for count, down in presses if down] == [600, 1500]
    assert [down for _, down in presses] == [1, 0, 1, 0]


def test_an_index_pin_with_nothing_on_it_says_nothing(tmp_path: Path) -> None:
    run = scripted(tmp_path, *OPENING, "--move=1,2", "--open-index=50", "--seconds=2.5")
    assert run.of(Index) == []
    assert run.of(Heartbeat)[-1].turns == 0


def test_the_time_of_a_press_is_that_of_its_first_contact(tmp_path: Path) -> None:
    run = scripted(tmp_path, *OPENING, "--move=1,2", "--press=1200", "--seconds=2.5")
    down, up = run.of(Button)
    # Held for 0.12 s after the last of six bounces, 0.6 ms apart.
    assert up.t_us - down.t_us == pytest.approx(123_000, abs=1000)


def test_a_reset_is_told_by_another_boot_and_begins_anew(tmp_path: Path) -> None:
    run = scripted(tmp_path, *OPENING, "--begin=0", "--move=2,4", "--reset=1.5", "--seconds=2.5")
    first, second = run.of(Hello)
    assert second.boot_id != first.boot_id
    assert (first.reset_cause, second.reset_cause) == (1, 2)  # power on, reset pin
    beat = run.of(Heartbeat)[-1]
    assert not beat.streaming
    # Half a second after the restart at 1,200 counts a second: counted from there, whatever was before.
    assert beat.count == pytest.approx(600, abs=30)
    assert beat.enc_errors == 0
