"""Recordings for benchmarks, made once from a seed and kept under .benchmarks: as a port gives them.

Sample frames (or batches) at 1,000 readings a second in link messages of 20 ms, 2,400 counts a turn, 20 rpm,
noise 0.5 um, step 1 um. Invented data.
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from logger.inputs import table_of
from logger.inputs.csv_writing import write_csv
from logger.inputs.loading import load_sweep
from logger.recording import RecordingWriter
from logger.stream import HostTime, LinkBytes
from logger.wire.framing import encode_frame
from logger.wire.layout import FLAG_HELD
from logger.wire.messages import Batch, Channel, Hello, Sample

Counts = NDArray[np.int64]

FOLDER = Path(__file__).parents[2] / ".benchmarks" / "recordings"
RATE_HZ = 1000
PERIOD_US = 1_000_000 // RATE_HZ
MESSAGE_READINGS = 20
BATCH_READINGS = 28
COUNTS = 2400
TURN_S = 3.0
NOISE_NM, STEP_NM = 500.0, 1000
HELD_READINGS = 20
"""Of a slow gauge: 50 new values a second, held in between."""
DAMAGED_BYTES = 20_000
"""One byte in so many has a bit turned over."""


def steady(n: int, rng: np.random.Generator) -> NDArray[np.float64]:
    """Return turns from the start of a spindle that turns evenly, one value a reading."""
    del rng
    return np.arange(n) / RATE_HZ / TURN_S


def by_hand(n: int, rng: np.random.Generator) -> NDArray[np.float64]:
    """Return turns of a hand: uneven, a pause now and then, and 0.2 of a turn back and on again."""
    speed = np.empty(0)
    while len(speed) < n:
        wave = 1.0 + 0.3 * np.sin(np.linspace(0.0, 2.0 * math.pi * rng.uniform(0.5, 2.0), 9000))
        back = round(0.2 * TURN_S * RATE_HZ)
        pieces = [wave / TURN_S, np.zeros(rng.integers(500, 2500))]
        if rng.random() < 0.3:
            pieces += [np.full(back, -1.0 / TURN_S), np.full(back, 1.0 / TURN_S)]
        speed = np.concatenate([speed, *pieces])
    return np.asarray(np.cumsum(speed[:n]) / RATE_HZ)


@dataclass(frozen=True)
class Made:
    """One recording of the benchmark."""

    name: str
    minutes: float
    turning: Callable[[int, np.random.Generator], NDArray[np.float64]] = steady
    batches: bool = False
    held: bool = False
    damaged: bool = False

    @property
    def recording(self) -> Path:
        """Where it lies."""
        return FOLDER / f"{self.name}.mcap"

    @property
    def table(self) -> Path:
        """Where the same samples lie as a CSV file, for the script."""
        return FOLDER / f"{self.name}.csv"

    def make(self) -> None:
        """Write recording and table where they are not there yet."""
        FOLDER.mkdir(parents=True, exist_ok=True)
        if not self.recording.exists():
            begun = self.recording.with_suffix(".begun")
            begun.unlink(missing_ok=True)
            self._write(begun)
            begun.rename(self.recording)
        if not self.table.exists():
            begun = self.table.with_suffix(".begun")
            with begun.open("w") as file:
                write_csv(table_of(load_sweep(str(self.recording), {}).capture), file)
            begun.rename(self.table)

    def _write(self, path: Path) -> None:
        rng = np.random.default_rng(1)
        n = round(60 * self.minutes * RATE_HZ)
        count = np.floor(self.turning(n, rng) * COUNTS).astype(np.int64)
        phi = 2 * math.pi * count / COUNTS
        reading_nm = 71_000 * np.cos(phi - 1.1) + 9_000 * np.cos(2 * phi - 0.7) + rng.normal(0, NOISE_NM, n)
        value = np.rint(reading_nm / STEP_NM).astype(np.int64)
        flags = np.zeros(n, np.int64)
        if self.held:
            first = np.arange(n) // HELD_READINGS * HELD_READINGS
            value, flags = value[first], np.where(np.arange(n) == first, 0, FLAG_HELD)
        hello = Hello(0, 0, 1, 1, 0, 0, 1, COUNTS, 1000, RATE_HZ, 1, 0, 1, 20000)
        channel = Channel(1, 0, 0, 2, 0, STEP_NM, 1, -(1 << 15), 1 << 15, "probe")
        with RecordingWriter(
            path, setup={"limit": "0.050 mm"}, recording_id="00000000-0000-4000-8000-000000000000",
            started="2026-01-05T08:00:00Z", version="bench", clock=lambda: HostTime(0, 0),
        ) as writer:  # fmt: skip
            writer.link_bytes(
                LinkBytes(HostTime(0, 0), encode_frame(hello.encode()) + encode_frame(channel.encode()))
            )
            frames = self._batches(count, value) if self.batches else self._samples(count, value, flags)
            for end_us, message in frames:
                data = bytearray(message)
                if self.damaged:
                    for at in np.flatnonzero(rng.random(len(data)) < 1.0 / DAMAGED_BYTES):
                        data[at] ^= 1 << int(rng.integers(8))
                writer.link_bytes(LinkBytes(HostTime(end_us * 1000, end_us * 1000), bytes(data)))

    def _samples(self, count: Counts, value: Counts, flags: Counts) -> Iterator[tuple[int, bytes]]:
        for start in range(0, len(count), MESSAGE_READINGS):
            part = range(start, min(start + MESSAGE_READINGS, len(count)))
            yield part[-1] * PERIOD_US, b"".join(
                encode_frame(
                    Sample(
                        (k + 2) & 0xFFFF, k * PERIOD_US & 0xFFFFFFFF, int(flags[k]), int(count[k]), int(value[k])
                    ).encode()
                )
                for k in part
            )  # fmt: skip

    def _batches(self, count: Counts, value: Counts) -> Iterator[tuple[int, bytes]]:
        for seq, start in enumerate(range(0, len(count), BATCH_READINGS), start=2):
            part = slice(start, min(start + BATCH_READINGS, len(count)))
            steps = np.diff(count[part], prepend=count[start])
            body = Batch(
                seq & 0xFFFF, start * PERIOD_US & 0xFFFFFFFF, 0, int(count[start]), PERIOD_US,
                tuple(steps.tolist()), tuple(value[part].tolist()),
            ).encode()  # fmt: skip
            yield (part.stop - 1) * PERIOD_US, encode_frame(body)


RECORDINGS = (
    Made("steady-3", 3),
    Made("steady-15", 15),
    Made("steady-60", 60),
    Made("batches-15", 15, batches=True),
    Made("hand-15", 15, by_hand),
    Made("held-15", 15, held=True),
    Made("damaged-15", 15, damaged=True),
)
