"""The result of a fit of whole orders: coefficients with their covariance, and the curve they make."""

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analysis.harmonics.design import Line, line_rows, order_rows
from analysis.numerics import Extremes, evaluate, extremes

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class HarmonicFit:
    """Orders 1..H fitted to readings, H = ``highest_order``; with single orders added, not all of them."""

    highest_order: int
    constant_mm: float
    """c: mean height; with drift, at t = 0."""
    drift_mm_per_s: float | None
    """d; None where no drift was fitted."""
    cos_mm: Floats
    """a_1..a_H, shape (H,)."""
    sin_mm: Floats
    """b_1..b_H, shape (H,)."""
    covariance_mm2: Floats
    """Covariance of a1, b1, a2, b2, ...; shape (2H, 2H); NaN where no degree of freedom is left."""
    noise_mm: float
    """Residual standard deviation; NaN where dof is 0."""
    dof: int
    """Readings less unknowns."""
    lines: tuple[Line, ...]
    """Non-integer lines fitted beside the orders."""
    residual_mm: Floats
    """Readings less everything fitted, in the order given, shape (n,); empty where fitted from sums."""
    condition: float
    """Condition number of the design with columns scaled to one length."""
    added_orders: tuple[int, ...] = ()
    """Single orders at the top; those between them and ``consecutive_orders`` are nothing."""
    consecutive: int | None = None

    @property
    def consecutive_orders(self) -> int:
        """Up to which order all were fitted."""
        return self.highest_order if self.consecutive is None else self.consecutive

    @cached_property
    def extremes(self) -> Extremes:
        """Exact highest and lowest point of the curve."""
        return extremes(self.cos_mm, self.sin_mm)

    def curve(self, angle_rad: ArrayLike) -> Floats:
        """Return the curve of orders 1..H at these angles in mm, without constant, drift or lines."""
        return evaluate(self.cos_mm, self.sin_mm, np.asarray(angle_rad, np.float64))

    def model(self, angle_rad: Floats, t_s: Floats) -> Floats:
        """Return everything fitted at these unwrapped angles and times, lines included, mm."""
        lines = sum(
            line.cos_mm * np.cos(line.order * angle_rad) + line.sin_mm * np.sin(line.order * angle_rad)
            for line in self.lines
        )
        return self.constant_mm + (self.drift_mm_per_s or 0.0) * t_s + self.curve(angle_rad) + lines

    @property
    def vectors_mm(self) -> NDArray[np.complex128]:
        """z_n = a_n + i b_n, shape (H,)."""
        return self.cos_mm + 1j * self.sin_mm

    @property
    def coefficients_mm(self) -> Floats:
        """a1, b1, a2, b2, ... in the order of the covariance, shape (2H,)."""
        return np.stack([self.cos_mm, self.sin_mm], axis=1).ravel()

    @property
    def amplitude_mm(self) -> Floats:
        """A_n of each order, shape (H,)."""
        return np.hypot(self.cos_mm, self.sin_mm)

    @property
    def tir_mm(self) -> float:
        """Exact max - min of the curve over a full turn."""
        return self.extremes.tir_mm

    @property
    def high_point_rad(self) -> float:
        """Where the curve of all orders is highest, [0, 2 pi)."""
        return self.extremes.high_rad

    @property
    def low_point_rad(self) -> float:
        """Where the curve of all orders is lowest, [0, 2 pi)."""
        return self.extremes.low_rad

    def high_place_rad(self, order: int) -> float:
        """Return the first high place of one order: arg(z_n) / n in [0, 2 pi / n)."""
        phase = math.atan2(self.sin_mm[order - 1], self.cos_mm[order - 1]) % (2 * math.pi)
        return phase / order


def design_rows(fit: HarmonicFit, angle_rad: Floats, t_s: Floats) -> Floats:
    """Return the rows behind a fit at these readings: constant, orders, drift, lines; shape (p, n)."""
    rows = [order_rows(angle_rad, fit.consecutive_orders, fit.added_orders)]
    if fit.drift_mm_per_s is not None:
        rows.append((t_s - t_s.mean())[None] / (float(np.ptp(t_s)) or 1.0))
    rows += [line_rows(angle_rad, line, 0.0)[:2] for line in fit.lines]
    return np.vstack(rows)
