"""A step in time that is not a step in angle: the stand slipped, or somebody pressed the indicator's buttons.

A jump to near zero is the zero button, a change of scale by 25.4 the unit button; any other step that
stays is the stand. Knows nothing of limits.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from analysis.capture import Floats
from analysis.diagnosis.local_noise import noise_floor
from analysis.harmonics import harmonic_rows

SCALE = 25.4
_END = 5
"""So many readings at least lie on either side of a jump."""
_COARSE = 256
"""Positions at which a change of scale is tried before the best of them is looked at closely."""
_MOST_CONDITION = 1e4
"""Up to this condition of the normal equations they are used as they are."""


class JumpKind(StrEnum):
    """Who made a step."""

    ZERO = "zero"
    """The indicator's zero button."""
    UNIT = "unit"
    """The indicator's in/mm button."""
    STAND = "stand"


@dataclass(frozen=True)
class Jump:
    """One step."""

    t_s: float
    step_mm: float
    kind: JumpKind


@dataclass(frozen=True)
class _Found:
    """The best place of one kind of jump, and the sum of squares it leaves."""

    at: int
    rss: float
    size_mm: float = 0.0


def find_jump(
    angle_rad: Floats, reading_mm: Floats, t_s: Floats, *, orders: int, noise_mm: float, resolution_mm: float
) -> Jump | None:
    """Return the jump of a sweep, or None.

    Parameters of shape (n,), in the order taken. A step, and a change of scale about the gauge's own zero,
    are tried at every place beside a periodic curve of ``orders``. Either is believed when the fit gains much
    by it; the step also has to be there between the neighbours, the scale to explain as much as the step.
    """
    n = len(reading_mm)
    if n < 4 * orders + 8:
        return None
    basis = _orthonormal(harmonic_rows(angle_rad, orders))
    products = basis.T @ reading_mm
    residual = reading_mm - basis @ products
    base_rss = float(residual @ residual)
    # Readings that are one curve to the last digits of a float have no jump.
    if base_rss <= n * 1e-14 + 1e-13 * float(reading_mm @ reading_mm):
        return None
    step = _best_step(basis, residual, base_rss)
    scales = [_best_scale(basis, reading_mm, scale) for scale in (SCALE, 1.0 / SCALE)]
    scale = min(scales, key=lambda found: found.rss)
    if scale.rss < 0.1 * base_rss and scale.rss <= step.rss * (1.0 + 5.0 / n):
        return Jump(float(t_s[scale.at]), _across(reading_mm, scale.at), JumpKind.UNIT)
    # The step against its neighbours, with the slope of the curve taken off both.
    shape = (np.arange(n) >= step.at).astype(float)
    left = residual - step.size_mm * (shape - basis @ (basis.T @ shape))
    local = step.size_mm + _across(left, step.at)
    turns = abs(float(angle_rad[-1] - angle_rad[0])) / (2 * math.pi)
    stays = turns > 1.5 or abs(_closure(reading_mm)) >= 0.5 * abs(local)
    least = max(6.0 * noise_floor(reading_mm, noise_mm, resolution_mm), 4.0 * resolution_mm)
    if (
        abs(local) < least
        or step.rss >= 0.5 * base_rss
        or abs(step.size_mm - local) > 0.5 * abs(local)
        or not stays
    ):
        return None
    at_zero = float(np.abs(reading_mm[step.at : step.at + 2]).min()) <= max(
        3.0 * resolution_mm, 4.0 * noise_mm
    )
    pressed = at_zero and abs(local) > 10.0 * max(resolution_mm, noise_mm)
    return Jump(float(t_s[step.at]), step.size_mm, JumpKind.ZERO if pressed else JumpKind.STAND)


