"""A program in a terminal of its own, watched by what it shows, never by a time."""

import subprocess
import sys
import time
import uuid
from collections.abc import Callable
from pathlib import Path

from places import ROOT

PATIENCE_S = 60.0
"""Whatever is never seen by then hangs."""


class Terminal:
    """One program in a terminal of 80 by 24."""

    def __init__(
        self, folder: Path, *arguments: str, width: int = 80, height: int = 24, more: str = ""
    ) -> None:
        """``more``: further settings of the environment, as NAME=VALUE."""
        self.name = f"fullturn-test-{uuid.uuid4().hex[:8]}"
        env = {"FULLTURN_DATA": str(folder / "data"), "FULLTURN_CONFIG": str(folder / "config")}
        settings = [more, *(f"{key}={value}" for key, value in env.items())]
        status_file = folder / f"{self.name}.status"
        inner = " ".join([*settings, sys.executable, "-m", "logger", *arguments])
        command = f"cd {ROOT}; {inner}; echo $? > {status_file}; sleep 600"
        self._status = status_file
        self._tmux("new-session", "-d", "-s", self.name, "-x", str(width), "-y", str(height), command)

    def _tmux(self, *words: str) -> str:
        return subprocess.run(["tmux", *words], check=False, capture_output=True, text=True).stdout

    def text(self) -> str:
        """Return what stands in the terminal."""
        return self._tmux("capture-pane", "-p", "-t", self.name)

    def coloured(self) -> str:
        """Return what stands in the terminal, with the sequences that colour it."""
        return self._tmux("capture-pane", "-e", "-p", "-t", self.name)

    def resize(self, width: int, height: int) -> None:
        """Make the terminal larger or smaller."""
        self._tmux("resize-window", "-t", self.name, "-x", str(width), "-y", str(height))

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
