"""Highest and lowest point of a curve that is a sum of whole orders.

Knows the coefficients only; where they come from and how well they are known is not its business.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_POINTS_PER_ORDER = 16
_NEWTON_STEPS = 6


@dataclass(frozen=True, slots=True)
class Extremes:
    """Highest and lowest value of a curve over one turn, and where they lie."""

    highest_mm: float
    high_rad: float
    """Place of the highest value, radians in [0, 2 pi)."""
    lowest_mm: float
    low_rad: float
    """Place of the lowest value, radians in [0, 2 pi)."""

    @property
    def tir_mm(self) -> float:
        """Highest less lowest."""
        return self.highest_mm - self.lowest_mm


def evaluate(cos_mm: Floats, sin_mm: Floats, angle_rad: Floats, derivative: int = 0) -> Floats:
    """Return the sum of orders (or its first or second derivative) at these angles, shape as the angles."""
    orders = np.arange(1, len(cos_mm) + 1)
    turned = np.exp(1j * np.multiply.outer(np.asarray(angle_rad, np.float64), orders))
    z = (cos_mm - 1j * sin_mm) * (1j * orders) ** derivative
    return np.asarray((turned @ z).real)


def on_grid(cos_mm: Floats, sin_mm: Floats, points: int) -> Floats:
    """Return the sum of orders at ``points`` equally spaced angles from 0, along the last axis.

    Coefficients may carry leading axes: shape (..., H) gives (..., points). ``points`` must exceed 2 H.
    """
    highest = cos_mm.shape[-1]
    spectrum = np.zeros((*cos_mm.shape[:-1], points // 2 + 1), np.complex128)
    spectrum[..., 1 : highest + 1] = (cos_mm - 1j * sin_mm) * (points / 2)
    return np.asarray(np.fft.irfft(spectrum, points, axis=-1))


def extremes(cos_mm: Floats, sin_mm: Floats) -> Extremes:
    """Return the exact highest and lowest point of the sum of orders 1..H.

    Parameters: coefficients in mm, each shape (H,). A fine grid finds every place that can hold the
    extreme, Newton steps on the slope finish it to rounding error. A curve of no height has both at 0.
    """
    if not (np.any(cos_mm) or np.any(sin_mm)):
        return Extremes(0.0, 0.0, 0.0, 0.0)
    high_rad, highest = _highest(cos_mm, sin_mm)
    low_rad, negative = _highest(-cos_mm, -sin_mm)
    return Extremes(highest, high_rad, -negative, low_rad)


def _highest(cos_mm: Floats, sin_mm: Floats) -> tuple[float, float]:
    orders = np.arange(1, len(cos_mm) + 1)
    points = 1 << math.ceil(math.log2(max(64, _POINTS_PER_ORDER * len(orders))))
    step = 2 * math.pi / points
    values = on_grid(cos_mm, sin_mm, points)
    # Between two grid points the curve cannot rise above the higher by more than bend * step^2 / 8.
    bend = float(np.sum(orders**2 * np.hypot(cos_mm, sin_mm)))
    peaks = (values >= np.roll(values, 1)) & (values >= np.roll(values, -1))
    near = peaks & (values >= values.max() - bend * step**2 / 8)
    places = np.asarray(np.flatnonzero(near) * step, np.float64)
    start = places.copy()
    for _ in range(_NEWTON_STEPS):
        slope = evaluate(cos_mm, sin_mm, places, 1)
        curvature = evaluate(cos_mm, sin_mm, places, 2)
        move = np.where(curvature < 0, -slope / np.where(curvature < 0, curvature, 1.0), 0.0)
        places = np.clip(places + move, start - step, start + step)
    heights = np.append(evaluate(cos_mm, sin_mm, places), evaluate(cos_mm, sin_mm, start))
    best = int(np.argmax(heights))
    return float(np.append(places, start)[best] % (2 * math.pi)), float(heights[best])