def _orthonormal(rows: Floats) -> Floats:
    """Return columns, shape (n, p), that span what the rows, shape (p, n), do.

    By the Cholesky factor of their products where turns are seen all round, which costs a fifth of a QR
    and loses the square of the condition; by QR on a short arc.
    """
    gram = rows @ rows.T
    if np.linalg.cond(gram) > _MOST_CONDITION:
        return np.asarray(np.linalg.qr(rows.T)[0], np.float64)
    return np.asarray((np.linalg.inv(np.linalg.cholesky(gram)) @ rows).T, np.float64)


def _best_step(basis: Floats, residual: Floats, base_rss: float) -> _Found:
    """Return the place where a step explains most of the residual of a periodic fit."""
    n = len(residual)
    after = np.cumsum(basis[::-1], axis=0)[::-1]
    # What of a step at each place the curve cannot follow, and how much of it the residual holds.
    length = np.arange(n, 0, -1) - np.einsum("ij,ij->i", after, after)
    held = np.cumsum(residual[::-1])[::-1]
    gain = np.where(length > 1e-6 * n, held**2 / np.maximum(length, 1e-6 * n), 0.0)
    gain[:_END] = gain[n - _END :] = 0.0
    at = int(np.argmax(gain))
    return _Found(at, base_rss - float(gain[at]), float(held[at] / max(length[at], 1e-6 * n)))


def _best_scale(basis: Floats, reading_mm: Floats, scale: float) -> _Found:
    """Return the place after which the readings are best taken for the same curve times ``scale``."""
    n = len(reading_mm)
    edges = np.unique(np.linspace(_END, n - _END, min(_COARSE, n - 2 * _END + 1)).astype(int))
    after = _gram(basis[edges[-1] :]), basis[edges[-1] :].T @ reading_mm[edges[-1] :]
    grams, products = [after[0]], [after[1]]
    for low, high in zip(edges[-2::-1], edges[:0:-1], strict=True):
        grams.append(grams[-1] + _gram(basis[low:high]))
        products.append(products[-1] + basis[low:high].T @ reading_mm[low:high])
    whole = basis.T @ reading_mm, float(reading_mm @ reading_mm)
    coarse = _scale_rss(np.array(grams[::-1]), np.array(products[::-1]), *whole, scale)
    best = int(np.argmin(coarse))
    low, high = int(edges[max(best - 1, 0)]), int(edges[min(best + 1, len(edges) - 1)])
    rows, readings = basis[low:high], reading_mm[low:high]
    grams_near = np.cumsum((rows[:, :, None] * rows[:, None, :])[::-1], axis=0)[::-1] + _gram(basis[high:])
    products_near = np.cumsum((rows * readings[:, None])[::-1], axis=0)[::-1]
    products_near = products_near + basis[high:].T @ reading_mm[high:]
    near = _scale_rss(grams_near, products_near, *whole, scale)
    at = int(np.argmin(near))
    return _Found(low + at, float(near[at]))


def _scale_rss(grams: Floats, products: Floats, product: Floats, square: float, scale: float) -> Floats:
    """Return the sum of squares left when readings after each place are ``scale`` times the curve.

    ``grams`` (m, p, p) and ``products`` (m, p) are sums over the readings after each of m places, of rows of
    an orthonormal basis and of rows times readings; ``product`` (p,) and ``square`` are over all readings.
    """
    normal = np.eye(len(product)) + (scale**2 - 1.0) * grams
    right = product + (scale - 1.0) * products
    solved = np.linalg.solve(normal, right[:, :, None])[:, :, 0]
    return np.asarray(np.maximum(square - np.einsum("ij,ij->i", right, solved), 0.0), np.float64)


def _gram(rows: Floats) -> Floats:
    return np.asarray(rows.T @ rows, np.float64)


def _across(values: Floats, at: int) -> float:
    return float(np.median(values[at : at + 3]) - np.median(values[at - 3 : at]))


def _closure(reading_mm: Floats) -> float:
    return float(np.median(reading_mm[-5:]) - np.median(reading_mm[:5]))
