"""A serial port, or a TCP stand-in for one, as a source; the only place that knows the serial library.

Yields bytes as they come, a gap when the board is unplugged and a note when it is back. A port is opened
only when its board was used before or when a person named it. Decodes nothing.
"""

import functools
import os
import threading
from collections.abc import Callable
from dataclasses import replace

import serial
from serial.tools import list_ports

from analysis.capture.events import GapCause, LinkLost, LinkReopened
from analysis.errors import BadInput, LinkError
from logger.sources.clock import Clock, host_now
from logger.sources.known import KnownBoards, PortInfo
from logger.sources.search import SOCKET, ReopenPolicy, Search, at_path
from logger.sources.trouble import open_trouble, terminal_errors
from logger.stream import HostTime, Item, LinkBytes, RecordedEvent

BAUD = 500_000
BLOCK = 1 << 16
"""Most bytes taken at once."""
GATHER_S = 0.004
"""How long bytes may come together before they are handed on: a board sends every sample by itself, and
taking them one by one would cost more than reading them."""
WRITE_S = 1.0
"""How long a port may take to accept a command."""
PARITIES = {"none": serial.PARITY_NONE, "even": serial.PARITY_EVEN, "odd": serial.PARITY_ODD}


def ports(known: KnownBoards | None = None) -> list[PortInfo]:
    """Return the serial ports that are there, without opening any.

    Ports that a person once named and that no list of the system shows (a pseudo-terminal, a TCP address)
    are added while they exist. Raises BadInput when the list of known boards is damaged.
    """
    boards = (known or KnownBoards()).boards()
    found = [_marked(port, boards) for port in _listed()]
    paths = {port.path for port in found}
    for board in boards:
        apart = board.vendor_id is None and board.path not in paths
        if apart and (board.path.startswith(SOCKET) or os.path.exists(board.path)):
            found.append(board)
    return found


def describe(path: str, known: KnownBoards | None = None) -> PortInfo:
    """Return what the computer tells of the port at this path, without opening it."""
    boards = (known or KnownBoards()).boards()
    return _marked(at_path(path, _listed()), boards)


