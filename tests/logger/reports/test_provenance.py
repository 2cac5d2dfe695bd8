"""What every result names: date, recording, checksum, program, numerics and rule."""

import json
from pathlib import Path

import pytest
from running import inside, move_in, practice_file

from analysis.sweep import NUMERICS_VERSION
from logger.program_version import PROGRAM_VERSION
from logger.recording import RecordingReader, sha256_of


@pytest.fixture(scope="module")
def recorded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return practice_file(tmp_path_factory.mktemp("made") / "two.mcap", "wind-pump/as-found", "--turns", 2)


VERSIONS = f"fullturn {PROGRAM_VERSION}, numerics {NUMERICS_VERSION}, rule one-sided-95."
COMMANDS = (
    ("sweep", "FILE"),
    ("sweep", "FILE", "--set", "declared_end=far"),
    ("compare", "FILE", "FILE"),
    ("adjust", "FILE", "--screws", "0,120,240", "--screw-radius", "50 mm"),
    ("best-hole", "FILE", "FILE", "--holes", "6"),
    ("plan-cut", "--bearings", "FILE", "--mounting", "FILE", "--limit", "0.05 mm"),
    ("backlash", "0:0.13 90:0.17 180:0.16 270:0.12 mm", "--sweep", "FILE"),
)


@pytest.fixture
def arguments(
    command: tuple[str, ...], recorded: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> list[str]:
    """Return the words of a command that names the recording, in a home of its own."""
    move_in(tmp_path, monkeypatch)
    return [str(recorded) if word == "FILE" else word for word in command]


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
def test_every_result_says_of_which_recording_it_is_and_who_made_it(
    arguments: list[str], recorded: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    origin, sha256 = RecordingReader(recorded).origin, sha256_of(recorded)
    said = inside(capsys, *arguments).out
    assert (
        f"From {recorded}: recording {origin.recording_id}, measured {origin.started}, sha256 {sha256[:8]}."
        in said
    )
    assert VERSIONS in said
    sense = "with" if "declared_end=far" in arguments else "against"
    assert f"Angles and holes count {sense} the clock from the mark, seen from the indicator." in said
    found = json.loads(inside(capsys, *arguments, "--json").out)["provenance"]
    assert {one["sha256"] for one in found["sweeps"]} == {sha256}
    assert {one["recording_id"] for one in found["sweeps"]} == {origin.recording_id}
    assert (found["numerics"], found["rule"]) == (NUMERICS_VERSION, "one-sided-95")


PAST_DUE = (
    *COMMANDS[:1],
    *COMMANDS[2:],
    ("endfloat", "practice:wind-pump/end-float"),
    ("thickness", "--typed", "0:9.98 90:9.97 180:9.95 270:9.97 mm"),
    ("sweep", "--typed", "0:0 90:3 180:-2 270:3 thou"),
)


@pytest.mark.parametrize("command", PAST_DUE, ids=" ".join)
def test_a_gauge_past_due_is_said_in_every_result(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    due = "the gauge's certificate was due on 2020-01-01"
    assert due in inside(capsys, *arguments, "--set", "gauge_due=2020-01-01").out
    assert due not in inside(capsys, *arguments, "--set", "gauge_due=2999-01-01").out


def test_a_recording_made_before_the_day_was_made_in_time(
    recorded: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    move_in(tmp_path, monkeypatch)
    day = RecordingReader(recorded).origin.started[:10]
    assert "was due" not in inside(capsys, "sweep", recorded, "--set", f"gauge_due={day}").out


def test_u_and_k_stand_where_the_interval_is_even(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    move_in(tmp_path, monkeypatch)
    ran = inside(capsys, "sweep", "practice:wind-pump/as-found", "--limit", "1 mm", "--quantity", "tir_first",
                 "--set", "limit_quantity=tir_first", "--json")  # fmt: skip
    decision = ran.result["decision"]
    low, high = decision["interval_mm"]
    even = abs(high + low - 2 * decision["value_mm"]) <= 0.005 * (high - low)
    assert (decision["expanded_u_mm"] is not None) == even
    if even:
        wide = decision["coverage_factor"] * decision["u_mm"]
        assert decision["expanded_u_mm"] == pytest.approx(wide, rel=1e-9)  # one division and back
