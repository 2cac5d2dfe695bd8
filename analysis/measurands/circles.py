"""Reference circles of a closed profile: least squares, minimum zone, inscribed and circumscribed.

Profiles are deviations from a round of large radius (r - x cos - y sin, exact to e^2 / R); the zones are
linear programmes. For runout the axis is given: use these for form only, never to find a runout.
"""

import math
from dataclasses import dataclass

import numpy as np
import scipy
from numpy.typing import ArrayLike

from analysis.errors import BadInput, NotDecidable
from analysis.numerics import Floats, least_squares


@dataclass(frozen=True)
class Circle:
    """A reference circle of a profile."""

    x_mm: float
    y_mm: float
    radius_mm: float
    """Against the profile's own zero."""
    roundness_mm: float
    """max - min of the profile about this centre."""


def least_squares_circle(angle_rad: ArrayLike, profile_mm: ArrayLike) -> Circle:
    """Return the circle by least squares (LSC)."""
    angle, profile = _checked(angle_rad, profile_mm)
    design = np.stack([np.cos(angle), np.sin(angle), np.ones_like(angle)], axis=1)
    x, y, radius = least_squares(design, profile).estimates
    return _circle(angle, profile, float(x), float(y), float(radius))


def minimum_zone_circle(angle_rad: ArrayLike, profile_mm: ArrayLike) -> Circle:
    """Return the centre about which the profile lies between the closest two circles (MZC)."""
    angle, profile = _checked(angle_rad, profile_mm)
    x, y, low, width = _programme(angle, profile, inside=True, outside=True)
    return _circle(angle, profile, x, y, low + width / 2.0)


def inscribed_circle(angle_rad: ArrayLike, profile_mm: ArrayLike) -> Circle:
    """Return the largest circle inside the profile (MIC)."""
    angle, profile = _checked(angle_rad, profile_mm)
    x, y, low, _ = _programme(angle, profile, inside=True, outside=False)
    return _circle(angle, profile, x, y, low)


def circumscribed_circle(angle_rad: ArrayLike, profile_mm: ArrayLike) -> Circle:
    """Return the smallest circle outside the profile (MCC)."""
    angle, profile = _checked(angle_rad, profile_mm)
    x, y, low, width = _programme(angle, profile, inside=False, outside=True)
    return _circle(angle, profile, x, y, low + width)


def circle_through_points(x_mm: ArrayLike, y_mm: ArrayLike) -> Circle:
    """Return the circle of least squared distances to points anywhere (geometric fit, Gauss-Newton).

    Parameters: coordinates, shape (n,), n at least 3, not on one line. Source: Gander, Golub, Strebel, BIT
    34 (1994). Raises NotDecidable where the points do not settle a circle.
    """
    x, y = np.asarray(x_mm, np.float64), np.asarray(y_mm, np.float64)
    if len(x) < 3 or x.shape != y.shape:
        raise BadInput(f"{len(x)} points: a circle needs three or more")
    centre = np.array([x.mean(), y.mean()])
    for _ in range(200):
        dx, dy = x - centre[0], y - centre[1]
        distance = np.hypot(dx, dy)
        design = np.stack([dx / distance, dy / distance, np.ones_like(x)], axis=1)
        if np.linalg.cond(design) > 1e8:
            raise NotDecidable("these points lie on one line: no circle goes through them")
        step = least_squares(design, distance).estimates
        centre = centre + step[:2]
        if float(np.hypot(step[0], step[1])) < 1e-13 * max(1.0, float(step[2])):
            break
    distance = np.hypot(x - centre[0], y - centre[1])
    return Circle(float(centre[0]), float(centre[1]), float(distance.mean()), float(np.ptp(distance)))


def about_own_centre(angle_rad: ArrayLike, profile_mm: ArrayLike, radius_mm: float) -> tuple[Floats, Floats]:
    """Return a profile as seen from the centre of its own circle: angles (rad) and deviations (mm).

    Parameters: angles and outward deviations about the axis of turning, shape (n,), and the radius (mm). A
    round that lies off the axis by e shows a false order 2 of e^2 / 4R about the axis, and none here.
    """
    angle, profile = _checked(angle_rad, profile_mm)
    distance = radius_mm + profile
    x, y = distance * np.cos(angle), distance * np.sin(angle)
    circle = circle_through_points(x, y)
    dx, dy = x - circle.x_mm, y - circle.y_mm
    return np.arctan2(dy, dx), np.hypot(dx, dy) - radius_mm


def narrowest_zone(columns: Floats, height_mm: Floats) -> tuple[Floats, float]:
    """Return the coefficients that leave the least max - min of heights less columns, and that width.

    Parameters: columns (n, p) without a constant, heights (n,).
    """
    n, p = columns.shape
    size = float(np.ptp(height_mm)) or 1.0
    scaled = (height_mm - height_mm.mean()) / size
    ones = np.ones((n, 1))
    # Unknown: coefficients, bottom of the zone, its width; every height between bottom and bottom + width.
    above = np.hstack([columns, ones, np.zeros((n, 1))])
    below = np.hstack([-columns, -ones, -ones])
    solved = scipy.optimize.linprog(
        np.r_[np.zeros(p + 1), 1.0],
        A_ub=np.vstack([above, below]),
        b_ub=np.r_[scaled, -scaled],
        bounds=[(None, None)] * (p + 1) + [(0.0, None)],
        method="highs",
    )
    if solved.x is None:
        raise NotDecidable(f"no zone found: {solved.message}")
    found = np.asarray(solved.x[:p]) * size
    return found, float(np.ptp(height_mm - columns @ found))


def _programme(
    angle: Floats, profile: Floats, *, inside: bool, outside: bool
) -> tuple[float, float, float, float]:
    """Return x, y, bottom and width of the zone: narrowest, or with the highest bottom, or lowest top."""
    columns = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    if inside and outside:
        centre, width = narrowest_zone(columns, profile)
        rest = profile - columns @ centre
        return float(centre[0]), float(centre[1]), float(rest.min()), width
    size = float(np.ptp(profile)) or 1.0
    scaled = (profile - profile.mean()) / size
    sign = 1.0 if inside else -1.0
    solved = scipy.optimize.linprog(
        [0.0, 0.0, -sign],
        A_ub=sign * np.hstack([columns, np.ones((len(angle), 1))]),
        b_ub=sign * scaled,
        bounds=[(None, None)] * 3,
        method="highs",
    )
    if solved.x is None:
        raise NotDecidable(
            "no such circle: the profile leaves half a turn open; take readings all round"
        )  # fmt: skip
    x, y = float(solved.x[0]) * size, float(solved.x[1]) * size
    rest = profile - columns @ np.array([x, y])
    return x, y, float(rest.min()), float(np.ptp(rest))


def _checked(angle_rad: ArrayLike, profile_mm: ArrayLike) -> tuple[Floats, Floats]:
    angle, profile = np.asarray(angle_rad, np.float64), np.asarray(profile_mm, np.float64)
    if angle.ndim != 1 or angle.shape != profile.shape or len(angle) < 3:
        raise BadInput(f"angles {angle.shape} and profile {profile.shape}: three or more of one length")
    if not (math.isfinite(float(profile.sum())) and math.isfinite(float(angle.sum()))):
        raise BadInput("the profile holds numbers that are not finite: take them out first")
    return angle, profile


def _circle(angle: Floats, profile: Floats, x: float, y: float, radius: float) -> Circle:
    rest = profile - x * np.cos(angle) - y * np.sin(angle)
    return Circle(x, y, radius, float(np.ptp(rest)))
