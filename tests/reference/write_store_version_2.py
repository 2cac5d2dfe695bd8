"""Write store_version_2.db, once: what version 0.1.0 stores of one recording, kept to be opened for ever.

Never run again for that file: it is the promise, this script only tells what is in it.
"""

import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory

from analysis.store import open_store

NOTES = (
    (1, "star", ""),
    (1, "star-undone", ""),
    (1, "star", ""),
    (2, "left-out", "a chip under the tip"),
    (2, "left-out-undone", ""),
    (2, "left-out", "Späne, \u2300 3 mm"),
)
"""Turn, kind and reason; the newest of each pair holds."""


def main(path: Path) -> None:
    """Write the file."""
    with TemporaryDirectory() as folder:
        # A home of its own, and the file named without its folder: nothing of this computer is kept.
        home = {f"FULLTURN_{name}": folder for name in ("CONFIG", "DATA")}
        command = "record practice:wind-pump/as-found --turns 2 --seed 3 --out wind-pump.mcap --store"
        subprocess.run(
            [sys.executable, "-m", "logger", *command.split(), str(path)],
            cwd=folder,
            env=os.environ | home,
            check=False,  # ends 1: the part is over its limit
        )
    with open_store(path) as store:
        for second, (turn, kind, reason) in enumerate(NOTES):
            store.add_note(turn, kind, f"2024-03-01T09:31:{second:02d}Z", reason)
    with closing(sqlite3.connect(path)) as database:
        database.execute("UPDATE recordings SET file = 'wind-pump.mcap'")
        database.commit()
        for line in ("PRAGMA journal_mode = DELETE", "PRAGMA page_size = 1024", "VACUUM"):
            database.execute(line)


if __name__ == "__main__":
    main(Path(sys.argv[1]).resolve())
