"""The two ends a bench can be served on: a pseudo-terminal, and a TCP port of this machine.

Both come and go (a plug is pulled), never block, and say when nobody takes the bytes. Nothing here is
imported from ``pty`` or ``termios`` before a pseudo-terminal is really opened.
"""

import errno
import importlib
import os
import select
import socket
import threading
from contextlib import suppress
from typing import Protocol

from analysis.errors import LinkError

READ_BYTES = 4096
UNREAD_BYTES = 3000
"""A pseudo-terminal that holds more than this unread has no reader to speak of."""
SEND_BUFFER_BYTES = 8192


class End(Protocol):
    """Where the bytes of a bench leave and commands come in."""

    def open(self) -> str:
        """Begin to be there and return the port to open; raises LinkError where that cannot be."""

    def close(self) -> None:
        """Stop being there; harmless twice."""

    def wait(self, seconds: float) -> None:
        """Wait until something may have come, at most so long."""

    def read(self) -> bytes:
        """Return what came; empty for nothing."""

    def write(self, data: bytes) -> int:
        """Hand over bytes and return how many were taken."""

    @property
    def has_reader(self) -> bool:
        """Whether somebody takes the bytes."""


def pty_available() -> bool:
    """Return whether this system has pseudo-terminals."""
    try:
        importlib.import_module("pty")
        importlib.import_module("termios")
    except ImportError:
        return False
    return True


class PtyEnd:
    """A pseudo-terminal in raw mode; the bench keeps both sides open, so that readers may come and go."""

    def __init__(self) -> None:
        self._bench_fd = -1
        self._reader_fd = -1

    def open(self) -> str:
        """Open a pseudo-terminal and return the path of the reader's side."""
        if not pty_available():
            raise LinkError("this system has no pseudo-terminals: serve the bench on a TCP port instead")
        import pty
        import tty

        try:
            self._bench_fd, self._reader_fd = pty.openpty()
            tty.setraw(self._reader_fd)
            tty.setraw(self._bench_fd)
        except OSError as error:
            self.close()
            raise LinkError(f"no pseudo-terminal could be opened ({error}): close other terminals") from error
        os.set_blocking(self._bench_fd, False)
        return os.ttyname(self._reader_fd)

    def close(self) -> None:
        """Close both sides: whoever has it open sees the plug pulled."""
        for fd in (self._bench_fd, self._reader_fd):
            if fd >= 0:
                os.close(fd)
        self._bench_fd = self._reader_fd = -1

    def wait(self, seconds: float) -> None:
        """Wait until a command may have come, at most so long."""
        if self._bench_fd >= 0:
            select.select([self._bench_fd], [], [], seconds)
        else:
            _pause(seconds)

    def read(self) -> bytes:
        """Return what the reader wrote."""
        try:
            return os.read(self._bench_fd, READ_BYTES)
        except BlockingIOError:
            return b""
        except OSError as error:
            if error.errno == errno.EIO:  # how some systems say that no reader has it open
                return b""
            raise

    def write(self, data: bytes) -> int:
        """Hand over bytes; the kernel takes what it has room for."""
        try:
            return os.write(self._bench_fd, data)
        except BlockingIOError:
            return 0

    @property
    def has_reader(self) -> bool:
        """Whether what was written before has been read, but for a little."""
        import fcntl
        import termios

        unread = fcntl.ioctl(self._reader_fd, termios.FIONREAD, bytes(4))
        return int.from_bytes(unread, "little") < UNREAD_BYTES


class TcpEnd:
    """A TCP port on 127.0.0.1; one reader at a time."""

    def __init__(self) -> None:
        self._port = 0
        self._listener: socket.socket | None = None
        self._reader: socket.socket | None = None

    def open(self) -> str:
        """Listen (again on the same port) and return the address as a serial library takes it."""
        listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        try:
            if os.name == "posix":  # elsewhere this option would let others take the port over
                listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            listener.bind(("127.0.0.1", self._port))
            listener.listen()
        except OSError as error:
            listener.close()
            raise LinkError(f"no TCP port of 127.0.0.1 could be opened ({error})") from error
        listener.setblocking(False)
        self._listener = listener
        self._port = listener.getsockname()[1]
        return f"socket://127.0.0.1:{self._port}"

    def close(self) -> None:
        """Hang up and stop listening."""
        self._hang_up()
        if self._listener is not None:
            self._listener.close()
            self._listener = None

    def wait(self, seconds: float) -> None:
        """Wait until a reader or a command may have come, at most so long."""
        sockets = [each for each in (self._listener, self._reader) if each is not None]
        if sockets:
            select.select(sockets, [], [], seconds)
        else:
            _pause(seconds)

    def read(self) -> bytes:
        """Let a reader in, and return what the one that is in sent."""
        if self._listener is not None:
            with suppress(BlockingIOError):
                self._let_in(self._listener.accept()[0])
        if self._reader is None:
            return b""
        try:
            data = self._reader.recv(READ_BYTES)
        except BlockingIOError:
            return b""
        except ConnectionError:
            data = b""
        if not data:
            self._hang_up()
        return data

    def write(self, data: bytes) -> int:
        """Hand over bytes; with nobody there none are taken."""
        if self._reader is None:
            return 0
        try:
            return self._reader.send(data)
        except BlockingIOError:
            return 0
        except ConnectionError:
            self._hang_up()
            return 0

    @property
    def has_reader(self) -> bool:
        """Whether a reader is there."""
        return self._reader is not None

    def _let_in(self, reader: socket.socket) -> None:
        if self._reader is not None:
            reader.close()  # one at a time: two would steal one another's answers
            return
        reader.setblocking(False)
        reader.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        reader.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, SEND_BUFFER_BYTES)
        self._reader = reader

    def _hang_up(self) -> None:
        if self._reader is not None:
            self._reader.close()
            self._reader = None


def _pause(seconds: float) -> None:
    """Wait while there is nothing to wait for: an empty select is refused on some systems."""
    threading.Event().wait(seconds)
