"""What a body says: integers as the board sent them, wire version 1. Knows nothing of frames or units.

This contract stands over every class and function here:

* A body begins with ``type u8, flags u8, seq u16, t_us u32``, all numbers little-endian. Every message has
  ``seq`` (counts every frame sent, wraps at 65536) and ``t_us`` (microseconds of the latch on the board's
  clock, wraps at 2**32; carries no sample time in Hello, Channel, Reply and BoardError).
* ``parse_body`` never raises. A known type with a wrong length or with content the layout rules out gives
  None, to be counted as a bad frame; an unknown type gives Unknown, a good frame to be counted and skipped.
* ``encode`` gives the body such that ``parse_body(m.encode()) == m``; ValueError if a field does not fit.
* Text from a device is data: every character outside printable ASCII becomes ``?`` on parsing.
* Flags and reserved bytes that the layout leaves free are not looked at.
"""

from dataclasses import dataclass
from itertools import accumulate

from logger.wire.layout import (
    BATCH_LAYOUT,
    BUTTON_LAYOUT,
    CHANNEL_LAYOUT,
    FLAG_ENCODER,
    FLAG_HELD,
    FLAG_INDEX,
    FLAG_OUT_OF_RANGE,
    HEADER_LAYOUT,
    HEARTBEAT_LAYOUT,
    HELLO_LAYOUT,
    INDEX_LAYOUT,
    MAX_BATCH,
    MAX_NAME,
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
    TYPES,
    U32,
    ascii_bytes,
    pack,
    wrap_i32,
)

STALLED_S = 2.0
"""A link that brought no frame for so long has stalled: a board sends a heartbeat every 0.5 s."""


@dataclass(frozen=True, slots=True)
class Hello:
    """Who the board is, sent after its reset and whenever asked.

    Of a version above 1 only ``version`` is to be believed: its length is free, the rest as version 1 reads.
    """

    seq: int
    t_us: int
    version: int
    """Version of the wire."""
    fw_major: int
    fw_minor: int
    caps: int
    """What the board can do, one bit each: the ``CAP_`` names."""
    device_id: int
    counts_per_turn: int
    """Encoder counts a turn after x4; 0 = no encoder."""
    tick_ns: int
    """Step of the board's clock, nanoseconds."""
    rate_hz: int
    """Samples a second; 0 = as values come."""
    channels: int
    """How many, 0 to 16."""
    reset_cause: int
    boot_id: int
    """Another one after every restart; the only sign of it."""
    max_edges_per_s: int
    """Encoder edges a second the board can follow."""

    def encode(self) -> bytes:
        """Return the body."""
        return pack(
            HELLO_LAYOUT,
            *(TYPE_HELLO, self.version, self.seq, self.t_us, self.fw_major, self.fw_minor, self.caps),
            *(self.device_id, self.counts_per_turn, self.tick_ns, self.rate_hz, self.channels),
            *(self.reset_cause, self.boot_id, self.max_edges_per_s),
        )


@dataclass(frozen=True, slots=True)
class Channel:
    """What one channel measures and how its raw values scale."""

    seq: int
    t_us: int
    channel: int
    """Number, 0 to 15."""
    kind: int
    """1 digital indicator, 2 analogue probe, 3 temperature, 4 other (recorded only)."""
    sign: int
    """0: tip pushed in reads more; 1: it reads less."""
    scale_num: int
    scale_den: int
    """raw x num / den = nanometres (kinds 1, 2) or thousandths of a degree C (kind 3)."""
    raw_min: int
    raw_max: int
    """Lowest and highest raw value the gauge can give."""
    name: str
    """At most 72 characters of ASCII."""

    @property
    def is_length(self) -> bool:
        """True for a gauge of length; the values of others are recorded only."""
        return self.kind in (1, 2)

    def scales_as(self, other: "Channel") -> bool:
        """Tell whether a raw value means the same length on both."""
        same_step = self.scale_num * other.scale_den == other.scale_num * self.scale_den
        return same_step and bool(self.sign) == bool(other.sign) and self.is_length == other.is_length

    def encode(self) -> bytes:
        """Return the body."""
        name = ascii_bytes(self.name, MAX_NAME)
        head = pack(
            CHANNEL_LAYOUT,
            *(TYPE_CHANNEL, self.channel, self.seq, self.t_us, self.kind, self.sign, len(name)),
            *(self.scale_num, self.scale_den, self.raw_min, self.raw_max),
        )
        return head + name


@dataclass(frozen=True, slots=True)
class Sample:
    """One reading of one channel, latched together with the count."""

    seq: int
    t_us: int
    flags: int
    """As sent: channel in bits 0 to 3, then the ``FLAG_`` names."""
    count: int
    """Encoder count, signed 32 bits, wraps."""
    value: int
    """Raw reading, signed 32 bits."""

    @property
    def channel(self) -> int:
        """Number of the channel, 0 to 15."""
        return self.flags & 0x0F

    @property
    def out_of_range(self) -> bool:
        """True if the gauge was beyond its range."""
        return bool(self.flags & FLAG_OUT_OF_RANGE)

    @property
    def held(self) -> bool:
        """True if this is the last value again, the gauge gave no new one."""
        return bool(self.flags & FLAG_HELD)

    @property
    def index_since(self) -> bool:
        """True if the index pulse passed since the sample before."""
        return bool(self.flags & FLAG_INDEX)

    @property
    def encoder_error(self) -> bool:
        """True if the encoder made an impossible step since the sample before."""
        return bool(self.flags & FLAG_ENCODER)

    def encode(self) -> bytes:
        """Return the body."""
        return pack(SAMPLE_LAYOUT, TYPE_SAMPLE, self.flags, self.seq, self.t_us, self.count, self.value)


