"""Slip: the encoder's angle moved against the part in the middle of a sweep, told from the part itself.

An index on the encoder's own disc says nothing of the coupling. Readings after a slip stand at angles that
are off by one step; a roller that creeps puts them off more and more. Either has to explain why the turns
differ: a motion that does not repeat with the turn looks like a step too, but leaves most of it unexplained.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.capture import Floats
from analysis.harmonics import harmonic_rows
from analysis.numerics import f_upper_tail

_BASE_ORDERS = 10
_SLOPE_ORDERS = 3
"""Orders whose slope tells an angle; higher ones are too steep for a step of a few degrees."""
_SCATTER_ORDERS = 5
_PLACES = 200
_CHANCE = 0.001
_SHARE = 0.9
_SHARE_OF_TWO = 0.97
"""So much of the turns' scatter a slip has to explain; own trial: motion stays under it, and two turns, which
differ in one way only, are easily explained."""
_OWN_ORDERS = np.linspace(0.3, 0.5, 21)
"""Of a cage, per turn: what a bearing's own motion is made of."""
_MORE_THAN_MOTION = 10.0
"""Noise variances by which a slip has to explain two turns better than a bearing's own motion does. Own
trial, two turns by hand, a motion of 1 to 2 um: called slip 37 of 600 without, 2 with; slips of 2 to 6 deg
seen 29 of 40 without, 26 with."""
_CAREFUL = 4.0
_STEPS = 6
"""A step of some degrees bends the slope it is told from: it is taken out and looked at again."""
_MOST_VALUES = 6000


@dataclass(frozen=True)
class Slip:
    """By how much, and where, the angle moved against the part."""

    step_deg: float
    """Positive: the encoder went on too far; of a creep, over the whole sweep."""
    u_deg: float
    turn: int
    """Turn of the sweep in which it happened, from 0."""
    at_deg: float
    """Angle from the mark at which it happened."""
    share: float
    """Share of the turns' scatter that it explains, 0 to 1."""
    creeps: bool = False
    """True where the angle moved on evenly, as a roller creeps or wrong counts per turn do."""

    @property
    def clear(self) -> bool:
        """True where chance does not explain it."""
        return abs(self.step_deg) > _CAREFUL * self.u_deg


@dataclass(frozen=True)
class _Moved:
    """A candidate: how the angles are off (radians per radian of step), and where it begins."""

    shape: Floats
    place: int


