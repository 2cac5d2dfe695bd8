"""Readings of two tips in one file, a column each: as two recordings' channels, opposed or one by one."""

import json
from pathlib import Path

import numpy as np
import pytest
from running import inside, one_line

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