class PortSource:
    """An open port; opened on construction, opened again by itself after the board was unplugged.

    Parameters: ``path`` as typed (a device, or ``socket://HOST:PORT``); ``picked`` whether a person named or
    chose this very port; ``known`` boards used before; ``baud``; ``parity`` none, even or odd; ``link``
    number its bytes carry; ``dtr`` and ``rts`` levels to set before opening (None leaves the system's);
    ``low_latency`` asks the driver to hand bytes on at once; ``policy`` after a loss; ``clock`` and ``wait``
    (seconds; ends early when ``cancel`` is called). One thread reads, writes and closes; ``cancel`` may be
    called from any. Raises LinkError when the port does not open, BadInput when it cannot be meant.
    """

    def __init__(
        self,
        path: str,
        *,
        picked: bool,
        known: KnownBoards | None = None,
        baud: int = BAUD,
        parity: str = "none",
        link: int = 0,
        dtr: bool | None = None,
        rts: bool | None = None,
        low_latency: bool = False,
        policy: ReopenPolicy | None = None,
        clock: Clock = host_now,
        wait: Callable[[float], object] | None = None,
    ) -> None:
        if "://" in path and not path.startswith(SOCKET):
            raise BadInput(f"{path} is no port: name a device, or {SOCKET}HOST:PORT")
        if parity not in PARITIES:
            raise BadInput(f"parity {parity!r} is not one of {', '.join(PARITIES)}")
        self.name = path
        self._known = known or KnownBoards()
        self.info = describe(path, self._known)
        """What is known of the port: what ``KnownBoards.remember`` takes once the board answered hello."""
        if not picked and not self.info.known:
            raise LinkError(
                f"{path} was never used before: opening it might reset a machine; name it to open it"
            )
        self._baud, self._parity, self._dtr, self._rts = baud, parity, dtr, rts
        self._low_latency = low_latency
        self._link = link
        self._policy = policy or ReopenPolicy()
        self._search = Search(self.info, self._policy)
        self._clock = clock
        self._cancelled = threading.Event()
        self._wait = wait or self._cancelled.wait
        self._lock = threading.Lock()
        self._events: list[RecordedEvent] = []
        self._problem: LinkError | None = None
        self._port: serial.Serial | None = self._open(path)

    @property
    def at_end(self) -> bool:
        """False: a port may always send more."""
        return False

    def now(self) -> HostTime:
        """Return the host's clock."""
        return self._clock()

    def read(self, timeout_s: float) -> list[Item]:
        """Return the bytes that came, and events about the cable; an empty list when nothing came in time.

        Raises LinkError when the port stayed away longer than the policy allows.
        """
        if self._cancelled.is_set():
            return []
        with self._lock:
            if self._port is None:
                self._look_again(timeout_s)
                return self._noted()
            data, gone = b"", False
            try:
                self._port.timeout = timeout_s
                data = self._port.read(1)
                if data:
                    self._wait(GATHER_S)
                    self._port.timeout = 0
                    data += self._port.read(BLOCK)
            except _faults():
                gone = True
            items: list[Item] = [LinkBytes(self._clock(), data, self._link)] if data else []
            if gone:
                self._lose()
            return items + self._noted()

    def write(self, data: bytes) -> None:
        """Send bytes to the board; while it is unplugged they are dropped, for it will be greeted anew.

        Raises LinkError when the port is there but accepts nothing.
        """
        if self._port is None or self._cancelled.is_set():
            return
        try:
            self._port.write(data)
        except serial.SerialTimeoutException as error:
            raise LinkError(
                f"{self.name} accepted no command for {WRITE_S:g} s: unplug the board and plug it in again"
            ) from error
        except _faults():
            self._lose()

    def cancel(self) -> None:
        """End a read that waits, and every later one; from any thread."""
        self._cancelled.set()
        port = self._port
        try:
            if port is not None and hasattr(port, "cancel_read"):
                port.cancel_read()
        except _faults(TypeError):
            pass  # it was closed at this very moment, which is as good

    def close(self) -> None:
        """Release the port; harmless twice."""
        self.cancel()
        with self._lock:
            self._shut()

    def _noted(self) -> list[Item]:
        events: list[Item] = list(self._events)
        self._events.clear()
        return events

    def _lose(self) -> None:
        """The board went away: let go of the port and say so once."""
        self._shut()
        now = self._clock()
        self._search.begin(now.monotonic_ns)
        self._problem = None
        self._events.append(RecordedEvent(now, LinkLost(GapCause.UNPLUGGED, self._link)))

    def _look_again(self, timeout_s: float) -> None:
        now_ns = self._clock().monotonic_ns
        if self._search.given_up(now_ns):
            why = f" ({self._problem})" if self._problem else ""
            raise LinkError(
                f"{self.name} is gone and did not come back within {self._policy.give_up_s:g} s{why}: what "
                "came before is kept; plug the board in and start again"
            )
        path = self._search.find(_listed()) if self._search.is_due(now_ns) else None
        if path:
            try:
                self._port = self._open(path)
            except LinkError as error:
                self._problem = error
            else:
                elsewhere = path if self._search.moved(path) else ""
                self._events.append(RecordedEvent(self._clock(), LinkReopened(elsewhere, self._link)))
                return
        self._wait(min(timeout_s, self._policy.every_s))

    def _shut(self) -> None:
        port, self._port = self._port, None
        if port is not None:
            # The library (3.5) forgets a socket unclosed when the other side has reset the connection.
            socket = getattr(port, "_socket", None)
            try:
                port.close()
                if socket is not None:
                    socket.close()
            except _faults():
                pass  # what is gone cannot be closed, and need not be

    def _open(self, path: str) -> serial.Serial:
        try:
            port = serial.serial_for_url(
                path,
                do_not_open=True,
                baudrate=self._baud,
                parity=PARITIES[self._parity],
                timeout=0,
                write_timeout=WRITE_S,
                exclusive=True,
            )
            if self._dtr is not None:
                port.dtr = self._dtr
            if self._rts is not None:
                port.rts = self._rts
            port.open()
        except _faults() as error:
            raise open_trouble(path, error, _listed()) from error
        except ValueError as error:
            raise BadInput(
                f"{path} cannot be opened at {self._baud} baud ({error}): choose another"
            ) from error
        if self._low_latency and hasattr(port, "set_low_latency_mode"):
            try:
                port.set_low_latency_mode(True)
            except _faults(ValueError):
                pass  # an adapter without such a mode is only a little later
        return port


@functools.cache
def _faults(*more: type[Exception]) -> tuple[type[Exception], ...]:
    """Return everything that calls on a port raise when it is absent, held, forbidden or gone, and more."""
    return (serial.SerialException, OSError, *terminal_errors(), *more)


def _listed() -> list[PortInfo]:
    """Return the ports the system lists, in the order of their names; device texts made harmless."""
    try:
        there = sorted(list_ports.comports())
    except (OSError, TypeError, ValueError):
        return []  # a device that vanishes while it is being listed
    return [
        PortInfo(
            path=port.device,
            maker=_plain(port.manufacturer),
            product=_plain(port.product),
            serial=_plain(port.serial_number),
            vendor_id=port.vid,
            product_id=port.pid,
        )
        for port in there
    ]


def _marked(port: PortInfo, boards: list[PortInfo]) -> PortInfo:
    return replace(port, known=any(board.same_board(port) for board in boards))


def _plain(text: str | None) -> str:
    return "".join(c if c.isprintable() else "?" for c in text or "")
