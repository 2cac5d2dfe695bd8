"""Coverage and width of the TIR interval over many simulated sweeps of every condition, as a table.

Run by name from the top folder: python tests/campaigns/honesty.py [--sweeps 1000] [--turns 2 3 5 10]
[--from-seed 0] [condition ...]; `all` adds the conditions that no goal stands over. The whole table of 1,000
sweeps takes about an hour on one core. Monte Carlo error of 95 % over 1,000 sweeps: 0.7 %.
"""

import argparse
import sys
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from simulated_sweeps import CONDITIONS, HARDER, Tally, measure  # noqa: E402


def main() -> None:
    """Print the table, a line as soon as it is known."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sweeps", type=int, default=1000)
    parser.add_argument("--turns", type=int, nargs="+", default=[2, 3, 5, 10])
    parser.add_argument("--from-seed", type=int, default=0)
    parser.add_argument("condition", nargs="*")
    asked = parser.parse_args()
    names = asked.condition or list(CONDITIONS)
    if names == ["all"]:
        names = [*CONDITIONS, *HARDER]
    print(Tally.HEAD, flush=True)
    for name in names:
        for turns in asked.turns:
            start = time.perf_counter()
            tally = measure(name, turns, range(asked.from_seed, asked.from_seed + asked.sweeps))
            each_ms = 1e3 * (time.perf_counter() - start) / asked.sweeps
            print(f"{tally.row(name, turns)}  {each_ms:.0f} ms", flush=True)


if __name__ == "__main__":
    main()
