"""Frames whose bytes are known, a slow plain reader to judge the fast ones, and streams to try them on.

The case table drives encoder and decoder alike. The first eight frames came with the layout, made by an
implementation that shares nothing with the package; of the others the body was spelled out by hand from the
layout and the frame made by the plain code below, which shares nothing with it either.
tests/reference/wire_vectors.csv holds the same frames for the firmware.
"""

import csv
import random
from collections.abc import Iterator
from dataclasses import fields
from pathlib import Path
from typing import NamedTuple

from logger.wire.bulk import Decoded
from logger.wire.framing import encode_frame
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
from logger.wire.parsing import parse_body

VECTORS = Path(__file__).parent / "reference" / "wire_vectors.csv"

Row = tuple[object, ...]


class Case(NamedTuple):
    """One frame: its name, its bytes on the wire in hex, and the message in it."""

    name: str
    frame: str
    message: Message


CASES = [
    Case(
        "hello",
        "034801010440420f02010205020105ab5160090103e80301010104010107010103204e0103d6ba00",
        Hello(0, 1000000, 1, 1, 0, 5, 0x51AB0001, 2400, 1000, 0, 1, 1, 7, 20000),
    ),
    Case(
        "hello_1000_hz",
        "034801010440420f02010205020105ab5160090103e8030106e803010107010103204e0103c5c000",
        Hello(0, 1000000, 1, 1, 0, 5, 0x51AB0001, 2400, 1000, 1000, 1, 1, 7, 20000),
    ),
    Case(
        "channel",
        "02430201010101010201020903e803010201010101010102c001010d40696e64696361746f728bb800",
        Channel(1, 0, 0, 1, 0, 1000, 1, -(2**30), 2**30, "indicator"),
    ),
    Case("sample", "0253020204bb420f08fbffffff7011010342b100", Sample(2, 1000123, 0, -5, 70000)),
    Case("sample_held", "0453200304bb420f010101010101010103636200", Sample(3, 1000123, 0x20, 0, 0)),
    Case("index", "025802040480841e036009010201010103e62600", Index(4, 2000000, 2400, 1)),
    Case(
        "heartbeat",
        "0450010504a025260360090101010101010101010201010103cb9b00",
        Heartbeat(5, 2500000, True, 2400, 0, 0, 0, 0, 1),
    ),
    Case("button", "024b02060440ac2703d204010301010103220500", Button(6, 2600000, 1234, 1, 1)),
    Case(
        "batch_of_three",
        "0442210704c0c62d03e803010403f4010301640108feffff2c01367e00",
        Batch(7, 3000000, 0x21, 1000, 500, (1, 0, -1), (100, -2, 300)),
    ),
    Case(
        "reply", "025202080440420f1137206f6b2072617465203130303084bb00", Reply(8, 1000000, "7 ok rate 1000")
    ),
    Case("error", "024502090440420f0e37206572722072616e6765489300", BoardError(9, 1000000, "7 err range")),
    Case("unknown_type", "025a020a0440420f034be000", Unknown(10, 1000000, 0x5A)),
]
"""Every type of frame, at least once."""

BODIES = {
    "batch_of_three": "42 21 0700 c0c62d00  e8030000 03 f401 00  01 6400  00 feff  ff 2c01",
    "reply": "52 00 0800 40420f00  37 20 6f6b 20 72617465 20 31303030",
    "error": "45 00 0900 40420f00  37 20 657272 20 72616e6765",
    "unknown_type": "5a 00 0a00 40420f00",
}
"""Bodies spelled out by hand: type, flags, seq, t_us, then the fields."""

