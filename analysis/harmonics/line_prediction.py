"""Whether a line that was found is believed: only where it predicts readings that it was not fitted to.

A steady line goes on from turn to turn, so that the other turns foretell each turn. An axis that wanders
fits a line too, with two or three turns nearly as well, but foretells nothing. Prediction sum of squares
after Allen 1974 (from memory); the thresholds are own trial.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.harmonics.design import Line, harmonic_rows, order_rows

Floats = NDArray[np.float64]

BELIEVED_BELOW = 0.15
"""Share of the squares that a line may leave of turns it was not fitted to."""
_ORDERS = 6
"""Predictions are held against so many orders of a turn, those about the line: fewer hold less noise."""
_BINS = 120
_LEAST_IN_A_BIN = 3.0
_LEFT_IN_NOISES = 1.05
"""Of two turns a line may leave no more than this of what noise makes, of the whole difference, ..."""
_FORETOLD_IN_NOISES = 1.0
"""... no more than this of the half that it was not fitted to, with the noise of the fit counted in, ..."""
_TO_FORETELL_IN_NOISES = 8.0
"""... and there has to be as much as this to foretell. Of lines at 0.41 a turn, 1 to 5 noises high, two in
three are believed so, of axes that wander one in thirty."""


@dataclass(frozen=True, slots=True)
class Prediction:
    """How well a line foretells what it was not fitted to."""

    ratio: float
    """Squares that are left beside the line, as a share of those without it."""
    believed: bool


_NOTHING_FORETOLD = Prediction(1.0, False)


def predicts(
    angle_rad: Floats,
    reading_mm: Floats,
    t_s: Floats,
    turn: NDArray[np.int64],
    line: Line,
    *,
    highest_order: int,
    added: Sequence[int] = (),
    known: Sequence[Line] = (),
) -> Prediction:
    """Return how well ``line`` foretells turns that it was not fitted to.

    Parameters: unwrapped angles (rad), readings (mm), times (s) and the number of the turn of each, shape
    (n,); orders 1..H and ``added``, a drift and the lines ``known`` are fitted in both cases, the frequencies
    held. Of two turns each half of their difference foretells the other half.
    """
    number = np.unique(turn)
    if len(number) < 2:
        return _NOTHING_FORETOLD
    time = (t_s - t_s.mean()) / (float(np.ptp(t_s)) or 1.0)
    waves = [_waves(each, angle_rad) for each in (*known, line)]
    rows = np.vstack([order_rows(angle_rad, highest_order, added), time, *waves])
    reading = reading_mm - reading_mm.mean()
    if len(number) == 2:
        return _half_by_half(rows[: 1 + 2 * highest_order], rows[:-2], angle_rad, reading, turn, line)
    without, beside = 0.0, 0.0
    gram, right = rows @ rows.T, rows @ reading
    for k in number:
        here = turn == k
        mine, read = rows[:, here], reading[here]
        lowest = max(0, math.floor(line.order) - _ORDERS // 2 + 1)
        others, others_right = gram - mine @ mine.T, right - mine @ read
        about = harmonic_rows(angle_rad[here], lowest + _ORDERS - 1)[max(0, 2 * lowest - 1) :]
        seen = np.linalg.qr(about.T)[0]
        for used, base in ((slice(None), False), (slice(None, -2), True)):
            foretold = _solved(others[used, used], others_right[used]) @ mine[used]
            square = float(np.sum((seen.T @ (read - foretold)) ** 2))
            without, beside = (without + square, beside) if base else (without, beside + square)
    ratio = beside / without if without > 0.0 else 1.0
    return Prediction(ratio, ratio < BELIEVED_BELOW)


def _waves(line: Line, angle: Floats) -> Floats:
    return np.stack([np.cos(line.order * angle), np.sin(line.order * angle)])


def _solved(gram: Floats, right: Floats) -> Floats:
    """Return the solution of normal equations, with a hair of a ridge for those that a turn left out."""
    ridge = 1e-10 * float(np.trace(gram)) / len(gram) * np.eye(len(gram))
    return np.asarray(np.linalg.solve(gram + ridge, right))


def _left(rows: Floats, reading: Floats) -> Floats:
    return np.asarray(reading - _solved(rows @ rows.T, rows @ reading) @ rows)


def _half_by_half(
    orders: Floats, base: Floats, angle: Floats, reading: Floats, turn: NDArray[np.int64], line: Line
) -> Prediction:
    """Return how well the line foretells the difference of two turns, half a turn from the other half."""
    left = _left(base, reading)
    of = [turn == k for k in np.unique(turn)]
    within = sum(float(np.sum(_left(orders[:, one], left[one]) ** 2)) for one in of)
    dof = len(left) - len(of) * len(orders)
    fewest = min(int(one.sum()) for one in of)
    bins = int(min(_BINS, max(12.0, fewest / _LEAST_IN_A_BIN)))
    cell = np.minimum((np.mod(angle, 2 * math.pi) * (bins / (2 * math.pi))).astype(np.int64), bins - 1)
    number = [np.bincount(cell[one], minlength=bins) for one in of]
    both = (number[0] > 0) & (number[1] > 0)
    first, second = (
        np.bincount(cell[one], left[one], minlength=bins)[both] / n[both]
        for one, n in zip(of, number, strict=True)
    )
    place = np.asarray((np.flatnonzero(both) + 0.5) * (2 * math.pi / bins), np.float64)
    half = place < math.pi
    rows = np.vstack([_waves(line, place), np.ones_like(place)])
    if dof < 1 or min(half.sum(), (~half).sum()) <= len(rows):
        return _NOTHING_FORETOLD
    difference = first - second
    noise2: Floats = within / dof * (1.0 / number[0][both] + 1.0 / number[1][both])
    beside, noise_beside = _foretold(rows, difference, noise2, half)
    without, noise_without = _foretold(rows[2:], difference, noise2, half)
    left_whole = float(np.sum(_left(rows, difference) ** 2))
    if not (without > 0.0 and within > 0.0):
        return _NOTHING_FORETOLD
    believed = (
        left_whole < _LEFT_IN_NOISES * float(noise2.sum())
        and beside < _FORETOLD_IN_NOISES * noise_beside
        and without > _TO_FORETELL_IN_NOISES * noise_without
    )
    return Prediction(beside / without, believed)


def _foretold(rows: Floats, reading: Floats, noise2: Floats, half: NDArray[np.bool_]) -> tuple[float, float]:
    """Return the squares left of each half by a fit of the other, and what noise alone makes of them."""
    square, of_noise = 0.0, 0.0
    for fitted in (half, ~half):
        to_other = rows[:, ~fitted].T @ np.linalg.pinv(rows[:, fitted].T)
        square += float(np.sum((reading[~fitted] - to_other @ reading[fitted]) ** 2))
        of_noise += float(noise2[~fitted].sum() + (to_other**2 @ noise2[fitted]).sum())
    return square, of_noise
