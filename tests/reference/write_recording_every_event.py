"""Write recording_every_event.mcap, once: every kind of event with every field it can have, in format 1.

Never run again for that file: it is the promise, this script only tells what is in it. Nothing of the project
is imported and everything is spelled out here, so that no later change of the project changes what was meant.
"""

import binascii
import json
import struct
import sys
import zlib

from mcap.writer import CompressionType, Writer

WALL_NS, MONOTONIC_NS = 1_700_000_000_000_000_000, 7_000_000
ORIGIN = {
    "recording_id": "0b6f4c1e-3c53-4c5b-8a57-2f0f6a4f9e21",
    "started": "2024-03-01T09:30:00Z",
    "fullturn": "0.1.0",
    "format": "1",
}
SETUP = {"part": "rotor 3", "limit": "0.05 mm", "surface": "face", "colour": "red"}
LATER = {"part": "rotor 3", "stage": "as left"}

EVENTS = (
    {"event": "mark", "on": "part", "count": 1200},
    {"event": "mark", "on": "arbor", "count": -7},
    {"event": "mark-undone", "on": "arbor"},
    {"event": "count-zero"},
    {"event": "stop"},
    {"event": "stop", "count": 300, "t_us": 1_234_567},
    {"event": "button", "button": 2, "count": 310},
    {"event": "push"},
    {"event": "pull"},
    {"event": "gap", "why": "lost"},
    {"event": "gap", "why": "stalled"},
    {"event": "gap", "why": "unplugged", "link": 1},
    {"event": "reopened"},
    {"event": "reopened", "port": "/dev/ttyACM1", "link": 1},
    {"event": "restart", "boot_id": 8},
    {"event": "reading-zero", "reading_mm": -0.125},
    {"event": "ends-cleared"},
    {"event": "ends-restored", "high": [0.075, 50.3], "low": [-0.071, None]},
    {"event": "ends-restored", "high": None, "low": None},
    {"event": "star", "turn": 0, "from_s": 0.5, "to_s": 8.25},
    {"event": "star-undone", "turn": 0},
    {"event": "left-out", "id": 1, "turn": 2, "from_s": 16.5, "to_s": 24.0, "reason": "Späne, \u2300 3 mm"},
    {"event": "left-out", "id": 2, "from_deg": 350.0, "to_deg": 10.0, "reason": "keyway"},
    {"event": "left-out-undone", "id": 2},
    {"event": "sweep-broken", "why": "somebody pressed zero on the indicator"},
    {"event": "named", "name": "rotor-3-as-found.mcap"},
    {"event": "sweep-begun", "id": "a1", "step": "as-found", "attempt": 1},
    {"event": "sweep-taken", "id": "a1", "step": "as-found", "attempt": 1,
     "from_turn": 0, "to_turn": 2, "from_s": 0.5, "to_s": 24.0},
    {"event": "sweep-taken", "id": "e1", "step": "end-float", "attempt": 1},
    {"event": "end-float", "float_mm": 0.21},
    {"event": "still", "state": "clear", "text": "noise 0.0004 mm, crept 0.0000 mm in 5 s"},
    {"event": "tap", "state": "doubtful", "text": "comes back to +0.0050 mm"},
    {"event": "lift", "state": "clear", "text": "comes back to +0.0000 mm"},
    {"event": "sense", "state": "refused", "text": "pushed in reads -0.200 mm: high and low would be exchanged"},
    {"event": "shim", "state": "clear", "text": "a shim of 0.0500 mm reads 0.0501 mm"},
    {"event": "learn", "count": 2400},
    {"event": "typed", "readings": "0:0 90:+3 180:-2 270:+3 thou"},
    {"event": "of-another-sender", "celsius": 21.5, "nested": {"kept": [True, None, "as it is"]}},
    {"event": "mark", "on": "part"},
)  # fmt: skip
"""In the order of the file. The last two mean nothing here: a word nobody knows, and a mark without its count."""


def frame(body: bytes) -> bytes:
    """Return a frame of the wire: CRC-16 behind the body, byte-stuffed, ended by a zero."""
    stuffed, block = bytearray(), bytearray()
    for byte in body + struct.pack("<H", binascii.crc_hqx(body, 0xFFFF)):
        if byte:
            block.append(byte)
        else:
            stuffed += bytes([len(block) + 1]) + block
            block.clear()
    return bytes(stuffed + bytes([len(block) + 1]) + block + b"\0")


def hello(seq: int, boot_id: int) -> bytes:
    """Return a board that says who it is: 2400 counts a turn, one channel."""
    head = struct.pack("<cBHI", b"H", 1, seq, 0)
    rest = (1, 0, 5, 0x51AB0001, 2400, 1000, 1000, 1, 1, boot_id, 20000)
    return b"\0" + frame(head + struct.pack("<BBHIIIHBBII", *rest))


def sample(seq: int) -> bytes:
    """Return a sample, 25 ms after the one before."""
    return frame(struct.pack("<cBHIii", b"S", 0, seq, 25_000 * seq, 30 * seq, 10 * seq - 40))


def metadata(writer: Writer, name: str, text: dict[str, str]) -> None:
    """Write text to text with its checksum."""
    lines = "".join(f"{key}={text[key]}\n" for key in sorted(text))
    writer.add_metadata(name, {**text, "crc32": f"{zlib.crc32(lines.encode()):08x}"})


def main(path: str) -> None:
    """Write the file."""
    with open(path, "xb") as file:
        writer = Writer(file, compression=CompressionType.NONE, use_chunking=False, enable_data_crcs=True)
        writer.start("fullturn", "fullturn 0.1.0 (sequence = crc32)")
        metadata(writer, "origin", ORIGIN)
        metadata(writer, "setup", SETUP)
        channels = {}
        for topic, encoding in (("events", "json"), ("link/0", "cobs-crc16-v1"), ("link/1", "lines")):
            channel = writer.register_channel(topic, encoding, 0, {"sequence": "crc32"})
            channels[topic] = channel, zlib.crc32(f"{topic} {encoding}\n".encode())
            writer.flush()

        def message(topic: str, ms: int, data: bytes) -> None:
            channel, seed = channels[topic]
            times = WALL_NS + ms * 1_000_000, MONOTONIC_NS + ms * 1_000_000
            check = zlib.crc32(data, zlib.crc32(struct.pack("<HQQ", channel, *times), seed))
            writer.add_message(channel, times[0], data, times[1], check)

        message("link/0", 0, hello(0, 7))
        for k, event in enumerate(EVENTS, 1):
            message("link/0", 25 * k, hello(k, 8) if event["event"] == "restart" else sample(k))
            text = json.dumps(event, separators=(",", ":"), ensure_ascii=False)
            message("events", 25 * k + 1, text.encode())
            if event["event"] == "end-float":
                metadata(writer, "setup", LATER)
        message("link/1", 25 * len(EVENTS) + 30, b"21.5 C\n")
        writer.finish()


if __name__ == "__main__":
    main(sys.argv[1])
