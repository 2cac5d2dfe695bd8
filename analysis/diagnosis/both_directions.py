"""What two sweeps say of gauge, encoder and stand together: lag against play, nick against stand, creep.

One sweep each way turns the high side by the gauge's lag (in proportion to the speed) and by its play
(whatever the speed). One pair cannot tell them apart: two speeds, or the tap check, do.
"""

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from analysis.diagnosis.bumps import Bump
from analysis.errors import BadInput
from analysis.numerics import as_vectors
from analysis.setup import MarkSide

SAME_PLACE_DEG = 8.0


@dataclass(frozen=True)
class Pair:
    """One sweep each way."""

    shift_rad: float
    """By how much further on the forward sweep is high than the backward one."""
    u_shift_rad: float
    speeds_rad_s: float
    """Sum of both speeds."""
    amplitude_mm: float
    """A_1 as read, mean of the two; a gauge with play reads less than there is."""


@dataclass(frozen=True)
class LagAndPlay:
    """What pairs tell; None where they cannot."""

    shift_rad: float
    """Mean over the pairs: by how much further on the forward sweep is high than the backward one."""
    u_shift_rad: float
    lag_s: float | None
    u_lag_s: float | None
    play_mm: float | None
    u_play_mm: float | None

    @property
    def seen(self) -> bool:
        """True where the two ways differ by more than chance explains, and by a degree or more."""
        return abs(self.shift_rad) > max(4.0 * self.u_shift_rad, math.radians(1.0))


def turned_between(first: Any, second: Any) -> tuple[float, float]:
    """Return by how much order 1 of the second is turned on against the first, and its uncertainty (rad).

    Order 1 alone: a lag turns all orders by the same angle, but play turns the higher ones by less.
    """
    a, b = as_vectors(first, "first"), as_vectors(second, "second")
    z, w = complex(a.z_mm[0]), complex(b.z_mm[0])
    if not min(abs(z), abs(w)) > 0.0:
        raise BadInput("a curve without order 1 has no direction to compare")
    u = math.hypot(float(a.u_mm[0]) / abs(z), float(b.u_mm[0]) / abs(w))
    return cmath.phase(w * z.conjugate()), u


def pair_of(forward: Any, backward: Any, rpm_forward: float, rpm_backward: float) -> Pair:
    """Return what one sweep each way shows; both in the same part angle."""
    shift, u = turned_between(backward, forward)
    amplitudes = [abs(complex(as_vectors(one).z_mm[0])) for one in (forward, backward)]
    speeds = (abs(rpm_forward) + abs(rpm_backward)) * 2.0 * math.pi / 60.0
    return Pair(shift, u, speeds, sum(amplitudes) / 2.0)


def lag_and_play(pairs: Sequence[Pair]) -> LagAndPlay:
    """Tell lag and play apart from pairs at two speeds or more; say so where one pair is all there is.

    Lag turns each way by w tau, play each way by (2 h / (pi A))(1 - h / (2 A)).
    """
    if not pairs:
        raise BadInput("no pair of sweeps: turn once each way")
    speeds = np.array([pair.speeds_rad_s for pair in pairs])
    shifts = np.array([pair.shift_rad for pair in pairs])
    mean = float(shifts.mean())
    u_mean = math.sqrt(sum(pair.u_shift_rad**2 for pair in pairs)) / len(pairs)
    if len(pairs) < 2 or float(np.ptp(speeds)) < 0.2 * float(speeds.max()):
        return LagAndPlay(mean, u_mean, None, None, None, None)
    design = np.stack([speeds, np.full_like(speeds, 2.0)], axis=1)
    weight = 1.0 / np.array([max(pair.u_shift_rad, 1e-9) for pair in pairs])
    normal = np.linalg.inv((design * weight[:, None]).T @ (design * weight[:, None]))
    lag, angle = normal @ (design * weight[:, None]).T @ (shifts * weight)
    amplitude = float(np.mean([pair.amplitude_mm for pair in pairs]))
    play = play_behind(float(angle), amplitude)
    # h (1 - h / 2A) = angle pi A / 2, so dh = pi A / 2 / (1 - h / A) of the angle.
    slope = math.pi * amplitude / 2.0 / max(1.0 - play / amplitude, 0.1)
    return LagAndPlay(
        mean, u_mean, float(lag), math.sqrt(float(normal[0, 0])), play, slope * math.sqrt(float(normal[1, 1]))
    )


def play_behind(angle_rad: float, amplitude_mm: float) -> float:
    """Return the play h that turns order 1 of this amplitude by this angle each way.

    The smaller root of (2 h / (pi A))(1 - h / (2 A)) = angle; at most A.
    """
    share = max(0.0, angle_rad) * math.pi / 4.0
    # x = h / (2 A): x (1 - x) = angle pi / 4
    inside = 1.0 - 4.0 * share
    return 2.0 * amplitude_mm * (0.5 if inside <= 0.0 else (1.0 - math.sqrt(inside)) / 2.0)


def sources_of_bumps(seen: Sequence[tuple[Sequence[Bump], float, MarkSide]]) -> list[str]:
    """Tell a nick on the part from the stand or the spindle, across a re-index.

    Parameters: for each sweep its bumps, its index angle (degrees) and whose mark is its zero. The same part
    angle twice is on the part; the same place on the arbor while the part moved on is spindle or stand.
    """
    lines: list[str] = []
    for i, (first, alpha_1, mark_1) in enumerate(seen):
        for second, alpha_2, mark_2 in seen[i + 1 :]:
            if _apart(alpha_1, alpha_2) < 2.0 * SAME_PLACE_DEG:
                continue
            for a in first:
                for b in second:
                    lines += _source(a, alpha_1, mark_1, b, alpha_2, mark_2)
    return list(dict.fromkeys(lines))


def _source(
    a: Bump, alpha_1: float, mark_1: MarkSide, b: Bump, alpha_2: float, mark_2: MarkSide
) -> list[str]:
    if not (a.repeats and b.repeats):
        return []
    on_part = [bump.deg - (alpha if mark is MarkSide.ARBOR else 0.0)
               for bump, alpha, mark in ((a, alpha_1, mark_1), (b, alpha_2, mark_2))]  # fmt: skip
    on_arbor = [on_part[0] + alpha_1, on_part[1] + alpha_2]
    if _apart(*on_part) <= SAME_PLACE_DEG:
        return [f"Bump at {on_part[0] % 360.0:.0f} deg on the part in both sweeps: it is on the part."]
    if _apart(*on_arbor) <= SAME_PLACE_DEG:
        return [
            f"Bump at {on_arbor[0] % 360.0:.0f} deg on the arbor in both sweeps while the part moved on: "
            "spindle, bearings or stand, not the part."
        ]
    return []


def _apart(one_deg: float, other_deg: float) -> float:
    return abs((one_deg - other_deg + 180.0) % 360.0 - 180.0)


def creep_mm(heights_mm: Sequence[float], u_mm: float) -> float | None:
    """Return by how much the stand crept over repeated sweeps of one mounting; None where it did not.

    ``heights_mm`` mean height of each sweep in order; an offset of means between sweeps is stand or warmth.
    """
    if len(heights_mm) < 2:
        return None
    change = float(heights_mm[-1] - heights_mm[0])
    return change if abs(change) > 3.0 * math.sqrt(2.0) * u_mm else None
