"""What coarse steps of the reading do to a fit.

The mean of a rounded, noisy reading is not the reading: it is drawn toward the middle of its step, by an
amount that depends on where in the step the true value lies. That bias comes back at the same place on
every turn. Where noise is a third of a step or more it is small; far below that more turns do not help.
"""

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from analysis.harmonics import HarmonicFit, at_their_orders, design_rows

Floats = NDArray[np.float64]

WHITE_FROM = 0.6
"""Noise in steps from which rounding is as good as white noise."""
LIMITED_BELOW = 0.3
"""Noise in steps below which more turns do not help."""
UNSEEN_STEPS = 0.07
"""What steps do to each component of an order, as a standard uncertainty in steps, where there is no noise.

By simulation: for wobbles of 0.3 to 16 steps 95 % lie within 0.11 steps across the first order. Along it they
reach 0.46 steps where a wobble is smaller than a step; that is the business of the interval of the TIR."""
LIMITED_STEPS = 0.8
"""How far, in steps, the TIR of a sweep limited by them may be off; 95 % of simulated parts, and more."""
_SEEN_FROM = 0.1
_HIDDEN = (0.56, 0.12)
_HIDDEN_AT = (0.05, 0.28)
"""How far, in steps, the truth lies above the TIR in 95 of 100 simulated parts of one to eight steps, at
these noises (in steps): 0.56, 0.46 at 0.1, 0.23 at 0.2, 0.10 at 0.28."""
_ZEROS = 256
_MOST_ROWS = 4096
_LEAST_NOISE = 0.05
_SMALLEST = 1e-4


def noise_behind_steps(noise_mm: float, resolution_mm: float) -> float:
    """Return the noise before rounding, from the residual one: s^2 less q^2 / 12, never below zero."""
    return math.sqrt(max(0.0, noise_mm**2 - resolution_mm**2 / 12))


def _sawtooth(noise: float) -> Iterator[tuple[int, float]]:
    """Yield the terms k, size of what noisy rounding adds to a value x, in steps: size sin(2 pi k x).

    ``noise``: standard deviation, in steps. The Fourier series of the sawtooth round(x) - x, each term damped
    by the noise (Poisson's sum; derived, not taken from a text).
    """
    k = 1
    while (size := math.exp(-2 * (math.pi * k * noise) ** 2) / (math.pi * k)) > _SMALLEST:
        yield k, (-1) ** k * size
        k += 1


def unseen_quantisation_bias_mm(noise_mm: float, resolution_mm: float) -> float:
    """Return the standard uncertainty, per component, that steps add where too little noise shows them.

    The whole of it up to a noise of a tenth of a step, none from ``LIMITED_BELOW``, where the bias is seen.
    """
    share = (LIMITED_BELOW - noise_mm / resolution_mm) / (LIMITED_BELOW - _SEEN_FROM)
    return UNSEEN_STEPS * resolution_mm * min(1.0, max(0.0, share))


def hidden_by_steps_mm(tir_mm: float, noise_mm: float, resolution_mm: float) -> float:
    """Return how far the truth may lie above the TIR that coarse steps show, one-sided 95 %, mm.

    Stairs that are fitted add height more often than they hide it, and noise finds what they hide. A TIR of
    less than a step may lie within one.
    """
    if tir_mm < resolution_mm:
        return LIMITED_STEPS * resolution_mm
    return float(np.interp(noise_mm / resolution_mm, _HIDDEN_AT, _HIDDEN)) * resolution_mm


def coefficient_biases_mm(fit: HarmonicFit, angle_rad: Floats, t_s: Floats, resolution_mm: float) -> Floats:
    """Return what rounding adds to a1, b1, a2, ... for zeros spread over a step, shape (zeros, 2H), mm.

    Parameters: the fit, and angles and times of readings it was made from, shape (n,). Where there are very
    many readings, evenly taken ones speak for all.
    """
    every = -(-len(angle_rad) // _MOST_ROWS)
    rows = design_rows(fit, angle_rad[::every], t_s[::every])
    noise = max(noise_behind_steps(fit.noise_mm, resolution_mm) / resolution_mm, _LEAST_NOISE)
    position = fit.model(angle_rad[::every], t_s[::every]) / resolution_mm
    gram = rows @ rows.T
    fitted = 2 * (fit.consecutive_orders + len(fit.added_orders))
    solver = at_their_orders(
        np.asarray(np.linalg.solve(gram, rows)[1 : 1 + fitted]), fit.consecutive_orders, fit.added_orders, 0
    )
    zeros = (np.arange(_ZEROS) + 0.5) / _ZEROS
    biases = np.zeros((_ZEROS, len(solver)))
    for k, size in _sawtooth(noise):
        # A zero only turns each term on: its sine and cosine at no zero make those at all.
        at, turned = 2 * math.pi * k * position, 2 * math.pi * k * zeros
        biases += size * (
            np.outer(np.cos(turned), solver @ np.sin(at)) + np.outer(np.sin(turned), solver @ np.cos(at))
        )
    return biases * resolution_mm
