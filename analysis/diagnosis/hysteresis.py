"""Play of a gauge, told where the hand went back a little: the reading stays behind by the play.

Gone back over ground just trodden, a gauge with play h holds its value until the surface has moved by h, and
then follows h away from where it read going forward. Lag does something like it; where it is known, angles
are turned back by it beforehand, otherwise the tap check tells the two apart.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from analysis.capture import Floats
from analysis.harmonics import HarmonicFit

_FEWEST = 8
_LEAST_BACK_RAD = math.radians(5.0)
_TRIED = 60
_CLEAR = 2.0
_MOST = 50_000
"""Readings taken going back beyond which none are held: they tell the play many times over."""


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


class GoneBack:
    """Where a hand that turns in ``direction`` went back by 5 to 180 degrees, over readings of one stretch.

    Takes new values in order, in blocks of any size, and holds those taken going back, a bounded number.
    """

    def __init__(self, direction: int) -> None:
        self._direction = direction
        self._come_rad, self._before_rad = -math.inf, math.inf
        """How far the hand had come in its direction, and where it was last."""
        self._parts: list[_Back] = []
        self._size = 0
        self._open: list[_Back] = []
        """Pieces of the way back under way."""
        self._open_size = 0
        self._is_open = False

    def take(self, t_s: Floats, angle_rad: Floats, reading_mm: Floats) -> None:
        """Take the next readings: times (s), unwrapped angles (rad), mm, shape (n,)."""
        if not len(angle_rad):
            return
        ahead = angle_rad * self._direction
        furthest = np.maximum(np.maximum.accumulate(ahead), self._come_rad)
        back = (furthest > ahead) & (np.diff(ahead, prepend=self._before_rad) < 0.0)
        self._come_rad, self._before_rad = float(furthest[-1]), float(ahead[-1])
        if not back[0]:
            self._close()
        edges = np.flatnonzero(np.diff(back, prepend=False, append=False))
        starts, stops = edges[::2], edges[1::2]
        back_rad = furthest[starts] - ahead[stops - 1]
        at_border = (starts == 0) | (stops == len(back))
        # Of what trembles, only what reaches far enough is looked at one by one.
        far = np.flatnonzero(at_border | ((back_rad >= _LEAST_BACK_RAD) & (back_rad <= math.pi)))
        for start, stop in zip(starts[far].tolist(), stops[far].tolist(), strict=True):
            columns = (one[start:stop].copy() for one in (t_s, angle_rad, reading_mm))
            self._go_on(_Back(float(furthest[start]), *columns))
            if stop < len(back):
                self._close()

    def parts(self) -> "list[_Back]":
        """Return each way back that counts."""
        return self._parts + self._whole()

    def _go_on(self, piece: "_Back") -> None:
        self._is_open = True
        begun_rad = self._open[0].furthest_rad if self._open else piece.furthest_rad
        self._open_size += len(piece.t_s)
        if begun_rad - float(piece.angle_rad[-1]) * self._direction > math.pi or self._open_size > _MOST:
            self._open = [replace(piece, furthest_rad=math.inf)]  # too far for any play: held to say so
        else:
            self._open.append(piece)

    def _close(self) -> None:
        if not self._is_open:
            return
        for part in self._whole():
            self._parts.append(part)
            self._size += len(part.t_s)
        self._open, self._open_size, self._is_open = [], 0, False

    def _whole(self) -> "list[_Back]":
        """Return the way back under way, where it counts and there is room for it."""
        if not self._open or self._size + self._open_size > _MOST:
            return []
        first, last = self._open[0], self._open[-1]
        if not _reaches(first.furthest_rad - float(last.angle_rad[-1]) * self._direction):
            return []
        columns = (
            np.concatenate([getattr(piece, name) for piece in self._open])
            for name in ("t_s", "angle_rad", "reading_mm")
        )
        return [_Back(first.furthest_rad, *columns)]


@dataclass(frozen=True)
class _Back:
    """Readings of one way back; arrays have shape (n,)."""

    furthest_rad: float
    """How far the hand had come, in its direction."""
    t_s: Floats
    angle_rad: Floats
    reading_mm: Floats


def _reaches(back_rad: float) -> bool:
    return _LEAST_BACK_RAD <= back_rad <= math.pi


def play_from_going_back(
    gone_back: GoneBack, fit: HarmonicFit, *, direction: int, noise_mm: float
) -> Hysteresis | None:
    """Return the play that explains the readings taken going back; None where the hand hardly went back.

    Parameters: where it went back; the fit of the turns; the way they were turned; noise of one reading. A
    lag that is known is taken off the angles before.
    """
    expected, held = [], []
    for part in gone_back.parts():
        turned_at = part.furthest_rad * direction
        forward = fit.curve(part.angle_rad)
        expected.append(fit.curve(np.array([turned_at]))[0] - forward)
        drift = (fit.drift_mm_per_s or 0.0) * part.t_s
        held.append(part.reading_mm - fit.constant_mm - drift - forward)
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
