"""How fast the two decoders of the wire are, as ratios within one run; asserts nothing.

Run from the top folder: python -m tests.benchmarks.bench_wire [FRAMES]. Every way of reading
goes over the same stream in turn, and the least processor time of several rounds counts: on a shared machine
only the ratios in one table mean anything.
"""

import random
import sys
import time
from collections.abc import Callable
from io import BytesIO

import numpy as np

from logger.wire.bulk import BulkDecoder
from logger.wire.framing import FrameDecoder, encode_frame
from logger.wire.messages import Batch, Button, Heartbeat, Index, Message, Sample
from logger.wire.parsing import MessageDecoder

ROUNDS = 5
PIECE = 4096
BULK_PIECE = 4 << 20


def samples(n: int) -> list[Message]:
    """Return n samples as a board sends them at 1000 a second."""
    rng = random.Random(1)
    return [
        Sample(i & 0xFFFF, 1000 * i & 0xFFFFFFFF, rng.choice((0, 0, 0x20)), i, rng.randrange(-500, 500))
        for i in range(n)
    ]


def mixed(n: int) -> list[Message]:
    """Return n frames, a heartbeat in each 500, an index pulse in each 600, a button now and then."""
    stream = samples(n)
    for i, t_us in ((i, 1000 * i & 0xFFFFFFFF) for i in range(n)):
        if i % 500 == 0:
            stream[i] = Heartbeat(i & 0xFFFF, t_us, True, i, 0, 0, 0, 0, i // 600)
        elif i % 600 == 1:
            stream[i] = Index(i & 0xFFFF, t_us, i, i // 600)
        elif i % 20_000 == 2:
            stream[i] = Button(i & 0xFFFF, t_us, i, 1, 1)
    return stream


def batches(n: int) -> list[Message]:
    """Return n batches of 28 samples."""
    rng = random.Random(2)
    return [
        Batch(
            *(i & 0xFFFF, 28_000 * i & 0xFFFFFFFF, 0, 28 * i, 1000, (1,) * 28),
            tuple(rng.randrange(-500, 500) for _ in range(28)),
        )
        for i in range(n)
    ]


def in_pieces(feed: Callable[[bytes], object], data: bytes, piece: int) -> None:
    """Feed data in pieces."""
    for start in range(0, len(data), piece):
        feed(data[start : start + piece])


def read_as_text(text: bytes) -> float:
    """Read the same readings as text, the way a first script would: a line, its float."""
    lines = BytesIO(text)
    total = 0.0
    while line := lines.readline():
        total += float(line)
    return total


def fastest(ways: dict[str, Callable[[], object]]) -> dict[str, float]:
    """Return the least processor seconds of several rounds of each way, taken in turn."""
    best = dict.fromkeys(ways, float("inf"))
    for _ in range(ROUNDS):
        for name, read in ways.items():
            began = time.process_time()
            read()
            best[name] = min(best[name], time.process_time() - began)
    return best


def table(title: str, messages: list[Message]) -> None:
    """Print one stream's table."""
    data = b"".join(encode_frame(message.encode()) for message in messages)
    damaged = bytearray(data)
    for place in random.Random(3).sample(range(len(data)), len(data) // 2000):
        damaged[place] ^= 0x10
    lost = bytes(damaged)
    raw = np.frombuffer(data, np.uint8)
    readings = [m.value for m in messages if isinstance(m, Sample)]
    readings += [value for m in messages if isinstance(m, Batch) for value in m.values]
    text = b"".join(b"%.3f\n" % (value / 1000) for value in readings)
    seconds = fastest(
        {
            "live: frames and messages": lambda: in_pieces(MessageDecoder().feed, data, PIECE),
            "live: frames alone": lambda: in_pieces(FrameDecoder().feed, data, PIECE),
            "bulk": lambda: in_pieces(BulkDecoder().feed, data, BULK_PIECE),
            "bulk, one byte in 2000 damaged": lambda: in_pieces(BulkDecoder().feed, lost, BULK_PIECE),
            "one pass of memory (sum)": lambda: int(raw.sum()),
            "readline and float, same readings": lambda: read_as_text(text),
        }
    )
    live = seconds["live: frames and messages"]
    print(f"\n{title}: {len(messages)} frames, {len(readings)} readings, {len(data) / 1e6:.1f} MB")
    print(f"{'':36}{'ns/frame':>10}{'M frames/s':>12}{'M readings/s':>14}{'x live':>9}")
    for name, least_s in seconds.items():
        print(
            f"{name:36}{least_s / len(messages) * 1e9:10.1f}{len(messages) / least_s / 1e6:12.2f}"
            f"{len(readings) / least_s / 1e6:14.2f}{live / least_s:9.1f}"
        )


def main() -> None:
    """Print all tables."""
    n = int(sys.argv[1]) if len(sys.argv) > 1 else 400_000
    table("samples only", samples(n))
    table("mixed", mixed(n))
    table("batches", batches(n // 20))


if __name__ == "__main__":
    main()