def find_slip(t_s: Floats, angle_rad: Floats, reading_mm: Floats, turn: NDArray[np.int64]) -> Slip | None:
    """Return the slip that explains why turns differ; None where none does.

    Parameters: times, unwrapped angles, readings and number of the turn of the values of two turns or more,
    in the order taken, shape (n,). Recipe: own derivation (regressor g(phi) 1[i >= k], g the slope of the
    orders fitted, F test over all places k, and the fall of the scatter of the turns).
    """
    thin = slice(None, None, 1 + len(t_s) // _MOST_VALUES)
    time, angle, reading, turn = t_s[thin], angle_rad[thin], reading_mm[thin], turn[thin]
    turns = len(np.unique(turn))
    highest = min(_BASE_ORDERS, (len(angle) // max(turns, 1) - 3) // 2)
    if turns < 2 or highest < 1:
        return None
    before = _fitted(time, angle, reading, highest)
    places = np.unique(np.linspace(0, len(angle) - 1, _PLACES + 2, dtype=int)[1:-1])
    found = _best(before, angle, places)
    if found is None:
        return None
    step, u, after = 0.0, 0.0, before
    for _ in range(_STEPS):
        again = _gain(after, angle - step * found.shape, found)
        if again is None:
            return None
        step, u = step + again[0], again[1]
        after = _fitted(time, angle - step * found.shape, reading, highest)
    low = min(_SCATTER_ORDERS, highest)
    noise = after.noise_mm2
    scatter = _scatter(angle, before.residual, turn, low, noise)
    left = _scatter(angle - step * found.shape, after.residual, turn, low, noise)
    share = 1.0 - left / scatter if scatter > 0.0 else 0.0
    if share <= (_SHARE if turns > 2 else _SHARE_OF_TWO):
        return None
    if (
        turns == 2
        and _left_by_own_motion(before, angle) - float(after.residual @ after.residual)
        < _MORE_THAN_MOTION * noise
    ):
        return None
    creeps = found.place == 0
    return Slip(
        math.degrees(step),
        math.degrees(u),
        int(turn[found.place]),
        math.degrees(angle[found.place]) % 360.0,
        min(1.0, share),
        creeps,
    )


@dataclass(frozen=True)
class _Fitted:
    """A fit of constant, drift and orders: orthonormal rows, coefficients of the orders, what is left."""

    basis: Floats
    slope: Floats
    """Of the low orders at each reading, mm per rad."""
    residual: Floats

    @property
    def noise_mm2(self) -> float:
        """Residual variance."""
        dof = max(len(self.residual) - self.basis.shape[1], 1)
        return float(self.residual @ self.residual) / float(dof)


def _fitted(time: Floats, angle: Floats, reading: Floats, highest: int) -> _Fitted:
    rows = harmonic_rows(angle, highest)
    drift = (time - time.mean()) / (float(np.ptp(time)) or 1.0)
    basis, triangle = np.linalg.qr(np.vstack([rows, drift]).T)
    along = basis.T @ reading
    z = np.linalg.lstsq(triangle, along, rcond=None)[0]
    slope = np.zeros(len(angle))
    for n in range(1, min(_SLOPE_ORDERS, highest) + 1):
        cos, sin = rows[2 * n - 1], rows[2 * n]
        slope += n * (z[2 * n] * cos - z[2 * n - 1] * sin)
    return _Fitted(basis, slope, reading - basis @ along)


def _best(fit: _Fitted, angle: Floats, places: NDArray[np.intp]) -> _Moved | None:
    """Return the step or creep that takes most out of the fit; None where chance explains it.

    With angles too large by delta from place k on, the reading there is low by delta times the slope.
    """

    def from_the_end(each: Floats) -> Floats:
        return np.cumsum(each[::-1], axis=0)[::-1]

    along = from_the_end(fit.basis * fit.slope[:, None])[places]
    square = from_the_end(fit.slope**2)[places] - np.sum(along**2, axis=1)
    product = from_the_end(fit.residual * fit.slope)[places]
    gain = np.where(square > 1e-9 * float(fit.slope @ fit.slope), product**2, 0.0) / np.maximum(square, 1e-30)
    place = int(places[int(np.argmax(gain))])
    step = _Moved((np.arange(len(angle)) >= place).astype(np.float64), place)
    creep = _Moved((angle - angle[0]) / (angle[-1] - angle[0]), 0)
    best, taken = step, float(gain.max())
    crept = _gain(fit, angle, creep)
    if crept is not None and crept[2] > taken:
        best, taken = creep, crept[2]
    dof = len(angle) - fit.basis.shape[1] - 1
    total = float(fit.residual @ fit.residual)
    if dof < 1 or not 0.0 < taken < total:
        return None
    return best if f_upper_tail(taken / (total - taken) * dof, 1, dof) * (len(places) + 1) < _CHANCE else None


def _gain(fit: _Fitted, angle: Floats, moved: _Moved) -> tuple[float, float, float] | None:
    """Return the step of angle that fits best, its standard uncertainty, and what it takes out of the fit."""
    row = -fit.slope * moved.shape
    row = row - fit.basis @ (fit.basis.T @ row)
    square = float(row @ row)
    if not square > 0.0:
        return None
    step = float(row @ fit.residual) / square
    return step, math.sqrt(fit.noise_mm2 / square), step**2 * square


def _left_by_own_motion(fit: _Fitted, angle: Floats) -> float:
    """Return what a bearing's own motion leaves of a fit, as a sum of squares."""

    def taken(order: float) -> float:
        rows = np.column_stack([np.cos(order * angle), np.sin(order * angle)])
        basis = np.linalg.qr(rows - fit.basis @ (fit.basis.T @ rows))[0]
        return float(np.sum((basis.T @ fit.residual) ** 2))

    return float(fit.residual @ fit.residual) - max(taken(order) for order in _OWN_ORDERS)


def _scatter(angle: Floats, residual: Floats, turn: NDArray[np.int64], low: int, noise_mm2: float) -> float:
    """Return by how much the low orders of the turns differ, as a sum of squares less the noise's part."""
    explained, unknowns = 0.0, 0
    for here in np.split(np.arange(len(turn)), np.flatnonzero(np.diff(turn)) + 1):
        if len(here) > 1 + 2 * low:
            basis = np.linalg.qr(harmonic_rows(angle[here], low).T)[0]
            along = basis.T @ residual[here]
            explained += float(along @ along)
            unknowns += basis.shape[1]
    return max(0.0, explained - max(unknowns - (1 + 2 * low), 0) * noise_mm2)
