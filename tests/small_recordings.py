"""Small recordings for tests: a board's frames over a few simulated seconds, with events and set-ups."""

from collections.abc import Iterable, Mapping
from pathlib import Path

from analysis.capture.events import MarkTouched, SweepBroken
from analysis.setup import MarkSide
from logger.recording import RecordingWriter
from logger.stream import HostTime, Item, LinkBytes, RecordedEvent, SetupChange
from logger.wire.framing import encode_frame
from logger.wire.messages import Heartbeat, Hello, Sample

WALL_NS = 1_700_000_000_000_000_000
SETUP = {"part": "rotor 3", "limit": "0.05 mm", "surface": "face"}
RECORDING_ID = "5f0c0e9e-6f0e-4c6a-9f5f-0d9a2f1b7c11"
STARTED = "2024-03-01T09:30:00Z"


def host(ms: float) -> HostTime:
    """Return the host's clocks some milliseconds after the start of the bench."""
    return HostTime(WALL_NS + round(ms * 1e6), 7_000_000 + round(ms * 1e6))


def hello(seq: int, t_us: int, boot_id: int = 7) -> bytes:
    """Return the frame of a hello, with the extra zero that goes before it."""
    body = Hello(seq, t_us, 1, 1, 0, 5, 0x51AB0001, 2400, 1000, 1000, 1, 1, boot_id, 20000).encode()
    return b"\x00" + encode_frame(body)


def sample(seq: int, t_us: int, count: int = 0, value: int = 0) -> bytes:
    """Return the frame of a sample on channel 0."""
    return encode_frame(Sample(seq & 0xFFFF, t_us & 0xFFFFFFFF, 0, count, value).encode())


def heartbeat(seq: int, t_us: int) -> bytes:
    """Return the frame of a heartbeat."""
    return encode_frame(Heartbeat(seq & 0xFFFF, t_us & 0xFFFFFFFF, 1, 0, 0, 0, 0, 0, 0).encode())


def bench_items(reads: int = 30) -> list[Item]:
    """Return what a short session yields: a hello, reads of four samples 25 ms apart, events, a set-up."""
    items: list[Item] = [LinkBytes(host(0), hello(0, 0))]
    seq = 1
    for k in range(1, reads):
        data = b""
        for i in range(4):
            data += sample(seq, 25_000 * k + 5_000 * i, count=seq * 3, value=seq * 7 - 40)
            seq += 1
        items.append(LinkBytes(host(25 * k), data))
        if k == 5:
            items.append(RecordedEvent(host(25 * k + 1), MarkTouched(MarkSide.PART, 57)))
        if k == 12:
            items.append(SetupChange(items[-1].host, {**SETUP, "stage": "as left"}))
        if k == 20:
            items.append(RecordedEvent(host(25 * k + 2), SweepBroken("Späne, \u2300 3 mm")))
    return items


def write(
    path: Path,
    items: Iterable[Item],
    *,
    setup: Mapping[str, str] = SETUP,
    encodings: Mapping[int, str] | None = None,
    close: bool = True,
) -> Path:
    """Write items to a new recording; without ``close`` it is left as a process that died leaves it."""
    writer = RecordingWriter(
        path,
        setup=setup,
        recording_id=RECORDING_ID,
        started=STARTED,
        version="0.1.0",
        clock=lambda: host(0),
        encodings=encodings,
        fsync=lambda _: None,
    )
    put(writer, items)
    if close:
        writer.close()
    else:
        writer.flush()
        writer._file.close()  # the end of a process closes the file and writes nothing more
    return path


def put(writer: RecordingWriter, items: Iterable[Item]) -> None:
    """Hand items to a writer, each to its own method."""
    for item in items:
        if isinstance(item, LinkBytes):
            writer.link_bytes(item)
        elif isinstance(item, RecordedEvent):
            writer.event(item)
        else:
            writer.setup(item)


def bytes_of(items: Iterable[Item], link: int = 0) -> bytes:
    """Return all bytes of one link, joined."""
    return b"".join(item.data for item in items if isinstance(item, LinkBytes) and item.link == link)
