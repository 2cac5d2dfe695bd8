"""Least-squares fit of whole orders to readings at the angles where they were really taken.

Model: r = c + d t + sum over n = 1..H of (a_n cos n phi + b_n sin n phi), with drift and non-integer lines
where the caller asks for them. Angles need not be evenly spaced and no transform is used that assumes so.
How well the result is known from several turns is the business of the uncertainty module.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analysis.errors import NotDecidable
from analysis.numerics import Extremes, LeastSquares, evaluate, extremes, least_squares, propagate

__all__ = [
    "HarmonicFit",
    "LeastSquares",
    "Line",
    "default_highest_order",
    "design_rows",
    "fit_harmonics",
    "harmonic_rows",
    "least_squares",
]

Floats = NDArray[np.float64]

WORST_CONDITION = 1000.0
"""Above this the readings do not carry the orders asked for: a gap is too wide or the places too few."""
_CHOLESKY_UP_TO = 100.0
_POINTS_PER_ORDER = 7
_ROWS_AT_ONCE = 65536


@dataclass(frozen=True, slots=True)
class Line:
    """A sinusoid at a fixed, non-integer number of cycles a turn, such as a ball passing."""

    order: float
    """Cycles per turn."""
    cos_mm: float
    """Coefficient of cos(order * angle), angle unwrapped."""
    sin_mm: float
    """Coefficient of sin(order * angle)."""

    @property
    def amplitude_mm(self) -> float:
        """Half the peak-to-valley height."""
        return math.hypot(self.cos_mm, self.sin_mm)


@dataclass(frozen=True)
class HarmonicFit:
    """Orders 1..H fitted to readings, H = ``highest_order``."""

    highest_order: int
    constant_mm: float
    """c: mean height; with drift, at t = 0."""
    drift_mm_per_s: float | None
    """d; None where no drift was fitted."""
    cos_mm: Floats
    """a_1..a_H, shape (H,)."""
    sin_mm: Floats
    """b_1..b_H, shape (H,)."""
    covariance_mm2: Floats
    """Covariance of a1, b1, a2, b2, ...; shape (2H, 2H); NaN where no degree of freedom is left."""
    noise_mm: float
    """Residual standard deviation; NaN where dof is 0."""
    dof: int
    """Readings less unknowns."""
    lines: tuple[Line, ...]
    """Non-integer lines fitted beside the orders."""
    residual_mm: Floats
    """Readings less everything fitted, in the order given, shape (n,)."""
    condition: float
    """Condition number of the design with columns scaled to one length."""

    @cached_property
    def extremes(self) -> Extremes:
        """Exact highest and lowest point of the curve."""
        return extremes(self.cos_mm, self.sin_mm)

    def curve(self, angle_rad: ArrayLike) -> Floats:
        """Return the curve of orders 1..H at these angles in mm, without constant, drift or lines."""
        return evaluate(self.cos_mm, self.sin_mm, np.asarray(angle_rad, np.float64))

    @property
    def vectors_mm(self) -> NDArray[np.complex128]:
        """z_n = a_n + i b_n, shape (H,)."""
        return self.cos_mm + 1j * self.sin_mm

    @property
    def coefficients_mm(self) -> Floats:
        """a1, b1, a2, b2, ... in the order of the covariance, shape (2H,)."""
        return np.stack([self.cos_mm, self.sin_mm], axis=1).ravel()

    @property
    def amplitude_mm(self) -> Floats:
        """A_n of each order, shape (H,)."""
        return np.hypot(self.cos_mm, self.sin_mm)

    @property
    def tir_mm(self) -> float:
        """Exact max - min of the curve over a full turn."""
        return self.extremes.tir_mm

    @property
    def high_point_rad(self) -> float:
        """Where the curve of all orders is highest, [0, 2 pi)."""
        return self.extremes.high_rad

    @property
    def low_point_rad(self) -> float:
        """Where the curve of all orders is lowest, [0, 2 pi)."""
        return self.extremes.low_rad

    def high_place_rad(self, order: int) -> float:
        """Return the first high place of one order: arg(z_n) / n in [0, 2 pi / n)."""
        phase = math.atan2(self.sin_mm[order - 1], self.cos_mm[order - 1]) % (2 * math.pi)
        return phase / order


def default_highest_order(new_values_per_turn: float, distinct_places: int) -> int:
    """Return the highest order to fit: 15, or fewer where the gauge gives too few new values a turn.

    Seven points per undulation (ISO 12181-2, from memory), never more than (places - 1) / 2, and at least 1
    from three distinct places. Raises NotDecidable below three places.
    """
    if distinct_places < 3:
        raise NotDecidable(
            f"{distinct_places} distinct places: at least 3 are needed for the plainest wobble; turn on"
        )
    return max(1, min(15, int(new_values_per_turn // _POINTS_PER_ORDER), (distinct_places - 1) // 2))


def harmonic_rows(angle_rad: Floats, highest_order: int) -> Floats:
    """Return rows 1, cos phi, sin phi, cos 2 phi, ...; shape (1 + 2H, n).

    Each order is the one before turned once more: two trigonometric calls instead of 2H, at an error of
    about H units in the last place.
    """
    rows = np.empty((1 + 2 * highest_order, len(angle_rad)))
    rows[0] = 1.0
    if highest_order < 1:
        return rows
    c1, s1 = np.cos(angle_rad), np.sin(angle_rad)
    rows[1], rows[2] = c1, s1
    for n in range(2, highest_order + 1):
        c, s = rows[2 * n - 3], rows[2 * n - 2]
        np.subtract(c * c1, s * s1, out=rows[2 * n - 1])
        np.add(s * c1, c * s1, out=rows[2 * n])
    return rows


def line_rows(angle_rad: Floats, line: Line, centre_rad: float) -> Floats:
    """Return cos, sin and frequency-derivative rows of one line; shape (3, n).

    The third row lets the covariance carry that the line's frequency is only estimated.
    """
    phase = line.order * angle_rad
    c, s = np.cos(phase), np.sin(phase)
    size = line.amplitude_mm or 1.0
    slope = (angle_rad - centre_rad) * (line.sin_mm * c - line.cos_mm * s) / size
    return np.stack([c, s, slope])


def design_rows(fit: HarmonicFit, angle_rad: Floats, t_s: Floats) -> Floats:
    """Return the rows behind a fit at these readings: constant, orders, drift, lines; shape (p, n)."""
    rows = [harmonic_rows(angle_rad, fit.highest_order)]
    if fit.drift_mm_per_s is not None:
        rows.append((t_s - t_s.mean())[None] / (float(np.ptp(t_s)) or 1.0))
    rows += [line_rows(angle_rad, line, 0.0)[:2] for line in fit.lines]
    return np.vstack(rows)


def fit_harmonics(
    angle_rad: ArrayLike,
    reading_mm: ArrayLike,
    t_s: ArrayLike | None = None,
    *,
    highest_order: int,
    drift: bool = False,
    lines: Sequence[Line] = (),
    free_frequency: bool = True,
    counts_per_turn: float = 0.0,
) -> HarmonicFit:
    """Fit orders 1..H by least squares at the angles as they are.

    Parameters: unwrapped angles (rad), readings (mm) and, where ``drift`` is asked for, times (s), each shape
    (n,); ``lines`` already found, whose amplitudes are fitted anew and whose frequencies count as unknown
    too where ``free_frequency``; ``counts_per_turn`` of the encoder, where known, lets a long sweep without
    drift or lines be reduced exactly to sums per count. With N = 2H equally spaced places the last order
    has a cosine only. Raises NotDecidable where the readings do not carry these orders.
    """
    angle = np.ascontiguousarray(angle_rad, dtype=np.float64)
    reading = np.ascontiguousarray(reading_mm, dtype=np.float64)
    if angle.ndim != 1 or angle.shape != reading.shape:
        raise ValueError(f"angles {angle.shape} and readings {reading.shape} do not fit: expected (n,) both")
    if highest_order < 1:
        raise ValueError(f"highest order {highest_order} is below 1: ask for at least the first")
    half = _half_sampled_phase(angle, highest_order)
    if len(angle) < 1 + 2 * highest_order - (half is not None):
        raise NotDecidable(
            f"{len(angle)} readings for orders up to {highest_order}: at least {2 * highest_order + 1} are "
            "needed; turn on or ask for fewer orders"
        )
    time = None
    if drift:
        if t_s is None:
            raise ValueError("drift needs the times of the readings: hand over t_s")
        time = np.ascontiguousarray(t_s, dtype=np.float64)
    if half is not None:
        return _fit_half_sampled(angle, reading, highest_order, half)
    cells = None if drift or lines else _cells(angle, counts_per_turn)
    if cells is None:
        return _solve(angle, reading, time, highest_order, lines, 3 if free_frequency else 2)
    return _solve_cells(cells, reading, round(counts_per_turn), highest_order)


@dataclass(frozen=True)
class _Normal:
    """Scaled normal equations: gram (p, p), right side (p,), lengths of the columns (p,)."""

    gram: Floats
    right: Floats
    length: Floats


def _solve(
    angle: Floats, reading: Floats, time: Floats | None, highest: int, lines: Sequence[Line], a_line: int
) -> HarmonicFit:
    centre = float(angle.mean())
    level = float(reading.mean())
    middle = float(time.mean()) if time is not None else 0.0
    span = (float(np.ptp(time)) or 1.0) if time is not None else 1.0
    columns = 1 + 2 * highest + (time is not None) + a_line * len(lines)

    def rows_of(part: slice) -> Floats:
        rows = np.empty((columns, len(angle[part])))
        rows[: 1 + 2 * highest] = harmonic_rows(angle[part], highest)
        at = 1 + 2 * highest
        if time is not None:
            rows[at] = (time[part] - middle) / span
            at += 1
        for line in lines:
            rows[at : at + a_line] = line_rows(angle[part], line, centre)[:a_line]
            at += a_line
        return rows

    # Large sweeps are summed in blocks, so that memory does not grow with the number of orders.
    blocks = [slice(i, i + _ROWS_AT_ONCE) for i in range(0, len(angle), _ROWS_AT_ONCE)]
    first = rows_of(blocks[0])
    gram, right = first @ first.T, first @ (reading[blocks[0]] - level)
    for block in blocks[1:]:
        rows = rows_of(block)
        gram += rows @ rows.T
        right += rows @ (reading[block] - level)
    beta, inverse, condition = _solve_normal(gram, right, angle, highest)
    if condition > _CHOLESKY_UP_TO and len(blocks) == 1:
        beta = least_squares(first.T, reading - level).estimates
    residual = np.empty_like(reading)
    for i, block in enumerate(blocks):
        residual[block] = reading[block] - level - beta @ (first if i == 0 else rows_of(block))
    dof = len(angle) - columns
    variance = float(residual @ residual) / dof if dof > 0 else math.nan
    at = 1 + 2 * highest
    slope = float(beta[at]) / span if time is not None else None
    at += time is not None
    found = tuple(
        Line(line.order, float(beta[at + a_line * k]), float(beta[at + a_line * k + 1]))
        for k, line in enumerate(lines)
    )
    return _finish(
        beta[: 1 + 2 * highest],
        level=level - (slope * middle if slope is not None else 0.0),
        slope=slope,
        covariance=variance * inverse[1 : 1 + 2 * highest, 1 : 1 + 2 * highest],
        noise=math.sqrt(variance),
        dof=dof,
        lines=found,
        residual=residual,
        condition=condition,
    )


def _finish(
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
) -> HarmonicFit:
    cos_mm, sin_mm = beta[1::2].copy(), beta[2::2].copy()
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
    )


def _solve_normal(gram: Floats, right: Floats, angle: Floats, highest: int) -> tuple[Floats, Floats, float]:
    """Return coefficients, inverse of the gram matrix and condition of the scaled design, or refuse."""
    length = np.sqrt(np.diag(gram))
    length = np.where(length > 0, length, 1.0)
    scaled = gram / np.outer(length, length)
    eigenvalues, axes = np.linalg.eigh(scaled)
    lowest = float(eigenvalues[0])
    condition = math.sqrt(float(eigenvalues[-1]) / lowest) if lowest > 0 else math.inf
    if not condition <= WORST_CONDITION:
        raise NotDecidable(_too_sparse(angle, highest, condition))
    inverse = (axes / eigenvalues) @ axes.T / np.outer(length, length)
    return inverse @ right, inverse, condition


def _too_sparse(angle: Floats, highest: int, condition: float) -> str:
    places = np.unique(np.round(np.mod(angle, 2 * math.pi), 9))
    gap = float(np.max(np.diff(np.append(places, places[0] + 2 * math.pi))))
    return (
        f"{len(places)} places with a gap of {math.degrees(gap):.0f} deg cannot carry orders up to {highest} "
        f"(condition {condition:.1e}, at most {WORST_CONDITION:.0f}): close the gap or ask for fewer orders"
    )


def _cells(angle: Floats, counts_per_turn: float) -> NDArray[np.int64] | None:
    """Return the encoder count of each reading, or None where the angles do not lie on whole counts."""
    if counts_per_turn < 1 or counts_per_turn != round(counts_per_turn) or len(angle) < 2 * counts_per_turn:
        return None
    exact = angle * (counts_per_turn / (2 * math.pi))
    count = np.rint(exact)
    if np.max(np.abs(exact - count)) > 1e-6:
        return None
    return np.mod(count.astype(np.int64), int(counts_per_turn))


def _solve_cells(cell: NDArray[np.int64], reading: Floats, counts: int, highest: int) -> HarmonicFit:
    """Fit from the number and the sum of readings at each count: the same equations, fewer rows."""
    level = float(reading.mean())
    number = np.bincount(cell, minlength=counts).astype(np.float64)
    total = np.bincount(cell, weights=reading - level, minlength=counts)
    place: Floats = np.arange(counts, dtype=np.float64) * (2 * math.pi / counts)
    rows = harmonic_rows(place, highest)
    beta, inverse, condition = _solve_normal(
        (rows * number) @ rows.T, rows @ total, place[number > 0], highest
    )
    residual = reading - level - (beta @ rows)[cell]
    dof = len(reading) - len(beta)
    variance = float(residual @ residual) / dof if dof > 0 else math.nan
    return _finish(
        beta,
        level=level,
        slope=None,
        covariance=variance * inverse[1:, 1:],
        noise=math.sqrt(variance),
        dof=dof,
        lines=(),
        residual=residual,
        condition=condition,
    )


def _half_sampled_phase(angle: Floats, highest: int) -> float | None:
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


def _fit_half_sampled(angle: Floats, reading: Floats, highest: int, first: float) -> HarmonicFit:
    """Fit 2H equally spaced places: of order H only the cosine about the first place shows, factor 1."""
    rows = harmonic_rows(angle, highest - 1)
    alternating = np.cos(highest * (angle - first))
    solved = least_squares(np.vstack([rows, alternating]).T, reading)
    turn = np.array([math.cos(highest * first), math.sin(highest * first)])
    spread = np.zeros((1 + 2 * highest, 2 * highest))
    spread[: 2 * highest - 1, : 2 * highest - 1] = np.eye(2 * highest - 1)
    spread[2 * highest - 1 :, 2 * highest - 1] = turn
    return _finish(
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
