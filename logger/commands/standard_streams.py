"""Standard streams that may be full, closed, or a pipe that nobody reads any more: printing never raises.

What was measured stands in its files, and what was decided in the exit status, whatever cannot be written.
"""

import os
import sys
from typing import Any, TextIO


class UnfailingStream:
    """A stream of text that drops everything from the first line on that it could not write.

    All but writing is the stream's own.
    """

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream
        self._lost = False

    def write(self, text: str) -> int:
        """Write it, or drop it."""
        if not isinstance(text, str):  # who tries whether this is a stream of bytes has to see that it is not
            raise TypeError(f"found {type(text).__name__}, expected text")
        if not self._lost:
            try:
                self._stream.write(text)
            except UnicodeEncodeError as error:
                # A terminal without that character: the words are worth more than the one sign.
                self._stream.write(text.encode(error.encoding, "replace").decode(error.encoding))
            except (OSError, ValueError):
                self._lose()
        return len(text)

    def flush(self) -> None:
        """Write what waits, or drop it."""
        try:
            self._stream.flush()
        except (OSError, ValueError):
            self._lose()

    def _lose(self) -> None:
        self._lost = True
        try:
            # What waits in its buffer would fail again when the interpreter ends, with a status of its own.
            os.dup2(os.open(os.devnull, os.O_WRONLY), self._stream.fileno())
        except (OSError, ValueError):
            return

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)


def guard_standard_streams() -> None:
    """Let nothing that cannot be printed end the program, and no file take the number of a closed stream."""
    for number in (0, 1, 2):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)  # takes the lowest number that is free: this one
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: SIM115
    sys.stdout = UnfailingStream(sys.stdout)
    sys.stderr = UnfailingStream(sys.stderr)
    # The window is painted on the stream that the interpreter began with, by a thread: an error would end
    # that thread, and whoever hands it more to paint would wait for ever once a terminal is closed.
    setattr(sys, "__stderr__", sys.stderr)  # noqa: B010  declared final
