"""The emulated board on a port when something goes wrong: late, restarted, turned back, unplugged, lossy, held."""

from pathlib import Path

import pytest
from firmware_bench import (
    NEEDED,
    PER_TURN,
    PROBE,
    PluggedBoard,
    against_truth,
    plugged,
    samples_of,
)
from firmware_recordings import (
    ASK_PROBE,
    COUNT_TOLERANCE_DEG,
    SURE,
    TRUTH,
    TURNING,
    Recorded,
    interval,
    recorded,
)
from running import finish, fullturn, start

from analysis.capture.events import MarkTouched
from analysis.setup import MarkSide
from logger.stream import RecordedEvent
from logger.wire.parsing import MessageDecoder

pytestmark = NEEDED
# What the bearing's own motion of 0.5 um can pass for in one turn alone, against 71 um once round.
ONE_TURN_DEG = 0.4


def test_a_board_that_says_hello_late_is_waited_for(tmp_path: Path) -> None:
    outcome = recorded(tmp_path, (*TURNING, "--hold=1.5", "--free"), *ASK_PROBE, "--turns", "1")
    assert outcome.ran.status == 1, outcome.result["decision"]["why"]
    assert outcome.result["link"]["lost"] == 0


def test_a_board_that_never_says_hello_is_told_as_such(tmp_path: Path) -> None:
    outcome = recorded(tmp_path, (*TURNING, "--hold=20", "--free"), *ASK_PROBE, "--turns", "1")
    assert outcome.ran.status == 4
    assert "hello" in outcome.ran.err


def test_a_restart_in_the_middle_leaves_the_sweep_undecided(tmp_path: Path) -> None:
    # At the pace of life: a board that runs free may have restarted before the PC has said a word.
    outcome = recorded(tmp_path, (*TURNING, "--reset=4"), *ASK_PROBE, "--seconds", "6")
    assert outcome.result["link"]["restarts"] == 1
    assert (outcome.ran.status, outcome.result["decision"]["state"]) == (3, "undecided")


def test_a_part_turned_back_is_told_as_a_turn_the_other_way_that_reads_the_same(tmp_path: Path) -> None:
    moves = ("--move=1.1,3,0.3", "--move=0,0.4", "--move=-1.2,3,0.3", "--move=0,30")
    outcome = recorded(tmp_path, (*moves, "--free"), *ASK_PROBE, "--turns", "2")
    assert [turn["direction"] for turn in outcome.result["turns"]] == [1]
    states = {name: outcome.check(name)["state"] for name in ("direction", "counts", "backward-forward")}
    assert states == {"direction": "doubtful", "counts": "clear", "backward-forward": "clear"}


def marks_of(outcome: Recorded) -> list[MarkTouched]:
    return [
        item.event
        for item in outcome.items
        if isinstance(item, RecordedEvent) and isinstance(item.event, MarkTouched)
    ]


def test_a_button_pressed_while_the_part_turns_sets_no_mark_and_says_why(tmp_path: Path) -> None:
    bench = (*TURNING, "--press=600", "--free")
    outcome = recorded(tmp_path, bench, *ASK_PROBE, "--turns", "1", "--set", "button_1=mark")
    assert marks_of(outcome) == []
    assert "it turns: stand the mark under the tip, then press" in outcome.ran.err


def test_the_button_sets_the_mark_where_it_was_pressed(tmp_path: Path) -> None:
    at = 600  # a quarter of a turn
    # A finger's push moves a part that stands by a count, which is still standing.
    stand_and_press = ("--move=0.2497,0.8", "--move=0,1.5", "--move=0.0005,0.1", "--move=0,1")
    bench = ("--move=0,0.3", *stand_and_press, *TURNING[1:], f"--press={at}", "--free")
    outcome = recorded(tmp_path, bench, *ASK_PROBE, "--turns", "1", "--set", "button_1=mark")
    assert marks_of(outcome) == [MarkTouched(MarkSide.PART, at)]
    from_mark_deg = TRUTH["high_side_deg"] - at * 360 / PER_TURN
    off_deg = (outcome.result["pooled"]["high_side_deg"] - from_mark_deg + 180) % 360 - 180
    assert abs(off_deg) <= ONE_TURN_DEG + COUNT_TOLERANCE_DEG


