"""Made sweeps and their intervals, for tests of how well a sweep is known."""

import numpy as np
from made_sweeps import Made, made, wobble

from analysis.harmonics import FitPlan
from analysis.numerics import Component
from analysis.uncertainty.sweep import SweepUncertainty, tir_interval

NOISE_MM = 0.001


def known(
    sweep: Made,
    highest: int = 15,
    *,
    step_mm: float = 0.0,
    other_mm: float = 0.0,
    even: bool = True,
    seed: int = 1,
) -> SweepUncertainty:
    """Return how well a sweep is known; ``other_mm`` is the u of one more line of its budget."""
    return tir_interval(
        sweep.angle_rad,
        sweep.reading_mm,
        sweep.t_s,
        sweep.turn,
        plan=FitPlan(highest, len(np.unique(sweep.turn)), even_angles=even),
        resolution_mm=step_mm,
        other={"gauge": Component(other_mm)} if other_mm else {},
        seed=seed,
    )


def plain(turns: int = 3, **changed: float) -> Made:
    """Return a wobble of 0.1 mm with white noise."""
    return made(wobble(0.1), turns=turns, noise_mm=changed.get("noise_mm", NOISE_MM),
                step_mm=changed.get("step_mm", 0.0), seed=int(changed.get("seed", 1)))  # fmt: skip
