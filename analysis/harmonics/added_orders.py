"""Single orders above those that are always fitted: lobes that grinding or a chuck left all round the part.

Fitting every order up to 60 would widen every part by the root of four; so only those are added that stand
out of the noise, each by a partial F test that pays for the number of orders looked at (Draper and Smith,
Applied Regression Analysis, from memory). What lies between whole orders is not known here.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.harmonics.design import Line, harmonic_rows, line_rows
from analysis.harmonics.plan import FitPlan
from analysis.harmonics.sweep_sums import SweepSums
from analysis.numerics import f_upper_tail

Floats = NDArray[np.float64]

HIGHEST_ADDED = 60
MOST_ADDED = 8
CLEAR_P = 0.001
"""An order is added where noise alone would show one as high, anywhere looked at, less often than this."""
_POWER = 1.645
"""So many deviations above the threshold an order is found in 95 of 100 sweeps."""
_LEAST_LEFT = 0.2
"""Share of its length that an order keeps beside the others; under it the places cannot tell it from them."""
_SPARE = 20
_VALUES_FOR_HALF = 70
"""From so many values a turn on, no order above half their number is looked for."""
_STAIRS = 2.0
_ROWS_AT_ONCE = 65536


@dataclass(frozen=True, slots=True)
class AddedOrders:
    """What was found above the highest order, and what would have been."""

    orders: tuple[int, ...]
    """In rising order."""
    seen_mm: float
    """Amplitude from which an order is found in 95 of 100 such sweeps; infinite where none was looked for."""
    looked_for: int
    """The highest order looked for."""
    not_told: tuple[int, ...] = ()
    """Orders on the way that the places of the readings cannot tell from the others."""


def find_added_orders(
    angle_rad: Floats,
    reading_mm: Floats,
    t_s: Floats,
    plan: FitPlan,
    *,
    resolution_mm: float = 0.0,
    lines: Sequence[Line] = (),
    sums: SweepSums | None = None,
) -> AddedOrders:
    """Look for orders above the highest of the plan.

    Parameters: unwrapped angles (rad), readings (mm) and times (s), shape (n,), the plan of the fit, the step
    of the reading (mm) and the lines that are believed, beside which orders are looked for; ``sums`` over all
    readings, where those handed over are of some turns and there are no lines. Stairs of a
    coarse gauge come back on every turn too: an order has to stand out of what they make, (q / pi) exp(-2
    pi^2 s^2 / q^2) (own derivation: Fourier series of rounding with normal dither). With few places, or
    angles told by time, none is looked for.
    """
    highest = plan.highest_order
    if sums is not None and (lines or sums.highest_added < HIGHEST_ADDED):
        sums = None
    n = len(angle_rad) if sums is None else int(sums.number.sum())
    base = 1 + 2 * highest + plan.drift + 3 * len(lines)
    top = min(HIGHEST_ADDED, highest + (n - base - _SPARE) // 2)
    per_turn = n / plan.turns
    if per_turn > _VALUES_FOR_HALF:
        top = min(top, int(per_turn / 2))
    if plan.few_places or not plan.even_angles or top <= highest:
        return AddedOrders((), math.inf, highest)
    if sums is None:
        gram, right, whole = _normal_equations(angle_rad, reading_mm, t_s, top, plan.drift, lines)
    else:
        gram, right, whole, *_ = sums.equations([*range(top + 1)], drift=plan.drift)
    taken = [*range(1 + 2 * highest), *range(1 + 2 * top, len(gram))]
    length = np.diag(gram).copy()
    candidates = [c for c in range(highest + 1, top + 1) if _told(gram, taken, length, c)]
    not_told = tuple(c for c in range(highest + 1, top + 1) if c not in candidates)
    if not candidates:
        return AddedOrders((), math.inf, highest, not_told)
    found: list[int] = []
    rss, noise2 = whole, 0.0
    while True:
        left_gram, left_right, rss = _projected(gram, right, whole, taken)
        dof = n - len(taken) - 2
        noise2 = rss / dof
        # Less than rounding errors of the arithmetic are no lobes.
        if len(found) == MOST_ADDED or dof < 1 or rss <= 1e-18 * whole:
            break
        best, gain, amplitude = 0, 0.0, 0.0
        for c in candidates:
            if c in found:
                continue
            pair = np.ix_([2 * c - 1, 2 * c], [2 * c - 1, 2 * c])
            size = np.linalg.solve(left_gram[pair], left_right[[2 * c - 1, 2 * c]])
            gained = float(size @ left_right[[2 * c - 1, 2 * c]])
            if gained > gain:
                best, gain, amplitude = c, gained, math.hypot(*size)
        beside = max(rss - gain, 1e-300) / dof
        chance = f_upper_tail(gain / 2 / beside, 2, dof) * len(candidates)
        if not best or chance >= CLEAR_P or amplitude <= _STAIRS * _stair_mm(beside, resolution_mm):
            break
        found.append(best)
        taken += [2 * best - 1, 2 * best]
    seen = (math.sqrt(-2 * math.log(CLEAR_P / len(candidates))) + _POWER) * math.sqrt(2 * noise2 / n)
    return AddedOrders(
        tuple(sorted(found)),
        max(seen, _STAIRS * _stair_mm(noise2, resolution_mm)),
        max(candidates),
        tuple(c for c in not_told if c < max(candidates)),
    )


def _normal_equations(
    angle: Floats, reading: Floats, time: Floats, top: int, drift: bool, lines: Sequence[Line]
) -> tuple[Floats, Floats, float]:
    """Return gram matrix and right side of orders 0..top, then drift and lines, and the readings' squares."""
    size = 1 + 2 * top + drift + 3 * len(lines)
    centre = float(angle.mean())
    gram, right, whole = np.zeros((size, size)), np.zeros(size), 0.0
    level, middle, span = float(reading.mean()), float(time.mean()), float(np.ptp(time)) or 1.0
    for start in range(0, len(angle), _ROWS_AT_ONCE):
        some = slice(start, start + _ROWS_AT_ONCE)
        rows = harmonic_rows(angle[some], top)
        if drift:
            rows = np.vstack([rows, (time[some] - middle) / span])
        if lines:
            rows = np.vstack([rows, *(line_rows(angle[some], line, centre) for line in lines)])
        off = reading[some] - level
        gram += rows @ rows.T
        right += rows @ off
        whole += float(off @ off)
    return gram, right, whole


