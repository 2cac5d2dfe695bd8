"""Play of a gauge, told where the hand went back a little: the reading stays behind by the play.

Gone back over ground just trodden, a gauge with play h holds its value until the surface has moved by h, and
then follows h away from where it read going forward. Lag does something like it; where it is known, angles
are turned back by it beforehand, otherwise the tap check tells the two apart.
"""

import math
from dataclasses import dataclass

import numpy as np

from analysis.capture import Floats
from analysis.harmonics import HarmonicFit

_FEWEST = 8
_LEAST_BACK_RAD = math.radians(5.0)
_TRIED = 60
_CLEAR = 2.0


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
    ahead = angle_rad * direction
    furthest = np.maximum.accumulate(ahead)
    going_back = (furthest - ahead > 0.0) & (np.diff(ahead, prepend=ahead[0]) < 0.0)
    expected, held = [], []
    for part in np.split(np.arange(len(ahead)), np.flatnonzero(np.diff(going_back.astype(np.int8))) + 1):
        if not going_back[part[0]] or furthest[part[0]] - ahead[part[-1]] < _LEAST_BACK_RAD:
            continue
        if furthest[part[0]] - ahead[part[-1]] > math.pi:
            continue
        turned_at = furthest[part[0]] * direction
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
