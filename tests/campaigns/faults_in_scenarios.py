"""Every fault put into every scenario of the virtual bench: the readings that came, a line each.

Run from the top folder: python -m tests.campaigns.faults_in_scenarios [--fault NAME ...] [scenario ...]. Some minutes
on one core; ends with status 1 where a run gave no reading.
"""

import argparse
import sys
from collections.abc import Sequence

from logger.practice import FAULTS
from logger.practice.stories.catalogue import names
from tests.campaigns import helpers_path  # noqa: F401

# isort: split
from practice_runs import run


def main(arguments: Sequence[str] | None = None) -> int:
    """Print the table; return 1 where a run was empty."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--fault", nargs="+", default=list(FAULTS))
    parser.add_argument("scenario", nargs="*", default=names())
    asked = parser.parse_args(arguments)
    runs = empty = 0
    for scenario in asked.scenario:
        for fault in asked.fault:
            readings = len(run.__wrapped__(scenario, fault, turns=2).samples)
            runs += 1
            empty += readings == 0
            print(f"{scenario:32} {fault:16} {readings:6d} readings", flush=True)
    print(f"{runs} runs, {empty} without a reading")
    return int(empty > 0)


if __name__ == "__main__":
    sys.exit(main())
