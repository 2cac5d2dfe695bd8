"""Play of a gauge, told where the hand went back a little: the reading stays behind by the play.

Gone back over ground just trodden, a gauge with play h holds its value until the surface has moved by h, and
then follows h away from where it read going forward. Lag does something like it; where it is known, angles
are turned back by it beforehand, otherwise the tap check tells the two apart.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.capture import Floats
from analysis.harmonics import HarmonicFit

_FEWEST = 8
_LEAST_BACK_RAD = math.radians(5.0)
_TRIED = 60
_CLEAR = 2.0
_AT_ONCE = 1 << 18


@dataclass(frozen=True)
class Hysteresis:
    """What the ground trodden twice tells."""

    play_mm: float
    u_mm: float
    values: int
    """Readings taken going back."""

    @property
    def clear(self) -> bool:
        """True where the play stands clear of the noise."""
        return self.play_mm > _CLEAR * self.u_mm


def play_from_going_back(
    t_s: Floats,
    angle_rad: Floats,
    reading_mm: Floats,
    fit: HarmonicFit,
    *,
    direction: int,
    noise_mm: float,
) -> Hysteresis | None:
    """Return the play that explains the readings taken going back; None where the hand hardly went back.

    Parameters: times, unwrapped angles and readings of new values of one stretch in order; the fit of the
    turns; the way they were turned; noise of one reading. A lag that is known is taken off the angles before.
    """
    expected, held = [], []
    for part, furthest_rad in _gone_back(angle_rad, direction):
        back_rad = furthest_rad - angle_rad[part[-1]] * direction
        if not _LEAST_BACK_RAD <= back_rad <= math.pi:
            continue
        turned_at = furthest_rad * direction
        forward = fit.curve(angle_rad[part])
        expected.append(fit.curve(np.array([turned_at]))[0] - forward)
        drift = (fit.drift_mm_per_s or 0.0) * t_s[part]
        held.append(reading_mm[part] - fit.constant_mm - drift - forward)
    if not expected:
        return None
    away, off = np.concatenate(expected), np.concatenate(held)
    if len(away) < _FEWEST or float(np.abs(away).max()) < 3.0 * noise_mm:
        return None
    tried = np.linspace(0.0, float(np.abs(away).max()), _TRIED)
    model = np.sign(away) * np.minimum(np.abs(away), tried[:, None])
    best = int(np.argmin(np.sum((off - model) ** 2, axis=1)))
    far = int(np.sum(np.abs(away) > tried[best] * 0.5))
    return Hysteresis(float(tried[best]), noise_mm / math.sqrt(max(far, 1)), len(away))


def _gone_back(angle_rad: Floats, direction: int) -> list[tuple[NDArray[np.intp], float]]:
    """Return each stretch in which the hand went back: its readings, and how far it had come (rad).

    Looked for piece by piece, so that nothing as long as a sweep is made for the little that is found.
    """
    found: list[tuple[NDArray[np.intp], Floats]] = []
    come, before = -math.inf, float(angle_rad[0]) * direction if len(angle_rad) else 0.0
    for start in range(0, len(angle_rad), _AT_ONCE):
        ahead = angle_rad[start : start + _AT_ONCE] * direction
        furthest = np.maximum(np.maximum.accumulate(ahead), come)
        back = np.flatnonzero((furthest > ahead) & (np.diff(ahead, prepend=before) < 0.0))
        found.append((back + start, furthest[back]))
        come, before = float(furthest[-1]), float(ahead[-1])
    if not found:
        return []
    readings, furthest = (np.concatenate(column) for column in zip(*found, strict=True))
    edges = np.flatnonzero(np.diff(readings) > 1) + 1
    parts = zip(np.split(readings, edges), np.split(furthest, edges), strict=True)
    return [(part, float(come[0])) for part, come in parts if len(part)]
