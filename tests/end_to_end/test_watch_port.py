"""``fullturn watch`` in a terminal of its own against the virtual bench on a pseudo-terminal.

Waits for what the screen shows, never for a time; whatever hangs is ended.
"""

import json
import os
import re
import shutil
import subprocess
import sys
import tty
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from faulty_folders import needs_small_disk, small_disk
from places import ROOT
from running import fullturn, one_line
from terminals import Terminal

pytestmark = pytest.mark.skipif(shutil.which("tmux") is None, reason="needs tmux as the terminal")
TIR = re.compile(r"TIR +(\d\.\d+) mm")
TIR_OF_TURN = re.compile(r"TIR +(\d\.\d+) mm +turn (\d+)")


class BenchProcess:
    """The virtual bench as a process, its port at a fixed path."""

    def __init__(self, link: Path) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-m", "logger", "practice", "wind-pump/as-found", "--link", str(link)],
            cwd=ROOT,
            stdout=subprocess.PIPE,
            text=True,
        )
        assert self.process.stdout is not None
        self.process.stdout.readline()

    def end(self) -> None:
        """Pull its plug: end the process."""
        self.process.terminate()
        self.process.communicate()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path


@pytest.fixture
def port(folder: Path) -> Iterator[Path]:
    link = folder / "board"
    bench = BenchProcess(link)
    yield link
    bench.end()


def newest(folder: Path) -> Path:
    return max((folder / "data" / "unnamed").glob("*.mcap"), key=lambda path: path.stat().st_mtime)


