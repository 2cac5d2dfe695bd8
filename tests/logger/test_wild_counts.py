"""A count, or a clock, that jumps with a good checksum costs no more than readings do: what is walked over are turns that
exist, never the numbers between them.

Work is measured by the memory that numpy and Python took at most, for arrays are what it is done in.
"""

import math
import random
import tracemalloc
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from boards import ScriptedBoard, host

from analysis.capture.events import MarkTouched
from analysis.errors import FullturnError
from analysis.setup import MarkSide
from logger.acquisition import replay_into_store
from logger.commands.run.reported_sweep import report_sweep
from logger.inputs import load_sweep
from logger.recording import RecordingReader, RecordingWriter
from logger.recording.check import check_file
from logger.stream import LinkBytes, RecordedEvent

TURNS, PER_TURN, STEP = 12, 2400, 10
TURN_READINGS = PER_TURN // STEP
FAR = PER_TURN * 800_000
"""Whole turns, and below half of what the counter counts to: no check can tell it from turning."""

Moved = Callable[[int], tuple[int, int]]
"""By how much time (us) and count of the k-th reading are off."""
WILD: dict[str, Moved] = {
    "a count that jumps by nearly 2^31 and stays there": lambda k: (0, 2**31 - 1 if k > 1300 else 0),
    "one wild count": lambda k: (0, 2**30 if k == 1300 else 0),
    "a jump by 800,000 turns every second turn": lambda k: (0, FAR * (k // (2 * TURN_READINGS))),
    "ever on in steps of nearly half the counter": lambda k: (0, k * (2**31 - STEP - 1)),
    "a clock that jumps on by 18 min at every turn": lambda k: (2**30 * (k // TURN_READINGS), 0),
    "a clock that jumps on by 18 min at every reading": lambda k: (2**30 * k, 0),
}
CLOCKS = [moved for what, moved in WILD.items() if "clock" in what]
SWEEPS = [
    *(pytest.param(moved, {}, id=what) for what, moved in WILD.items()),
    *(pytest.param(moved, {"angle_source": source}) for moved in CLOCKS for source in ("index", "steady")),
]


def recorded(path: Path, moved: Moved, setup: dict[str, str]) -> Path:
    rng = random.Random(3)
    board = ScriptedBoard()
    board.greet()
    board.describe()
    with RecordingWriter(
        path, setup={"surface": "face", **setup}, recording_id="r", started="2026-01-05T08:00:00Z", version="0",
        clock=lambda: host(0), fsync=lambda _: None,
    ) as writer:  # fmt: skip
        writer.link_bytes(LinkBytes(host(0), board.take()))
        writer.event(RecordedEvent(host(0), MarkTouched(MarkSide.PART, 0)))
        for k in range(TURNS * TURN_READINGS):
            late_us, off = moved(k)
            phi = 2.0 * math.pi * k / TURN_READINGS
            value = round(50.0 * math.cos(phi) + 20.0 * math.cos(2.0 * phi) + rng.gauss(0.0, 1.0))
            if setup.get("angle_source") == "index" and k % TURN_READINGS == 0:
                board.index(10_000 * k + late_us, STEP * k + off, k // TURN_READINGS)
            board.sample(10_000 * k + late_us, STEP * k + off, value)
            if k % 20 == 19:
                writer.link_bytes(LinkBytes(host(k / 100), board.take()))
    return path


def peak_of(work: Callable[[], object]) -> int:
    """Return how many bytes the work took at most; a refusal in words is an end like any other."""
    tracemalloc.start()
    try:
        work()
    except FullturnError:
        pass
    finally:
        _, peak = tracemalloc.get_traced_memory()
        tracemalloc.stop()
    return peak


def reported(path: Path) -> object:
    return report_sweep(load_sweep(str(path), {}), "mm")


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> int:
    """What the same sweep takes without any jump, everything loaded that is loaded once."""
    path = recorded(tmp_path_factory.mktemp("plain") / "a.mcap", lambda _: (0, 0), {})
    reported(path)
    return peak_of(lambda: reported(path))


@pytest.mark.parametrize(("moved", "setup"), SWEEPS)
def test_a_sweep_with_wild_counts_or_times_takes_no_more_than_one_without(
    tmp_path: Path, plain: int, moved: Moved, setup: dict[str, str]
):
    path = recorded(tmp_path / "a.mcap", moved, setup)
    assert peak_of(lambda: reported(path)) < 2 * plain


@pytest.mark.parametrize("moved", list(WILD.values())[2:4], ids=list(WILD)[2:4])
def test_its_turns_are_put_into_the_store_and_its_file_is_checked_all_the_same(
    tmp_path: Path, plain: int, moved: Moved
):
    path = recorded(tmp_path / "a.mcap", moved, {})

    def add() -> None:
        kept, _ = replay_into_store(RecordingReader(path), str(tmp_path / "a.db"), "0")
        kept.close()
        assert kept.not_stored() == ""

    add()
    (tmp_path / "a.db").unlink()
    assert peak_of(add) < 2 * plain
    assert peak_of(lambda: check_file(path)) < 2 * plain
    assert check_file(path).frames == 2 + TURNS * TURN_READINGS


def test_turns_before_and_after_a_jump_by_whole_turns_are_fitted_as_one_sweep(tmp_path: Path):
    """Held against the made part itself: 50 um at order 1, 20 um at order 2, noise 1 um."""
    path = recorded(tmp_path / "a.mcap", WILD["a jump by 800,000 turns every second turn"], {})
    found = report_sweep(load_sweep(str(path), {}), "mm").as_json
    phi = np.linspace(0.0, 2.0 * math.pi, 3600)
    truth_mm = float(np.ptp(0.05 * np.cos(phi) + 0.02 * np.cos(2.0 * phi)))
    # A jump falls into the middle of no turn, but a turn that it ends or begins may be short of a reading.
    assert TURNS - 6 <= len(found["turns"]) <= TURNS
    assert found["pooled"]["tir_fit_mm"] == pytest.approx(truth_mm, abs=5e-4)
