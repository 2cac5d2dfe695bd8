"""A batch at the screen of the real program, in a terminal: parts scanned and begun, the table after closing."""

import shlex
import shutil
from pathlib import Path

import pytest
from running import inside, move_in
from served_bench import ServedByHand
from terminals import Terminal

from analysis.capture.events import MarkTouched
from logger.recording import RecordingReader
from logger.stream import RecordedEvent

needs_tmux = pytest.mark.skipif(shutil.which("tmux") is None, reason="needs tmux as the terminal")
BATCH = ("--job", "J-88", "--set", "turns_planned=1")


@needs_tmux
def test_two_parts_the_table_and_their_page(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    serials = ("--serials", shlex.quote("Q-{1..3}"))
    window = Terminal(tmp_path, "watch", "practice:wind-pump/as-left", *BATCH, *serials)
    try:
        window.wait(lambda text: "Put Q-1 on: SPACE begins" in text, "the first part")
        window.press("Q-3", "Enter")
        window.wait(lambda text: "Q-3: SPACE begins" in text, "another part named")
        window.press("Space")
        window.wait(lambda text: "Q-3 is being measured" in text, "a sweep")
        window.press("Q-2", "Enter")
        window.wait(lambda text: "Q-2 is not used" in " ".join(text.split()), "a scan at the wrong moment")
        window.wait(lambda text: "Q-3: TIR 0.0" in text and "Put Q-1 on" in text, "its verdict")
        window.press("NPage")
        window.wait(lambda text: "Q-1: TIR 0.0" in text and "Put Q-2 on" in text, "the pedal's verdict")
        window.press("C-c")
        window.wait(lambda text: "1 part is left" in text, "what a second press leaves")
        assert window.end("C-c") == 0
        text = window.wait(lambda text: "These go on" in text, "the table")
        assert "2 parts of job J-88 measured" in text
        assert "Not measured, 1 of 3: Q-2" in text
    finally:
        window.close()
    move_in(tmp_path, monkeypatch)
    ran = inside(capsys, "report", "--batch", "--job", "J-88", "-o", "b.html", "--labels", "l.html", "--json")
    assert sorted(row["serial"] for row in ran.result["rows"]) == ["Q-1", "Q-3"]


def begin(window: Terminal, serial: str) -> None:
    """Press SPACE until the part has stood long enough, each time as one press of its own."""
    window.wait(lambda text: "the indicator shows" in text and f"Put {serial} on" in text, "a reading")
    refused, begun = "under the tip, then SPACE", f"{serial} is being measured"
    while True:
        window.press("Space")
        if begun in window.wait(lambda text: begun in text or refused in text, "an answer to SPACE"):
            return
        window.wait(lambda text: refused not in text, "the answer gone")


@needs_tmux
def test_at_a_port_it_stays_open_from_part_to_part(tmp_path: Path) -> None:
    with ServedByHand() as bench:
        limit = ("--limit", shlex.quote("0.05 mm"), "--set", "part=ring", "--serials", "Q-1,Q-2")
        window = Terminal(tmp_path, "watch", bench.port, *BATCH, *limit)
        try:
            window.wait(lambda text: "Put Q-1 on: SPACE begins" in text, "the first part")
            for serial, turns in (("Q-1", 1.25), ("Q-2", 1.1)):
                begin(window, serial)
                bench.turn(turns)
                window.wait(lambda text, serial=serial: f"{serial}: TIR 0.0" in text, "its verdict")
            window.wait(lambda text: "Every part of the batch is measured" in text, "the end of the list")
            assert window.end("C-c") == 0
            assert "2 parts of job J-88 measured" in window.text()
        finally:
            window.close()
    marks = {}
    for path in (tmp_path / "data" / "unnamed").glob("*.mcap"):
        reader = RecordingReader(path)
        if "serial" in reader.setup:
            noted = [note.event for note in reader.notes() if isinstance(note, RecordedEvent)]
            marks[reader.setup["serial"]] = [one.count for one in noted if isinstance(one, MarkTouched)]
    assert [len(marks[serial]) for serial in ("Q-1", "Q-2")] == [1, 1]
    assert marks["Q-2"][0] - marks["Q-1"][0] == pytest.approx(1.25 * 2400, abs=2)