def test_a_sweep_at_a_port_from_the_first_reading_to_the_same_numbers_in_sweep(
    folder: Path, port: Path
) -> None:
    window = Terminal(folder, "watch", str(port), "--limit", '"0.050 mm"')
    try:
        first = window.wait(lambda text: "the indicator shows" in text, "a reading")
        assert TIR.search(first) is None
        assert "limit 0.050 mm" in first
        window.wait(lambda text: "seen all round" in text and TIR.search(text), "a TIR")
        window.press("Space")
        window.wait(lambda text: "★" in text, "the star")
        window.wait(lambda text: "over the entered limit" in text, "the answer")
        text = window.wait(TIR_OF_TURN.search, "a turn")
        assert window.end() == 0
    finally:
        window.close()
    shown = TIR_OF_TURN.search(text)
    assert shown is not None
    ran = subprocess.run(
        [sys.executable, "-m", "logger", "sweep", str(newest(folder)), "--json"],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    result = json.loads(ran.stdout)
    assert result["closed"] is True
    assert f"{result['turns'][int(shown.group(2)) - 1]['tir_raw_mm']:.3f}" == shown.group(1)


def test_a_bench_that_ends_and_comes_again_is_taken_up_with_the_gap_marked(folder: Path) -> None:
    link = folder / "board"
    bench = BenchProcess(link)
    window = Terminal(folder, "watch", str(link))
    try:
        window.wait(lambda text: "the indicator shows" in text, "a reading")
        bench.end()
        window.wait(lambda text: "board gone" in text, "dashes and words")
        bench = BenchProcess(link)
        window.wait(lambda text: "put the part's mark under the tip" in text, "the board again")
        window.wait(lambda text: re.search(r"turn 0 +[1-9]\.\d rpm", text), "that the part turns")
        window.press("m")
        window.wait(lambda text: "stand the mark under the tip, then M" in text, "no mark while it turns")
        assert window.end() == 0
    finally:
        window.close()
        bench.end()
    ran = subprocess.run(
        [sys.executable, "-m", "logger", "check-file", str(newest(folder))],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert "unplugged" in ran.stdout


def test_fullturn_alone_takes_the_one_known_board_without_a_question(folder: Path, port: Path) -> None:
    config = folder / "config"
    config.mkdir()
    (config / "known.toml").write_text(f'[[board]]\npath = "{port}"\n')
    window = Terminal(folder)
    try:
        text = window.wait(lambda text: "the indicator shows" in text, "a reading")
        assert "?" not in text
        assert window.end() == 0
    finally:
        window.close()


def test_without_any_board_three_plain_lines_say_what_to_do(folder: Path) -> None:
    env = {**os.environ, "FULLTURN_DATA": str(folder / "data"), "FULLTURN_CONFIG": str(folder / "config")}
    ran = subprocess.run(
        [sys.executable, "-m", "logger"], cwd=ROOT, env=env, capture_output=True, text=True, check=False
    )
    assert ran.returncode == 4
    assert ran.stdout == ""
    assert len(ran.stderr.splitlines()) == 3


def test_two_followers_and_the_owner_show_the_same_tir(folder: Path, port: Path) -> None:
    owner = Terminal(folder, "watch", str(port))
    windows = [owner]
    try:
        owner.wait(lambda text: "the indicator shows" in text, "a reading")
        windows += [Terminal(folder, "watch", "--follow", str(newest(folder))) for _ in range(2)]
        second = re.compile(r"TIR +(\d\.\d+) mm +turn 2")
        shown = [window.wait(second.search, "the second turn") for window in windows]
        found = [match.group(1) for text in shown if (match := second.search(text))]
        assert found == [found[0]] * 3
        for window in windows[1:]:
            window.press("z")
            window.wait(lambda text: "view only" in text, "that it may not")
        assert "zeroed" not in owner.text()
    finally:
        for window in windows:
            window.close()


def test_q_ends_at_the_second_press_and_tells_what_is_kept(folder: Path, port: Path) -> None:
    window = Terminal(folder, "watch", str(port))
    try:
        window.wait(lambda text: "the indicator shows" in text, "a reading")
        window.press("r")
        window.wait(lambda text: "Name of this recording" in text, "what is asked")
        window.press(*"job-7", "Enter")
        window.wait(lambda text: "kept as" in text, "that it is kept")
        window.press("q")
        window.wait(lambda text: "Q again ends. Kept: job-7.mcap" in text, "what a second press does")
        window.wait(lambda text: "Q again ends" not in text, "that nothing is asked any more")
        assert window.end() == 0
    finally:
        window.close()
    assert (folder / "data" / "job-7.mcap").stat().st_size > 1000


def test_a_terminal_made_smaller_and_larger_while_it_turns_is_drawn_anew(folder: Path, port: Path) -> None:
    window = Terminal(folder, "watch", str(port))
    try:
        window.wait(lambda text: "the indicator shows" in text, "a reading")
        window.resize(60, 15)
        text = window.wait(lambda text: "this window is too small" in text, "that it is too small")
        assert "It has 60 x 15," in text
        window.resize(120, 40)
        text = window.wait(lambda text: "the indicator shows" in text and "◆" in text, "the larger page")
        assert len(text.splitlines()[0]) > 100
        assert window.end() == 0
    finally:
        window.close()


def test_without_colours_nothing_is_coloured(folder: Path, port: Path) -> None:
    window = Terminal(folder, "watch", str(port), "--limit", '"0.050 mm"', more="NO_COLOR=1")
    try:
        window.wait(TIR.search, "a TIR")
        # 30 to 38 and 40 to 48 are the colours; 1, 2, 3, 4, 7 and 0 are letters and ground turned round.
        codes = re.findall("\x1b\\[([0-9;]*)m", window.coloured())
        given = {int(code) for group in codes for code in group.split(";") if code}
        assert not given & {*range(30, 39), *range(40, 49), *range(90, 98), *range(100, 108)}
        assert window.end() == 0
    finally:
        window.close()


def test_a_pedal_walks_with_page_down(folder: Path, port: Path) -> None:
    window = Terminal(folder, "watch", str(port))
    try:
        window.wait(TIR.search, "a TIR")
        window.press("NPage")
        window.wait(lambda text: "★" in text, "the star")
        assert window.end() == 0
    finally:
        window.close()


def test_a_gauge_that_prints_lines_is_watched_through_its_rig_file(folder: Path) -> None:
    with sender_on_a_port() as port:
        rig = ROOT / "firmware-notes" / "tiny_sender.toml"
        window = Terminal(folder, "watch", port, "--rig", str(rig), "--limit", '"0.1 mm"')
        try:
            window.wait(lambda text: "the indicator shows" in text, "a reading")
            text = window.wait(lambda text: "within the entered limit" in text, "the answer")
            assert TIR.search(text)
            assert window.end() == 0
        finally:
            window.close()
    ran = subprocess.run(
        [sys.executable, "-m", "logger", "sweep", str(newest(folder)), "--json"],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert json.loads(ran.stdout)["pooled"]["high_side_deg"] == pytest.approx(120.0, abs=1.0)  # of one turn


@contextmanager
def sender_on_a_port() -> Iterator[str]:
    """Run the tiny sender of the notes, its lines on a pseudo-terminal; give the port."""
    board, port = os.openpty()
    tty.setraw(port)
    sender = subprocess.Popen(
        [sys.executable, str(ROOT / "firmware-notes" / "tiny_sender.py"), "-", "600"], stdout=board
    )
    try:
        yield os.ttyname(port)
    finally:
        sender.kill()
        sender.wait()
        os.close(board)
        os.close(port)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("-",), "is the keyboard here"),
        (("/dev/none", "--second", "/dev/other"), "--second names the encoder's port of a rig"),
        (("/dev/none", "--rig", "nowhere.toml"), "name an existing file"),
        (("practice:wind-pump", "--rig", "RIG"), "--rig says what a port prints"),
        (("--rig", "RIG"), "--rig says what a port prints"),
        (("/dev/none", "--limit", "0.05"), "has no unit"),
        (("/dev/none", "--set", "gauge_table=0:0 mm"), "at least two different readings"),
        (("nowhere.mcap",), "nowhere.mcap"),
        (("/dev/none", "--follow"), "is no recording"),
    ],
    ids=lambda one: " ".join(one) if isinstance(one, tuple) else "",
)
def test_what_cannot_be_watched_is_refused_in_one_line(
    folder: Path, arguments: tuple[str, ...], words: str
) -> None:
    rig = str(ROOT / "firmware-notes" / "tiny_sender.toml")
    ran = fullturn(folder, "watch", *(rig if one == "RIG" else one for one in arguments))
    assert ran.status == 2
    assert words in one_line(ran)


