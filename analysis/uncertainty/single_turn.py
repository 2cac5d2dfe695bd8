"""What a single turn leaves open: motion that does not come back with the turn.

Several turns show such motion by their differences; one turn shows only where its two ends fail to meet. A
slow line, or a drift, is taken for the part as far as it closes, and how far it closes is chance. So the
orders are fitted beside every motion that may be there, and drawn from all of them as often as each fits the
readings and was likely beforehand; what the ends do not betray stays as width.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.harmonics import at_their_orders, order_rows

Floats = NDArray[np.float64]

NO_MOTION = 0.75
"""How likely it is beforehand that nothing but the part moves the reading. A choice of ours: at less, white
noise is widened by more than half; at more, a line at 0.41 cycles a turn is missed more often."""
_SLOW: Floats = np.linspace(0.1, 0.9, 9)
_FAST: Floats = np.linspace(1.25, 7.75, 14)
"""Cycles a turn of the lines that are tried; one turn tells them apart no better than that."""
_OF_THE_SLOW = 0.7
"""Cages of rolling bearings go round slower than their shaft (textbook): slow lines are the likelier ones."""
_OF_THE_DRIFT = 0.15
_HEIGHTS = (0.3, 1.0, 3.0, 10.0)
"""Standard deviations of a motion's amplitude, in noises, that are thought equally likely beforehand."""
_AT_ONCE = 4096
"""Readings taken together, which bounds the memory."""


@dataclass(frozen=True)
class NonRepeatingMotion:
    """The orders 1..H beside each motion that there may be; F of them, the first is none."""

    weight: Floats
    """Share of each, sum 1, shape (F,)."""
    coefficients_mm: Floats
    """a1, b1, a2, ... with each, shape (F, 2H)."""
    root_mm: Floats
    """Root of their covariance with no motion to fit, shape (2H, unknowns)."""
    motion_root_mm: Floats
    """What fitting the motion adds to that root, shape (F, 2H, 2)."""
    dof: int

    @property
    def mean_mm(self) -> Floats:
        """a1, b1, a2, ... over all motions, each by its share, shape (2H,)."""
        return np.asarray(self.weight @ self.coefficients_mm)

    @property
    def moved(self) -> float:
        """How likely it is that something moves."""
        return 1.0 - float(self.weight[0])

    def draw(self, number: int, rng: np.random.Generator) -> Floats:
        """Return draws of the error of the mean, shape (number, 2H), mm."""
        pick = rng.choice(len(self.weight), size=number, p=self.weight)
        spread = rng.standard_normal((number, self.root_mm.shape[1])) @ self.root_mm.T
        at_motion = rng.standard_normal((number, self.motion_root_mm.shape[2]))
        spread += np.einsum("fij,fj->fi", self.motion_root_mm[pick], at_motion)
        spread /= np.sqrt(rng.chisquare(self.dof, (number, 1)) / self.dof)
        return np.asarray(self.mean_mm - self.coefficients_mm[pick] + spread)


