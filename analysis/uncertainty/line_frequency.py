"""A line whose frequency the turns hardly tell: every frequency that fits takes its share.

Two turns show less than two cycles of a slow line, and how much of it is taken for the part depends
strongly, and not in a straight line, on the frequency it is given; near a whole order more turns do no
better. So the orders are fitted at each frequency near the one found, and drawn from all of them as
often as each fits the readings. Balls need not pass in a sine: twice and three times the frequency go
along, as high as the readings speak for.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.harmonics import REACH, Line, at_their_orders, order_rows

Floats = NDArray[np.float64]

_LOWEST = 0.02
_POINTS = 41
_LOOKS = 8
_NEGLIGIBLE = 12.5
"""Frequencies less likely than the best by this in natural logarithm are left out: five deviations."""
_HEIGHTS = (0.3, 1.0, 3.0, 10.0)
"""Standard deviations of the line's amplitude, in noises, that are thought equally likely beforehand."""
_MULTIPLES = (0.0, 0.03, 0.1, 0.3, 1.0)
"""The same for twice and three times its frequency, as parts of the line's own."""
_TURNS_FOR_MULTIPLES = 2.5
"""Two turns cannot tell whether a slow line is a sine: it is taken for one, and words say so."""


@dataclass(frozen=True)
class LineFrequencyPosterior:
    """The orders 1..H at each frequency and height that a line may have; F of them."""

    order: Floats
    """Cycles a turn, shape (F,)."""
    weight: Floats
    """Share of each, sum 1, shape (F,)."""
    coefficients_mm: Floats
    """a1, b1, a2, ... with each, shape (F, 2H)."""
    root_mm: Floats
    """Root of their covariance with no line to fit, shape (2H, unknowns)."""
    line_root_mm: Floats
    """What fitting the line adds to that root, shape (F, 2H, 6)."""
    residual_mm: Floats
    """Readings less all that is fitted, line and multiples as high as they are likely, shape (n,)."""
    of_rows_mm: Floats
    """What the rows beside take of the readings, shape (n,)."""
    dof: int

    @property
    def best_order(self) -> float:
        """The frequency that fits best, all heights together."""
        orders, which = np.unique(self.order, return_inverse=True)
        return float(orders[np.argmax(np.bincount(which, weights=self.weight))])

    @property
    def mean_mm(self) -> Floats:
        """a1, b1, a2, ... over all frequencies, each by its share, shape (2H,)."""
        return np.asarray(self.weight @ self.coefficients_mm)

    def draw(self, number: int, rng: np.random.Generator) -> Floats:
        """Return draws of the error of the mean, shape (number, 2H), mm."""
        pick = rng.choice(len(self.weight), size=number, p=self.weight)
        spread = rng.standard_normal((number, self.root_mm.shape[1])) @ self.root_mm.T
        at_line = rng.standard_normal((number, self.line_root_mm.shape[2]))
        spread += np.einsum("fij,fj->fi", self.line_root_mm[pick], at_line)
        spread /= np.sqrt(rng.chisquare(self.dof, (number, 1)) / self.dof)
        return np.asarray(self.mean_mm - self.coefficients_mm[pick] + spread)


