"""Every fault put into every scenario of the virtual bench: the readings that came, a line each.

Run by name from the top folder: python tests/campaigns/faults_in_scenarios.py. Some minutes on one core; ends with
status 1 where a run gave no reading.
"""

import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from practice_runs import run  # noqa: E402

from logger.practice import FAULTS  # noqa: E402
from logger.practice.stories.catalogue import names  # noqa: E402


def main() -> int:
    """Print the table; return 1 where a run was empty."""
    empty = 0
    for sweep in names():
        for name in FAULTS:
            readings = len(run.__wrapped__(sweep, name, turns=2).samples)
            empty += readings == 0
            print(f"{sweep:32} {name:16} {readings:6d} readings", flush=True)
    print(f"{len(names()) * len(FAULTS)} runs, {empty} without a reading")
    return int(empty > 0)


if __name__ == "__main__":
    sys.exit(main())
