"""A step in time that is not a step in angle: the stand slipped, or somebody pressed the indicator's buttons.

A jump to near zero is the zero button, a change of scale by 25.4 the unit button; any other step that
stays is the stand. Knows nothing of limits.
"""

import math
from dataclasses import dataclass

import numpy as np

from analysis.harmonics import harmonic_rows
from analysis.samples import Floats

SCALE = 25.4


@dataclass(frozen=True)
class Jump:
    """One step."""

    t_s: float
    step_mm: float
    kind: str
    """``stand``, ``zero`` or ``unit``."""


def find_jump(
    angle_rad: Floats, reading_mm: Floats, t_s: Floats, *, orders: int, noise_mm: float, resolution_mm: float
) -> Jump | None:
    """Return the jump of a sweep, or None.

    Parameters of shape (n,), in the order taken. Candidates are the largest differences between neighbouring
    readings; each is tried as a step (and as a change of scale) in a fit of the periodic curve, and believed
    when the fit gains much by it and the neighbours differ by as much as the fit says.
    """
    n = len(reading_mm)
    if n < 4 * orders + 8:
        return None
    basis = np.linalg.qr(harmonic_rows(angle_rad, orders).T)[0]
    base_rss = _rss(basis, reading_mm)
    differences = np.abs(np.diff(reading_mm))
    candidates = np.sort(np.argsort(-differences)[:12]) + 1
    candidates = candidates[(candidates > 8) & (candidates < n - 8)]
    turns = abs(float(angle_rad[-1] - angle_rad[0])) / (2 * math.pi)
    found: list[tuple[float, Jump]] = []
    least = max(6.0 * noise_floor(reading_mm, noise_mm), 4.0 * resolution_mm)
    for at in candidates:
        before = float(np.median(reading_mm[at - 3 : at]))
        after = float(np.median(reading_mm[at : at + 3]))
        local = after - before
        for factor in (SCALE, 1.0 / SCALE):
            if not _scaled_steps(reading_mm[:at], reading_mm[at:], 1.0 / factor):
                continue
            scaled = reading_mm.copy()
            scaled[at:] *= factor
            # A true change of scale fits in one scale: judged relative to the spread of what is fitted.
            relative = _rss(basis, scaled) / max(float(np.var(scaled)) * n, 1e-30)
            plain = base_rss / max(float(np.var(reading_mm)) * n, 1e-30)
            if relative < 0.1 * plain:
                found.append((relative * base_rss, Jump(float(t_s[at]), local, "unit")))
        if abs(local) < least:
            continue
        step = (np.arange(n) >= at).astype(float)
        step -= basis @ (basis.T @ step)
        size = float(step @ reading_mm) / float(step @ step)
        rss = base_rss - size**2 * float(step @ step)
        stays = turns > 1.5 or abs(_closure(reading_mm)) >= 0.5 * abs(local)
        if rss < 0.5 * base_rss and abs(size - local) <= 0.5 * abs(local) and stays:
            at_zero = abs(float(reading_mm[at])) <= max(3.0 * resolution_mm, 4.0 * noise_mm)
            kind = "zero" if at_zero and abs(local) > 10.0 * max(resolution_mm, noise_mm) else "stand"
            found.append((rss, Jump(float(t_s[at]), size, kind)))
    return min(found, key=lambda pair: pair[0])[1] if found else None


def noise_floor(reading_mm: Floats, noise_mm: float) -> float:
    """Return the smaller of the stated noise and what neighbouring readings show (which no step inflates)."""
    differences = np.diff(reading_mm)
    local = 1.4826 * float(np.median(np.abs(differences - np.median(differences)))) / math.sqrt(2.0)
    return min(noise_mm, local) if local > 0 else noise_mm


def _scaled_steps(before: Floats, after: Floats, factor: float) -> bool:
    """True where the scatter between neighbours changed by about the factor too."""
    first = float(np.median(np.abs(np.diff(before))))
    second = float(np.median(np.abs(np.diff(after))))
    spread = (float(np.ptp(before)) + 1e-12, float(np.ptp(after)) + 1e-12)
    # Coarse gauges repeat values (median difference 0): then the spread of the readings has to tell.
    ratio = second / first if first > 0 and second > 0 else spread[1] / spread[0]
    return 0.3 < ratio / factor < 3.0


def _closure(reading_mm: Floats) -> float:
    return float(np.median(reading_mm[-5:]) - np.median(reading_mm[:5]))


def _rss(basis: Floats, reading_mm: Floats) -> float:
    """Return the sum of squares left after the columns of an orthonormal basis are fitted."""
    residual = reading_mm - basis @ (basis.T @ reading_mm)
    return float(residual @ residual)