def test_a_cable_pulled_and_put_back_leaves_a_gap_and_the_turns_around_it(tmp_path: Path) -> None:
    moves = ("--move=1.05,2.5,0.3", "--move=0.7,2.5,0.3", "--move=1.5,3,0.3", "--move=0,30")
    outcome = recorded(tmp_path, (*moves, "--unplug=4,1"), *ASK_PROBE, "--turns", "2")
    result = outcome.result
    assert [gap["why"] for gap in result["link"]["gaps"]] == ["unplugged"]
    assert result["link"]["restarts"] == 0
    side_deg, half_deg = interval(result, "high_side_deg", "high_side_95_deg", SURE)
    assert side_deg == pytest.approx(TRUTH["high_side_deg"], abs=half_deg + COUNT_TOLERANCE_DEG)


@pytest.fixture(scope="module")
def losses(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Recorded]:
    """The three losses, each by itself: on the line, in the board, at the encoder."""
    folders = {name: tmp_path_factory.mktemp(name) for name in ("lost", "dropped", "enc_errors")}
    # 80,000 edges a second: too many to follow, but not so many that nothing else gets its turn any more.
    spun = ("--move=1.02,3,0.3", "--move=10,0.3", "--move=1.1,3,0.3", "--move=0,30", "--free")
    return {
        "lost": recorded(folders["lost"], (*TURNING, "--flip=3000", "--free"), *ASK_PROBE, "--turns", "2"),
        "dropped": recorded(
            folders["dropped"],
            (*TURNING, "--free"),
            *(*ASK_PROBE, "--turns", "2", "--baud", "115200"),
            baud=115_200,
        ),
        "enc_errors": recorded(folders["enc_errors"], spun, *ASK_PROBE, "--seconds", "6"),
    }


@pytest.mark.parametrize("loss", ["lost", "dropped", "enc_errors"])
def test_each_loss_is_seen_and_none_of_the_others(losses: dict[str, Recorded], loss: str) -> None:
    link = losses[loss].result["link"]
    assert {name for name in losses if link[name]} == {loss}


def test_the_three_losses_have_three_messages(losses: dict[str, Recorded]) -> None:
    texts = {
        name: tuple(
            check["text"]
            for check in outcome.result["checks"]
            if check["name"] in ("link", "counts") and check["state"] != "clear"
        )
        for name, outcome in losses.items()
    }
    assert all(texts.values())
    assert len(set(texts.values())) == 3


def test_only_lost_counts_leave_the_angle_in_doubt(losses: dict[str, Recorded]) -> None:
    assert {name: outcome.ran.status for name, outcome in losses.items()} == {
        "lost": 1,
        "dropped": 1,
        "enc_errors": 3,
    }


def test_noise_on_the_line_lets_no_wrong_value_into_the_recording(losses: dict[str, Recorded]) -> None:
    outcome = losses["lost"]
    assert outcome.result["link"]["bad"] > 10
    samples = samples_of(MessageDecoder().feed(outcome.data), PROBE)
    assert not against_truth(samples, outcome.truth[PROBE])[:, 2].any()


def test_a_port_that_another_program_holds_is_refused_in_words(tmp_path: Path) -> None:
    with plugged(tmp_path, *TURNING) as board:
        first = start(tmp_path, "record", board.port, *ASK_PROBE, "--turns", "1", "--no-store")
        assert first.stderr is not None
        assert "streams" in first.stderr.readline()
        second = fullturn(tmp_path, "record", board.port, *ASK_PROBE, "--turns", "1", "--no-store")
        ended = finish(first)
        board.unplug()
    assert (second.status, second.out) == (4, "")
    assert ended.status == 0


def test_the_emulator_prints_its_port_on_a_line_of_its_own(tmp_path: Path) -> None:
    with plugged(tmp_path) as board:
        assert Path(board.port).resolve().is_relative_to("/dev")
        assert isinstance(board, PluggedBoard)
        assert board.unplug()["simulated_s"] == 0  # nobody has said anything: it was not powered
