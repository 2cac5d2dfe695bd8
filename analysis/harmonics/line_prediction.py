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
_SURE_BELOW = 0.05
NEAR_ORDER_ONE = 3.0
"""Cycles a turn below which a line takes some of what order 1 scatters."""
_BESIDE_WANDER_BELOW = 0.35
"""A line near order 1 that leaves more than the share above has to foretell beside a free order 1 too: of 120
axes that wander 13 of 15 that passed without do not, of 11 with balls passing all do."""
_NOISE_ALONE = 1.9
"""... unless what it leaves of the turns is no more than noise: then no wander can be taken for it."""
_FREE_BELOW = 0.5
_FREE_LEFT = 0.06
"""Beside a free order 1 few turns foretell badly, but a steady line leaves next to nothing of the whole."""
_ORDERS = 6
"""Predictions are held against so many orders of a turn, those about the line: fewer hold less noise."""
_ORDER_ONE = [1, 2]
"""Its rows among those of whole orders."""
_BINS = 120
_LEAST_IN_A_BIN = 3.0
_LEFT_IN_NOISES = 2.0
"""Of two turns a line may leave no more than this of what noise makes, of the whole difference, ..."""
_LEFT_NEAR = 1.2
_SO_NEAR = 0.5
"""... or this so near order 1, where an axis that wanders looks most like a line, ..."""
_FORETOLD_IN_NOISES = 4.0
_FORETOLD_SHARE = 0.35
"""... no more than this of the half that it was not fitted to, in noises and of what there was, ..."""
_TO_FORETELL_IN_NOISES = 8.0
"""... and there has to be as much as this to foretell. Of lines at 0.41 a turn, 1 to 5 noises high, nine in
ten are believed so, of axes that wander one in twenty."""


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
    order_one_free: bool = False,
) -> Prediction:
    """Return how well ``line`` foretells turns that it was not fitted to.

    Parameters: unwrapped angles (rad), readings (mm), times (s) and the number of the turn of each, shape
    (n,); orders 1..H and ``added``, a drift and the lines ``known`` are fitted in both cases, the frequencies
    held. Of two turns each half of their difference foretells the other half. With ``order_one_free`` order 1
    is another one on every turn and no ground to believe or doubt by: what foretells is all the rest.
    """
    number = np.unique(turn)
    if len(number) < 2:
        return _NOTHING_FORETOLD
    time = (t_s - t_s.mean()) / (float(np.ptp(t_s)) or 1.0)
    waves = [_waves(each, angle_rad) for each in (*known, line)]
    rows = np.vstack([order_rows(angle_rad, highest_order, added), time, *waves])
    reading = reading_mm - reading_mm.mean()
    orders = rows[: 1 + 2 * highest_order]
    if len(number) == 2:
        return _half_by_half(orders, rows[:-2], angle_rad, reading, turn, line)
    if order_one_free:
        free = _with_order_one_free(rows, turn)
        ratio = _left_of_other_turns(free, angle_rad, reading, turn, line, _ORDER_ONE)
        return Prediction(
            ratio, ratio < _FREE_BELOW and _left_of_all(free, orders, reading, turn) < _FREE_LEFT
        )
    ratio = _left_of_other_turns(rows, angle_rad, reading, turn, line, [])
    believed = ratio < BELIEVED_BELOW
    if (
        believed
        and ratio > _SURE_BELOW
        and line.order < NEAR_ORDER_ONE
        and _left_in_noises(rows, orders, angle_rad, reading, turn, line) > _NOISE_ALONE
    ):
        free = _with_order_one_free(rows, turn)
        believed = (
            _left_of_other_turns(free, angle_rad, reading, turn, line, _ORDER_ONE) < _BESIDE_WANDER_BELOW
        )
    return Prediction(ratio, believed)


def _with_order_one_free(rows: Floats, turn: NDArray[np.int64]) -> Floats:
    """Return the rows with those of order 1 apart for every turn; the line's own two stay last."""
    of_turns = [rows[_ORDER_ONE] * (turn == k) for k in np.unique(turn)]
    return np.vstack([np.delete(rows[:-2], _ORDER_ONE, axis=0), *of_turns, rows[-2:]])