def frequency_posterior(
    angle_rad: Floats,
    reading_mm: Floats,
    t_s: Floats,
    highest_order: int,
    lines: Sequence[Line],
    *,
    turns: float,
    added: Sequence[int] = (),
    beside: Floats | None = None,
) -> LineFrequencyPosterior:
    """Fit the orders at every frequency near that of the first line, the other lines held at theirs.

    Parameters: unwrapped angles (rad), readings (mm), times (s), shape (n,); at least one line. Amplitudes
    are normal about zero with the deviations listed above, each as likely as the next; frequencies are
    equally likely. So a line that nearly is a whole order can be told from the part only as far as it is
    not too high to be believed. ``turns`` turned decide whether multiples can be told. Rows ``beside`` (k, n)
    are fitted as well.
    """
    others = [wave(line.order * angle_rad) for line in lines[1:] for wave in (np.cos, np.sin)]
    time = (t_s - t_s.mean()) / (float(np.ptp(t_s)) or 1.0)
    more = np.empty((0, len(time))) if beside is None else beside
    base = np.vstack([order_rows(angle_rad, highest_order, added), time, *others, more])
    reading = reading_mm - reading_mm.mean()
    inverse = np.linalg.inv(base @ base.T)
    plain = inverse @ (base @ reading)
    left = reading - plain @ base
    found = lines[0].order
    multiples = _MULTIPLES if turns > _TURNS_FOR_MULTIPLES else (0.0,)
    low, high = max(_LOWEST, found - REACH), found + REACH
    dof = len(reading) - len(base) - 7
    for _ in range(_LOOKS):
        orders = np.unique(np.append(np.linspace(low, high, _POINTS), found))
        rows = _waves(orders, angle_rad)
        on_base = (rows.reshape(-1, len(left)) @ base.T).reshape(len(orders), 6, len(base))
        through = on_base @ inverse
        square = rows @ np.swapaxes(rows, 1, 2) - through @ np.swapaxes(on_base, 1, 2)
        right = rows @ left
        noise2 = _noise2(square, right, left, dof)
        evidence, mean, root = _posteriors(square, right, noise2, multiples)
        evidence += np.log(np.gradient(orders))[:, None]
        kept = np.flatnonzero(evidence.max(axis=1) > evidence.max() - _NEGLIGIBLE)
        if len(kept) >= _POINTS // 4:
            break
        low, high = orders[max(kept[0] - 1, 0)], orders[min(kept[-1] + 1, len(orders) - 1)]
    own = slice(1, 1 + 2 * (highest_order + len(added)))

    def placed(fitted: Floats, axis: int) -> Floats:
        return at_their_orders(fitted, highest_order, added, axis)

    likely = evidence > evidence.max() - _NEGLIGIBLE
    at, height = np.nonzero(likely)
    weight = np.exp(evidence[likely] - evidence.max())
    best = np.unravel_index(int(np.argmax(evidence)), evidence.shape)
    to_orders = through[at][:, :, own]
    at_best = plain - mean[best] @ through[best[0]]
    residual = reading - at_best @ base - mean[best] @ rows[best[0]]
    return LineFrequencyPosterior(
        order=orders[at],
        weight=weight / weight.sum(),
        coefficients_mm=placed(plain[own] - np.einsum("fi,fij->fj", mean[at, height], to_orders), 1),
        root_mm=placed(np.linalg.cholesky(inverse[own, own]) * math.sqrt(noise2), 0),
        line_root_mm=placed(np.swapaxes(to_orders, 1, 2) @ root[at, height], 1),
        residual_mm=residual,
        of_rows_mm=at_best[len(base) - len(more) :] @ more,
        dof=dof,
    )


def _waves(orders: Floats, angle: Floats) -> Floats:
    """Return cos and sin of each frequency and of twice and three times it, shape (F, 6, n)."""
    wave = np.exp(1j * np.multiply.outer(orders, angle))
    twice = wave * wave
    thrice = twice * wave
    return np.stack([part for each in (wave, twice, thrice) for part in (each.real, each.imag)], axis=1)


def _noise2(square: Floats, right: Floats, left: Floats, dof: int) -> float:
    """Return the variance of the noise at the frequency that leaves least."""
    ridge = 1e-9 * np.trace(square, axis1=1, axis2=2)[:, None, None] * np.eye(6)
    explained = np.sum(right * np.linalg.solve(square + ridge, right[..., None])[..., 0], axis=1)
    whole = float(left @ left)
    return max(whole - float(explained.max()), 1e-13 * whole) / dof


def _posteriors(
    square: Floats, right: Floats, noise2: float, multiples: Sequence[float]
) -> tuple[Floats, Floats, Floats]:
    """Return log evidence (F, P), mean (F, P, 6) and root of covariance (F, P, 6, 6) of the amplitudes.

    P runs over the heights of the line and of its multiples. Conjugate normal linear model (textbook).
    """
    prior = np.array(
        [[height, height] + [max(height * part, 1e-4)] * 4 for height in _HEIGHTS for part in multiples]
    ) * math.sqrt(noise2)
    # Scaled by the prior deviation, the prior is the unit matrix.
    scaled = prior[None, :, :, None] * square[:, None] * prior[None, :, None, :] / noise2 + np.eye(6)
    scaled_right = prior[None] * right[:, None] / noise2
    lower = np.linalg.cholesky(scaled)
    back = np.linalg.inv(lower)
    half = np.einsum("fpij,fpj->fpi", back, scaled_right)
    evidence = 0.5 * np.sum(half**2, axis=2) - np.log(np.diagonal(lower, axis1=2, axis2=3)).sum(axis=2)
    root = prior[None, :, :, None] * np.swapaxes(back, 2, 3)
    return evidence, np.einsum("fpij,fpj->fpi", root, half), root
