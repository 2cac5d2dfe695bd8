"""Two indicators on one face, some way round from each other: axial motion and tilt told apart.

Both read the same axial motion at the same moment, but different places of the face. With the tips half a
turn apart the half-difference is tilt and odd orders, the half-sum axial motion and even orders. End float
that comes once per turn looks like the part's own runout to a single tip; only this shows it.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from analysis.capture import Capture
from analysis.errors import BadInput
from analysis.harmonics import fit_harmonics
from analysis.numerics import Floats, OrderVectors

BLIND_BELOW = 0.3
"""Orders of which the tips see less than this share of twice themselves are not told from axial motion."""

SMOOTHED_RAD = math.radians(30.0)


@dataclass(frozen=True)
class Opposed:
    """Face and axial motion."""

    face: OrderVectors
    """Orders of the face that the tips tell apart, others zero; part angle of the first tip."""
    not_separable: tuple[int, ...]
    """Orders that stay in the axial motion."""
    axial_motion_mm: Floats
    """Axial motion at each reading (with the orders that are not separable), mean zero, shape (n,)."""
    axial_motion_tir_mm: float
    """max - min of the axial motion; noise and all."""
    axial_motion_each_turn: OrderVectors
    """That part of it that comes back every turn, in the orders that are told apart; the arbor's angle
    where the sweep's zero is the arbor's mark."""
    surely_axial_motion_mm: Floats
    """What can be taken off the first tip, (n,): orders of the axial motion that are told apart, and what
    does not come back every turn, smoothed so that a narrow nick of the face stays as high as it is."""


def opposed_face(
    angle_rad: ArrayLike,
    first_mm: ArrayLike,
    second_mm: ArrayLike,
    *,
    apart_deg: float = 180.0,
    highest_order: int = 15,
) -> Opposed:
    """Tell face and axial motion apart from two tips read at the same moments.

    Parameters: unwrapped part angles under the first tip (rad), readings of both tips (mm), shape (n,); the
    second tip reads the place ``apart_deg`` further on. Gains must match: a mismatch of 5 % leaks 2.5 % of
    the axial motion into the face. Raises BadInput for tips less than 30 degrees apart or arrays that do not
    fit.
    """
    angle, first, second = (np.asarray(one, np.float64) for one in (angle_rad, first_mm, second_mm))
    if angle.ndim != 1 or angle.shape != first.shape or angle.shape != second.shape:
        raise BadInput(f"{angle.shape}, {first.shape}, {second.shape}: hand over three arrays of one length")
    if not 30.0 <= apart_deg % 360.0 <= 330.0:
        raise BadInput(f"tips {apart_deg:g} deg apart see nearly the same place: set them opposite (180)")
    orders = np.arange(1, highest_order + 1)
    # first - second = sum Re(z_n (1 - exp(-i n d)) exp(-i n phi)): the axial motion is gone.
    seen = 1.0 - np.exp(-1j * orders * math.radians(apart_deg))
    fit = fit_harmonics(angle, first - second, highest_order=highest_order)
    keep = np.abs(seen) >= 2.0 * BLIND_BELOW
    difference = OrderVectors(fit.vectors_mm, fit.covariance_mm2, max(float(fit.dof), 1.0))
    face = difference.scaled(np.where(keep, 1.0 / np.where(keep, seen, 1.0), 0.0))
    motion = (first - face.curve(angle) + second - face.curve(angle + math.radians(apart_deg))) / 2.0
    motion = motion - motion.mean()
    of_motion = fit_harmonics(angle, motion, highest_order=highest_order)
    each_turn = OrderVectors(of_motion.vectors_mm, of_motion.covariance_mm2, max(float(of_motion.dof), 1.0))
    once = each_turn.scaled(keep.astype(np.float64))
    return Opposed(
        face,
        tuple(int(n) for n in orders[~keep]),
        motion,
        float(np.ptp(motion)),
        once,
        once.curve(angle) + _smoothed(of_motion.residual_mm, angle),
    )


def _smoothed(residual_mm: Floats, angle_rad: Floats) -> Floats:
    """Return the mean over some 30 degrees about each reading: narrower things are no motion of a shaft."""
    turned = float(np.abs(np.diff(angle_rad)).sum())
    width = max(1, round(len(angle_rad) * SMOOTHED_RAD / max(turned, SMOOTHED_RAD)))
    window = np.ones(width)
    count = np.convolve(np.ones(len(angle_rad)), window, mode="same")
    return np.asarray(np.convolve(residual_mm, window, mode="same") / count)


def read_together(first: Capture, second: Capture) -> tuple[Capture, Floats]:
    """Return the first tip's capture where both were read, and the second's reading at its moments.

    The second tip's reading is taken between its own neighbours in time. Raises BadInput where the two were
    not taken together.
    """
    a, b = first.samples, second.samples
    kept = b.new & ~b.out_of_range
    if not len(a) or int(kept.sum()) < 3:
        raise BadInput("the second tip has no readings: a recording with two channels is needed, 0 and 1")
    inside = (a.t_s >= b.t_s[kept][0]) & (a.t_s <= b.t_s[kept][-1])
    if float(np.mean(inside)) < 0.5:
        raise BadInput("the two tips were not read together: take both channels in one recording")
    reading = np.interp(a.t_s[inside], b.t_s[kept], b.reading_mm[kept])
    return replace(first, samples=a.take(inside)), reading


def without_axial_motion(
    first: Capture, second: Capture, *, apart_deg: float = 180.0, highest_order: int = 15
) -> tuple[Capture, Opposed]:
    """Return the first tip's capture with the axial motion off its readings, and what the two tips tell.

    Orders that may be the axial motion's or the face's stay in the readings. Raises BadInput where the two
    tips were not read together, or stand too close.
    """
    both, second_mm = read_together(first, second)
    s = both.samples
    opposed = opposed_face(
        s.angle_rad, s.reading_mm, second_mm, apart_deg=apart_deg, highest_order=highest_order
    )
    samples = replace(s, reading_mm=s.reading_mm - opposed.surely_axial_motion_mm)
    return replace(both, samples=samples), opposed