def test_several_known_boards_are_a_numbered_list(folder: Path) -> None:
    (folder / "config").mkdir()
    boards = [folder / "one", folder / "two"]
    for board in boards:
        board.touch()
    (folder / "config" / "known.toml").write_text("".join(f'[[board]]\npath = "{one}"\n' for one in boards))
    ran = fullturn(folder)
    assert (ran.status, ran.out) == (2, "")
    assert [line.split()[:2] for line in ran.err.splitlines()[1:3]] == [
        ["1", str(boards[0])],
        ["2", str(boards[1])],
    ]
    assert "which one? name it" in ran.err


def test_a_second_owner_of_the_port_is_refused(folder: Path, port: Path) -> None:
    window = Terminal(folder, "watch", str(port))
    try:
        window.wait(lambda text: "the indicator shows" in text, "a reading")
        other = Terminal(folder, "watch", str(port))
        try:
            assert other.status() == 4
            assert "held by another program" in " ".join(other.text().split())
        finally:
            other.close()
        assert window.end() == 0
    finally:
        window.close()


@needs_small_disk
def test_a_full_disk_is_said_on_the_screen_and_at_the_end_and_what_was_written_stays(folder: Path) -> None:
    with small_disk(folder / "data", 32) as data:
        window = Terminal(folder, "watch", "practice:wind-pump/as-found")
        try:
            text = window.wait(lambda text: "no room left on the disk" in text, "why it has ended")
            assert "NOT RECORDING" in text
            assert window.end() == 2
            # The terminal breaks the line anywhere.
            assert "staysreadablein" in "".join(window.text().split())
        finally:
            window.close()
        kept = next((data / "unnamed").glob("*.mcap"))
        ran = fullturn(folder, "check-file", str(kept))
        assert ran.status == 0


@pytest.mark.parametrize("name", ["practice:wind-pump", "RECORDING"])
def test_without_a_terminal_nothing_is_opened_and_record_is_named(folder: Path, name: str) -> None:
    recording = ROOT / "recordings" / "wind-pump-as-found" / "recording.mcap"
    ran = fullturn(folder, "watch", str(recording) if name == "RECORDING" else name)
    assert ran.status == 2
    assert "fullturn record PORT" in one_line(ran)
    assert not (folder / "data").exists()


def test_a_terminal_that_is_not_written_in_utf_8_is_drawn_in_ascii_by_itself(folder: Path) -> None:
    window = Terminal(folder, "watch", "practice:wind-pump/as-found", more="PYTHONIOENCODING=ascii")
    try:
        text = window.wait(lambda text: "the indicator shows" in text and "###" in text, "a reading in ASCII")
        assert text.isascii()
        assert "\\u" not in text
        assert window.end() == 0
    finally:
        window.close()
