"""Pseudo-terminals as ports: a cable that can be pulled and put back, with nothing mocked."""

import os
import tty
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


class Cable:
    """A board's end of a pseudo-terminal; ``path`` is the port the program opens."""

    def __init__(self) -> None:
        self.board, port = os.openpty()
        tty.setraw(port)
        self.path = os.ttyname(port)
        os.close(port)  # else pulling the cable would go unnoticed

    def send(self, data: bytes) -> None:
        """Send bytes as the board does."""
        os.write(self.board, data)

    def received(self, count: int) -> bytes:
        """Return so many bytes that came to the board; waits for them."""
        data = b""
        while len(data) < count:
            data += os.read(self.board, count - len(data))
        return data

    def unplug(self) -> None:
        """Unplug the board; harmless twice."""
        if self.board >= 0:
            os.close(self.board)
            self.board = -1


@contextmanager
def cable() -> Iterator[Cable]:
    """Plug a board in, and pull it at the end."""
    made = Cable()
    try:
        yield made
    finally:
        made.unplug()


def lead_to(link: Path, plugged: Cable) -> None:
    """Let a path lead to this cable, as a port keeps its name when a board is plugged in again."""
    link.unlink(missing_ok=True)
    link.symlink_to(plugged.path)
