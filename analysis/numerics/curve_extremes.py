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
    return extremes_of_each(cos_mm[None], sin_mm[None])[0]


def extremes_of_each(cos_mm: Floats, sin_mm: Floats) -> list[Extremes]:
    """Return the same of many curves, shape (curves, H) each."""
    flat = ~(np.any(cos_mm, axis=1) | np.any(sin_mm, axis=1))
    high_rad, highest = _highest(cos_mm, sin_mm)
    low_rad, negative = _highest(-cos_mm, -sin_mm)
    numbers = np.stack([highest, high_rad, -negative, low_rad], axis=1)
    numbers[flat] = 0.0
    return [Extremes(*each) for each in numbers.tolist()]


def _highest(cos_mm: Floats, sin_mm: Floats) -> tuple[Floats, Floats]:
    """Return the places of the highest points, [0, 2 pi), and their heights, shape (curves,) each."""
    orders = np.arange(1, cos_mm.shape[1] + 1)
    points = 1 << math.ceil(math.log2(max(64, _POINTS_PER_ORDER * len(orders))))
    step = 2 * math.pi / points
    values = on_grid(cos_mm, sin_mm, points)
    # Between two grid points the curve cannot rise above the higher by more than bend * step^2 / 8.
    bend = np.sum(orders**2 * np.hypot(cos_mm, sin_mm), axis=1)
    peaks = (values >= np.roll(values, 1, axis=1)) & (values >= np.roll(values, -1, axis=1))
    near = peaks & (values >= (values.max(axis=1) - bend * step**2 / 8)[:, None])
    curve, at = np.nonzero(near)
    z = (cos_mm - 1j * sin_mm)[curve]
    start = at * step
    places = start.copy()

    def turned() -> NDArray[np.complex128]:
        return np.asarray(np.exp(1j * np.multiply.outer(places, orders)) * z)

    before = turned().real.sum(axis=1)
    for _ in range(_NEWTON_STEPS):
        waves = turned()
        slope, curvature = -(waves.imag @ orders), -(waves.real @ orders**2)
        move = np.where(curvature < 0, -slope / np.where(curvature < 0, curvature, 1.0), 0.0)
        places = np.clip(places + move, start - step, start + step)
    after = turned().real.sum(axis=1)
    places, heights = np.where(after >= before, places, start), np.maximum(after, before)
    first = np.searchsorted(curve, np.arange(len(cos_mm)))
    best = np.array(
        [a + int(np.argmax(heights[a:b])) for a, b in zip(first, [*first[1:], len(curve)], strict=True)]
    )
    return places[best] % (2 * math.pi), heights[best]