def motions(
    angle_rad: Floats, reading_mm: Floats, highest_order: int, added: Sequence[int] = ()
) -> NonRepeatingMotion:
    """Fit the orders of one turn beside each motion that may be there.

    Parameters: unwrapped angles (rad) and readings (mm) of one turn, shape (n,). Amplitudes are normal about
    zero with the deviations listed above, each as likely as the next (conjugate normal linear model,
    textbook).
    """
    base = order_rows(angle_rad, highest_order, added)
    reading = reading_mm - reading_mm.mean()
    inverse = np.linalg.inv(base @ base.T)
    plain = inverse @ (base @ reading)
    left = reading - plain @ base
    dof = max(len(reading) - len(base) - 2, 1)
    # A line above the highest order would take the part's own orders up there for motion.
    fast = _FAST[: max(0, highest_order - 1) * 2]
    lines, slow = np.concatenate([_SLOW, fast]), (1 - _OF_THE_DRIFT) * (_OF_THE_SLOW if len(fast) else 1.0)
    likely = np.concatenate(
        [
            [_OF_THE_DRIFT],
            np.full(len(_SLOW), slow / len(_SLOW)),
            np.full(len(fast), (1 - _OF_THE_DRIFT - slow) / max(len(fast), 1)),
        ]
    )
    centre = (float(angle_rad.min()) + float(angle_rad.max())) / 2.0
    on_base = np.zeros((len(likely), 2, len(base)))
    square, right = np.zeros((len(likely), 2, 2)), np.zeros((len(likely), 2))
    for start in range(0, len(reading), _AT_ONCE):
        some = slice(start, start + _AT_ONCE)
        rows = _rows(lines, angle_rad[some] - centre)
        on_base += (rows.reshape(2 * len(likely), -1) @ base[:, some].T).reshape(on_base.shape)
        square += rows @ np.swapaxes(rows, 1, 2)
        right += rows @ left[some]
    through = on_base @ inverse
    square -= through @ np.swapaxes(on_base, 1, 2)
    whole = float(left @ left)
    ridge = 1e-6 * np.trace(square, axis1=1, axis2=2)[:, None, None] * np.eye(2)
    explained = np.sum(right * np.linalg.solve(square + ridge, right[..., None])[..., 0], axis=1)
    noise2 = max(whole - float(explained.max()), 1e-13 * whole, 1e-300) / dof
    evidence, mean, root = _posteriors(square, right, noise2)
    evidence += np.log((1 - NO_MOTION) / len(_HEIGHTS) * likely)[:, None]
    logs = np.append(math.log(NO_MOTION), evidence.ravel())
    weight = np.exp(logs - logs.max())
    size = 2 * (highest_order + len(added))
    own = slice(1, 1 + size)
    to_orders = through[:, :, own]
    found = plain[own] - np.einsum("fpi,fij->fpj", mean, to_orders)
    adds = np.einsum("fji,fpjk->fpik", to_orders, root)

    def placed(fitted: Floats, axis: int) -> Floats:
        return at_their_orders(fitted, highest_order, added, axis)

    return NonRepeatingMotion(
        weight=weight / weight.sum(),
        coefficients_mm=placed(np.concatenate([plain[None, own], found.reshape(-1, size)]), 1),
        root_mm=placed(np.linalg.cholesky(inverse[own, own]) * math.sqrt(noise2), 0),
        motion_root_mm=placed(np.concatenate([np.zeros((1, size, 2)), adds.reshape(-1, size, 2)]), 1),
        dof=dof,
    )


def _rows(lines: Floats, turned_rad: Floats) -> Floats:
    """Return a drift, and cos and sin of each line, about the middle of the turn; shape (1 + lines, 2, n)."""
    phase = np.multiply.outer(lines, turned_rad)
    drift = np.stack([turned_rad / math.pi, np.zeros_like(turned_rad)])
    return np.concatenate([drift[None], np.stack([np.cos(phase), np.sin(phase)], axis=1)])


def _posteriors(square: Floats, right: Floats, noise2: float) -> tuple[Floats, Floats, Floats]:
    """Return log evidence (F, P), mean (F, P, 2) and root of covariance (F, P, 2, 2) of the amplitudes."""
    prior = np.array(_HEIGHTS) * math.sqrt(noise2)
    scaled = prior[None, :, None, None] ** 2 * square[:, None] / noise2 + np.eye(2)
    scaled_right = prior[None, :, None] * right[:, None] / noise2
    lower = np.linalg.cholesky(scaled)
    back = np.linalg.inv(lower)
    half = np.einsum("fpij,fpj->fpi", back, scaled_right)
    evidence = 0.5 * np.sum(half**2, axis=2) - np.log(np.diagonal(lower, axis1=2, axis2=3)).sum(axis=2)
    root = prior[None, :, None, None] * np.swapaxes(back, 2, 3)
    return evidence, np.einsum("fpij,fpj->fpi", root, half), root
