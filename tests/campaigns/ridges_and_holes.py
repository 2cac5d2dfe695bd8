"""How often ridges, plain parts and holes are decided rightly, over many sweeps of a known truth, as a table.

Run from the top folder: python -m tests.campaigns.ridges_and_holes [--sweeps 60] [--from-seed 0]
[condition ...]. Invented data. A ridge's limit lies 1.5 to 6 % under what a dial shows of the part: "within"
is wrong there. Plain parts have their limit 5 % over or under their TIR.
"""

import argparse
import math
from collections import Counter
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from analysis.results import SweepResult
from analysis.sweep.pipeline import fit_sweep

Floats = NDArray[np.float64]
Case = tuple[SweepResult, float]
"""A sweep analysed, and its true TIR (mm) as a dial would show it without noise."""
STEPS_UM = ((1.0, 0.3), (1.0, 0.6), (0.5, 0.3), (2.0, 0.3))
"""Step of the gauge and noise, um."""


def off_deg(deg: Floats, middle: float) -> Floats:
    """Return how far each angle lies from the middle, degrees."""
    return np.asarray((deg - middle + 180.0) % 360.0 - 180.0)


def turned(
    rng: np.random.Generator,
    shape: Callable[[Floats], Floats],
    step_um: float,
    noise_um: float,
    *,
    limit_mm: float | None,
    turns: int = 3,
    **setup: str,
) -> SweepResult:
    """Return a sweep analysed: 420 to 520 readings a turn, turned a little unevenly, any zero."""
    per_turn = int(rng.integers(420, 521))
    u = np.arange(turns * per_turn + 4) / per_turn
    u = u + 0.01 * np.sin(2 * math.pi * (0.7 * u + rng.uniform()))
    u = u - u[0]
    reading = shape(np.degrees(2 * math.pi * u) % 360.0) + rng.uniform(-0.5, 0.5)
    reading = reading + 1e-3 * noise_um * rng.standard_normal(len(u))
    reading = np.round(reading / (1e-3 * step_um)) * (1e-3 * step_um)
    return fit_sweep(
        2 * math.pi * u,
        reading,
        np.arange(len(u)) / 80.0,
        setup=setup,
        limit=limit_mm,
        resolution_mm=1e-3 * step_um,
    )


def wobble(rng: np.random.Generator, tir_mm: float) -> Callable[[Floats], Floats]:
    """Return a first order with a little second and third."""
    side = rng.uniform(0.0, 360.0, 3)
    size = tir_mm / 2.0 * np.array([1.0, *(0.1 * rng.uniform(size=2))])

    def shape(deg: Floats) -> Floats:
        return np.asarray(
            sum(a * np.cos(n * np.radians(deg - s)) for n, a, s in zip((1, 2, 3), size, side, strict=True))
        )

    return shape


def seen_by_a_dial(shape: Callable[[Floats], Floats]) -> float:
    """Return max - min of the shape itself, mm."""
    return float(np.ptp(shape(np.linspace(0.0, 360.0, 36_001)[:-1])))


def ridge(rng: np.random.Generator, step_um: float, noise_um: float) -> Case:
    """A box 4 to 14 deg wide and 12 to 40 um high anywhere on a wobble."""
    base = wobble(rng, 1e-3 * rng.uniform(15.0, 50.0))
    height, middle, width = 1e-3 * rng.uniform(12.0, 40.0), rng.uniform(0, 360), rng.uniform(4.0, 14.0)

    def shape(deg: Floats) -> Floats:
        return np.asarray(base(deg) + np.where(np.abs(off_deg(deg, middle)) < width / 2, height, 0.0))

    truth = seen_by_a_dial(shape)
    return turned(rng, shape, step_um, noise_um, limit_mm=truth * (1.0 - rng.uniform(0.015, 0.06))), truth


def plain(rng: np.random.Generator, step_um: float, noise_um: float) -> Case:
    """A wobble of 30 to 100 um, its limit 5 % over or under."""
    shape = wobble(rng, 1e-3 * rng.uniform(30.0, 100.0))
    truth = seen_by_a_dial(shape)
    return turned(rng, shape, step_um, noise_um, limit_mm=truth * rng.choice([0.95, 1.05])), truth


def holes(declared: bool) -> Callable[[np.random.Generator, float, float], Case]:
    """Six holes 5 to 10 deg wide and 0.05 to 0.4 mm deep on a wobble, declared by their place or not at all."""

    def case(rng: np.random.Generator, step_um: float, noise_um: float) -> Case:
        base = wobble(rng, 1e-3 * rng.uniform(25.0, 40.0))
        first, width, depth = rng.uniform(0.0, 60.0), rng.uniform(5.0, 10.0), rng.uniform(0.05, 0.4)
        slope = rng.uniform(0.2, 1.5)

        def shape(deg: Floats) -> Floats:
            # Steep sides, a tip's ball rolling over the edge of each.
            edge = (width / 2 - np.abs(off_deg(6.0 * deg, 6.0 * first)) / 6.0) / slope
            return np.asarray(base(deg) - depth * np.clip(edge + 0.5, 0.0, 1.0))

        truth = seen_by_a_dial(base)
        text = (
            " ".join(f"{(first + 60 * k + rng.uniform(-1, 1)) % 360:.1f}" for k in range(6))
            if declared
            else ""
        )
        return turned(rng, shape, step_um, noise_um, limit_mm=truth * 1.25, holes=text), truth

    return case


CONDITIONS = {
    "ridge": ridge,
    "plain": plain,
    "holes by place": holes(True),
    "holes undeclared": holes(False),
}


def main(arguments: Sequence[str] | None = None) -> None:
    """Print the table, a line as soon as it is known."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sweeps", type=int, default=60)
    parser.add_argument("--from-seed", type=int, default=0)
    parser.add_argument("condition", nargs="*")
    asked = parser.parse_args(arguments)
    for name in asked.condition or list(CONDITIONS):
        for number, (step_um, noise_um) in enumerate(STEPS_UM):
            states: Counter[str] = Counter()
            wrong = held = 0
            for seed in range(asked.from_seed, asked.from_seed + asked.sweeps):
                rng = np.random.default_rng([seed, number, len(name)])
                result, truth = CONDITIONS[name](rng, step_um, noise_um)
                decision = result.decision
                assert decision is not None
                over = truth > decision.limit_mm
                states[decision.state] += 1
                wrong += decision.state == ("within" if over else "over")
                low, high = result.pooled.tir_fit.interval()
                held += low <= truth <= high
            by_state = " ".join(f"{state} {count}" for state, count in sorted(states.items()))
            print(
                f"{name:18s} step {step_um:3.1f} noise {noise_um:3.1f} um  n {asked.sweeps}  wrong {wrong:3d}  "
                f"TIR held {held:3d}  {by_state}",
                flush=True,
            )


if __name__ == "__main__":
    main()
