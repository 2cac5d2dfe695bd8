"""How long a sweep takes against the script a person would write instead, side by side in one run.

Run from the top folder: python -m tests.benchmarks.bench_sweep [--rounds 3] [--without-script] [NAME ...], NAMEs as in
made_recordings. Each round runs `fullturn sweep FILE --json` and the script on the CSV of the same samples, as
processes of their own, one after the other. Prints the median of processor seconds and the highest peak of
memory of each, their ratio, and the largest difference between the numbers of both, which ends the run with 1
where it is over 1e-9 mm. Keeps a line a run in .benchmarks/sweep.txt. Asserts no time.
"""

import argparse
import json
import math
import os
import statistics
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np

from analysis.numerics.curve_extremes import extremes
from tests.benchmarks.made_recordings import FOLDER, RECORDINGS, Made

ROOT = Path(__file__).parents[2]
SCRIPT = Path(__file__).with_name("script_of_a_person.py")
KEPT = FOLDER.parent / "sweep.txt"
SAME_MM = 1e-9
AS_COUNTED = ("--set", "gauge_delay=0 +- 0 ms")
"""For the numbers alone: the script knows of no late gauge. What is timed is the command as it is typed."""
ENVIRONMENT = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"} | {
    f"{library}_NUM_THREADS": "1" for library in ("OPENBLAS", "OMP", "MKL")
}
"""One thread each, and modules compiled once, as where either is installed."""


@dataclass(frozen=True)
class Ran:
    """One process."""

    cpu_s: float
    peak_mb: float
    out: bytes


def run(*command: object) -> Ran:
    """Run a process to its end, and return what it took and printed."""
    process = subprocess.Popen(
        [str(word) for word in command], cwd=ROOT, env=ENVIRONMENT, stdout=subprocess.PIPE
    )
    assert process.stdout is not None
    out = process.stdout.read()
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode not in (0, 1, 3):
        raise SystemExit(f"{' '.join(map(str, command))} ended {process.returncode}")
    return Ran(used.ru_utime + used.ru_stime, used.ru_maxrss / 1024.0, out)


def largest_difference_mm(result: dict[str, Any], script: Sequence[dict[str, Any]]) -> float:
    """Return the largest difference in any number of any turn that both have, mm."""
    by_turn = {turn["turn"]: turn for turn in result["turns"]}
    largest_mm = 0.0 if by_turn else math.inf
    for one in script:
        turn = by_turn.get(one["turn"])
        if turn is None:
            continue
        cos_mm, sin_mm = np.reshape(one["coefficients_mm"][1:], (-1, 2)).T
        both = (
            (turn["tir_first_mm"], 2.0 * math.hypot(cos_mm[0], sin_mm[0])),
            (turn["tir_fit_mm"], extremes(cos_mm, sin_mm).tir_mm),
            (turn["tir_raw_mm"], one["tir_raw_mm"]),
        )
        largest_mm = max(largest_mm, *(abs(ours - theirs) for ours, theirs in both))
    return largest_mm


def measure(made: Made, rounds: int, *, with_script: bool) -> tuple[str, float, float]:
    """Return the line of one recording, its peak of memory in MB and the largest difference in mm."""
    made.make()
    ours: list[Ran] = []
    theirs: list[Ran] = []
    for _ in range(rounds):
        ours.append(run(sys.executable, "-m", "logger", "sweep", made.recording, "--json"))
        if with_script:
            theirs.append(run(sys.executable, SCRIPT, made.table))
    cpu_s, peak_mb = statistics.median(one.cpu_s for one in ours), max(one.peak_mb for one in ours)
    line, difference = f"{made.name:12s} {cpu_s:8.2f} s {peak_mb:7.0f} MB", 0.0
    if theirs:
        script_s = statistics.median(one.cpu_s for one in theirs)
        as_counted = run(sys.executable, "-m", "logger", "sweep", made.recording, "--json", *AS_COUNTED)
        difference = largest_difference_mm(json.loads(as_counted.out), json.loads(theirs[-1].out))
        line += f" {script_s:9.2f} s {max(one.peak_mb for one in theirs):6.0f} MB {script_s / cpu_s:7.1f}x"
        line += f"   {difference:.1e} mm"
    return line, peak_mb, difference


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--without-script", action="store_true")
    parser.add_argument("name", nargs="*", default=[made.name for made in RECORDINGS])
    asked = parser.parse_args()
    head = "recording         sweep, peak         script, peak      ratio   largest difference"
    run(sys.executable, "-m", "logger", "sweep", "practice:wind-pump/as-found", "--json")
    floor = statistics.median(run(sys.executable, "-c", "import numpy").cpu_s for _ in range(asked.rounds))
    print(f"python and numpy alone: {floor:.2f} s\n{head}", flush=True)
    largest_mm, peaks_mb = 0.0, dict[str, float]()
    FOLDER.mkdir(parents=True, exist_ok=True)
    with KEPT.open("a") as kept:
        for made in (made for made in RECORDINGS if made.name in asked.name):
            line, peaks_mb[made.name], difference = measure(
                made, asked.rounds, with_script=not asked.without_script
            )
            largest_mm = max(largest_mm, difference)
            print(line, flush=True)
            print(f"{datetime.now(UTC):%Y-%m-%d %H:%M} {line}", file=kept, flush=True)
    if {"steady-3", "steady-60"} <= set(peaks_mb):
        print(
            f"memory from 3 to 60 minutes: {100 * (peaks_mb['steady-60'] / peaks_mb['steady-3'] - 1):+.0f} %"
        )
    if largest_mm > SAME_MM:
        raise SystemExit(f"the numbers differ by {largest_mm:.1e} mm, over {SAME_MM:.0e} mm")


if __name__ == "__main__":
    main()
