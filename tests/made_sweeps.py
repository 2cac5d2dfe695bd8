"""Sweeps made from a formula for tests: even turning, a shape by angle, noise, steps of the gauge."""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.capture.samples import Capture, Samples
from analysis.setup import parse_setup

Floats = NDArray[np.float64]
Shape = Callable[[Floats], Floats]
PER_TURN = 480
TURN_S = 6.0
"""Ten turns a minute."""


@dataclass(frozen=True)
class Made:
    """One sweep."""

    angle_rad: Floats
    reading_mm: Floats
    t_s: Floats
    turn: NDArray[np.int64]

    @property
    def deg(self) -> Floats:
        """Angle in degrees, unwrapped."""
        return np.degrees(self.angle_rad)


def made(
    shape: Shape,
    *,
    turns: int = 3,
    per_turn: int = PER_TURN,
    noise_mm: float = 0.0,
    step_mm: float = 0.0,
    seed: int = 1,
    also: Callable[[Floats], Floats] | None = None,
) -> Made:
    """Return whole turns of a part.

    Parameters: ``shape`` reading in mm by angle in degrees (0 to 360); ``also`` what comes on top by unwrapped
    degrees (creep, jumps, knocks); standard deviation of the noise and step of the gauge, mm.
    """
    n = turns * per_turn
    turned = np.arange(n) / per_turn
    reading = (
        shape(np.mod(turned * 360.0, 360.0)) + np.random.default_rng(seed).normal(0.0, 1.0, n) * noise_mm
    )
    if also is not None:
        reading = reading + also(turned * 360.0)
    if step_mm:
        reading = np.round(reading / step_mm) * step_mm
    return Made(turned * 2 * math.pi, reading, turned * TURN_S, np.floor(turned + 1e-12).astype(np.int64))


def wobble(tir_mm: float, high_side_deg: float = 63.0, zero_mm: float = 0.0) -> Shape:
    """Return a plain wobble: order 1 alone."""

    def shape(deg: Floats) -> Floats:
        return np.asarray(zero_mm + tir_mm / 2 * np.cos(np.radians(deg - high_side_deg)))

    return shape


def box(height_mm: float, middle_deg: float, width_deg: float) -> Shape:
    """Return a feature with steep sides: so high, so wide, nothing beside it."""

    def shape(deg: Floats) -> Floats:
        off = np.mod(deg - middle_deg + 180.0, 360.0) - 180.0
        return np.asarray(np.where(np.abs(off) < width_deg / 2, height_mm, 0.0))

    return shape


def sum_of(*shapes: Shape) -> Shape:
    """Return the sum of shapes."""

    def shape(deg: Floats) -> Floats:
        return np.asarray(sum(one(deg) for one in shapes))

    return shape


def capture(sweep: Made, resolution_mm: float = 0.0, **setup: str) -> Capture:
    """Return a sweep as it enters the numerics, one reading past the last mark included."""
    n = len(sweep.angle_rad) + 1
    samples = Samples(
        np.append(sweep.t_s, sweep.t_s[-1] + sweep.t_s[1]),
        np.append(sweep.angle_rad, sweep.angle_rad[-1] + sweep.angle_rad[1]),
        np.append(sweep.reading_mm, sweep.reading_mm[0]),
        np.ones(n, bool),
        np.zeros(n, bool),
        np.zeros(n, np.int16),
    )
    return Capture(samples, parse_setup(setup), resolution_mm=resolution_mm)