def _left_of_other_turns(
    rows: Floats, angle: Floats, reading: Floats, turn: NDArray[np.int64], line: Line, free: list[int]
) -> float:
    """Return the share of squares left of each turn, the line foretold by all the others."""
    without, beside = 0.0, 0.0
    gram, right = rows @ rows.T, rows @ reading
    lowest = max(0, math.floor(line.order) - _ORDERS // 2 + 1)
    for k in np.unique(turn):
        here = turn == k
        mine, read = rows[:, here], reading[here]
        others, others_right = gram - mine @ mine.T, right - mine @ read
        seen = _orders_about(angle[here], lowest, free)
        for used, base in ((slice(None), False), (slice(None, -2), True)):
            foretold = _solved(others[used, used], others_right[used]) @ mine[used]
            square = float(np.sum((seen.T @ (read - foretold)) ** 2))
            without, beside = (without + square, beside) if base else (without, beside + square)
    return beside / without if without > 0.0 else 1.0


def _left_in_noises(
    rows: Floats, orders: Floats, angle: Floats, reading: Floats, turn: NDArray[np.int64], line: Line
) -> float:
    """Return the squares left in the orders about a line, turn by turn, over what noise makes of them."""
    left, lowest = _left(rows, reading), max(0, math.floor(line.order) - _ORDERS // 2 + 1)
    within, seen, unknowns = 0.0, 0.0, 0
    number = np.unique(turn)
    for k in number:
        here = turn == k
        about = _orders_about(angle[here], lowest, [])
        seen += float(np.sum((about.T @ left[here]) ** 2))
        unknowns = about.shape[1]
        within += float(np.sum(_left(orders[:, here], reading[here]) ** 2))
    noise2 = within / max(1, len(reading) - len(number) * len(orders))
    dof = unknowns * (len(number) - 1) - 3
    return seen / (noise2 * dof) if noise2 > 0.0 and dof > 0 else math.inf


def _left_of_all(rows: Floats, orders: Floats, reading: Floats, turn: NDArray[np.int64]) -> float:
    """Return the share of squares that the line leaves of all turns, the noise's part taken off."""
    number = np.unique(turn)
    within = sum(float(np.sum(_left(orders[:, turn == k], reading[turn == k]) ** 2)) for k in number)
    noise2 = within / max(1, len(reading) - len(number) * len(orders))
    left, whole = (
        float(np.sum(_left(rows[used], reading) ** 2)) - noise2 * (len(reading) - len(rows))
        for used in (slice(None), slice(None, -2))
    )
    return max(0.0, left) / whole if whole > 0.0 else 1.0


def _orders_about(angle: Floats, lowest: int, free: list[int]) -> Floats:
    """Return orthonormal columns of the orders about a line, those rows that are free taken out."""
    rows = harmonic_rows(angle, lowest + _ORDERS - 1)
    about = [i for i in range(max(0, 2 * lowest - 1), len(rows)) if i not in free]
    return np.asarray(np.linalg.qr(rows[[*free, *about]].T)[0][:, len(free) :])


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
    """Return how well the line foretells the difference of two turns, half a turn from the other half.

    What it leaves is seen in the few orders about it, where a wander shows and noise hardly does.
    """
    left, waves = _left(base, reading), _waves(line, angle)
    of = [turn == k for k in np.unique(turn)]
    own = np.vstack([orders, waves])
    within = sum(float(np.sum(_left(own[:, one], left[one]) ** 2)) for one in of)
    dof = len(left) - len(of) * len(own)
    fewest = min(int(one.sum()) for one in of)
    bins = int(min(_BINS, max(12.0, fewest / _LEAST_IN_A_BIN)))
    cell = np.minimum((np.mod(angle, 2 * math.pi) * (bins / (2 * math.pi))).astype(np.int64), bins - 1)
    number = [np.bincount(cell[one], minlength=bins) for one in of]
    both = (number[0] > 0) & (number[1] > 0)

    def differing(column: Floats) -> Floats:
        first, second = (
            np.bincount(cell[one], column[one], minlength=bins)[both] / n[both]
            for one, n in zip(of, number, strict=True)
        )
        return np.asarray(first - second, np.float64)

    place = np.asarray((np.flatnonzero(both) + 0.5) * (2 * math.pi / bins), np.float64)
    half = place < math.pi
    rows = np.vstack([differing(waves[0]), differing(waves[1]), np.ones_like(place)])
    lowest = max(0, math.floor(line.order) - _ORDERS // 2 + 1)
    if dof < 1 or min(half.sum(), (~half).sum()) <= 2 * (lowest + _ORDERS):
        return _NOTHING_FORETOLD
    difference = differing(left)
    noise2 = within / dof * float(np.mean(1.0 / number[0][both] + 1.0 / number[1][both]))
    seen = _orders_about(place, lowest, [])
    left_whole = float(np.sum((seen.T @ _left(rows, difference)) ** 2))
    if noise2 <= 0.0:
        return _NOTHING_FORETOLD
    beside, noise_beside = _foretold(rows, difference, noise2, half, place, lowest)
    without, noise_without = _foretold(rows[2:], difference, noise2, half, place, lowest)
    if without <= 0.0:
        return _NOTHING_FORETOLD
    near = abs(line.order - 1.0) < _SO_NEAR
    believed = (
        left_whole < (_LEFT_NEAR if near else _LEFT_IN_NOISES) * noise2 * (seen.shape[1] - len(rows) - 1)
        and beside < min(_FORETOLD_IN_NOISES * noise_beside, _FORETOLD_SHARE * without)
        and without > _TO_FORETELL_IN_NOISES * noise_without
    )
    return Prediction(beside / without, believed)


def _foretold(
    rows: Floats, reading: Floats, noise2: float, half: NDArray[np.bool_], place: Floats, lowest: int
) -> tuple[float, float]:
    """Return the squares left of each half by a fit of the other, and what noise alone makes of them."""
    square, of_noise = 0.0, 0.0
    for fitted in (half, ~half):
        seen = _orders_about(place[~fitted], lowest, [])
        to_other = seen.T @ (rows[:, ~fitted].T @ np.linalg.pinv(rows[:, fitted].T))
        square += float(np.sum((seen.T @ reading[~fitted] - to_other @ reading[fitted]) ** 2))
        of_noise += noise2 * (seen.shape[1] + float(np.sum(to_other**2)))
    return square, of_noise
