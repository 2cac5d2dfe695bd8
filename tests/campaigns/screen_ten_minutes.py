"""Ten minutes of the screen in real time at a port: flat memory, nothing lost. By name only.

    python tests/campaigns/screen_ten_minutes.py [MINUTES] [RATE]

The virtual bench runs in a process of its own on a pseudo-terminal; the window runs without a terminal of its
own (Textual's headless driver), which draws everything but writes it nowhere. Prints a line a minute.
"""

import asyncio
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from logger.acquisition.opening import SourceRequest  # noqa: E402
from logger.live.console import Console  # noqa: E402
from logger.live.drawing.display_options import DisplayOptions  # noqa: E402
from logger.live.opening import library_of, open_live  # noqa: E402
from logger.recording.check import check_file  # noqa: E402
from logger.screen.app import Window  # noqa: E402
from logger.settings.settings import load_settings  # noqa: E402


def resident_mb() -> float:
    """Return the memory this process holds now."""
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * resource.getpagesize() / 1e6


def main(minutes: float, rate_hz: int) -> None:
    """Run it and print what was seen."""
    folder = Path(tempfile.mkdtemp())
    link = folder / "board"
    bench = subprocess.Popen(
        [sys.executable, "-m", "logger", "practice", "wind-pump/as-found", "--link", str(link)],
        cwd=ROOT, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert bench.stdout is not None
    bench.stdout.readline()
    settings = load_settings(
        environment={"FULLTURN_CONFIG": str(folder / "config"), "FULLTURN_DATA": str(folder / "data")}
    )
    request = SourceRequest(str(link), rate_hz=rate_hz, patient=True, watched=True)
    live_session = open_live(request, settings, "soak", {"limit": "0.050 mm"}, clock=time.monotonic)
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
            for minute in range(1, round(minutes * 2) + 1):
                await asyncio.sleep(30.0)
                gone = time.monotonic() - began
                print(
                    f"{minute / 2:>6.1f}  {resident_mb():>9.1f}  {len(console.runtime.state.sweep.turns):>5}  "
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
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 10.0, int(sys.argv[2]) if len(sys.argv) > 2 else 0)
