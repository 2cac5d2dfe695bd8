"""Write store_version_3.db, once: what the program stored before it had a register, kept to be opened for ever.

Run with the packages of revision e2f4518; never run again for that file: it is the promise, this script only
tells what is in it.
"""

import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory

from analysis.capture.events import ExclusionUndone, TurnExcluded, TurnStarred, WindowExcluded
from logger.acquisition.recorder import Recorder, seeded_identity
from logger.practice.serving.simulated_source import PracticeSource

GAUGE = (
    "gauge_id=DI-07",
    "gauge_due=2026-03-31",
    "gauge_error=0.003 mm",
    "gauge_table=0:0 1:+0.001 2:-0.002 mm",
)
RECORDED = (
    ("practice:wind-pump/as-found", "found.mcap", GAUGE),
    ("practice:wind-pump/as-left", "left.mcap", (*GAUGE, "operator=ab", "job=4711")),
)
"""Name on the virtual bench, file, and what is set."""
NOTED = (
    TurnStarred(0, 0.0, 1.0),
    WindowExcluded(id=1, from_deg=200.0, to_deg=210.0, reason="a chip"),
    TurnExcluded(id=2, turn=1, from_s=0.0, to_s=1.0, reason="Späne, \u2300 3 mm"),
    ExclusionUndone(2),
)


def main(path: Path) -> None:
    """Write the file."""
    with TemporaryDirectory() as folder:
        # A home of its own, and the file named without its folder: nothing of this computer is kept.
        home = {f"FULLTURN_{name}": folder for name in ("CONFIG", "DATA")}

        def fullturn(*words: str) -> None:
            # not checked: the first ends 1, since the part is over its limit
            subprocess.run(
                [sys.executable, "-m", "logger", *words, "--store", str(path)],
                cwd=folder,
                env=os.environ | home,
                check=False,
            )

        for name, file, pairs in RECORDED:
            sets = [word for pair in pairs for word in ("--set", pair)]
            fullturn("record", name, "--turns", "2", "--seed", "3", "--out", file, *sets)
        source = PracticeSource("wind-pump/as-left", turns=3)
        recorder = Recorder(
            source,
            Path(folder) / "noted.mcap",
            setup=source.setup,
            identity=seeded_identity(source.name, 3, None, source.now()),
            version="0.1.0",
            threaded=False,
        )
        for event in NOTED:
            recorder.record_event(event)
        for _ in recorder.messages():
            pass
        recorder.close()
        fullturn("store", "add", "noted.mcap")
    with closing(sqlite3.connect(path)) as database:
        for file in ("found.mcap", "left.mcap", "noted.mcap"):
            database.execute("UPDATE recordings SET file = ? WHERE file LIKE ?", (file, f"%{file}"))
        database.commit()
        for line in ("PRAGMA journal_mode = DELETE", "PRAGMA page_size = 1024", "VACUUM"):
            database.execute(line)


if __name__ == "__main__":
    main(Path(sys.argv[1]).resolve())
