"""Single key presses at a terminal, without a screen; quiet where there is no terminal."""

import os
import select
import sys
import time
from types import TracebackType


class Keys:
    """While entered, keys come one by one without Enter; the terminal is put back on leaving."""

    def __init__(self, *, enabled: bool) -> None:
        self._enabled = enabled and sys.stdin.isatty() and os.name == "posix"
        self._before: list[object] | None = None

    def __enter__(self) -> "Keys":
        if self._enabled:
            import termios
            import tty

            self._before = termios.tcgetattr(sys.stdin)
            tty.setcbreak(sys.stdin)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, traceback: TracebackType | None
    ) -> None:
        if self._before is not None:
            import termios

            termios.tcsetattr(sys.stdin, termios.TCSADRAIN, self._before)  # type: ignore[arg-type]

    def pressed(self) -> str:
        """Return the keys pressed since the last look."""
        if self._before is None or not select.select([sys.stdin], [], [], 0)[0]:
            return ""
        return os.read(sys.stdin.fileno(), 64).decode("utf-8", "replace")

    def wait(self, at_most_s: float) -> None:
        """Wait until a key is pressed, no longer than so many seconds."""
        if self._before is None:
            time.sleep(at_most_s)
        else:
            select.select([sys.stdin], [], [], at_most_s)

    def wait_for(self, key: str, words: str) -> None:
        """Say what goes on and wait for that key; at once where there is no terminal."""
        if self._before is None:
            return
        sys.stderr.write(f"{words}\n")
        sys.stderr.flush()
        while key not in os.read(sys.stdin.fileno(), 64).decode("utf-8", "replace"):
            pass
