"""A batch with its check standard, parts put on again and parts left out: at ``record``, and on paper."""

import csv
import shutil
from pathlib import Path

import pytest
from made_histories import BASELINE, RING, add_checks
from pages_made import text_of_html
from running import Ran, inside, move_in, one_line
from terminals import Terminal

from analysis.store import open_store
from logger.recording import RecordingReader

LEFT = "practice:wind-pump/as-left"
CHECKED = ("--check-every", 2, "--check-part", RING)
needs_tmux = pytest.mark.skipif(shutil.which("tmux") is None, reason="needs tmux as the terminal")
Capsys = pytest.CaptureFixture[str]


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    return move_in(tmp_path, monkeypatch)


def batch(capsys: Capsys, *more: object, serials: str = "A-{1..4}") -> Ran:
    words = ("--job", "J-88", "--turns", 1, "--seed", 20, "--serials", serials)
    return inside(capsys, "record", LEFT, *words, *more, "--json")


def rows_of(path: Path) -> dict[str, dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return {row["serial"]: row for row in csv.DictReader(file)}


def test_a_ring_in_control_lets_the_batch_go_on(home: Path, capsys: Capsys) -> None:
    stage = ("--set", f"part={RING}", "--set", "stage=check standard")
    for day in range(1, 11):
        inside(capsys, "record", LEFT, "--turns", 1, "--seed", day, *stage)
    assert inside(capsys, "history", RING, "--fix-baseline").status == 0
    ran = batch(capsys, *CHECKED)
    assert [one["state"] for one in ran.result["standard_checks"]] == ["in control"] * 2
    assert (ran.result["left"], {row["suspect"] for row in ran.result["rows"]}) == ([], {""})
    setup = RecordingReader(ran.result["standard_checks"][0]["file"]).setup
    assert (setup["part"], setup["stage"], setup["job"]) == (RING, "check standard", "J-88")
    assert not setup.get("limit")
    # the chart of the standard has the same checks, with the same distances
    chart = inside(capsys, "history", RING, "--chart", "--json").result["chart"]
    known = {one["recording_id"]: one["d2"] for one in chart["points"]}
    for one in ran.result["standard_checks"]:
        assert one["d2"] == pytest.approx(known[one["recording_id"]])


def test_a_ring_out_of_control_ends_it_and_its_parts_are_suspect_on_paper(home: Path, capsys: Capsys) -> None:
    with open_store(home / "store.db") as store:
        add_checks(store, [1j * z for z in BASELINE], 1)  # its high side a quarter turn off
    assert inside(capsys, "history", RING, "--fix-baseline").status == 0
    ran = batch(capsys, *CHECKED)
    assert ran.status in (1, 3)
    assert "out of control. Suspect, measured since the last good check: A-1, A-2" in ran.err
    assert ran.result["left"] == ["A-3", "A-4"]
    paper = inside(capsys, "report", "--batch", "--job", "J-88", "-o", "b.html", "--labels", "l.html")
    assert paper.status == ran.status
    assert "SUSPECT, 2 of the parts: A-1; A-2" in text_of_html((home / "b.html").read_text("utf-8"))
    assert "SUSPECT" in text_of_html((home / "l.html").read_text("utf-8"))
    inside(capsys, "report", "--batch", "--job", "J-88", "-o", "b.csv")
    assert all("out of control" in row["suspect"] for row in rows_of(home / "b.csv").values())


def test_every_second_part_is_measured_twice_and_the_difference_is_kept(home: Path, capsys: Capsys) -> None:
    ran = batch(capsys, "--twice-every", 2)
    pairs = {one["serial"]: one for one in ran.result["repeats"]}
    assert list(pairs) == ["A-2", "A-4"]
    for one in ran.result["rows"]:
        if one["serial"] in pairs:
            assert one["tir_mm"] == pairs[one["serial"]]["first_tir_mm"]
    inside(capsys, "report", "--batch", "--job", "J-88", "-o", "b.csv")
    rows = rows_of(home / "b.csv")
    assert len(rows) == 4
    for serial, pair in pairs.items():
        assert float(rows[serial]["change_tir_mm"]) == pytest.approx(pair["change_tir_mm"])
        assert float(rows[serial]["second_tir_mm"]) == pytest.approx(pair["second_tir_mm"])
        # the same part on the same bench: its scatter is that of the noise of both sweeps
        assert pair["change_tir_mm"] < 0.003


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("--check-every", 2), "go together"),
        (("--check-part", "ring"), "go together"),
    ],
)
def test_half_a_plan_is_refused(home: Path, capsys: Capsys, words: tuple[object, ...], why: str) -> None:
    ran = inside(capsys, "record", LEFT, "--job", "J", "--turns", 1, "--serials", "A-1", *words)
    assert (ran.status, why in one_line(ran)) == (2, True)


def test_a_plan_without_a_batch_is_refused(home: Path, capsys: Capsys) -> None:
    ran = inside(capsys, "record", LEFT, "--turns", 1, "--twice-every", 2)
    assert (ran.status, "add --serials" in one_line(ran)) == (2, True)


@needs_tmux
def test_why_a_part_was_left_out_is_kept_and_shown(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Capsys
) -> None:
    words = ("record", LEFT, "--job", "J-88", "--turns", "1", "--serials", "'A-{1..3}'")
    store = f"FULLTURN_STORE={tmp_path}/store.db"
    window = Terminal(tmp_path, *words, width=120, height=50, more=store)
    try:
        window.wait(lambda text: "Put A-1 on: SPACE begins" in text, "the first part")
        window.press("skip =burr on the face", "Enter")
        window.wait(lambda text: "Put A-2 on" in text or "A-1 is skipped" in text, "a part skipped")
        window.press("Space")
        window.wait(lambda text: "A-2: TIR 0.0" in text, "its result")
        window.press("C-c")
        assert window.status() == 0
    finally:
        window.close()
    move_in(tmp_path, monkeypatch)
    ran = inside(capsys, "report", "--batch", "--job", "J-88", "-o", "b.html", "--json")
    assert ran.result["skipped"] == [{"serial": "A-1", "reason": "=burr on the face"}]
    assert "Left out, 1: A-1 (=burr on the face)" in text_of_html((tmp_path / "b.html").read_text("utf-8"))
    inside(capsys, "report", "--batch", "--job", "J-88", "-o", "b.csv")
    row = rows_of(tmp_path / "b.csv")["A-1"]
    assert (row["state"], row["reason"], row["tir_mm"]) == ("left out", "'=burr on the face", "")