IMPOSSIBLE = {
    "hello one byte short": "48 01 0000 00000000" + "00" * 27,
    "hello one byte long": "48 01 0000 00000000" + "00" * 29,
    "hello of version 0": "48 00 0000 00000000" + "00" * 28,
    "hello with 17 channels": "48 01 0000 00000000" + "00" * 18 + "11" + "00" * 9,
    "channel cut before its name": "43 00 0000 00000000  01 00 0000 01000000 01000000 00000000 000000",
    "channel whose name is shorter than it says": "43 00 0000 00000000  01 00 0200 01000000 01000000"
    "00000000 01000000 61",
    "channel whose name is longer than it says": "43 00 0000 00000000  01 00 0000 01000000 01000000"
    "00000000 01000000 61",
    "channel number 16": "43 10 0000 00000000  01 00 0000 01000000 01000000 00000000 01000000",
    "channel of kind 0": "43 00 0000 00000000  00 00 0000 01000000 01000000 00000000 01000000",
    "channel of kind 5": "43 00 0000 00000000  05 00 0000 01000000 01000000 00000000 01000000",
    "channel of sign 2": "43 00 0000 00000000  01 02 0000 01000000 01000000 00000000 01000000",
    "channel whose scale is 0": "43 00 0000 00000000  01 00 0000 00000000 01000000 00000000 01000000",
    "channel whose scale divides by 0": "43 00 0000 00000000  02 00 0000 01000000 00000000 00000000 01000000",
    "channel whose range is turned round": "43 00 0000 00000000  01 00 0000 01000000 01000000"
    "01000000 00000000",
    "sample one byte short": "53 00 0000 00000000 00000000 000000",
    "sample one byte long": "53 00 0000 00000000 00000000 00000000 00",
    "sample of a header only": "53 00 0000 00000000",
    "batch of none": "42 00 0000 00000000  00000000 00 0100 00",
    "batch of one that says two": "42 00 0000 00000000  00000000 02 0100 00  00 0000",
    "batch of two that says one": "42 00 0000 00000000  00000000 01 0100 00  00 0000 00 0000",
    "batch of 29": "42 00 0000 00000000  00000000 1d 0100 00" + "00 0000" * 28,
    "batch with half a sample": "42 00 0000 00000000  00000000 01 0100 00  00 00",
    "batch of a header only": "42 00 0000 00000000",
    "index one byte short": "58 00 0000 00000000 00000000 000000",
    "button one byte long": "4b 00 0000 00000000 00000000 01 01 0000 00",
    "heartbeat one byte short": "50 01 0000 00000000" + "00" * 15,
    "reply of 65 characters": "52 00 0000 00000000" + "61" * 65,
    "error of 65 characters": "45 00 0000 00000000" + "61" * 65,
}
"""Bodies of known types that cannot be: bad frames although their crc is right."""


def plain_crc16(data: bytes) -> int:
    """Return the crc16 bit by bit: polynomial 0x1021, start 0xFFFF, highest bit first."""
    crc = 0xFFFF
    for byte in data:
        crc ^= byte << 8
        for _ in range(8):
            crc = ((crc << 1) ^ 0x1021 if crc & 0x8000 else crc << 1) & 0xFFFF
    return crc