def _projected(gram: Floats, right: Floats, whole: float, taken: list[int]) -> tuple[Floats, Floats, float]:
    """Return gram matrix, right side and squares with the rows taken fitted away."""
    to_taken = np.linalg.solve(gram[np.ix_(taken, taken)], np.column_stack([gram[taken], right[taken]]))
    return (
        gram - gram[:, taken] @ to_taken[:, :-1],
        right - gram[:, taken] @ to_taken[:, -1],
        max(0.0, whole - float(right[taken] @ to_taken[:, -1])),
    )


def _told(gram: Floats, taken: list[int], length: Floats, order: int) -> bool:
    """Return whether cosine and sine of an order keep enough of their length beside what is fitted."""
    pair = [2 * order - 1, 2 * order]
    across = gram[np.ix_(taken, pair)]
    left = gram[np.ix_(pair, pair)] - across.T @ np.linalg.solve(gram[np.ix_(taken, taken)], across)
    least = float(np.linalg.eigvalsh(left)[0])
    return least > _LEAST_LEFT**2 * float(length[pair].max())


def _stair_mm(noise2: float, step: float) -> float:
    """Return what the stairs of a coarse gauge make of one order, mm."""
    if step <= 0.0:
        return 0.0
    behind = max(0.0, noise2 - step**2 / 12)
    return step / math.pi * math.exp(-2 * math.pi**2 * behind / step**2)
