"""Arrays at the bare counts of an encoder of few counts: how often they are decided wrongly, as a table.

Whoever writes down count and reading hands over a stair. A hand or a spindle turns a part past an encoder of 12 to
36 counts, and the arrays go to the numerics as they are. Each sweep is held against a limit a millionth under its
true TIR, where every "within" is wrong, and against one a hundredth over it, where every "over" is. The gauge is
certified as perfect, so that the scatter decides. Seeds are counted from 0.

Run from the top folder: python -m tests.campaigns.stair_arrays [--sweeps 200] [--turns 2 3 5] [--counts 12 20 24 36]
"""

import argparse
import zlib
from collections import Counter
from collections.abc import Sequence

import numpy as np

from analysis.setup import Quantity
from analysis.sweep.pipeline import fit_sweep
from tests.campaigns import helpers_path  # noqa: F401

# isort: split
from simulated_motion import Bench, draw_part, hand, made_capture, spindle
from truth_in_interval import holds_place

GAUGE = {"surface": "outside", "gauge_error": "0.000001 mm", "gauge_hysteresis": "0.000001 mm"}
JUST_UNDER, OVER = 1.0 - 1e-6, 1.01


def main(arguments: Sequence[str] | None = None) -> None:
    """Print a line for every encoder, motion and number of turns as soon as it is known."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sweeps", type=int, default=200)
    parser.add_argument("--turns", type=int, nargs="+", default=[2, 3, 5])
    parser.add_argument("--counts", type=int, nargs="+", default=[12, 20, 24, 36])
    asked = parser.parse_args(arguments)
    print(
        "counts motion  turns    n  % wrong within, over  decided  TIR held  side  between counts", flush=True
    )
    for counts in asked.counts:
        for how in ("hand", "driven"):
            for turns in asked.turns:
                tally: Counter[str] = Counter()
                for seed in range(asked.sweeps):
                    rng = np.random.default_rng([seed, turns, zlib.crc32(f"{counts} {how}".encode())])
                    turned = (hand if how == "hand" else spindle)(rng, turns + 0.3, rng.uniform(6.0, 12.0))
                    part = draw_part(rng, rng.uniform(0.006, 0.015), 12)
                    bench = Bench(rate_hz=60.0, noise_mm=0.0008, counts=counts)
                    s = made_capture(rng, turned, part, bench).samples
                    setup = {**GAUGE, "turns_planned": str(turns)}
                    result = fit_sweep(
                        s.angle_rad, s.reading_mm, s.t_s, setup=setup, resolution_mm=0.001, seed=seed
                    )
                    truth = part.truth.tir_mm
                    under, over = (
                        str(result.decidable[Quantity.TIR].against(limit, Quantity.TIR, "").state)
                        for limit in (JUST_UNDER * truth, OVER * truth)
                    )
                    tally["within"] += under == "within"
                    tally["over"] += over == "over"
                    tally["decided"] += (under != "undecided") + (over != "undecided")
                    low, high = result.pooled.tir_fit.interval()
                    tally["held"] += low <= truth <= high
                    tally["side"] += holds_place(result.pooled.high_side, part.high_side_deg)
                    tally["between"] += result.angle_between_counts
                n = asked.sweeps
                print(
                    f"{counts:6d} {how:7s} {turns:5d} {n:4d}  {100 * tally['within'] / n:14.1f} "
                    f"{100 * tally['over'] / n:5.1f}  {50 * tally['decided'] / n:7.1f}  {100 * tally['held'] / n:8.1f} "
                    f"{100 * tally['side'] / n:5.1f}  {100 * tally['between'] / n:5.1f}",
                    flush=True,
                )


if __name__ == "__main__":
    main()
