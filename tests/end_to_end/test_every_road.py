"""The same numbers by every road: the bench, a recording, another process, a CSV file, readings typed."""

import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from running import FLANGE, fullturn, inside, practice_file


def without(result: Mapping[str, Any], *keys: str) -> dict[str, Any]:
    return {key: value for key, value in result.items() if key not in keys}


# --- the same numbers by every road -----------------------------------------------------------------------


def test_the_same_seed_writes_the_same_bytes(home: Path, written: Path):
    assert practice_file(home / "again.mcap").read_bytes() == written.read_bytes()


def test_another_process_writes_the_same_bytes(home: Path, written: Path):
    assert fullturn(home, "practice", "wind-pump/as-found", "--write", "again.mcap").status == 0
    assert (home / "again.mcap").read_bytes() == written.read_bytes()


def test_another_seed_writes_other_readings(home: Path, written: Path, capsys: pytest.CaptureFixture[str]):
    practice_file(home / "other.mcap", "wind-pump/as-found", "--seed", 2)
    one, other = (inside(capsys, "sweep", file, "--json").result for file in (written, "other.mcap"))
    assert one["recording_id"] != other["recording_id"]
    assert one["pooled"]["tir_first_mm"] != other["pooled"]["tir_first_mm"]


def test_a_written_bench_is_swept_as_the_bench_itself(
    home: Path, written: Path, capsys: pytest.CaptureFixture[str]
):
    one = inside(capsys, "sweep", written, "--json").result
    other = inside(capsys, "sweep", FLANGE, "--json").result
    # The file carries an opening of its own; nothing of what was measured may differ.
    whence = ("file", "recording_id", "closed", "link", "checks", "provenance")
    assert without(one, *whence) == without(other, *whence)
    assert [check["state"] for check in one["checks"]] == [check["state"] for check in other["checks"]]


def test_a_fault_is_written_and_swept_alike(home: Path, capsys: pytest.CaptureFixture[str]):
    practice_file(home / "nick.mcap", "wind-pump/as-found", "--fault", "nick")
    one = inside(capsys, "sweep", "nick.mcap", "--json").result
    other = inside(capsys, "sweep", FLANGE, "--fault", "nick", "--json").result
    assert one["bumps"] == other["bumps"] != []


def test_record_prints_what_sweep_of_its_file_prints(home: Path, capsys: pytest.CaptureFixture[str]):
    recorded = inside(capsys, "record", FLANGE, "--turns", "2", "--out", "mine.mcap", "--json")
    from_file = inside(capsys, "sweep", "mine.mcap", "--json")
    assert recorded.status == from_file.status == 1
    assert recorded.result == from_file.result


@pytest.fixture
def in_another_unit(
    request: pytest.FixtureRequest, home: Path, written: Path, capsys: pytest.CaptureFixture[str]
) -> dict[str, Any]:
    inside(capsys, "export", written, "-o", "out.csv", "--units", request.param)
    return inside(capsys, "sweep", "out.csv", "--json").result


@pytest.mark.parametrize("in_another_unit", ["mm", "um", "in", "thou"], indirect=True)
def test_an_exported_csv_is_swept_to_the_same_tir(
    in_another_unit: dict[str, Any], written: Path, capsys: pytest.CaptureFixture[str]
):
    one, other = inside(capsys, "sweep", written, "--json").result["pooled"], in_another_unit["pooled"]
    for key in ("tir_raw_mm", "tir_fit_mm", "tir_first_mm"):
        # A millionth of a millimetre: readings are written to a tenth of that.
        assert other[key] == pytest.approx(one[key], abs=1e-6)
    assert other["high_side_deg"] == pytest.approx(one["high_side_deg"], abs=1e-3)


def test_json_is_in_millimetres_whatever_the_unit(written: Path, capsys: pytest.CaptureFixture[str]):
    plain = inside(capsys, "sweep", written, "--json").out
    assert inside(capsys, "sweep", written, "--json", "--units", "thou").out == plain


def test_typed_readings_are_their_own_max_less_min(home: Path, capsys: pytest.CaptureFixture[str]):
    result = inside(capsys, "sweep", "--typed", "0:0 90:+3 180:-2 270:+3 thou", "--json").result
    assert result["pooled"]["tir_raw_mm"] == pytest.approx(5 * 0.0254, rel=1e-12)
    assert result["angle_source"] == "typed"


def test_typed_readings_of_a_wobble_give_it_back(home: Path, capsys: pytest.CaptureFixture[str]):
    places = " ".join(f"{deg}:{50 * math.cos(math.radians(deg - 40)):.6f}" for deg in range(0, 360, 30))
    pooled = inside(capsys, "sweep", "--typed", f"{places} um", "--json").result["pooled"]
    assert pooled["tir_first_mm"] == pytest.approx(0.1, abs=1e-6)
    assert pooled["high_side_deg"] == pytest.approx(40.0, abs=1e-3)


def test_typed_readings_within_allow_for_what_lies_between(home: Path, capsys: pytest.CaptureFixture[str]):
    # Four places of 5 thou may hide a wobble of 5 / cos 45 = 7.1 thou.
    typed = ("sweep", "--typed", "0:0 90:+3 180:-2 270:+3 thou", "--json")
    states = [
        inside(capsys, *typed, "--limit", limit).result["decision"]["state"]
        for limit in ("3 thou", "6 thou", "10 thou")
    ]
    assert states == ["over", "undecided", "within"]


def test_several_files_are_told_in_the_order_they_were_named(
    home: Path, written: Path, capsys: pytest.CaptureFixture[str]
):
    inside(capsys, "export", written, "-o", "out.csv")
    result = inside(capsys, "sweep", "out.csv", written, "--json").result
    assert [one["file"] for one in result["files"]] == ["out.csv", str(written)]
