"""The emulated board on a port, recorded and decided by the command as a person runs it; nothing is mocked.

Live runs are not the same twice: when the PC's words arrive decides which noise falls on which angle. What
needs the same noise every time is given by script.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from firmware_bench import (
    INDICATOR,
    INDICATOR_MM,
    NEEDED,
    OPENING,
    PER_TURN,
    PROBE,
    PROBE_MM,
    Latches,
    PluggedBoard,
    against_truth,
    plugged,
    samples_of,
    scripted,
)
from running import Ran, finish, fullturn, start

from analysis.capture.events import MarkTouched
from analysis.setup import MarkSide
from logger.practice.stories.catalogue import scenario
from logger.recording import RecordingReader, RecordingWriter
from logger.session.session import Session, replay
from logger.stream import HostTime, LinkBytes, RecordedEvent
from logger.wire.parsing import MessageDecoder

pytestmark = NEEDED

# Where seconds of the wall end a recording, the emulator runs free and has done its part long before.
LIMIT = ("--limit", "0.05 mm")
TRUTH = {
    name: value for name, value in scenario("wind-pump/as-found").truth().items() if isinstance(value, float)
}
ASK_PROBE = ("--channel", "1", "--rate", "1000")
TURNING = ("--move=0,0.3", "--move=1.02,2.6,0.3", "--move=1.1,2.4,0.3", "--move=0,30")
"""Two turns by a quick hand, then stillness for as long as anybody may listen."""
SURE = 3.0
"""Half-widths of its 95 % interval by which a value that chance rules may be off: once in 10**8."""
COUNT_TOLERANCE_DEG = 0.15  # a count, where the mark is
# What the bearing's own motion of 0.5 um can pass for in one turn alone, against 71 um once round.
ONE_TURN_DEG = 0.4


@dataclass(frozen=True)
class Recorded:
    """One recording from the emulated board."""

    ran: Ran
    file: Path
    board: dict[str, float]
    """What the emulator counted."""
    truth: tuple[Latches, Latches]
    sent: bytes

    @property
    def result(self) -> dict[str, Any]:
        """The printed object."""
        return self.ran.result

    @property
    def items(self) -> list[Any]:
        """Everything in the recording."""
        return list(RecordingReader(self.file).items())

    @property
    def data(self) -> bytes:
        """All bytes of the recording."""
        return b"".join(item.data for item in self.items if isinstance(item, LinkBytes))

    def check(self, name: str) -> dict[str, Any]:
        """Return one check of the printed object."""
        return next(check for check in self.result["checks"] if check["name"] == name)


def record(folder: Path, board: PluggedBoard, arguments: Sequence[str]) -> Recorded:
    """Record from a plugged board with the command, then unplug it."""
    file = folder / "recording.mcap"
    ran = fullturn(folder, "record", board.port, "--out", file, "--json", *LIMIT, *arguments)
    return Recorded(ran, file, board.unplug(), board.truth(), board.sent())


def recorded(folder: Path, bench: Sequence[str], *arguments: str, baud: int = 500_000) -> Recorded:
    """Record from a board emulated this way."""
    with plugged(folder, *bench, baud=baud) as board:
        return record(folder, board, arguments)


def interval(result: dict[str, Any], value: str, interval_key: str, sure: float) -> tuple[float, float]:
    """Return a value and the half-width of its 95 % interval so many times."""
    low, high = result["pooled"][interval_key]
    return result["pooled"][value], sure * (high - low) / 2.0


@pytest.fixture(scope="module", params=["paced", "free"])
def sweep(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Recorded:
    """Two turns recorded at the pace of life, and as fast as the emulator runs."""
    pace = ("--free",) if request.param == "free" else ()
    folder = tmp_path_factory.mktemp(str(request.param))
    return recorded(folder, (*TURNING, *pace), *ASK_PROBE, "--turns", "2")


def test_nothing_is_lost_and_at_most_the_opening_fragment_is_bad(sweep: Recorded) -> None:
    link = sweep.result["link"]
    assert link["lost"] + link["dropped"] + link["enc_errors"] == 0
    assert link["bad"] <= 1


def test_the_recording_holds_the_bytes_that_the_board_sent(sweep: Recorded) -> None:
    assert sweep.data in sweep.sent


@pytest.mark.parametrize("channel", [INDICATOR, PROBE])
def test_every_recorded_value_is_what_was_there_and_every_count_within_one(
    sweep: Recorded, channel: int
) -> None:
    off = against_truth(samples_of(MessageDecoder().feed(sweep.data), channel), sweep.truth[channel])
    assert len(off) > 200
    assert not off[:, 2].any()
    assert np.abs(off[:, 1]).max() <= 1


def test_readings_in_mm_and_angles_are_the_truth_scaled(sweep: Recorded) -> None:
    samples = replay(sweep.items, {"channel": "1"}).capture().samples
    raw = samples_of(MessageDecoder().feed(sweep.data), PROBE)
    assert samples.reading_mm == pytest.approx(np.array([one.value for one in raw]) * PROBE_MM, abs=1e-12)
    assert samples.angle_rad == pytest.approx(
        np.array([one.count for one in raw]) * 2 * np.pi / PER_TURN, abs=1e-9
    )


def test_the_decision_is_that_of_the_model(sweep: Recorded) -> None:
    assert (sweep.ran.status, sweep.result["decision"]["state"]) == (1, "over")


def test_the_tir_is_that_of_the_model(sweep: Recorded) -> None:
    tir_mm, half_mm = interval(sweep.result, "tir_fit_mm", "tir_fit_95_mm", SURE)
    assert tir_mm == pytest.approx(TRUTH["tir_fit_mm"], abs=half_mm)


def test_the_high_side_is_that_of_the_model(sweep: Recorded) -> None:
    side_deg, half_deg = interval(sweep.result, "high_side_deg", "high_side_95_deg", SURE)
    assert side_deg == pytest.approx(TRUTH["high_side_deg"], abs=half_deg + COUNT_TOLERANCE_DEG)


def test_index_and_counts_agree(sweep: Recorded) -> None:
    assert sweep.check("counts")["state"] == "clear"


def written(folder: Path, data: bytes) -> Path:
    """Write these bytes as the recording that a PC would have made of them."""
    file = folder / "scripted.mcap"
    ticks = iter(range(1 << 62))

    def now() -> HostTime:
        return HostTime(next(ticks), 0)

    with RecordingWriter(
        file, setup={}, recording_id="0" * 32, started="2026-01-01T00:00:00.000Z", version="test", clock=now
    ) as writer:
        for at in range(0, len(data), 512):
            writer.link_bytes(LinkBytes(HostTime(at * 20_000, at * 20_000), data[at : at + 512]))
    return file


@pytest.fixture(scope="module")
def by_script(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three turns with the same noise every time."""
    folder = tmp_path_factory.mktemp("script")
    run = scripted(folder, *OPENING, *TURNING[:-1], "--move=1.1,2.7,0.3", "--seconds=8.2", "--seed=5")
    return written(folder, run.data)


