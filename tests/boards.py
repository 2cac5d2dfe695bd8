"""A board that does what a test tells it, frame by frame; numbers wrap on the wire as a real one's do."""

from collections.abc import Callable, Iterable

import numpy as np
from numpy.typing import NDArray

from logger.stream import HostTime, Item, LinkBytes
from logger.wire.framing import encode_frame
from logger.wire.layout import wrap_i32
from logger.wire.messages import Button, Channel, Heartbeat, Hello, Index, Message, Sample

PER_TURN = 2400
WALL_NS = 1_700_000_000_000_000_000


def host(s: float) -> HostTime:
    """Return the host's clocks so many seconds after they began."""
    return HostTime(WALL_NS + round(s * 1e9), round(s * 1e9))


class ScriptedBoard:
    """Gathers frames in ``data``; times in microseconds and counts may be any whole numbers."""

    def __init__(self, *, boot_id: int = 7, per_turn: int = PER_TURN, seq: int = 0) -> None:
        self.data = bytearray()
        self._boot_id, self._per_turn, self._seq = boot_id, per_turn, seq

    def take(self) -> bytes:
        """Return what was gathered and begin anew."""
        gathered = bytes(self.data)
        self.data.clear()
        return gathered

    def lose(self, frames: int) -> None:
        """Number so many frames that never arrive."""
        self._seq += frames

    def greet(
        self, *, version: int = 1, per_turn: int | None = None, boot_id: int | None = None, rate_hz: int = 0
    ) -> None:
        """Say hello; another ``boot_id`` is another boot."""
        self._boot_id = self._boot_id if boot_id is None else boot_id
        counts = self._per_turn if per_turn is None else per_turn
        self.data += b"\x00"
        self._send(Hello, 0, version, 1, 0, 5, 0x51AB0001, counts, 1000, rate_hz, 1, 1, self._boot_id, 20_000)

    def describe(self, channel: int = 0, *, kind: int = 1, sign: int = 0, scale_nm: int = 1000) -> None:
        """Describe a channel."""
        self._send(Channel, 0, channel, kind, sign, scale_nm, 1, -12_700, 12_700, f"channel {channel}")

    def sample(self, t_us: int, count: int, value: int, *, flags: int = 0, channel: int = 0) -> None:
        """Send a reading."""
        self._send(Sample, t_us, flags | channel, wrap_i32(count), value)

    def index(self, t_us: int, count: int, turns: int) -> None:
        """Send that the index passed."""
        self._send(Index, t_us, wrap_i32(count), turns)

    def button(self, t_us: int, count: int, button: int = 2, down: int = 1) -> None:
        """Send that a button was pressed or let go."""
        self._send(Button, t_us, wrap_i32(count), button, down)

    def beat(self, t_us: int, count: int = 0, *, dropped: int = 0, enc_errors: int = 0) -> None:
        """Send a heartbeat."""
        self._send(Heartbeat, t_us, True, wrap_i32(count), dropped, enc_errors, 0, 0, 0)

    def turn(
        self,
        counts: Iterable[int],
        *,
        first_us: int = 0,
        step_us: int = 20_000,
        value: Callable[[int], int] = lambda count: 0,
    ) -> None:
        """Send a reading at each of these counts, evenly in time."""
        for k, count in enumerate(counts):
            self.sample(first_us + k * step_us, count, value(count))

    def _send(self, kind: type[Message], t_us: int, *fields: int | str) -> None:
        message = kind(self._seq & 0xFFFF, t_us & 0xFFFFFFFF, *fields)  # type: ignore[call-arg, arg-type]
        self.data += encode_frame(message.encode())
        self._seq += 1


def wobble(count: int) -> int:
    """Return a wobble of 0.100 mm TIR, high at count 0, in micrometres."""
    return round(50 * np.cos(2 * np.pi * count / PER_TURN))


def pieces(data: bytes, lengths: Iterable[int], s: float = 0.0) -> list[Item]:
    """Cut bytes into pieces of these lengths, the last length again and again; all come at one time."""
    items: list[Item] = []
    at, length = 0, len(data)
    rest = iter(lengths)
    while at < len(data):
        length = next(rest, length)
        items.append(LinkBytes(host(s), data[at : at + length]))
        at += length
    return items


def counts(turns: float, per_turn: int = 60, first: int = 0) -> NDArray[np.int64]:
    """Return the counts of a row of evenly spaced readings over so many turns, both ends included."""
    return first + np.arange(round(turns * per_turn) + 1) * (PER_TURN // per_turn)


def newer_hello() -> bytes:
    """Return what a board of a later wire says first."""
    body = Hello(0, 0, 2, 9, 0, 5, 0x51AB0001, 2400, 1000, 1000, 1, 1, 7, 20000).encode()
    return b"\x00" + encode_frame(body)
