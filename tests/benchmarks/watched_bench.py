"""A practice bench served at a port and opened as the window opens it, for what is measured of a window."""

import subprocess
import sys
import time
from pathlib import Path

from logger.acquisition.opening import SourceRequest
from logger.live.opening import LiveSession, open_live
from logger.settings.settings import Settings, load_settings

ROOT = Path(__file__).parents[2]


def watched_bench(
    folder: Path, name: str, rate_hz: int
) -> tuple[subprocess.Popen[str], Settings, LiveSession]:
    """Return the bench's process, the settings kept in ``folder``, and the session that watches it.

    ``rate_hz`` readings a second, 0 for the bench's own.
    """
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
    live_session = open_live(request, settings, name, {"limit": "0.050 mm"}, clock=time.monotonic)
    return bench, settings, live_session
