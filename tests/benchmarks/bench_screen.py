"""What the screen costs: with and without its plot, from wire to text, and 20,000 readings a second.

Run from the top folder: python -m tests.benchmarks.bench_screen [SECONDS]. Prints a table; nothing is asserted. Ratios are
of the same run; 16 s are two turns of the bench. The bench of the first table is a process of its own on a
pseudo-terminal; windows are drawn, but written to no terminal.
"""

import asyncio
import queue
import statistics
import sys
import tempfile
import time
from pathlib import Path
from random import Random

import logger.live.pages.turning as page_of_turning
from logger.acquisition.worker import Worker
from logger.live.console import Console
from logger.live.drawing.display_options import DisplayOptions
from logger.live.opening import LiveSession
from logger.live.state.runtime import Folders, LiveRuntime
from logger.live.state.sample_ring import SampleRing
from logger.live.state.session_tap import SessionTap
from logger.live.state.state import Role
from logger.screen.app import Window
from logger.session.session import Session
from logger.stream import HostTime, Item, LinkBytes
from logger.wire.framing import encode_frame
from logger.wire.messages import Channel, Hello, Message, Sample
from tests.benchmarks.watched_bench import watched_bench

ROOT = Path(__file__).parents[2]
RATE_HZ = 2000


class Wire:
    """A source fed by hand: what is put in is read at once."""

    name = "wire"
    at_end = False

    def __init__(self) -> None:
        self.bytes: queue.Queue[bytes] = queue.Queue()

    def now(self) -> HostTime:
        """Return the host's clock."""
        return HostTime(time.time_ns(), time.monotonic_ns())

    def read(self, timeout_s: float) -> list[Item]:
        """Return what came."""
        try:
            return [LinkBytes(self.now(), self.bytes.get(timeout=timeout_s))]
        except queue.Empty:
            return []

    def write(self, data: bytes) -> None:
        """Ignore it."""

    def close(self) -> None:
        """Nothing is held."""


def frame(message: Message) -> bytes:
    """Return a message as it is on the wire."""
    return encode_frame(message.encode())


HEAD = b"\0" + frame(Hello(0, 0, 1, 1, 0, 5, 1, 2400, 1000, 0, 1, 1, 7, 20_000))
HEAD += frame(Channel(1, 0, 0, 1, 0, 1000, 1, -(1 << 30), 1 << 30, "gauge"))


def cpu_of_the_window(seconds: float, size: tuple[int, int], plot: bool) -> tuple[float, float]:
    """Return (CPU in per cent of a core, frames a second) of a window at 2,000 readings a second."""
    folder = Path(tempfile.mkdtemp())
    bench, _, live_session = watched_bench(folder, "bench", RATE_HZ)
    window = Window(Console(live_session.runtime, DisplayOptions()), live_session)
    drawing = page_of_turning.drawing
    if not plot:
        page_of_turning.drawing = lambda view, options, width, height: [()] * height

    async def run() -> tuple[float, float]:
        async with window.run_test(size=size):
            await asyncio.sleep(3.0)
            began, cpu, frames = time.monotonic(), time.process_time(), window.frames
            await asyncio.sleep(seconds)
            gone = time.monotonic() - began
            return 100.0 * (time.process_time() - cpu) / gone, (window.frames - frames) / gone

    try:
        return asyncio.run(run())
    finally:
        page_of_turning.drawing = drawing
        window.finish()
        live_session.runtime.finish()
        bench.terminate()
        bench.communicate()


def latency_ms(steps: int) -> list[float]:
    """Return how long each of so many steps of the reading took from the wire to the painted text."""
    wire, sample_ring = Wire(), SampleRing()
    session_tap = SessionTap(sample_ring)
    session = Session()
    worker = Worker(wire, session, after_item=session_tap)
    folder = Path(tempfile.mkdtemp())
    runtime = LiveRuntime(
        Role.OWNER, wire, folders=Folders(folder, folder), session=session, worker=worker,
        sample_ring=sample_ring, session_tap=session_tap,
    )  # fmt: skip
    window = Window(Console(runtime, DisplayOptions()), LiveSession(runtime))
    found: list[float] = []
    random = Random(1)

    async def run() -> None:
        async with window.run_test(size=(80, 24)):
            wire.bytes.put(HEAD)
            await asyncio.sleep(0.3)
            for k in range(steps):
                value = 1000 + k
                sent = time.perf_counter()
                wire.bytes.put(frame(Sample(2 + k, 100_000 * k, 0, k, value)))
                wanted = f"shows {value / 1000:.3f} mm"
                while wanted not in "\n".join(window.text()):
                    await asyncio.sleep(0.001)
                found.append(1000.0 * (time.perf_counter() - sent))
                await asyncio.sleep(random.uniform(0.02, 0.12))
        runtime.close()

    asyncio.run(run())
    return sorted(found)


def session_at_20000(seconds: float) -> tuple[int, int, float]:
    """Return (readings sent, readings in the session, CPU seconds) of a stream in pieces of 20 ms."""
    wire, sample_ring = Wire(), SampleRing()
    session = Session()
    worker = Worker(wire, session, after_item=SessionTap(sample_ring))
    pieces = []
    for base in range(0, round(seconds * 50) * 400, 400):
        pieces.append(
            b"".join(
                frame(Sample((2 + base + k) & 0xFFFF, (base + k) * 50, 0, (base + k) // 8, 1000 + k % 50))
                for k in range(400)
            )
        )
    wire.bytes.put(HEAD)
    worker._round()
    cpu = time.process_time()
    for piece in pieces:
        wire.bytes.put(piece)
        worker._round()
        sample_ring.take()
    return len(pieces) * 400, session.snapshot().samples, time.process_time() - cpu


def main(seconds: float) -> None:
    """Print the tables."""
    cpu_of_the_window(6.0, (80, 24), plot=True)  # what is loaded once is nobody's share
    for size in ((80, 24), (120, 40)):
        bare, bare_frames = cpu_of_the_window(seconds, size, plot=False)
        whole, frames = cpu_of_the_window(seconds, size, plot=True)
        print(
            f"{size[0]}x{size[1]} at {RATE_HZ} readings/s: without plot {bare:.1f} % ({bare_frames:.1f} "
            f"frames/s), with {whole:.1f} % ({frames:.1f} frames/s): {whole / bare:.2f} times",
            flush=True,
        )
    found = latency_ms(60)
    p95 = found[int(0.95 * len(found))]
    print(f"wire to text: median {statistics.median(found):.0f} ms, p95 {p95:.0f} ms", flush=True)
    sent, there, cpu = session_at_20000(10.0)
    print(f"20,000 readings/s for 10 s: {sent} sent, {there} in the session, {10 * cpu:.0f} % of a core")


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 16.0)
