"""Parts of a batch at the emulated board, which is turned and stands in between as its script says."""

import shutil
from pathlib import Path

import pytest
from firmware_bench import NEEDED, plugged
from terminals import Terminal

from analysis.capture.events import MarkTouched
from logger.recording import RecordingReader
from logger.stream import RecordedEvent

pytestmark = [*NEEDED, pytest.mark.skipif(shutil.which("tmux") is None, reason="needs tmux as the terminal")]
MOVES = ("--move=0,5", "--move=1.1,2.8,0.3") * 12
"""It stands, then goes round once and a little more by a quick hand: more often than there are parts, so that a
SPACE that comes late is answered at the next stand. Each turn is another part to the batch."""
SERIALS = ("F-1", "F-2", "F-3")


def marks_in(path: Path) -> list[int]:
    """Return the counts at which marks were touched."""
    noted = [note.event for note in RecordingReader(path).notes() if isinstance(note, RecordedEvent)]
    return [event.count for event in noted if isinstance(event, MarkTouched)]


def test_three_parts_are_measured_each_from_where_it_stood(tmp_path: Path) -> None:
    with plugged(tmp_path, *MOVES) as board:
        words = ("record", board.port, "--job", "J-88", "--turns", "1", "--serials", ",".join(SERIALS))
        limit = ("--limit", "'0.05 mm'", "--set", "part=ring")
        window = Terminal(tmp_path, *words, *limit, width=160, height=1000)  # no line scrolls away
        try:
            for done, serial in enumerate(SERIALS):
                window.wait(lambda text, serial=serial: f"Put {serial} on" in text, "the part asked for")
                asked = 0
                while window.text().count("recording to") == done:
                    window.press("Space")
                    asked += 1
                    window.wait(
                        lambda text, done=done, serial=serial, asked=asked: (
                            text.count("recording to") > done
                            or text.count(f"stand the mark of {serial}") >= asked
                        ),
                        "an answer to SPACE",
                    )
                window.wait(lambda text, serial=serial: f"{serial}: TIR " in text, "its result")
            status = window.status()
            text = window.text()
        finally:
            window.close()
        board.unplug()
        latches = board.truth()[0]
    assert "3 parts of job J-88 measured: 3 over" in text
    assert status == 1
    files = sorted((tmp_path / "data").glob("*.mcap"))
    serials = [RecordingReader(path).setup["serial"] for path in files]
    assert serials == list(SERIALS)
    # As the emulator really turned: a part stood at a whole number of moves of 1.1 turns of 2400 counts.
    marks = [marks_in(path) for path in files]
    assert [len(one) for one in marks] == [1, 1, 1]
    moves = [one[0] / (1.1 * 2400) for one in marks]
    assert moves == [pytest.approx(round(move), abs=2 / 2640) for move in moves]
    assert moves[0] < moves[1] < moves[2]
    assert latches.count.max() >= marks[-1][0] + 2400
