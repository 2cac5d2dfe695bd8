"""How long each question to the store takes as it grows: ms of the processor at 2,000, 20,000 and 100,000 turns.

Run from the top folder: python -m tests.benchmarks.bench_store [--rounds 25] [--turns 2000 20000 100000]. A store of each
size is made by the program and filled with the database's own means, five turns a recording, fifteen orders a
turn. Prints the median of each question and last / first, which for a question with a limit should stay under
1.5; those without one grow with what they return. Keeps a line a run in .benchmarks/store.txt. Asserts no time.
"""

import argparse
import statistics
import tempfile
import time
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path

from analysis.store import Store, open_store
from tests.benchmarks.made_recordings import FOLDER
from tests.benchmarks.made_stores import fill

KEPT = FOLDER.parent / "store.txt"
TURNS_A_RECORDING = 5
MS = 1000.0
SHOULD_STAY_UNDER = 1.5
SETUP = {"part": "part 3", "limit": "0.050 mm"}

LIMITED: Mapping[str, Callable[[Store], object]] = {
    "history, newest 20 of all": lambda store: store.history(None, 20),
    "history, newest 20 of a part": lambda store: store.history("part 3", 20),
    "turns with orders, newest 200": lambda store: store.stored_turns(200),
    "turns with orders, newest 200 of a part": lambda store: store.stored_turns(200, "part 3"),
    "one recording": lambda store: store.stored_recording("filled-00000007"),
    "one file by its SHA-256": lambda store: store.upkeep.recordings_of_file(f"{7:064d}"),
}
"""Return no more from a large store than from a small one."""
WHOLE: Mapping[str, Callable[[Store], object]] = {
    "history of all": lambda store: store.history(),
    "history of a part": lambda store: store.history("part 3"),
    "earlier looks at a part": lambda store: store.looks_at(SETUP, ["limit"], "after cut"),
    "what it holds": lambda store: store.upkeep.holdings(),
    "every file": lambda store: list(store.upkeep.files()),
    "every gauge": lambda store: store.register.gauges(),
    "every part": lambda store: store.register.parts(),
    "every job": lambda store: store.register.jobs(),
    "a part with its sweeps": lambda store: store.register.parts_of_number("part 3"),
    "a job with its sweeps": lambda store: store.register.job("job 3"),
    "a gauge's calibrations": lambda store: store.register.calibrations("gauge 3"),
}
"""Return more from a larger store, or count it."""


def median_ms(ask: Callable[[Store], object], store: Store, rounds: int) -> float:
    """Return the median of so many rounds, after one that is not counted."""
    taken = []
    ask(store)
    for _ in range(rounds):
        began = time.process_time()
        ask(store)
        taken.append((time.process_time() - began) * MS)
    return statistics.median(taken)


def measured(turns: int, rounds: int, folder: Path) -> dict[str, float]:
    """Return the milliseconds of every question to a store of so many turns."""
    path = folder / f"{turns}.db"
    open_store(path).close()
    fill(path, recordings=max(1, turns // TURNS_A_RECORDING), turns=turns)
    with open_store(path) as store:
        found = {name: median_ms(ask, store, rounds) for name, ask in {**LIMITED, **WHOLE}.items()}
    print(f"{turns} turns: {path.stat().st_size / 1e6:.0f} MB", flush=True)
    return found


def main(arguments: Sequence[str] | None = None) -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--rounds", type=int, default=25)
    parser.add_argument("--turns", type=int, nargs="+", default=[2_000, 20_000, 100_000])
    asked = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory() as folder:
        sizes = {turns: measured(turns, asked.rounds, Path(folder)) for turns in asked.turns}
    first, last = sizes[asked.turns[0]], sizes[asked.turns[-1]]
    print("  ".join([f"{'ms':<42}", *(f"{turns:>8}" for turns in sizes), "last / first"]))
    for title, questions in (("with a limit", LIMITED), ("without one", WHOLE)):
        print(title)
        for name in questions:
            ratio = last[name] / first[name]
            over = f"  over {SHOULD_STAY_UNDER}" if questions is LIMITED and ratio > SHOULD_STAY_UNDER else ""
            cells = "  ".join(f"{found[name]:8.2f}" for found in sizes.values())
            print(f"  {name:<40}  {cells}  {ratio:8.2f}{over}")
    KEPT.parent.mkdir(parents=True, exist_ok=True)
    with KEPT.open("a", encoding="utf-8") as kept:
        largest = max(last[name] / first[name] for name in LIMITED)
        kept.write(
            f"{datetime.now(UTC):%Y-%m-%dT%H:%MZ}  turns {asked.turns}  last / first at most {largest:.2f} with a limit\n"
        )


if __name__ == "__main__":
    main()
