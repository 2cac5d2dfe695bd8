"""How often a part at its limit is called within by whoever looks after turns 1 to 10, as a table.

Every series is one simulated sweep of ten turns, analysed after each of its turns as if it ended there, and held
against a limit a hair under its true TIR, so that every "within" is wrong; the lines that no later look draws
anew (gauge, play) are left out, since they only widen. Three habits: nobody planned (looked at after each turn),
a plan of three (looked at after 3, 6 and 9) and a plan of five (after 5 and 10). Aim: 5 % over all looks.

Run from the top folder: python -m tests.campaigns.looks [--series 1000] [--from-seed 0] [condition ...]
"""

import argparse
import zlib
from collections.abc import Sequence
from dataclasses import replace
from unittest.mock import patch

import numpy as np

from analysis.capture import Floats, largest_gap_deg
from analysis.decision import at_look, count_looks
from analysis.harmonics import (
    FitPlan,
    default_highest_order,
    find_added_orders,
    highest_order_together,
)
from analysis.uncertainty import sweep as sweep_uncertainty
from analysis.uncertainty.sweep import SweepUncertainty, tir_interval
from tests.campaigns import helpers_path  # noqa: F401
from tests.campaigns.coverage import turned

# isort: split
from simulated_sweeps import CONDITIONS, HARDER, HIGHEST, SimulatedSweep

TURNS = 10
PLANS = (None, 3, 5)
AS_A_RULE = ("white", "drift", "slow gauge", "ball-pass", "stopping hand", "coarse", "lobes", "wander")


def highest_order(angle_rad: Floats, turns: int) -> int:
    """Return the order that the turns carry: few values a turn do not carry all at first."""
    places = len(np.unique(np.floor(np.degrees(angle_rad) % 360.0)))
    alone = min(HIGHEST, default_highest_order(len(angle_rad) / turns, places))
    return highest_order_together(len(angle_rad), places, largest_gap_deg(angle_rad), alone)


def after(sweep: SimulatedSweep, turns: int, seed: int) -> SweepUncertainty:
    """Return what is known of a sweep after so many of its turns."""
    seen = sweep.turn < turns
    angle, reading, t = (part[seen] for part in (sweep.angle_rad, sweep.reading_mm, sweep.t_s))
    turn = sweep.turn[seen]
    plan = FitPlan(highest_order(angle, turns), turns)
    above = find_added_orders(angle, reading, t, plan, resolution_mm=sweep.resolution_mm)
    plan = replace(plan, added_orders=above.orders)
    return tir_interval(angle, reading, t, turn, plan=plan, resolution_mm=sweep.resolution_mm, seed=seed)


def first_within(known: dict[int, SweepUncertainty], truth_mm: float, planned: int | None) -> int | None:
    """Return the turn after which a series is called within a limit at its truth, None if never."""
    for turns, uncertainty in known.items():
        looks = count_looks(turns, planned)
        if looks.too_early or (planned and turns % planned):
            continue
        scatter = uncertainty.tir_by_scatter
        dof = min((part.dof for part in scatter.parts.values()), default=np.inf)
        upper = at_look(scatter, looks, dof).one_sided()[1] + uncertainty.resolution_half_width_mm
        if upper < truth_mm:
            return turns
    return None


def main(arguments: Sequence[str] | None = None) -> None:
    """Print a line a condition and habit: the share wrongly within by turn 1, 2, 3, 5 and 10."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--series", type=int, default=1000)
    parser.add_argument("--from-seed", type=int, default=0)
    parser.add_argument("condition", nargs="*", default=AS_A_RULE)
    asked = parser.parse_args(arguments)
    milestones = (1, 2, 3, 5, 6, 9, 10)
    print(f"{'condition':26s} {'plan':>5s} {'n':>5s}  wrongly within by turn " + str(milestones), flush=True)
    for name in asked.condition:
        found: dict[int | None, list[int | None]] = {plan: [] for plan in PLANS}
        for seed in range(asked.from_seed, asked.from_seed + asked.series):
            if name in ("few counts", "few values"):
                _, sweep = turned(name == "few counts")(TURNS, seed)
            else:
                rng = np.random.default_rng([seed, TURNS, zlib.crc32(name.encode())])
                sweep = {**CONDITIONS, **HARDER}[name](rng, TURNS)
            # Of each look only the TIR is asked; the form would be half of the work.
            with patch.object(sweep_uncertainty, "_form_by_scatter"):
                known = {turns: after(sweep, turns, seed) for turns in range(1, TURNS + 1)}
            for plan, turns in found.items():
                turns.append(first_within(known, sweep.truth.tir_mm, plan))
        for plan, ended in found.items():
            shares = [sum(t is not None and t <= by for t in ended) / len(ended) for by in milestones]
            row = "  ".join(f"{100 * share:4.1f}" for share in shares)
            print(f"{name:26s} {plan or '-':>5} {len(ended):5d}  {row}", flush=True)


if __name__ == "__main__":
    main()
