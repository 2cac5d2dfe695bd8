"""Write recording_format_1.mcap, once: the format of version 0.1.0, kept to be readable for ever.

Never run again for that file: it is the promise, this script only tells what is in it. Everything is
spelled out here, so that no later change of a test helper changes what was meant.
"""

import sys
from pathlib import Path

from analysis.capture.events import MarkTouched
from analysis.setup import MarkSide
from logger.recording import RecordingWriter
from logger.stream import HostTime, LinkBytes, RecordedEvent, SetupChange
from logger.wire.framing import encode_frame
from logger.wire.messages import Hello, Sample

WALL_NS, MONOTONIC_NS = 1_700_000_000_000_000_000, 7_000_000


def at(ms: int) -> HostTime:
    """Return both clocks some milliseconds after the start."""
    return HostTime(WALL_NS + ms * 1_000_000, MONOTONIC_NS + ms * 1_000_000)


def main(path: str) -> None:
    """Write the file."""
    with RecordingWriter(
        Path(path),
        setup={"part": "rotor 3", "limit": "0.05 mm", "surface": "face"},
        recording_id="5f0c0e9e-6f0e-4c6a-9f5f-0d9a2f1b7c11",
        started="2024-03-01T09:30:00Z",
        version="0.1.0",
        clock=lambda: at(0),
        encodings={1: "lines"},
    ) as writer:
        hello = Hello(0, 0, 1, 1, 0, 5, 0x51AB0001, 2400, 1000, 1000, 1, 1, 7, 20000)
        writer.link_bytes(LinkBytes(at(0), b"\0" + encode_frame(hello.encode())))
        for k in range(1, 9):
            sample = Sample(k, 25_000 * k, 0, 300 * k, 10 * k - 40)
            writer.link_bytes(LinkBytes(at(25 * k), encode_frame(sample.encode())))
            if k == 4:
                writer.event(RecordedEvent(at(101), MarkTouched(MarkSide.PART, 1200)))
                writer.setup(SetupChange(at(101), {"part": "rotor 3", "stage": "as left"}))
        writer.link_bytes(LinkBytes(at(210), b"21.5 C\n", link=1))


if __name__ == "__main__":
    main(sys.argv[1])
