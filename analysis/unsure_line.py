"""A line whose frequency a few turns hardly tell: every frequency that fits takes its share.

Two turns show less than two cycles of a slow line, and how much of it is taken for the part depends
strongly, and not in a straight line, on the frequency it is given. So the orders are fitted at each
frequency in its band, and drawn from all of them as often as each fits the readings.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.harmonics import Line, harmonic_rows

Floats = NDArray[np.float64]

FEW_TURNS = 4.5
"""Up to so many turns a line's frequency is treated so."""
_EDGE = 0.15
_POINTS = 41
_LOOKS = 8
_NEGLIGIBLE = 12.5
"""Frequencies less likely than the best by this in natural logarithm are left out: five deviations."""


@dataclass(frozen=True)
class Frequencies:
    """The orders 1..H at each frequency that a line may have; F frequencies."""

    order: Floats
    """Cycles a turn, shape (F,)."""
    weight: Floats
    """Share of each, sum 1, shape (F,)."""
    line: tuple[Line, ...]
    """The line with each frequency."""
    coefficients_mm: Floats
    """a1, b1, a2, ... with each frequency, shape (F, 2H)."""
    root: Floats
    """Root of their covariance at a noise of 1 with no line to fit, shape (2H, 2H)."""
    line_root: Floats
    """What fitting the line adds to that root, shape (F, 2H, 2)."""
    noise_mm: float
    """Residual standard deviation at the best frequency."""
    dof: int

    @property
    def best(self) -> int:
        """The frequency that fits best."""
        return int(np.argmax(self.weight))

    def draw(self, number: int, rng: np.random.Generator) -> Floats:
        """Return draws of the error of the fit at the best frequency, shape (number, 2H), mm."""
        pick = rng.choice(len(self.weight), size=number, p=self.weight)
        spread = rng.standard_normal((number, len(self.root))) @ self.root.T
        spread += np.einsum("fij,fj->fi", self.line_root[pick], rng.standard_normal((number, 2)))
        spread *= self.noise_mm / np.sqrt(rng.chisquare(self.dof, (number, 1)) / self.dof)
        return np.asarray(self.coefficients_mm[self.best] - self.coefficients_mm[pick] + spread)


def frequencies(
    angle_rad: Floats, reading_mm: Floats, t_s: Floats, highest_order: int, lines: Sequence[Line]
) -> Frequencies:
    """Fit the orders at every frequency in the band of the first line, the other lines held at theirs.

    Parameters: unwrapped angles (rad), readings (mm), times (s), shape (n,); at least one line. The weight is
    the profile likelihood: the part of the flat-prior one that does not reward a frequency for being
    hard to tell from the part.
    """
    held = [wave(line.order * angle_rad) for line in lines[1:] for wave in (np.cos, np.sin)]
    time = (t_s - t_s.mean()) / (float(np.ptp(t_s)) or 1.0)
    base = np.vstack([harmonic_rows(angle_rad, highest_order), time, *held])
    reading = reading_mm - reading_mm.mean()
    inverse = np.linalg.inv(base @ base.T)
    plain = inverse @ (base @ reading)
    left = reading - plain @ base
    floor = math.floor(lines[0].order)
    low, high = floor + _EDGE, floor + 1 - _EDGE
    for _ in range(_LOOKS):
        orders = np.linspace(low, high, _POINTS)
        waves = np.exp(1j * np.multiply.outer(orders, angle_rad))
        rows = np.stack([waves.real, waves.imag], axis=1)
        through = rows @ base.T @ inverse
        clear = rows - through @ base
        square = clear @ np.swapaxes(clear, 1, 2)
        size = np.linalg.solve(square, (clear @ left)[..., None])[..., 0]
        whole = float(left @ left)
        rss = np.maximum(whole - np.sum(size * (clear @ left), axis=1), 1e-13 * whole)
        dof = len(reading) - len(base) - 3
        likelihood = -0.5 * (dof + 3) * np.log(rss / rss.min())
        kept = np.flatnonzero(likelihood > -_NEGLIGIBLE)
        if len(kept) >= _POINTS // 4:
            break
        low, high = orders[max(kept[0] - 1, 0)], orders[min(kept[-1] + 1, _POINTS - 1)]
    own = slice(1, 1 + 2 * highest_order)
    weight = np.exp(likelihood[kept])
    return Frequencies(
        order=orders[kept],
        weight=weight / weight.sum(),
        line=tuple(Line(float(orders[k]), float(size[k, 0]), float(size[k, 1])) for k in kept),
        coefficients_mm=plain[own] - np.einsum("fi,fij->fj", size[kept], through[kept][:, :, own]),
        root=np.linalg.cholesky(inverse[own, own]),
        line_root=np.swapaxes(through[kept][:, :, own], 1, 2)
        @ np.swapaxes(np.linalg.inv(np.linalg.cholesky(square[kept])), 1, 2),
        noise_mm=math.sqrt(float(rss.min()) / dof),
        dof=dof,
    )