@dataclass(frozen=True, slots=True)
class Batch:
    """Up to 28 evenly timed samples of one channel in one frame."""

    seq: int
    t_us: int
    """Latch of the first sample."""
    flags: int
    """As in Sample; a flag is set if it is true of any of the samples."""
    count0: int
    """Count from which the first difference is taken."""
    dt_us: int
    """Microseconds from sample to sample."""
    dcounts: tuple[int, ...]
    """Count of each sample less that of the one before, -128 to 127."""
    values: tuple[int, ...]
    """Raw readings, signed 16 bits."""

    @property
    def channel(self) -> int:
        """Number of the channel, 0 to 15."""
        return self.flags & 0x0F

    def expand(self) -> list[Sample]:
        """Return the samples one by one, times and counts wrapped as on the wire."""
        counts = list(accumulate(self.dcounts, initial=self.count0))[1:]
        return [
            Sample(self.seq, (self.t_us + i * self.dt_us) & U32, self.flags, wrap_i32(count), value)
            for i, (count, value) in enumerate(zip(counts, self.values, strict=True))
        ]

    def encode(self) -> bytes:
        """Return the body."""
        n = len(self.values)
        if not 1 <= n <= MAX_BATCH or len(self.dcounts) != n:
            raise ValueError(
                f"found {len(self.dcounts)} count steps and {n} values, expected 1 to {MAX_BATCH} of each"
            )
        head = pack(BATCH_LAYOUT, TYPE_BATCH, self.flags, self.seq, self.t_us, self.count0, n, self.dt_us, 0)
        pairs = (number for pair in zip(self.dcounts, self.values, strict=True) for number in pair)
        return head + pack(PAIRS_OF_BATCH[n], *pairs)


@dataclass(frozen=True, slots=True)
class Index:
    """The index pulse passed."""

    seq: int
    t_us: int
    count: int
    """Count at the pulse."""
    turns: int
    """Signed: one more for each pulse forward, one less for each back."""

    def encode(self) -> bytes:
        """Return the body."""
        return pack(INDEX_LAYOUT, TYPE_INDEX, 0, self.seq, self.t_us, self.count, self.turns)


@dataclass(frozen=True, slots=True)
class Button:
    """A button was pressed or let go; time and count are of the press."""

    seq: int
    t_us: int
    count: int
    button: int
    """Number printed beside it, from 1."""
    down: int
    """1 = pressed; nothing else counts."""

    def encode(self) -> bytes:
        """Return the body."""
        return pack(BUTTON_LAYOUT, TYPE_BUTTON, 0, self.seq, self.t_us, self.count, self.button, self.down, 0)


@dataclass(frozen=True, slots=True)
class Heartbeat:
    """Sent every 500 ms, always: the count and what the board has to own up to (u16 counters that wrap)."""

    seq: int
    t_us: int
    streaming: bool
    count: int
    dropped: int
    """Samples the board was too busy to send."""
    enc_errors: int
    """Impossible encoder steps: the angle can no longer be trusted."""
    word_errors: int
    """Words of the gauge that did not check."""
    rx_errors: int
    """Command lines the board could not read."""
    turns: int
    """As in Index."""

    def encode(self) -> bytes:
        """Return the body."""
        return pack(
            HEARTBEAT_LAYOUT,
            *(TYPE_HEARTBEAT, int(self.streaming), self.seq, self.t_us, self.count, self.dropped),
            *(self.enc_errors, self.word_errors, self.rx_errors, self.turns),
        )


@dataclass(frozen=True, slots=True)
class Reply:
    """The board did what a command asked; ``logger.wire.board_commands`` reads the text."""

    seq: int
    t_us: int
    text: str
    """At most 64 characters of ASCII."""

    def encode(self) -> bytes:
        """Return the body."""
        return pack(HEADER_LAYOUT, TYPE_REPLY, 0, self.seq, self.t_us) + ascii_bytes(self.text, MAX_TEXT)


@dataclass(frozen=True, slots=True)
class BoardError:
    """The board refused a command, or has something to complain of."""

    seq: int
    t_us: int
    text: str
    """At most 64 characters of ASCII."""

    def encode(self) -> bytes:
        """Return the body."""
        return pack(HEADER_LAYOUT, TYPE_ERROR, 0, self.seq, self.t_us) + ascii_bytes(self.text, MAX_TEXT)


@dataclass(frozen=True, slots=True)
class Unknown:
    """A good frame of a type this version does not know; what it holds is not kept."""

    seq: int
    t_us: int
    type: int

    def encode(self) -> bytes:
        """Return a body of the header alone; ValueError for a type that is known."""
        if self.type in TYPES:
            raise ValueError(f"found type {self.type:#04x}, expected one that wire version 1 does not know")
        return pack(HEADER_LAYOUT, self.type, 0, self.seq, self.t_us)


Message = Hello | Channel | Sample | Batch | Index | Button | Heartbeat | Reply | BoardError | Unknown
