"""Eccentricity, synchronous and asynchronous motion of simulated sweeps, held against the truth they were made from.

Own generator, invented data. Each set is small and fails only where a share of 95 % would do so once in ten thousand
runs or less (binomial, 1e-4).
"""

import math
from collections import Counter
from collections.abc import Callable

import numpy as np
import pytest
from made_sweeps import TURN_S, Floats, capture, made
from scipy.stats import binom

from analysis.results import SweepSummary
from analysis.sweep.pipeline import analyse

NOISE_MM = 0.001
SEEDS = range(4000, 4040)
LEAST = int(binom.ppf(1e-4, len(SEEDS), 0.95))
PHI = np.linspace(0.0, 2.0 * math.pi, 3600, endpoint=False)


def part(rng: np.random.Generator) -> tuple[Callable[[Floats], Floats], float]:
    """Return the shape of an outside, mm by degrees, and its eccentricity: orders 1 to 8, the higher the smaller."""
    e_mm = NOISE_MM * 10 ** rng.uniform(0.5, 1.5)
    z = e_mm * rng.rayleigh(0.5, 8) / np.arange(1, 9) ** 1.5 * np.exp(2j * math.pi * rng.random(8))
    z[0] *= e_mm / abs(z[0])

    def shape(deg: Floats) -> Floats:
        return np.asarray((z @ np.exp(-1j * np.outer(np.arange(1, 9), np.radians(deg)))).real)

    return shape, float(e_mm)


def form_mm(shape: Callable[[Floats], Floats]) -> float:
    """Return max - min of a shape without its first order."""
    return range_without_order_one_mm(shape(np.degrees(PHI)))


def range_without_order_one_mm(curve: Floats) -> float:
    """Return max - min of a closed curve at the angles PHI without its first order."""
    first = 2.0 * np.mean(curve * np.exp(1j * PHI))
    return float(np.ptp(curve - (np.conj(first) * np.exp(1j * PHI)).real))


def pooled_of(shape: Callable[[Floats], Floats], turns: int, seed: int, line_mm: float = 0.0) -> SweepSummary:
    """Return what is told of a sweep of this outside, with balls passing 0.41 times a turn."""
    sweep = made(
        shape,
        turns=turns,
        noise_mm=NOISE_MM,
        seed=seed,
        also=lambda deg: np.asarray(line_mm * np.cos(0.41 * np.radians(deg))),
    )
    return analyse(capture(sweep, surface="outside")).pooled


def inside(ends_mm: tuple[float, float] | None, truth_mm: float) -> bool:
    """Return whether an interval that was told holds the truth."""
    return ends_mm is not None and ends_mm[0] <= truth_mm <= ends_mm[1]


@pytest.mark.slow
@pytest.mark.parametrize("turns", [2, 3, 10])
def test_eccentricity_and_synchronous_motion_hold_the_truth(turns: int):
    held = Counter[str]()
    for seed in SEEDS:
        shape, e_mm = part(np.random.default_rng([seed, turns]))
        pooled = pooled_of(shape, turns, seed)
        held["eccentricity"] += inside(pooled.eccentricity_95_mm, e_mm)
        held["synchronous"] += inside(pooled.synchronous_95_mm, form_mm(shape))
        held["still"] += inside(pooled.asynchronous_95_mm, 0.0)
    assert min(held["eccentricity"], held["synchronous"], held["still"]) >= LEAST, held


@pytest.mark.slow
@pytest.mark.parametrize("turns", [2, 3, 10])
def test_asynchronous_motion_is_that_of_the_balls(turns: int):
    held = Counter[str]()
    for seed in SEEDS:
        rng = np.random.default_rng([seed, turns, 1])
        shape, _ = part(rng)
        line_mm = NOISE_MM * rng.uniform(2.0, 8.0)
        pooled = pooled_of(shape, turns, seed, line_mm)
        rounds = PHI + 2.0 * math.pi * np.arange(turns)[:, None]
        line = line_mm * np.cos(0.41 * rounds) - (pooled.drift_mm_per_s or 0.0) * TURN_S * rounds / (
            2.0 * math.pi
        )
        mean = shape(np.degrees(PHI)) + line.mean(axis=0)
        held["asynchronous"] += inside(pooled.asynchronous_95_mm, float(np.ptp(line, axis=0).max()))
        held["synchronous"] += inside(pooled.synchronous_95_mm, range_without_order_one_mm(mean))
    assert min(held["asynchronous"], held["synchronous"]) >= LEAST, held
