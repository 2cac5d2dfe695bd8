"""What it costs to record and follow a sweep as it comes, and how long its result takes after the last reading.

Run from the top folder: python -m tests.benchmarks.bench_record [--minutes 3 60] [--rate 1000 20000]. A process
of its own records batches of 28 readings that come through a pipe, as fast as it takes them: minutes of a
spindle that turns evenly. Prints for each the processor time it took, also as a share of one core over those
minutes, its highest peak of memory, the processor time from the last bytes to the result as text, and beside
them time and peak of `sweep` of the file it wrote. Asserts no time.
"""

import argparse
import math
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np

from logger.acquisition import Worker, WorkerEnded
from logger.commands.run.reported_sweep import report_sweep
from logger.inputs import load_recorded
from logger.recording import RecordingWriter
from logger.session import Session, SweepUnderWay
from logger.sources import StandardInput
from logger.wire.framing import encode_frame
from logger.wire.messages import Batch, Channel, Hello
from tests.benchmarks.bench_sweep import ENVIRONMENT, ROOT, run
from tests.benchmarks.made_recordings import BATCH_READINGS, COUNTS, NOISE_NM, STEP_NM, TURN_S

BATCHES_AT_ONCE = 16
SETUP = {"limit": "0.050 mm"}


def link_bytes(minutes: float, rate_hz: int) -> Iterator[bytes]:
    """Yield what the board sends, some batches at a time."""
    rng = np.random.default_rng(1)
    period_us = 1_000_000 // rate_hz
    hello = Hello(0, 0, 1, 1, 0, 0, 1, COUNTS, 1000, rate_hz, 1, 0, 1, 20000)
    channel = Channel(1, 0, 0, 2, 0, STEP_NM, 1, -(1 << 15), 1 << 15, "probe")
    yield encode_frame(hello.encode()) + encode_frame(channel.encode())
    at_once, readings, seq = BATCHES_AT_ONCE * BATCH_READINGS, round(60 * minutes * rate_hz), 2
    for start in range(0, readings, at_once):
        k = np.arange(start, min(start + at_once, readings))
        count = (k * COUNTS // round(TURN_S * rate_hz)).astype(np.int64)
        phi = 2 * math.pi * count / COUNTS
        nm = 71_000 * np.cos(phi - 1.1) + 9_000 * np.cos(2 * phi - 0.7) + rng.normal(0, NOISE_NM, len(k))
        value = np.rint(nm / STEP_NM).astype(np.int64)
        frames = []
        for first in range(0, len(k), BATCH_READINGS):
            part = slice(first, first + BATCH_READINGS)
            steps = np.diff(count[part], prepend=count[first])
            frames.append(
                encode_frame(
                    Batch(
                        seq & 0xFFFF, int(k[first]) * period_us & 0xFFFFFFFF, 0, int(count[first]), period_us,
                        tuple(steps.tolist()), tuple(value[part].tolist()),
                    ).encode()
                )
            )  # fmt: skip
            seq += 1
        yield b"".join(frames)


def record(path: Path) -> None:
    """Record standard input, and print what the recording says and what that took."""
    source, session, under_way = StandardInput(), Session(), SweepUnderWay()
    session.change_setup(SETUP)
    writer = RecordingWriter(
        path, setup=SETUP, recording_id="00000000-0000-4000-8000-000000000000",
        started="2026-01-05T08:00:00Z", version="bench", clock=source.now,
    )  # fmt: skip
    worker = Worker(source, session, writer=writer, under_way=under_way)
    worker.start()
    while not isinstance(worker.messages.get(), WorkerEnded):
        pass
    worker.join()
    begun_s = time.process_time()
    writer.close()
    taken = under_way.finish(session)
    assert taken is not None
    text = report_sweep(load_recorded(path, session, *taken), "mm").text
    print(time.process_time() - begun_s)
    print(text)


def main(arguments: Sequence[str] | None = None) -> None:
    """Print a line a sweep."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--minutes", type=float, nargs="+", default=[3, 60])
    parser.add_argument("--rate", type=int, nargs="+", default=[1000, 20000])
    parser.add_argument("--child", type=Path)
    asked = parser.parse_args(arguments)
    if asked.child is not None:
        record(asked.child)
        return
    print("minutes  readings/s   core s  of a core     peak   after the end   sweep of the file")
    for rate_hz in asked.rate:
        for minutes in asked.minutes:
            with tempfile.TemporaryDirectory() as folder:
                path = Path(folder) / "recorded.mcap"
                child = subprocess.Popen(
                    [sys.executable, "-m", "tests.benchmarks.bench_record", "--child", str(path)],
                    cwd=ROOT, env=ENVIRONMENT, stdin=subprocess.PIPE, stdout=subprocess.PIPE,
                )  # fmt: skip
                assert child.stdin is not None
                assert child.stdout is not None
                for data in link_bytes(minutes, rate_hz):
                    child.stdin.write(data)
                child.stdin.close()
                after_s, _, said = child.stdout.read().decode().partition("\n")
                _, status, used = os.wait4(child.pid, 0)
                child.returncode = os.waitstatus_to_exitcode(status)
                if child.returncode or not said:
                    raise SystemExit(f"the recording ended {child.returncode}")
                cpu_s = used.ru_utime + used.ru_stime
                alone = run(sys.executable, "-m", "logger", "sweep", path)
                print(
                    f"{minutes:7g}  {rate_hz:10d}  {cpu_s:7.1f}  {100 * cpu_s / 60 / minutes:7.2f} %  "
                    f"{used.ru_maxrss / 1024:6.0f} MB  {float(after_s):10.2f} s  {alone.cpu_s:8.2f} s "
                    f"{alone.peak_mb:4.0f} MB",
                    flush=True,
                )


if __name__ == "__main__":
    main()
