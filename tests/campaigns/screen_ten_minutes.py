"""Ten minutes of the screen in real time at a port: flat memory, nothing lost.

Run from the top folder: python -m tests.campaigns.screen_ten_minutes [--minutes 10] [--rate 0]. The virtual bench runs in
a process of its own on a pseudo-terminal; the window runs without a terminal of its own (Textual's headless
driver), which draws everything but writes it nowhere. Prints a line every half minute, the first at once.
"""

import argparse
import asyncio
import resource
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from logger.live.console import Console
from logger.live.drawing.display_options import DisplayOptions
from logger.live.opening import library_of
from logger.recording.check import check_file
from logger.screen.app import Window
from tests.benchmarks.watched_bench import watched_bench
from tests.campaigns import helpers_path  # noqa: F401

# isort: split


def resident_mb() -> float:
    """Return the memory this process holds now."""
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * resource.getpagesize() / 1e6


def main(arguments: Sequence[str] | None = None) -> None:
    """Run it and print what was seen."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--minutes", type=float, default=10.0)
    parser.add_argument("--rate", type=int, default=0, help="readings a second; 0 for the bench's own")
    asked = parser.parse_args(arguments)
    folder = Path(tempfile.mkdtemp())
    bench, settings, live_session = watched_bench(folder, "soak", asked.rate)
    console = Console(
        live_session.runtime,
        DisplayOptions(),
        library=lambda: library_of(settings),
    )
    window = Window(console, live_session)
    began, cpu = time.monotonic(), time.process_time()
    print("minute  memory MB  turns  readings  frames/s  CPU %", flush=True)

    async def run() -> None:
        async with window.run_test(size=(80, 24)):
            frames = 0
            for half_minutes in range(round(asked.minutes * 2) + 1):
                await asyncio.sleep(30.0 if half_minutes else 0.0)
                gone = time.monotonic() - began
                print(
                    f"{half_minutes / 2:>6.1f}  {resident_mb():>9.1f}  {len(console.runtime.state.sweep.turns):>5}  "
                    f"{console.runtime.session.snapshot().samples:>8}  {(window.frames - frames) / 30.0:>8.1f}  "
                    f"{100 * (time.process_time() - cpu) / gone:>5.1f}",
                    flush=True,
                )
                frames = window.frames

    asyncio.run(run())
    window.finish()
    skipped = console.runtime._sample_ring.skipped
    recorder = console.runtime.recorder
    assert recorder is not None
    console.runtime.finish()
    bench.terminate()
    bench.communicate()
    checked = check_file(recorder.path)
    print(f"{checked}\nskipped by the ring: {skipped}")


if __name__ == "__main__":
    main()
