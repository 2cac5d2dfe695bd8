"""The virtual bench in real time, for any program that opens a port, until somebody ends it.

Paced by a clock that is handed in; never blocks on its reader: what nobody takes is dropped, and the board
owns up to it.
"""

import os
import signal
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from types import FrameType
from typing import TextIO

from analysis.errors import BadInput
from logger.practice.bench.bench import Bench
from logger.practice.bench.faults import fault as find_fault
from logger.practice.serving.ends import End, PtyEnd, TcpEnd
from logger.practice.stories.catalogue import scenario as find_scenario

POLL_S = 0.01
"""The bench is moved on this often."""
LEAP_US = 1_000_000
"""Asleep for longer than this (a laptop closed), the bench stands still for the rest."""

Clock = Callable[[], float]


def serve_pty(
    name: str,
    seed: int = 1,
    fault: str | None = None,
    link_path: str | os.PathLike[str] | None = None,
    out: TextIO | None = None,
    *,
    clock: Clock = time.monotonic,
    stop: Callable[[], bool] | None = None,
    boots: str = "",
) -> None:
    """Serve a scenario on a pseudo-terminal until Ctrl-C, SIGTERM or ``stop()``.

    The first line written to ``out`` (standard output) is the port alone; a plug put back in may give
    another port, on a line of its own. ``link_path`` is a symbolic link to the port, there while the port
    is. ``boots`` tells one run's boots from another's. Raises BadInput for an unknown scenario or fault or
    where ``link_path`` is something else already, LinkError where there are no pseudo-terminals.
    """
    _serve(_bench(name, seed, fault, boots), PtyEnd(), link_path=link_path, out=out, clock=clock, stop=stop)


def serve_tcp(
    name: str,
    seed: int = 1,
    fault: str | None = None,
    out: TextIO | None = None,
    *,
    clock: Clock = time.monotonic,
    stop: Callable[[], bool] | None = None,
    boots: str = "",
) -> None:
    """Serve a scenario on a TCP port of 127.0.0.1, for systems without pseudo-terminals.

    Otherwise as ``serve_pty``; the first line written to ``out`` is ``socket://127.0.0.1:N``.
    """
    _serve(_bench(name, seed, fault, boots), TcpEnd(), link_path=None, out=out, clock=clock, stop=stop)


def _bench(name: str, seed: int, fault: str | None, boots: str) -> Bench:
    return Bench(find_scenario(name), seed, None if fault is None else find_fault(fault), boots)


def _serve(
    bench: Bench,
    end: End,
    *,
    link_path: str | os.PathLike[str] | None,
    out: TextIO | None,
    clock: Clock,
    stop: Callable[[], bool] | None,
) -> None:
    link = None if link_path is None else Path(link_path)
    if link is not None and os.path.lexists(link) and not link.is_symlink():
        raise BadInput(f"{link} is there already and is no symbolic link: name another path for --link")
    server = Server(bench, end, link, out or sys.stdout, clock)
    try:
        if stop is not None:
            server.run(stop)
        else:
            with _ended_by_signals() as signalled:
                server.run(signalled)
    finally:
        end.close()
        if link is not None:
            _unlink(link)


class Server:
    """Moves one bench on by the clock and carries bytes between it and an end."""

    def __init__(self, bench: Bench, end: End, link: Path | None, out: TextIO, clock: Clock) -> None:
        self._bench = bench
        self._end = end
        self._link = link
        self._out = out
        self._clock = clock
        self._waiting = b""
        self._port = ""
        self._open = False

    def run(self, stop: Callable[[], bool]) -> None:
        """Serve until ``stop()``, asked at every round."""
        self._plug_in()
        began_s = self._clock()
        while not stop():
            self._end.wait(POLL_S)
            now_us = round((self._clock() - began_s) * 1e6)
            late_us = now_us - self._bench.now_us - LEAP_US
            if late_us > 0:
                began_s += late_us * 1e-6
                now_us -= late_us
            self.step(now_us)

    def step(self, now_us: int) -> None:
        """Take commands, move the bench on to this time and hand its bytes over."""
        if self._open:
            data = self._end.read()
            if data:
                self._bench.command(data, now_us)
        self._waiting += self._bench.advance(now_us)
        if self._bench.plugged != self._open:
            if self._open:
                self._unplug()
            else:
                self._plug_in()
        if self._open:
            self._waiting = self._waiting[self._end.write(self._waiting) :]
            self._bench.set_unread(len(self._waiting) if self._end.has_reader else None)
        else:  # a board does not feel its plug pulled: it goes on sending into nothing
            self._waiting = b""
            self._bench.set_unread(0)

    def _plug_in(self) -> None:
        port = self._end.open()
        self._open = True
        if self._link is not None:
            _unlink(self._link)
            self._link.symlink_to(port)
        if port != self._port:
            print(port, file=self._out, flush=True)
        self._port = port

    def _unplug(self) -> None:
        self._end.close()
        self._open = False
        if self._link is not None:
            _unlink(self._link)


def _unlink(link: Path) -> None:
    if link.is_symlink():
        with suppress(FileNotFoundError):
            link.unlink()


@contextmanager
def _ended_by_signals() -> Iterator[Callable[[], bool]]:
    """Give a function that is true after Ctrl-C or SIGTERM; only the main thread may ask for it."""
    ended = False

    def end(_number: int, _frame: FrameType | None) -> None:
        nonlocal ended
        ended = True

    before = {number: signal.signal(number, end) for number in (signal.SIGINT, signal.SIGTERM)}
    try:
        yield lambda: ended
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
