"""Rows of the model r = c + d t + sum over n of (a_n cos n phi + b_n sin n phi), with non-integer lines.

Angles need not be evenly spaced, and no transform is used that assumes so.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Line:
    """A sinusoid at a fixed, non-integer number of cycles a turn, such as a ball passing."""

    order: float
    """Cycles per turn."""
    cos_mm: float
    """Coefficient of cos(order * angle), angle unwrapped."""
    sin_mm: float
    """Coefficient of sin(order * angle)."""

    @property
    def amplitude_mm(self) -> float:
        """Half the peak-to-valley height."""
        return math.hypot(self.cos_mm, self.sin_mm)


def harmonic_rows(angle_rad: Floats, highest_order: int) -> Floats:
    """Return rows 1, cos phi, sin phi, cos 2 phi, ...; shape (1 + 2H, n).

    Each order is the one before turned once more: two trigonometric calls instead of 2H, at an error of
    about H units in the last place.
    """
    rows = np.empty((1 + 2 * highest_order, len(angle_rad)))
    rows[0] = 1.0
    if highest_order < 1:
        return rows
    c1, s1 = np.cos(angle_rad), np.sin(angle_rad)
    rows[1], rows[2] = c1, s1
    for n in range(2, highest_order + 1):
        c, s = rows[2 * n - 3], rows[2 * n - 2]
        np.subtract(c * c1, s * s1, out=rows[2 * n - 1])
        np.add(s * c1, c * s1, out=rows[2 * n])
    return rows


def order_rows(angle_rad: Floats, highest_order: int, added: Sequence[int] = ()) -> Floats:
    """Return the rows of orders 1..H with those of single orders above; shape (1 + 2H + 2 added, n)."""
    rows = harmonic_rows(angle_rad, highest_order)
    if not added:
        return rows
    above = [wave(n * angle_rad) for n in added for wave in (np.cos, np.sin)]
    return np.vstack([rows, *above])


def at_their_orders(fitted: Floats, highest_order: int, added: Sequence[int], axis: int = -1) -> Floats:
    """Return what belongs to the fitted a1, b1, ... with zeros for the orders that are not fitted.

    Along ``axis`` 2H + 2 added numbers come in and two for every order up to the highest go out: of orders
    between, the part is taken to have nothing.
    """
    if not added:
        return fitted
    pairs = [*range(2 * highest_order), *(2 * n - 2 + k for n in added for k in (0, 1))]
    shape = list(fitted.shape)
    shape[axis] = 2 * max(added)
    spread = np.zeros(shape)
    np.moveaxis(spread, axis, 0)[pairs] = np.moveaxis(fitted, axis, 0)
    return spread


def line_rows(angle_rad: Floats, line: Line, centre_rad: float) -> Floats:
    """Return cos, sin and frequency-derivative rows of one line; shape (3, n).

    The third row lets the covariance carry that the line's frequency is only estimated.
    """
    phase = line.order * angle_rad
    c, s = np.cos(phase), np.sin(phase)
    size = line.amplitude_mm or 1.0
    slope = (angle_rad - centre_rad) * (line.sin_mm * c - line.cos_mm * s) / size
    return np.stack([c, s, slope])


def contrast_rows(angle_rad: Floats, turn: NDArray[np.int64]) -> Floats:
    """Return rows that let order 1 be another one on every turn; shape (2 (turns - 1), n).

    Each turn is held against the first one, so that cosine and sine of order 1 beside them are the plain
    mean of the turns' own.
    """
    number = np.unique(turn)
    wave = np.stack([np.cos(angle_rad), np.sin(angle_rad)])
    on_first = (turn == number[0]).astype(np.float64)
    return np.vstack([wave * ((turn == k) - on_first) for k in number[1:]] or [np.empty((0, len(turn)))])
