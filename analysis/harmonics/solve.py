"""Normal equations of the model, summed in blocks; what the readings do not carry is refused."""

import math
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from analysis.errors import NotDecidable
from analysis.harmonics.design import Line, at_their_orders, harmonic_rows, line_rows, order_rows
from analysis.harmonics.harmonic_fit import HarmonicFit
from analysis.numerics import least_squares, propagate

Floats = NDArray[np.float64]

LARGEST_CONDITION = 1000.0
"""Above this the readings do not carry the orders asked for: a gap is too wide or the places too few."""
_CHOLESKY_UP_TO = 100.0
_ROWS_AT_ONCE = 65536


def solve(
    angle: Floats,
    reading: Floats,
    time: Floats | None,
    highest: int,
    lines: Sequence[Line],
    a_line: int,
    added: tuple[int, ...] = (),
    beside: Floats | None = None,
) -> HarmonicFit:
    """Return the fit of orders, drift where times are given, lines of ``a_line`` unknowns each, and rows."""
    of_orders = 1 + 2 * (highest + len(added))
    centre = float(angle.mean())
    level = float(reading.mean())
    middle = float(time.mean()) if time is not None else 0.0
    span = (float(np.ptp(time)) or 1.0) if time is not None else 1.0
    more = 0 if beside is None else len(beside)
    columns = of_orders + (time is not None) + a_line * len(lines) + more

    def rows_of(part: slice) -> Floats:
        rows = np.empty((columns, len(angle[part])))
        rows[:of_orders] = order_rows(angle[part], highest, added)
        at = of_orders
        if time is not None:
            rows[at] = (time[part] - middle) / span
            at += 1
        for line in lines:
            rows[at : at + a_line] = line_rows(angle[part], line, centre)[:a_line]
            at += a_line
        if beside is not None:
            rows[at:] = beside[:, part]
        return rows

    # Large sweeps are summed in blocks, so that memory does not grow with the number of orders.
    blocks = [slice(i, i + _ROWS_AT_ONCE) for i in range(0, len(angle), _ROWS_AT_ONCE)]
    first = rows_of(blocks[0])
    gram, right = first @ first.T, first @ (reading[blocks[0]] - level)
    for block in blocks[1:]:
        rows = rows_of(block)
        gram += rows @ rows.T
        right += rows @ (reading[block] - level)
    beta, inverse, condition = solve_normal(gram, right, lambda: angle, highest)
    if condition > _CHOLESKY_UP_TO and len(blocks) == 1:
        beta = least_squares(first.T, reading - level).estimates
    residual = np.empty_like(reading)
    for i, block in enumerate(blocks):
        residual[block] = reading[block] - level - beta @ (first if i == 0 else rows_of(block))
    dof = len(angle) - columns
    variance = float(residual @ residual) / dof if dof > 0 else math.nan
    at = of_orders
    slope = float(beta[at]) / span if time is not None else None
    at += time is not None
    found = tuple(
        Line(line.order, float(beta[at + a_line * k]), float(beta[at + a_line * k + 1]))
        for k, line in enumerate(lines)
    )
    return as_fit(
        beta[:of_orders],
        level=level - (slope * middle if slope is not None else 0.0),
        slope=slope,
        covariance=variance * inverse[1:of_orders, 1:of_orders],
        noise=math.sqrt(variance),
        dof=dof,
        lines=found,
        residual=residual,
        condition=condition,
        added=added,
    )