def plain_frame(body: bytes) -> bytes:
    """Return the frame of a body shorter than 252 bytes: each zero becomes the distance to the next."""
    crc = plain_crc16(body)
    data = [*body, crc % 256, crc // 256, 0]
    out = []
    start = 0
    for place, byte in enumerate(data):
        if byte == 0:
            out += [place - start + 1, *data[start:place]]
            start = place + 1
    return bytes([*out, 0])


def plain_open(run: list[int]) -> bytes | None:
    """Return the body of one run, or None, by the words of the layout."""
    data: list[int] = []
    left = run[0] - 1
    for byte in run[1:]:
        if left == 0:
            data.append(0)
            left = byte - 1
        else:
            data.append(byte)
            left -= 1
    body, crc = bytes(data[:-2]), data[-2:]
    if left or not 8 <= len(body) <= 100:
        return None
    return body if crc[0] + 256 * crc[1] == plain_crc16(body) else None


class PlainDecoder:
    """The judge: one byte after another, nothing clever."""

    def __init__(self) -> None:
        self.frames = self.bad = 0
        self._run: list[int] = []
        self._too_long = False

    @property
    def pending(self) -> int:
        """Bytes held."""
        return len(self._run)

    def feed(self, data: bytes) -> list[Message]:
        """Take bytes, return messages."""
        messages = []
        for byte in data:
            if byte != 0:
                if not self._too_long:
                    self._run.append(byte)
                if len(self._run) > 103:
                    self.bad += 1
                    self._too_long = True
                    self._run = []
                continue
            if self._run:
                body = plain_open(self._run)
                message = None if body is None else parse_body(body)
                if message is None:
                    self.bad += 1
                else:
                    self.frames += 1
                    messages.append(message)
            self._run = []
            self._too_long = False
        return messages


def rows_of_messages(messages: list[Message]) -> list[Row]:
    """Return messages as rows that can be compared with those of ``rows_of_decoded``."""
    rows: list[Row] = []
    for ordinal, message in enumerate(messages):
        if isinstance(message, Sample | Batch):
            kind, samples = ("S", [message]) if isinstance(message, Sample) else ("B", message.expand())
            rows += [(ordinal, kind, s.seq, s.t_us, s.flags, s.count, s.value) for s in samples]
        else:
            rows.append((ordinal, message))
    return rows


def rows_of_decoded(decoded: Decoded) -> list[Row]:
    """Return what a call of the bulk decoder found, in the order of the frames."""
    rows: list[Row] = [
        (
            int(s["ordinal"]),
            chr(s["type"]),
            *(int(s[name]) for name in ("seq", "t_us", "flags", "count", "value")),
        )
        for s in decoded.samples
    ]
    assert [row[0] for row in rows] == sorted(int(s["ordinal"]) for s in decoded.samples)
    assert [ordinal for ordinal, _ in decoded.others] == sorted(ordinal for ordinal, _ in decoded.others)
    return sorted([*rows, *decoded.others], key=lambda row: int(str(row[0])))


def random_message(rng: random.Random, seq: int) -> Message:
    """Return a message of any type, samples more often than others."""
    t_us, count = rng.randrange(2**32), rng.randrange(-(2**31), 2**31)
    n = rng.randrange(1, 29)
    u16 = [rng.randrange(2**16) for _ in range(4)]
    text = "".join(rng.choice("abc 0129") for _ in range(rng.randrange(65)))
    sample = Sample(
        seq, t_us, rng.randrange(256), count, rng.choice([0, 1, -1, rng.randrange(-(2**31), 2**31)])
    )
    steps = tuple(rng.randrange(-128, 128) for _ in range(n))
    values = tuple(rng.randrange(-(2**15), 2**15) for _ in range(n))
    messages: list[Message] = [
        *[sample] * 6,
        *[Batch(seq, t_us, rng.randrange(256), count, u16[0], steps, values)] * 2,
        Hello(seq, t_us, 1, 1, 2, u16[0], t_us, count & 0xFFFF, 1000, u16[1], n % 17, 1, t_us, 9),
        Channel(seq, t_us, n % 16, 1 + n % 4, n % 2, 1000, 1, -5, 5, text[:20]),
        Index(seq, t_us, count, -n),
        Button(seq, t_us, count, 1, n % 2),
        Heartbeat(seq, t_us, bool(n % 2), count, u16[0], u16[1], u16[2], u16[3], n),
        Reply(seq, t_us, text),
        BoardError(seq, t_us, text),
        Unknown(seq, t_us, rng.choice(b"az\x01\xff")),
    ]
    return rng.choice(messages)


def random_messages(seed: int, n: int) -> list[Message]:
    """Return n messages whose seq counts on and wraps."""
    rng = random.Random(seed)
    return [random_message(rng, (65530 + i) & 0xFFFF) for i in range(n)]


def stream_of(messages: list[Message]) -> bytes:
    """Return the frames of messages, one after another."""
    return b"".join(encode_frame(message.encode()) for message in messages)


def vector_rows() -> Iterator[tuple[str, str, str]]:
    """Return the rows of the vector file as the case table has them."""
    for case in CASES:
        texts = []
        for field in fields(case.message):
            value = getattr(case.message, field.name)
            shown = " ".join(map(str, value)) if isinstance(value, tuple) else str(value)
            texts.append(f"{field.name}={int(value) if isinstance(value, bool) else shown}")
        yield case.name, case.frame, ";".join([f"type={type(case.message).__name__}", *texts])


def read_vectors() -> list[tuple[str, str, str]]:
    """Return the rows of the vector file."""
    with VECTORS.open(newline="") as file:
        file.readline()  # where they come from
        return [(row["name"], row["hex"], row["fields"]) for row in csv.DictReader(file)]
