"""Decisions of simulated sweeps, held against what a dial without noise would show of the part.

A manual's limit means max - min of the surface, ridges and nicks with it. With the limit a hair under the truth
every "within" is wrong, with the limit a hair over it every "over"; each may happen once in twenty times. Own
generator, invented data; fails only where that share would be exceeded so far once in ten thousand runs.
"""

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import pytest
from made_sweeps import Floats
from scipy.stats import binom

from analysis.results import SweepResult
from analysis.setup import Quantity
from analysis.sweep.pipeline import fit_sweep

pytestmark = pytest.mark.slow  # a set of simulated sweeps

SWEEPS, TURNS = 40, 3
MOST_WRONG = int(binom.ppf(1.0 - 1e-4, SWEEPS, 0.05))
STEP_MM, NOISE_MM = 0.001, 0.0006
FINE_DEG = np.linspace(0.0, 360.0, 14_400, endpoint=False)


@dataclass(frozen=True)
class Part:
    """A surface, and what a dial without noise shows of it."""

    z_mm: np.ndarray
    place_deg: float
    width_deg: float
    height_mm: float
    """Of a ridge; below 0 a nick; 0 neither."""

    def surface_mm(self, deg: Floats) -> Floats:
        """Return the surface at these angles, mm."""
        orders = np.arange(1, len(self.z_mm) + 1)
        low = (self.z_mm @ np.exp(-1j * np.outer(orders, np.radians(deg)))).real
        off = (deg - self.place_deg + 180.0) % 360.0 - 180.0
        inside = np.abs(off) < self.width_deg / 2.0
        return np.asarray(
            low + np.where(inside, self.height_mm * np.cos(math.pi * off / self.width_deg) ** 2, 0.0)
        )

    @property
    def dial_mm(self) -> float:
        """Max - min of the surface, mm."""
        return float(np.ptp(self.surface_mm(FINE_DEG)))


def drawn(kind: str, seed: int) -> tuple[Part, np.random.Generator]:
    """Return a part with a wobble of 20 to 60 um, some form, and a ridge or nick where ``kind`` says so."""
    rng = np.random.default_rng([seed, len(kind)])
    z = rng.uniform(0.010, 0.030) * np.array([1.0, 0.15, 0.05, 0.04]) * np.exp(2j * math.pi * rng.random(4))
    height = {"plain": 0.0, "ridge": 1.0, "nick": -1.0}[kind] * rng.uniform(0.005, 0.030)
    return Part(z, rng.uniform(0.0, 360.0), rng.uniform(4.0, 15.0), height), rng


@lru_cache
def drawn_sweeps(kind: str) -> list[tuple[Part, SweepResult]]:
    """Return parts and their sweeps: three turns of 480 readings, turned unevenly, any zero."""
    found = []
    for seed in range(SWEEPS):
        part, rng = drawn(kind, seed)
        u = np.arange(TURNS * 480 + 24) / 480.0
        u = u + 0.01 * np.sin(2.0 * math.pi * (0.7 * u + rng.uniform()))
        angle = 2.0 * math.pi * (u - u[0])
        noise = NOISE_MM * rng.standard_normal(len(u))
        reading = part.surface_mm(np.degrees(angle)) + rng.uniform(-0.5, 0.5) + noise
        reading = np.round(reading / STEP_MM) * STEP_MM
        setup = {"turns_planned": str(TURNS)}
        found.append(
            (part, fit_sweep(angle, reading, np.arange(len(u)) / 60.0, setup=setup, resolution_mm=STEP_MM))
        )
    return found


def states(kind: str, share_of_truth: float) -> list[str]:
    """Return the state of every sweep, with the limit at this share of what a dial shows."""
    return [
        result.decidable[Quantity.TIR].against(part.dial_mm * share_of_truth, Quantity.TIR).state.value
        for part, result in drawn_sweeps(kind)
    ]


@pytest.mark.parametrize("kind", ["plain", "ridge", "nick"])
@pytest.mark.parametrize(("share_of_truth", "wrong"), [(1.0 - 1e-6, "within"), (1.0 + 1e-6, "over")])
def test_a_limit_at_what_a_dial_shows_is_seldom_decided_wrongly(
    kind: str, share_of_truth: float, wrong: str
) -> None:
    assert states(kind, share_of_truth).count(wrong) <= MOST_WRONG


@pytest.mark.parametrize(("share_of_truth", "right"), [(0.5, "over"), (2.0, "within")])
def test_a_limit_far_off_is_decided_rightly(share_of_truth: float, right: str) -> None:
    assert states("plain", share_of_truth).count(right) >= int(binom.ppf(1e-4, SWEEPS, 0.95))
