"""How late a gauge is and what play it has, learnt from sweeps at three or more different signed speeds.

The high side of sweep j stands at phase_j = phi_0 + tau w_j + eta sign(w_j): a lag turns it on in proportion
to the speed, play by one angle whichever the speed. Own derivation; least squares.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analysis.diagnosis.both_directions import play_behind
from analysis.errors import BadInput
from analysis.numerics import Component, UncertainNumber

APART = 0.2
"""Speeds of one way are two speeds where the faster is so much faster than the slower."""


@dataclass(frozen=True)
class Phase:
    """The high side of one sweep, at the angles as they were counted."""

    rad: float
    u_rad: float
    speed_rad_s: float
    """Signed."""
    amplitude_mm: float
    """A_1 as read."""


@dataclass(frozen=True)
class LearntLag:
    """What the sweeps tell together."""

    lag: UncertainNumber
    """s."""
    behind: UncertainNumber
    """rad: by how much play holds the high side back, either way."""
    high_side: UncertainNumber
    """rad: where it is without lag and play."""
    play_mm: float
    """The play that would hold it back so."""


def learn_lag(phases: Sequence[Phase]) -> LearntLag:
    """Return lag and play by weighted least squares over the sweeps.

    The covariance is that of the stated u of every phase, enlarged where the sweeps scatter by more. Raises
    BadInput without both ways and two speeds of one way.
    """
    _refuse_too_alike(phases)
    speeds = np.array([one.speed_rad_s for one in phases])
    first = phases[0].rad
    turned = np.array([math.remainder(one.rad - first, 2.0 * math.pi) for one in phases])
    weight = 1.0 / np.array([max(one.u_rad, 1e-9) for one in phases])
    design = np.stack([np.ones_like(speeds), speeds, np.sign(speeds)], axis=1) * weight[:, None]
    covariance = np.linalg.inv(design.T @ design)
    found = covariance @ design.T @ (turned * weight)
    left = turned * weight - design @ found
    dof = len(phases) - design.shape[1]
    scatter = math.sqrt(max(1.0, float(left @ left) / dof)) if dof else 1.0
    of_u = math.inf if scatter == 1.0 else float(dof)
    middle, lag, behind = (
        UncertainNumber(float(value), {"phases": Component(scatter * math.sqrt(float(variance)), of_u)}, unit)
        for value, variance, unit in zip(found, np.diag(covariance), ("rad", "s", "rad"), strict=True)
    )
    high_side = UncertainNumber((first + middle.value) % (2.0 * math.pi), middle.parts, "rad")
    amplitude_mm = sum(one.amplitude_mm for one in phases) / len(phases)
    return LearntLag(lag, behind, high_side, play_behind(behind.value, amplitude_mm))


def _refuse_too_alike(phases: Sequence[Phase]) -> None:
    ways = {
        sign: sorted(abs(one.speed_rad_s) for one in phases if one.speed_rad_s * sign > 0.0)
        for sign in (1, -1)
    }
    if not (ways[1] and ways[-1]):
        raise BadInput("every sweep was turned the same way round: lag and play need one the other way too")
    if not any(each[-1] > (1.0 + APART) * each[0] for each in ways.values()):
        rpm = ", ".join(f"{one.speed_rad_s * 60.0 / (2.0 * math.pi):+.1f}" for one in phases)
        raise BadInput(
            f"{len(phases)} sweeps at {rpm} turns a minute: lag and play need two speeds one way, at least a "
            "fifth apart; add a slow sweep"
        )
