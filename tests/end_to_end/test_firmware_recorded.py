"""The emulated board on a port, recorded and decided by the command as a person runs it; nothing is mocked.

Live runs are not the same twice: when the PC's words arrive decides which noise falls on which angle. What
needs the same noise every time is given by script.
"""

from pathlib import Path

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
    against_truth,
    samples_of,
    scripted,
)
from firmware_recordings import (
    ASK_PROBE,
    COUNT_TOLERANCE_DEG,
    LIMIT,
    SURE,
    TRUTH,
    TURNING,
    Recorded,
    interval,
    recorded,
)
from running import fullturn

from logger.recording import RecordingReader, RecordingWriter
from logger.session.session import Session, replay
from logger.stream import HostTime, LinkBytes
from logger.wire.parsing import MessageDecoder

pytestmark = NEEDED


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


def test_a_session_fed_live_and_one_fed_from_the_recording_agree(sweep: Recorded) -> None:
    live = Session({"channel": "1"})
    for item in sweep.items:
        live.take(item)
    result, replayed = live.capture().samples, replay(sweep.items, {"channel": "1"}).capture().samples
    assert np.array_equal(result.reading_mm, replayed.reading_mm)
    assert np.array_equal(result.angle_rad, replayed.angle_rad)
