"""How long a sweep takes against the script a person would write instead, side by side in one run.

Run from the top: OPENBLAS_NUM_THREADS=1 python -m tests.benchmarks.bench_sweep [MINUTES]. Prints a
table; asserts nothing. One thread, as the program itself has.
The script: pandas reads the same samples as CSV, scipy's curve_fit fits each turn.
"""

import math
import resource
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from analysis.capture.exclusions import windows_of_setup
from analysis.sweep.fitting import fit_turns
from analysis.sweep.pipeline import analyse
from analysis.sweep.pooling import pool_turns, turn_result
from logger.inputs.csv_file import write_csv
from logger.inputs.loading import load_sweep
from logger.recording import RecordingWriter
from logger.stream import HostTime, LinkBytes
from logger.wire.framing import encode_frame
from logger.wire.messages import Batch, Channel, Hello

RATE_HZ = 1000
SECONDS_PER_TURN = 8.0
COUNTS = 2400
HIGHEST = 15


def write_recording(path: Path, seconds: int) -> None:
    """Write a recording of so many seconds at 1,000 readings a second, in batches."""
    rng = np.random.default_rng(1)
    n = RATE_HZ * seconds
    t_us = np.arange(n) * (1_000_000 // RATE_HZ)
    count = np.floor(t_us / 1e6 / SECONDS_PER_TURN * COUNTS).astype(np.int64)
    phi = 2 * math.pi * count / COUNTS
    reading_nm = 71_000 * np.cos(phi - 1.1) + 9_000 * np.cos(2 * phi - 0.7) + rng.normal(0, 800, n)
    value = np.round(reading_nm / 250).astype(np.int64)
    with RecordingWriter(
        path,
        setup={"limit": "0.050 mm"},
        recording_id="00000000-0000-4000-8000-000000000000",
        started="2026-01-05T08:00:00Z",
        version="bench",
        clock=lambda: HostTime(0, 0),
    ) as writer:
        hello = Hello(0, 0, 1, 1, 0, 0, 1, COUNTS, 1000, RATE_HZ, 1, 0, 1, 20000)
        channel = Channel(1, 0, 0, 2, 0, 250, 1, -(1 << 15), 1 << 15, "probe")
        pending, seq = encode_frame(hello.encode()) + encode_frame(channel.encode()), 2
        for start in range(0, n, 28):
            part = slice(start, min(start + 28, n))
            steps = np.diff(count[part], prepend=count[start])
            body = Batch(
                seq & 0xFFFF, int(t_us[start]) & 0xFFFFFFFF, 0, int(count[start]), 1_000_000 // RATE_HZ,
                tuple(steps.tolist()), tuple(value[part].tolist()),
            ).encode()  # fmt: skip
            pending += encode_frame(body)
            seq += 1
            if len(pending) > 3500:
                ns = int(t_us[start]) * 1000
                writer.link_bytes(LinkBytes(HostTime(ns, ns), pending))
                pending = b""
        writer.link_bytes(LinkBytes(HostTime(n * 1_000_000, n * 1_000_000), pending))


def timed(work: object) -> float:
    """Return processor seconds of a call."""
    begun = time.process_time()
    work()  # type: ignore[operator]
    return time.process_time() - begun


def by_script(path: Path) -> None:
    """Fit each turn as a person's script would."""
    import pandas as pd
    from scipy.optimize import curve_fit

    table = pd.read_csv(path, comment="#")

    def model(phi: np.ndarray, c: float, *ab: float) -> np.ndarray:
        value = np.full(len(phi), c)
        for k in range(HIGHEST):
            value += ab[2 * k] * np.cos((k + 1) * phi) + ab[2 * k + 1] * np.sin((k + 1) * phi)
        return value

    for _, turn in table.groupby("turn"):
        if len(turn) < 100:
            continue
        phi, reading = np.radians(turn["angle_deg"].to_numpy()), turn["reading_mm"].to_numpy()
        curve_fit(model, phi, reading, p0=np.zeros(1 + 2 * HIGHEST))


def main() -> None:
    """Print the table."""
    minutes = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    with tempfile.TemporaryDirectory() as folder:
        recording, table = Path(folder) / "bench.mcap", Path(folder) / "bench.csv"
        write_recording(recording, 60 * minutes)
        size = recording.stat().st_size / 1e6
        print(f"{minutes} minutes at {RATE_HZ} readings a second: {size:.1f} MB")
        loading = timed(lambda: load_sweep(str(recording), {}))
        loaded = load_sweep(str(recording), {})
        whole = timed(lambda: analyse(loaded.capture))
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        capture = loaded.capture
        windows = windows_of_setup(capture.setup)
        pool = pool_turns(capture, windows, None)
        turns = timed(
            lambda: [turn_result(k, t, capture, windows, HIGHEST) for k, t in enumerate(pool.turns)]
        )
        results = tuple(turn_result(k, t, capture, windows, HIGHEST) for k, t in enumerate(pool.turns))
        pooled = timed(lambda: fit_turns(capture, pool, results, 1))
        with table.open("w") as file:
            write_csv(capture, file)
        script = timed(lambda: by_script(table))
    print(f"  read and decode        {loading:8.2f} s")
    print(f"  turns one by one       {turns:8.2f} s")
    print(f"  pooled fit, interval   {pooled:8.2f} s")
    print(f"  whole analysis         {whole:8.2f} s   peak {peak:.0f} MB resident")
    print(f"  a person's script      {script:8.2f} s   {script / (loading + whole):.1f} times the sweep")


if __name__ == "__main__":
    main()
