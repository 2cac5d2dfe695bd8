"""A program in a terminal of its own, watched by what it shows, never by a time."""

import os
import select
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
        command = f"cd {ROOT}; {inner}; echo $? > {status_file}; echo; sleep 600"
        self._status = status_file
        self._output = folder / f"{self.name}.output"
        """What the terminal is sent comes here too, so that a look is worth while only then."""
        os.mkfifo(self._output)
        self._sent = os.open(self._output, os.O_RDWR | os.O_NONBLOCK)
        self._tmux("new-session", "-d", "-s", self.name, "-x", str(width), "-y", str(height), command)
        self._tmux("pipe-pane", "-t", self.name, f"cat > {self._output}")

    def _tmux(self, *words: str) -> str:
        """Ask a server of this terminal's own: one that ends with another's last terminal takes none with it."""
        command = ["tmux", "-f", os.devnull, "-L", self.name, *words]
        return subprocess.run(command, check=False, capture_output=True, text=True).stdout

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

    def end(self, key: str = "q") -> int:
        """Press a key that ends until it has ended, asked for twice; return the program's exit status."""
        self.press(key)
        self.wait(lambda text: "Q again ends" in text, "that a second press ends")
        while not self._has_ended():
            self.press(key)
            time.sleep(0.5)  # the pace of a person: sooner it would be a key held down
        return self.status()

    def _has_ended(self) -> bool:
        return self._status.exists() and bool(self._status.read_text().strip())

    def wait(self, seen: Callable[[str], object], what: str) -> str:
        """Wait until the text is so, and return it."""
        end = time.monotonic() + PATIENCE_S
        while time.monotonic() < end:
            text = self.text()
            if seen(text):
                return text
            self._await_output(end - time.monotonic())
        raise AssertionError(f"never seen: {what}; there was\n{self.text()}")

    def _await_output(self, most_s: float) -> None:
        """Wait until the terminal is sent something more."""
        wait_s = max(0.0, most_s)
        while select.select([self._sent], [], [], wait_s)[0]:
            os.read(self._sent, 1 << 16)
            wait_s = 0.0

    def status(self) -> int:
        """Wait for the program to end, and return its exit status."""
        self.wait(lambda _: self._has_ended(), "the end")
        return int(self._status.read_text())

    def close(self) -> None:
        """End the terminal and what runs in it."""
        socket = self._tmux("display-message", "-p", "#{socket_path}").strip()
        self._tmux("kill-server")
        if socket:
            Path(socket).unlink(missing_ok=True)
        os.close(self._sent)
