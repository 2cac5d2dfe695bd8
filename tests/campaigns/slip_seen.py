"""Sweeps in which a coupling slips, and sweeps in which something else moves: how many are called slip, as a table.

Run from the top folder: python -m tests.campaigns.slip_seen [--sweeps 40] [condition ...]. A share p of n
sweeps is sure to sqrt(p (1 - p) / n).
"""

import argparse
from collections.abc import Sequence
from typing import Any

import numpy as np

from analysis.sweep.pipeline import analyse
from tests.campaigns import helpers_path  # noqa: F401

# isort: split
from simulated_motion import TWO_PI, Bench, drawn, made_capture, motion_beside

CONDITIONS = (
    "spindle", "hand", "balls 3 um", "balls 6 um", "hand, balls 3 um", "wander 1.5 um", "hand, wander 1.5 um",
    "stand jumps", "creep", "slips 2 to 6 deg", "hand, slips 2 to 6 deg", "slips 1 deg",
    "slips 2 to 6 deg, balls 3 um",
)  # fmt: skip


def state(name: str, turns: int, seed: int, *, index: bool) -> str:
    """Return the state of the check of counts in one sweep."""
    rng, turned, part = drawn(name, turns, seed)
    how: dict[str, Any] = {"more_mm": motion_beside(rng, name, turned, 0.003 if "3 um" in name else 0.006)}
    if "jumps" in name:
        at = rng.uniform(0.4, turns - 0.4) * TWO_PI
        how["more_mm"] = np.where(turned.angle_rad > at, 0.020, 0.0)
    if "slips" in name:
        deg = (rng.uniform(2, 6) if "2 to 6" in name else 1.0) * rng.choice([-1, 1])
        how |= {"slip_deg": deg, "slip_at_turns": rng.uniform(0.4, turns - 0.4)}
    result = analyse(made_capture(rng, turned, part, Bench(index=index), **how))
    return next(str(check.state) for check in result.checks if check.name == "counts")


def main(arguments: Sequence[str] | None = None) -> None:
    """Print a line for every condition as soon as it is known."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sweeps", type=int, default=40)
    parser.add_argument("--index", action="store_true", help="with an index on the encoder's own disc")
    parser.add_argument("--turns", type=int, nargs="+", default=[2, 3, 5])
    parser.add_argument("conditions", nargs="*", default=CONDITIONS)
    given = parser.parse_args(arguments)
    for name in given.conditions:
        row = []
        for turns in given.turns:
            states = [state(name, turns, seed, index=given.index) for seed in range(given.sweeps)]
            row.append(f"{turns} turns: refused {states.count('refused')}/{given.sweeps}")
        print(f"{name:30s} {'   '.join(row)}", flush=True)


if __name__ == "__main__":
    main()
