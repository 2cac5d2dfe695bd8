"""What the tour costs, as a ratio to one sweep of the same run: ten recordings made, read back and told, and a page.

Run from the top folder: python -m tests.benchmarks.bench_tour [--rounds 3]. Prints the median of processor seconds of
`fullturn tour`, of one `fullturn sweep`, and their ratio. Nothing is asserted.
"""

import argparse
import statistics
import sys
import tempfile
from pathlib import Path

from tests.benchmarks.bench_sweep import ROOT, run

RECORDING = ROOT / "recordings" / "wind-pump-as-found" / "recording.mcap"


def main() -> None:
    """Print the line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=3)
    rounds = parser.parse_args().rounds
    command = sys.executable, "-m", "logger"
    with tempfile.TemporaryDirectory() as folder:
        tours, sweeps = [], []
        for _ in range(rounds):
            tours.append(run(*command, "tour", "-o", Path(folder) / "tour").cpu_s)
            sweeps.append(run(*command, "sweep", RECORDING, "--json").cpu_s)
    tour_s, sweep_s = statistics.median(tours), statistics.median(sweeps)
    print(f"tour {tour_s:.2f} s, one sweep {sweep_s:.2f} s, ratio {tour_s / sweep_s:.1f}")


if __name__ == "__main__":
    main()
