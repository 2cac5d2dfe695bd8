"""How often what is said holds the truth where the gauge averages over a window, turned evenly and by hand.

Run from the top folder: python -m tests.campaigns.late_gauges [--sweeps 60] [--from-seed 0]
[--turns 3]. Windows of 40 to 250 ms, 4 to 8 turns a minute, a part of 15 orders with a first of
10 to 30 um. For each way of turning: of how many sweeps the 95 % interval of high side, high point and
eccentricity holds the truth, the median width of the first two, and in how many the check `lag` is not clear.
"""

import argparse
import math
from collections import Counter
from collections.abc import Sequence

import numpy as np

from analysis.sweep.pipeline import analyse
from tests.campaigns import helpers_path  # noqa: F401

# isort: split
from simulated_motion import Bench, draw_part, hand, made_capture, spindle
from truth_in_interval import holds_place


def main(arguments: Sequence[str] | None = None) -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sweeps", type=int, default=60)
    parser.add_argument("--from-seed", type=int, default=0)
    parser.add_argument("--turns", type=int, default=3)
    given = parser.parse_args(arguments)
    print("turned   sweeps  high side (width)  high point (width)  eccentricity  lag not clear", flush=True)
    for how in (spindle, hand):
        held, widths = Counter[str](), []
        for seed in range(given.from_seed, given.from_seed + given.sweeps):
            rng = np.random.default_rng([seed, 4])
            window_s, rpm = rng.uniform(0.040, 0.250), rng.uniform(4.0, 8.0)
            part = draw_part(rng, rng.uniform(0.010, 0.030))
            turned = how(rng, given.turns + 0.3, rpm)
            result = analyse(made_capture(rng, turned, part, Bench(window_s=window_s)))
            pooled = result.pooled
            held["side"] += holds_place(pooled.high_side, part.high_side_deg)
            held["point"] += holds_place(pooled.high_point, math.degrees(part.truth.high_rad))
            low, high = (half / 2.0 for half in pooled.tir_first.interval())
            held["eccentricity"] += low <= abs(part.z_mm[0]) <= high
            held["lag"] += any(check.name == "lag" and check.state != "clear" for check in result.checks)
            widths.append([float(np.ptp(one.interval())) for one in (pooled.high_side, pooled.high_point)])
        side_deg, point_deg = np.median(widths, axis=0)
        print(
            f"{how.__name__:8} {given.sweeps:6}  {held['side']:5} ({side_deg:.2f} deg)   {held['point']:5} "
            f"({point_deg:.2f} deg)     {held['eccentricity']:5}         {held['lag']:5}",
            flush=True,
        )


if __name__ == "__main__":
    main()
