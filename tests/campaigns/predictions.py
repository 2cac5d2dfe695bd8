"""How often the interval of a predicted sweep covers what a cut leaves: a thousand parts, from readings.

Run from the top folder: python -m tests.campaigns.predictions [--trials 1000] [--seed 1]. Each trial
draws a part, a seat and a spindle (TIR up to 0.2 mm, radius 50 to 150 mm), sweeps a rigid body in space in
its bearings and on the lathe with noise, predicts, cuts, and sweeps again without noise. Prints the share
covered; ends with status 1 outside 93 to 97 % (widened by the count's own scatter for few trials).
"""

import argparse
import math
import sys
from collections.abc import Sequence

import numpy as np

from analysis.correction.cut_prediction import predict_cut
from analysis.harmonics import FitPlan
from analysis.numerics.order_vectors import OrderVectors, exact
from analysis.uncertainty.sweep import tir_interval
from tests.campaigns import helpers_path  # noqa: F401

# isort: split
from rigid_body import IN_BEARINGS, Face, on_lathe, orders_of
from wobbles import order_one

TURNS, PER_TURN = 3, 200
HIGHEST = 15
NOISE_MM = 0.001


def analysed(rng: np.random.Generator, z: np.ndarray) -> OrderVectors:
    """Return the fitted orders of a sweep of this curve, as `sweep` would find them."""
    n = TURNS * PER_TURN
    angle = np.sort(rng.uniform(0, 2 * math.pi * TURNS, n))
    reading = exact(z).curve(angle) + rng.normal(0, NOISE_MM, n)
    turn = np.floor(angle / (2 * math.pi)).astype(np.int64)
    known = tir_interval(angle, reading, angle, turn, plan=FitPlan(HIGHEST, TURNS))
    return OrderVectors(known.fit.vectors_mm, known.covariance_mm2, known.dof)


def trial(rng: np.random.Generator) -> tuple[bool, float]:
    """Return whether the interval covers the truth, and the error without noise (mm)."""

    def drawn(most_tir: float) -> complex:
        return order_one(rng.uniform(0, most_tir), rng.uniform(0, 360))

    radius = rng.uniform(50, 150)
    face = Face(radius, drawn(0.2), {2: drawn(0.02), 3: drawn(0.01)})
    lathe = on_lathe(drawn(0.2), drawn(0.2), radius, 0.0)
    own, on = orders_of(IN_BEARINGS.sweep(face)), orders_of(lathe.sweep(face))
    left = orders_of(IN_BEARINGS.sweep(lathe.cut(face)))
    error = float(np.abs(own - on - left).max())
    found = predict_cut(analysed(rng, own), analysed(rng, on), seed=int(rng.integers(1 << 30)))
    low, high = found.tir.interval()
    return low <= exact(left).extremes.tir_mm <= high, error


def main(arguments: Sequence[str] | None = None) -> int:
    """Run, print, return the status."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--trials", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args(arguments)
    rng = np.random.default_rng(asked.seed)
    done = [trial(rng) for _ in range(asked.trials)]
    share = sum(covered for covered, _ in done) / len(done)
    largest = max(error for _, error in done)
    room = 2 * math.sqrt(0.95 * 0.05 / len(done)) if asked.trials < 1000 else 0.0
    print(f"{len(done)} parts: covered {100 * share:.1f} %, largest error without noise {largest:.2e} mm")
    return 0 if 0.93 - room <= share <= 0.97 + room and largest < 1e-6 else 1


if __name__ == "__main__":
    sys.exit(main())
