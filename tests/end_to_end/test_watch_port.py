"""``fullturn watch`` in a terminal of its own against the virtual bench on a pseudo-terminal.

Waits for what the screen shows, never for a time; whatever hangs is ended.
"""

import json
import os
import re
import shutil
import subprocess
import sys
import time
import uuid
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

pytestmark = pytest.mark.skipif(shutil.which("tmux") is None, reason="needs tmux as the terminal")
ROOT = Path(__file__).parents[2]
TIR = re.compile(r"TIR +(\d\.\d+) mm")
PATIENCE_S = 60.0


class Terminal:
    """One program in a terminal of 80 by 24."""

    def __init__(self, folder: Path, *arguments: str, width: int = 80, height: int = 24) -> None:
        self.name = f"fullturn-test-{uuid.uuid4().hex[:8]}"
        env = {"FULLTURN_DATA": str(folder / "data"), "FULLTURN_CONFIG": str(folder / "config")}
        settings = [f"{key}={value}" for key, value in env.items()]
        told = folder / f"{self.name}.status"
        inner = " ".join([*settings, sys.executable, "-m", "logger", *arguments])
        command = f"cd {ROOT}; {inner}; echo $? > {told}; sleep 600"
        self._status = told
        self._tmux("new-session", "-d", "-s", self.name, "-x", str(width), "-y", str(height), command)

    def _tmux(self, *words: str) -> str:
        return subprocess.run(["tmux", *words], check=False, capture_output=True, text=True).stdout

    def text(self) -> str:
        """Return what stands in the terminal."""
        return self._tmux("capture-pane", "-p", "-t", self.name)

    def press(self, *keys: str) -> None:
        """Press keys."""
        self._tmux("send-keys", "-t", self.name, *keys)

    def wait(self, seen: Callable[[str], object], what: str) -> str:
        """Wait until the text is so, and return it."""
        end = time.monotonic() + PATIENCE_S
        while time.monotonic() < end:
            text = self.text()
            if seen(text):
                return text
            time.sleep(0.05)
        raise AssertionError(f"never seen: {what}; there was\n{self.text()}")

    def status(self) -> int:
        """Wait for the program to end, and return its exit status."""
        self.wait(lambda _: self._status.exists() and self._status.read_text().strip(), "the end")
        return int(self._status.read_text())

    def close(self) -> None:
        """End the terminal and what runs in it."""
        self._tmux("kill-session", "-t", self.name)


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
        text = window.wait(lambda text: re.search(r"TIR.*turn 2", text), "the second turn")
        window.press("q")
        assert window.status() == 0
    finally:
        window.close()
    shown = TIR.search(text)
    assert shown is not None
    ran = subprocess.run(
        [sys.executable, "-m", "logger", "sweep", str(newest(folder)), "--json"],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    told = json.loads(ran.stdout)
    assert told["closed"] is True
    assert f"{told['turns'][1]['tir_raw_mm']:.3f}" == shown.group(1)


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
        window.press("m")
        window.wait(lambda text: "the indicator shows" in text and "broken" not in text, "a new sweep")
        window.press("q")
        assert window.status() == 0
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
        window.press("q")
        assert window.status() == 0
    finally:
        window.close()


def test_without_any_board_three_plain_lines_say_what_to_do(folder: Path) -> None:
    env = {**os.environ, "FULLTURN_DATA": str(folder / "data"), "FULLTURN_CONFIG": str(folder / "config")}
    ran = subprocess.run(
        [sys.executable, "-m", "logger"], cwd=ROOT, env=env, capture_output=True, text=True, check=False
    )
    assert ran.returncode == 4
    assert len(ran.stdout.splitlines()) == 3


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
