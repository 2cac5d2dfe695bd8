"""How the fields of a body lie, wire version 1: types, flags, sizes and layouts of every message."""

import struct

from logger.wire.framing import MAX_BODY

WIRE_VERSION = 1
MAX_CHANNELS = 16
MAX_BATCH = 28
MAX_TEXT = 64
MAX_NAME = MAX_BODY - 28
U32 = 0xFFFFFFFF
I32_MIN = -(1 << 31)

KIND_DIGITAL, KIND_ANALOGUE, KIND_TEMPERATURE, KIND_OTHER = 1, 2, 3, 4

CAP_DIGITAL, CAP_ANALOGUE, CAP_INDEX, CAP_BATCH, CAP_TEXT, CAP_BUTTON, CAP_BUZZER = (1 << b for b in range(7))

FLAG_OUT_OF_RANGE, FLAG_HELD, FLAG_INDEX, FLAG_ENCODER = 0x10, 0x20, 0x40, 0x80

HEADER_LAYOUT = struct.Struct("<BBHI")
HELLO_LAYOUT = struct.Struct("<BBHI BBHIIIHBBII")
CHANNEL_LAYOUT = struct.Struct("<BBHI BBHiIii")
SAMPLE_LAYOUT = struct.Struct("<BBHI ii")
BATCH_LAYOUT = struct.Struct("<BBHI iBHB")
INDEX_LAYOUT = struct.Struct("<BBHI ii")
BUTTON_LAYOUT = struct.Struct("<BBHI iBBH")
HEARTBEAT_LAYOUT = struct.Struct("<BBHI iHHHHi")

TYPES = b"HCSBXKPRE"
"""Every type that version 1 knows."""
TYPE_HELLO, TYPE_CHANNEL, TYPE_SAMPLE, TYPE_BATCH, TYPE_INDEX = TYPES[:5]
TYPE_BUTTON, TYPE_HEARTBEAT, TYPE_REPLY, TYPE_ERROR = TYPES[5:]

PAIRS_OF_BATCH = {n: struct.Struct("<" + "bh" * n) for n in range(1, MAX_BATCH + 1)}


def wrap_i32(number: int) -> int:
    """Return an integer of any size as signed 32 bits hold it."""
    return ((number - I32_MIN) & U32) + I32_MIN


def printable(data: bytes) -> str:
    """Return device text with everything outside printable ASCII replaced by ``?``."""
    return "".join(chr(byte) if 0x20 <= byte < 0x7F else "?" for byte in data)


def pack(layout: struct.Struct, *numbers: int) -> bytes:
    """Return numbers as a layout has them; ValueError if one does not fit."""
    try:
        return layout.pack(*numbers)
    except struct.error as wrong:
        raise ValueError(f"found a number that does not fit its field: {wrong}") from wrong


def ascii_bytes(text: str, most: int) -> bytes:
    """Return a text as ASCII; ValueError if it is none or longer than ``most``."""
    data = text.encode("ascii")
    if len(data) > most:
        raise ValueError(f"found a text of {len(data)} characters, expected at most {most}")
    return data