def as_fit(
    beta: Floats,
    *,
    level: float,
    slope: float | None,
    covariance: Floats,
    noise: float,
    dof: int,
    lines: tuple[Line, ...],
    residual: Floats,
    condition: float,
    added: tuple[int, ...] = (),
) -> HarmonicFit:
    """Return solved coefficients 1, a1, b1, a2, ... as a fit; the last of them are of orders ``added``."""
    consecutive = (len(beta) - 1) // 2 - len(added)
    own = at_their_orders(beta[1:], consecutive, added)
    for axis in (0, 1):
        covariance = at_their_orders(covariance, consecutive, added, axis)
    cos_mm, sin_mm = own[0::2].copy(), own[1::2].copy()
    return HarmonicFit(
        highest_order=len(cos_mm),
        constant_mm=level + float(beta[0]),
        drift_mm_per_s=slope,
        cos_mm=cos_mm,
        sin_mm=sin_mm,
        covariance_mm2=covariance,
        noise_mm=noise,
        dof=dof,
        lines=lines,
        residual_mm=residual,
        condition=condition,
        added_orders=added,
        consecutive=consecutive,
    )


def solve_normal(
    gram: Floats, right: Floats, occupied: Callable[[], Floats], highest: int
) -> tuple[Floats, Floats, float]:
    """Return coefficients, inverse of the gram matrix and condition of the scaled design, or refuse.

    ``occupied`` returns the angles of the readings, which a refusal names the gaps of.
    """
    length = np.sqrt(np.diag(gram))
    length = np.where(length > 0, length, 1.0)
    scaled = gram / np.outer(length, length)
    eigenvalues, axes = np.linalg.eigh(scaled)
    lowest = float(eigenvalues[0])
    condition = math.sqrt(float(eigenvalues[-1]) / lowest) if lowest > 0 else math.inf
    if not condition <= LARGEST_CONDITION:
        raise NotDecidable(_too_sparse(occupied(), highest, condition))
    inverse = (axes / eigenvalues) @ axes.T / np.outer(length, length)
    return inverse @ right, inverse, condition


def too_few(readings: int, highest: int) -> str:
    """Return what is said of fewer readings than orders need."""
    return (
        f"{readings} readings for orders up to {highest}: at least {2 * highest + 1} are needed; turn on or "
        "ask for fewer orders"
    )


def _too_sparse(angle: Floats, highest: int, condition: float) -> str:
    places = np.unique(np.round(np.mod(angle, 2 * math.pi), 9))
    gap = float(np.max(np.diff(np.append(places, places[0] + 2 * math.pi))))
    return (
        f"{len(places)} places with a gap of {math.degrees(gap):.0f} deg cannot carry orders up to {highest} "
        f"(condition {condition:.1e}, at most {LARGEST_CONDITION:.0f}): close the gap or ask for fewer orders"
    )


def half_sampled_phase(angle: Floats, highest: int) -> float | None:
    """Return the first place where the readings stand at exactly 2H equally spaced places, else None."""
    if len(angle) > 4096:
        return None
    places = np.unique(np.round(np.mod(angle, 2 * math.pi), 9))
    if len(places) > 1 and places[-1] > 2 * math.pi - 1e-8 and places[0] < 1e-8:
        places = places[:-1]
    if len(places) != 2 * highest:
        return None
    expected = places[0] + np.arange(2 * highest) * (math.pi / highest)
    return float(places[0]) if np.max(np.abs(places - expected)) < 1e-6 else None


def solve_half_sampled(angle: Floats, reading: Floats, highest: int, first: float) -> HarmonicFit:
    """Fit 2H equally spaced places: of order H only the cosine about the first place shows, factor 1."""
    rows = harmonic_rows(angle, highest - 1)
    alternating = np.cos(highest * (angle - first))
    solved = least_squares(np.vstack([rows, alternating]).T, reading)
    turn = np.array([math.cos(highest * first), math.sin(highest * first)])
    spread = np.zeros((1 + 2 * highest, 2 * highest))
    spread[: 2 * highest - 1, : 2 * highest - 1] = np.eye(2 * highest - 1)
    spread[2 * highest - 1 :, 2 * highest - 1] = turn
    return as_fit(
        spread @ solved.estimates,
        level=0.0,
        slope=None,
        covariance=propagate(spread, solved.covariance)[1:, 1:],
        noise=solved.residual_sd,
        dof=solved.dof,
        lines=(),
        residual=solved.residuals,
        condition=solved.condition,
    )
