"""From bodies to messages: content a layout rules out is a bad frame, an unknown type a good one to skip."""

from collections.abc import Callable

from logger.wire.framing import FrameDecoder
from logger.wire.layout import (
    BATCH_LAYOUT,
    BUTTON_LAYOUT,
    CHANNEL_LAYOUT,
    HEADER_LAYOUT,
    HEARTBEAT_LAYOUT,
    HELLO_LAYOUT,
    INDEX_LAYOUT,
    KIND_DIGITAL,
    KIND_OTHER,
    MAX_BATCH,
    MAX_CHANNELS,
    MAX_TEXT,
    PAIRS_OF_BATCH,
    SAMPLE_LAYOUT,
    TYPE_BATCH,
    TYPE_BUTTON,
    TYPE_CHANNEL,
    TYPE_ERROR,
    TYPE_HEARTBEAT,
    TYPE_HELLO,
    TYPE_INDEX,
    TYPE_REPLY,
    TYPE_SAMPLE,
    WIRE_VERSION,
    printable,
)
from logger.wire.messages import (
    Batch,
    BoardError,
    Button,
    Channel,
    Heartbeat,
    Hello,
    Index,
    Message,
    Reply,
    Sample,
    Unknown,
)


def parse_body(body: bytes) -> Message | None:
    """Return the message in a body that passed its crc, or None if it is one to be counted as bad."""
    if len(body) < HEADER_LAYOUT.size:
        return None
    parser = _PARSERS.get(body[0])
    if parser is None:
        kind, _, seq, t_us = HEADER_LAYOUT.unpack_from(body)
        return Unknown(seq, t_us, kind)
    return parser(body)


class MessageDecoder:
    """Takes bytes in pieces of any size and gives messages: FrameDecoder and parse_body together."""

    def __init__(self) -> None:
        self._frames = FrameDecoder()
        self._impossible = 0

    @property
    def frames(self) -> int:
        """Good frames so far, unknown types among them."""
        return self._frames.frames - self._impossible

    @property
    def bad(self) -> int:
        """Bad frames so far: crc or COBS wrong, or a known type whose body cannot be."""
        return self._frames.bad + self._impossible

    @property
    def pending(self) -> int:
        """Bytes held of a frame not finished yet."""
        return self._frames.pending

    def feed(self, data: bytes) -> list[Message]:
        """Take the next bytes and return the messages of the good frames, in order."""
        bodies = self._frames.feed(data)
        messages = [message for message in map(parse_body, bodies) if message is not None]
        self._impossible += len(bodies) - len(messages)
        return messages


def _hello(body: bytes) -> Message | None:
    version = body[1]
    if version < WIRE_VERSION or (version == WIRE_VERSION and len(body) != HELLO_LAYOUT.size):
        return None
    _, _, seq, t_us, *rest = HELLO_LAYOUT.unpack(body[: HELLO_LAYOUT.size].ljust(HELLO_LAYOUT.size, b"\x00"))
    hello = Hello(seq, t_us, version, *rest)
    return None if version == WIRE_VERSION and hello.channels > MAX_CHANNELS else hello


def _channel(body: bytes) -> Message | None:
    if len(body) < CHANNEL_LAYOUT.size:
        return None
    _, number, seq, t_us, kind, sign, name_len, num, den, low, high = CHANNEL_LAYOUT.unpack_from(body)
    possible = (
        len(body) == CHANNEL_LAYOUT.size + name_len
        and number < MAX_CHANNELS
        and KIND_DIGITAL <= kind <= KIND_OTHER
        and sign <= 1
        and (kind == KIND_OTHER or num != 0 != den)  # a gauge without a scale cannot be read
        and low <= high
    )
    name = printable(body[CHANNEL_LAYOUT.size :])
    return Channel(seq, t_us, number, kind, sign, num, den, low, high, name) if possible else None


def _sample(body: bytes) -> Message | None:
    if len(body) != SAMPLE_LAYOUT.size:
        return None
    _, flags, seq, t_us, count, value = SAMPLE_LAYOUT.unpack(body)
    return Sample(seq, t_us, flags, count, value)


def _batch(body: bytes) -> Message | None:
    if len(body) < BATCH_LAYOUT.size:
        return None
    _, flags, seq, t_us, count0, n, dt_us, _ = BATCH_LAYOUT.unpack_from(body)
    if not 1 <= n <= MAX_BATCH or len(body) != BATCH_LAYOUT.size + 3 * n:
        return None
    pairs = PAIRS_OF_BATCH[n].unpack_from(body, BATCH_LAYOUT.size)
    return Batch(seq, t_us, flags, count0, dt_us, pairs[0::2], pairs[1::2])


def _index(body: bytes) -> Message | None:
    if len(body) != INDEX_LAYOUT.size:
        return None
    _, _, seq, t_us, count, turns = INDEX_LAYOUT.unpack(body)
    return Index(seq, t_us, count, turns)


def _button(body: bytes) -> Message | None:
    if len(body) != BUTTON_LAYOUT.size:
        return None
    _, _, seq, t_us, count, button, down, _ = BUTTON_LAYOUT.unpack(body)
    return Button(seq, t_us, count, button, down)


def _heartbeat(body: bytes) -> Message | None:
    if len(body) != HEARTBEAT_LAYOUT.size:
        return None
    _, flags, seq, t_us, *rest = HEARTBEAT_LAYOUT.unpack(body)
    return Heartbeat(seq, t_us, bool(flags & 1), *rest)


def _text(body: bytes, made: Callable[[int, int, str], Message]) -> Message | None:
    if len(body) > HEADER_LAYOUT.size + MAX_TEXT:
        return None
    _, _, seq, t_us = HEADER_LAYOUT.unpack_from(body)
    return made(seq, t_us, printable(body[HEADER_LAYOUT.size :]))


def _reply(body: bytes) -> Message | None:
    return _text(body, Reply)


def _error(body: bytes) -> Message | None:
    return _text(body, BoardError)


_PARSERS: dict[int, Callable[[bytes], Message | None]] = {
    TYPE_HELLO: _hello,
    TYPE_CHANNEL: _channel,
    TYPE_SAMPLE: _sample,
    TYPE_BATCH: _batch,
    TYPE_INDEX: _index,
    TYPE_BUTTON: _button,
    TYPE_HEARTBEAT: _heartbeat,
    TYPE_REPLY: _reply,
    TYPE_ERROR: _error,
}
