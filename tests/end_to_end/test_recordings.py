"""Every recording that is kept says, when it is analysed, what is true of it."""

import json
from pathlib import Path
from typing import Any

import pytest
from places import RECORDINGS

from analysis.errors import BadInput
from analysis.results import SweepResult
from analysis.sweep.conformity import WHY_NOTHING_IS_DECIDED
from analysis.sweep.pipeline import analyse
from logger.inputs.loading import load_sweep
from logger.recording import check_file

FOLDERS = sorted(path.parent for path in RECORDINGS.glob("*/recording.mcap"))
PLAIN = [folder for folder in FOLDERS if "check" not in json.loads((folder / "expected.json").read_text())]
FAULTY = [folder for folder in FOLDERS if folder not in PLAIN]


def expected(folder: Path) -> dict[str, Any]:
    expected: dict[str, Any] = json.loads((folder / "expected.json").read_text())
    return expected


def sweep(folder: Path) -> SweepResult:
    return analyse(load_sweep(str(folder / "recording.mcap"), {}).capture)


def inside(ends: tuple[float, float], truth: float, turn: float = 0.0) -> bool:
    off = truth - (ends[0] + ends[1]) / 2
    if turn:
        off = (off + turn / 2) % turn - turn / 2
    return abs(off) <= (ends[1] - ends[0]) / 2


def test_there_are_recordings_of_the_whole_story() -> None:
    assert len(PLAIN) >= 8
    assert len(FAULTY) >= 4


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_a_recording_is_whole_and_says_what_it_is(folder: Path) -> None:
    check = check_file(folder / "recording.mcap")
    assert check.closed
    assert check.skipped_bytes == 0
    about = (folder / "about.toml").read_text()
    assert all(f"{key} = " in about for key in ("what", "who", "why", "how"))


@pytest.mark.parametrize("folder", PLAIN, ids=lambda folder: folder.name)
def test_the_truth_lies_inside_what_is_stated(folder: Path) -> None:
    truth = expected(folder)
    if truth["tir_fit_mm"] is None:
        with pytest.raises(BadInput, match="end-float capture"):
            sweep(folder)
        return
    result = sweep(folder)
    pooled = result.pooled
    assert pooled.turns == truth["turns"]
    assert inside(pooled.tir_fit.interval(), truth["tir_fit_mm"])
    assert inside(pooled.tir_first.interval(), truth["tir_first_mm"])
    if truth["high_side_deg"] is not None:
        assert inside(pooled.high_side.interval(), truth["high_side_deg"], 360.0)
        assert inside(pooled.high_point.interval(), truth["high_point_deg"], 360.0)
    assert [check.name for check in result.checks if check.state == "refused"] == []
    if result.setup.stage in WHY_NOTHING_IS_DECIDED:
        assert result.decision is None
        return
    assert result.decision is not None
    assert result.decision.state == ("over" if truth["tir_fit_mm"] > truth["limit_mm"] else "within")


@pytest.mark.parametrize("folder", FAULTY, ids=lambda folder: folder.name)
def test_a_fault_is_seen_by_its_own_check(folder: Path) -> None:
    result = sweep(folder)
    seen = {check.name for check in result.checks if check.state != "clear"}
    refused = {check.name for check in result.checks if check.state == "refused"}
    assert expected(folder)["check"] in seen
    assert refused <= {expected(folder)["check"]}
