"""Readings of two tips in one file, a column each: as two recordings' channels, opposed or one by one."""

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from running import inside, one_line

from analysis.errors import BadInput
from logger.inputs import load_sweep, table_of, write_csv

Capsys = pytest.CaptureFixture[str]
PART_MM, WALK_MM = 0.020, 0.050
"""Amplitude of order 1 of the face, and of the shaft that walks to and fro once a turn."""
ANGLE_DEG = np.arange(0.0, 1080.0, 2.0)


def readings() -> tuple[np.ndarray, np.ndarray]:
    """Return what two tips read half a turn apart on one face, mm: the part turns past, the walk is common."""
    angle = np.radians(ANGLE_DEG)
    axial = WALK_MM * np.cos(angle - 1.0)
    rng = np.random.default_rng(3)
    noise = rng.normal(0.0, 0.0003, (2, len(angle)))
    return PART_MM * np.cos(angle) + axial + noise[0], -PART_MM * np.cos(angle) + axial + noise[1]


@pytest.fixture
def two(tmp_path: Path) -> Path:
    path = tmp_path / "two.csv"
    one, other = readings()
    rows = [
        f"{deg % 360.0:.1f},{int(deg // 360)},{a:.4f},{b * 1000.0:.1f}"
        for deg, a, b in zip(ANGLE_DEG, one, other, strict=True)
    ]
    head = "# tip_clock = 3\n# surface = face\nangle_deg,turn,reading_1_mm,reading_2_um\n"
    path.write_text(head + "\n".join(rows) + "\n")
    return path


def first_mm(capsys: Capsys, *words: object) -> float:
    ran = inside(capsys, "sweep", *words, "--json")
    assert ran.out, ran.err
    found = ran.result["pooled"]["tir_first_mm"]
    assert isinstance(found, float)
    return found


def test_each_column_is_a_channel_in_its_own_unit(two: Path, capsys: Capsys) -> None:
    # Twice the amplitude of both vectors together; 0.0003 mm of noise over 540 readings leaves 0.00004 mm.
    axial = WALK_MM * np.exp(1j)
    assert first_mm(capsys, two) == pytest.approx(2.0 * abs(PART_MM + axial), abs=2e-4)
    assert first_mm(capsys, two, "--channel", "1") == pytest.approx(2.0 * abs(PART_MM + axial), abs=2e-4)
    assert first_mm(capsys, two, "--channel", "2") == pytest.approx(2.0 * abs(axial - PART_MM), abs=2e-4)


def test_two_opposed_tips_take_the_walk_out(two: Path, capsys: Capsys) -> None:
    assert first_mm(capsys, two, "--opposed", "2") == pytest.approx(2.0 * PART_MM, abs=2e-4)


def test_json_has_them_too(two: Path, tmp_path: Path, capsys: Capsys) -> None:
    one, other = readings()
    columns = {"angle_deg": list(ANGLE_DEG), "reading_1_mm": list(one), "reading_2_mm": list(other)}
    path = tmp_path / "two.json"
    path.write_text(json.dumps({"setup": {"surface": "face", "channel": "2"}, "samples": columns}))
    axial = WALK_MM * np.exp(1j)
    assert first_mm(capsys, path) == pytest.approx(2.0 * abs(axial - PART_MM), abs=2e-4)


@pytest.mark.parametrize(
    ("head", "more", "said"),
    [
        ("angle_deg,turn,reading_1_mm,reading_2_mm", ("--channel", "3"), "channels 1, 2 and not of 3"),
        ("angle_deg,turn,reading_mm,reading_2_mm", (), "or one for each tip as reading_1_mm"),
        ("angle_deg,turn,reading_1_mm,reading_1_um", (), "or one for each tip as reading_1_mm"),
        ("angle_deg,turn,reading_1_mm,reading_2_mm", ("--opposed", "1"), "never two tips"),
    ],
)
def test_what_cannot_be_told_apart_is_refused(
    two: Path, capsys: Capsys, head: str, more: tuple[str, ...], said: str
) -> None:
    lines = two.read_text().splitlines()
    two.write_text("\n".join([head, *lines[3:]]))
    ran = inside(capsys, "sweep", two, *more)
    assert ran.status == 2
    assert said in one_line(ran)


@pytest.mark.parametrize("name", ["two.csv", "semicolons.csv", "two.json", "two.parquet"])
def test_both_tips_of_a_recording_are_exported_and_read_back(
    tmp_path: Path, capsys: Capsys, name: str
) -> None:
    bench, form = (
        "practice:turntable/two-tips",
        "csv-semicolons" if "semi" in name else name.partition(".")[2],
    )
    once, twice = tmp_path / name, tmp_path / f"again-{name}"
    assert inside(capsys, "export", bench, "--opposed", "1", "-o", once, "--format", form).status == 0
    assert inside(capsys, "export", once, "--opposed", "1", "-o", twice, "--format", form).status == 0
    assert once.read_bytes() == twice.read_bytes()
    for words in ((), ("--channel", "1"), ("--opposed", "1")):
        # Angles of 9 decimals and readings of 7 hold the numbers to well under 0.00001 mm.
        assert first_mm(capsys, once, *words) == pytest.approx(first_mm(capsys, bench, *words), abs=1e-6)
    found = [inside(capsys, "thickness", each, "--json").result for each in (bench, once)]
    keys = ("variation_mm", "thinnest_deg")
    for key in keys:
        assert found[1][key] == pytest.approx(found[0][key], abs=1e-4)


def test_each_tip_keeps_its_own_step_and_what_of_it_was_held(tmp_path: Path, capsys: Capsys) -> None:
    near, far = (load_sweep("practice:turntable/two-tips", {"channel": one}).capture for one in "01")
    held = replace(far.samples, new=np.arange(len(far.samples)) % 3 == 0)
    path = tmp_path / "two.csv"
    with path.open("x") as file:
        write_csv(table_of(near, None, replace(far, samples=held, resolution_mm=0.01)), file)
    back = [load_sweep(str(path), {"channel": one}).capture for one in "01"]
    assert [one.resolution_mm for one in back] == [near.resolution_mm, 0.01]
    assert [int(one.samples.new.sum()) for one in back] == [near.samples.new.sum(), held.new.sum()]
    later = replace(far.samples, t_s=far.samples.t_s + 0.001)
    with pytest.raises(BadInput, match="not read at the same moments"):
        table_of(near, None, replace(far, samples=later))