@pytest.mark.parametrize("channel", [INDICATOR, PROBE])
@pytest.mark.parametrize(
    ("value", "interval_key"),
    [
        ("tir_fit_mm", "tir_fit_95_mm"),
        ("tir_first_mm", "tir_first_95_mm"),
        ("high_side_deg", "high_side_95_deg"),
        ("high_point_deg", "high_point_95_deg"),
    ],
)
def test_what_is_found_by_either_gauge_holds_the_model_in_its_interval(
    tmp_path: Path, by_script: Path, channel: int, value: str, interval_key: str
) -> None:
    result = fullturn(tmp_path, "sweep", by_script, "--json", *LIMIT, "--channel", str(channel)).result
    low, high = result["pooled"][interval_key]
    assert low <= TRUTH[value] <= high


def test_an_indicator_of_a_tenth_of_a_micrometre_is_told_as_one(tmp_path: Path, by_script: Path) -> None:
    result = fullturn(tmp_path, "sweep", by_script, "--json", *LIMIT).result
    assert result["gauge"]["resolution_mm"] == pytest.approx(INDICATOR_MM)


@pytest.fixture(scope="module")
def run_over(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three turns in which clock and count of the board run over and begin again at their other end."""
    folder = tmp_path_factory.mktemp("over")
    run = scripted(
        folder,
        *(*OPENING, *TURNING[:-1], "--move=1.1,2.7,0.3", "--seconds=8.2", "--seed=5"),
        first_us=2**32 - 4_000_000,
        first_count=2**31 - PER_TURN,
    )
    off = against_truth(run.samples(PROBE), run.truth[PROBE])
    assert (np.abs(off).max(axis=0) <= [20, 1, 0]).all()  # us, counts, steps of the value
    return written(folder, run.data)


def test_a_clock_and_a_count_that_run_over_leave_no_seam(run_over: Path) -> None:
    samples = replay(RecordingReader(run_over).items(), {"channel": "1"}).capture().samples
    steps_s, steps_rad = np.diff(samples.t_s), np.diff(samples.angle_rad)
    assert steps_s == pytest.approx(1e-3, abs=20e-6)  # 1,000 a second, latched within some microseconds
    assert np.abs(steps_rad).max() <= 3 * 2 * np.pi / PER_TURN  # at most 1,270 counts a second


def test_a_count_that_ran_over_changes_no_result(tmp_path: Path, by_script: Path, run_over: Path) -> None:
    tirs = [
        fullturn(tmp_path, "sweep", file, "--json", "--channel", "1").result["pooled"]["tir_fit_mm"]
        for file in (by_script, run_over)
    ]
    # The same turns with the same noise, only that the turn is cut at another count.
    assert tirs[0] == pytest.approx(tirs[1], abs=0.0005)


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


def test_a_session_fed_live_and_one_fed_from_the_recording_agree(sweep: Recorded) -> None:
    live = Session({"channel": "1"})
    for item in sweep.items:
        live.take(item)
    result, replayed = live.capture().samples, replay(sweep.items, {"channel": "1"}).capture().samples
    assert np.array_equal(result.reading_mm, replayed.reading_mm)
    assert np.array_equal(result.angle_rad, replayed.angle_rad)


def test_the_emulator_prints_its_port_on_a_line_of_its_own(tmp_path: Path) -> None:
    with plugged(tmp_path) as board:
        assert Path(board.port).resolve().is_relative_to("/dev")
        assert isinstance(board, PluggedBoard)
        assert board.unplug()["simulated_s"] == 0  # nobody has said anything: it was not powered
