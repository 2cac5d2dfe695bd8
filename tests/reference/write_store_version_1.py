"""Write store_version_1.db, once: what the program stored before turns could be noted, kept to be opened for ever.

Run with the packages of revision a8c28ab, the first that recorded into a store; never run again for that file:
it is the promise, this script only tells what is in it.
"""

import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory

from analysis.store import RecordingRow, open_store

RECORDED = (
    ("practice:wind-pump/as-found", "found.mcap", ()),
    ("practice:wind-pump/as-left", "left.mcap", ("operator=Anna Berg", "gauge_due=2026-03-31")),
)
"""Name on the virtual bench, file, and what is set."""
NEVER_ENDED = RecordingRow(
    recording_id="00000000-0000-4000-8000-000000000001",
    file="killed.mcap",
    started="2026-01-08T12:00:00.000Z",
    part="bull-gear flange",
    job="",
    stage="other",
    surface="face",
    setup={"part": "bull-gear flange"},
    code_version="0.1.0",
)
"""Of a program that was killed before the first turn."""


def main(path: Path) -> None:
    """Write the file."""
    with TemporaryDirectory() as folder:
        # A home of its own, and the file named without its folder: nothing of this computer is kept.
        home = {f"FULLTURN_{name}": folder for name in ("CONFIG", "DATA")}
        for name, file, pairs in RECORDED:
            command = ["record", name, "--turns", "2", "--seed", "3", "--out", file, "--store", str(path)]
            command += [word for pair in pairs for word in ("--set", pair)]
            subprocess.run(
                [sys.executable, "-m", "logger", *command],
                cwd=folder,
                env=os.environ | home,
                check=False,  # the first ends 1: the part is over its limit
            )
    with open_store(path) as store:
        store.begin_recording(NEVER_ENDED)
    with closing(sqlite3.connect(path)) as database:
        for _, file, _ in RECORDED:
            database.execute("UPDATE recordings SET file = ? WHERE file LIKE ?", (file, f"%{file}"))
        database.commit()
        for line in ("PRAGMA journal_mode = DELETE", "PRAGMA page_size = 1024", "VACUUM"):
            database.execute(line)


if __name__ == "__main__":
    main(Path(sys.argv[1]).resolve())
