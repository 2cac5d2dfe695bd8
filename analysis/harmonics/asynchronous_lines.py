"""Non-integer lines in a sweep: balls passing and other motions that do not come back every turn.

A line lies between whole orders, so several turns tell it apart from the part. Up to three are searched
for, each accepted by an F test that pays for the number of places looked at. What a line is caused by is
not known here, nor whether it goes on from turn to turn (``line_prediction``).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.harmonics.design import Line, line_rows, order_rows
from analysis.numerics import f_upper_tail

Floats = NDArray[np.float64]

MOST_LINES = 3
HIGHEST_LINE = 60
"""Cycles a turn up to which lines are looked for, where there are three readings to each."""
CLEAR_P = 0.001
"""A line is clear where noise alone would show one like it, anywhere looked at, less often than this."""
_READINGS_PER_CYCLE = 3
_MARGIN = 0.2
"""How far from a whole order a line is looked for with four turns or fewer."""
_EDGE = 0.15
"""How near to a whole order it may then be found."""
_TURNS_FOR_MARGIN = 4.0
_OVERSAMPLING = 6
_NEWTON_STEPS = 10
_MOST_ROWS = 4096
_EXACT_BELOW = 12
"""Slower lines are all looked at exactly: the orders and the drift that are fitted beside them count."""
_STRONGEST = 40
"""So many of the faster ones are looked at exactly, those that stand out of a transform of what is left."""
_BINS_PER_CYCLE = 4
_MOST_KEPT = 1 << 24
"""Values of slow waves that are kept from one line to the next; more are made anew, so many at once:"""
_MOST_AT_ONCE = 1 << 22


@dataclass
class _Basis:
    """Everything fitted so far, as orthonormal rows (p, n), and what is left of the readings (n,)."""

    rows: Floats
    left: Floats

    def without(self, rows: Floats) -> Floats:
        """Return rows with everything in the basis taken out."""
        once = rows - (rows @ self.rows.T) @ self.rows
        return np.asarray(once - (once @ self.rows.T) @ self.rows)


def candidate_orders(turns: float, highest_line: int = HIGHEST_LINE) -> Floats:
    """Return the cycles a turn to look at: between whole orders, as finely as this many turns can resolve.

    More turns tell a line from a whole order at less distance. None lies above ``highest_line``.
    """
    spacing = 1.0 / (_OVERSAMPLING * turns)
    margin = _MARGIN * _nearer(turns)
    bands = [
        np.arange(n + (margin if n else _EDGE * _nearer(turns)), n + 1 - margin + spacing / 2, spacing)
        for n in range(highest_line)
    ]
    return np.concatenate(bands)


def _nearer(turns: float) -> float:
    return min(1.0, _TURNS_FOR_MARGIN / turns)


def find_lines(
    angle_rad: Floats,
    reading_mm: Floats,
    t_s: Floats,
    *,
    highest_order: int,
    turns: float,
    added: Sequence[int] = (),
    beside: Floats | None = None,
    p_value: float = CLEAR_P,
) -> tuple[Line, ...]:
    """Return the non-integer lines that stand out of the noise, largest first, at most three.

    Parameters: unwrapped angles (rad), readings (mm), times (s), each shape (n,), over ``turns`` turns. The
    orders 1..H and ``added``, a constant, a drift and the rows ``beside`` (k, n) are taken out first.
    Below two turns there are none: a line cannot be told from the part. Nor are there below three readings
    a turn, as where a count jumped by turns that nobody made: what is looked at grows with the readings,
    never with the turns alone.
    """
    per_turn = len(angle_rad) / turns if turns else 0.0
    if turns < 1.9 or per_turn < _READINGS_PER_CYCLE:
        return ()
    angle, reading, time, *more = _thinned(angle_rad, reading_mm, t_s, *(() if beside is None else beside))
    orders = candidate_orders(turns, min(HIGHEST_LINE, int(per_turn / _READINGS_PER_CYCLE)))
    slow = orders[orders < _EXACT_BELOW]
    fast = orders[len(slow) :]
    base = np.vstack([order_rows(angle, highest_order, added), time - time.mean(), *more])
    if len(angle) <= len(base) + 6:
        return ()
    basis = _orthonormal(base, reading)
    kept = _waves(slow, angle) if len(slow) * len(angle) <= _MOST_KEPT else None
    centre = float(angle.mean())
    found: list[Line] = []
    for _ in range(MOST_LINES):
        rss = float(basis.left @ basis.left)
        dof = len(angle) - len(basis.rows) - 3
        if rss <= 0.0 or dof < 3:
            break
        near = _standing_out(basis.left, angle, fast)
        looked_at = np.append(slow, near)
        if kept is not None:
            waves = zip(kept, _waves(near, angle), strict=True)
            products = _products(basis, *(np.concatenate(both) for both in waves))
        else:
            at_once = max(1, _MOST_AT_ONCE // len(angle))
            parts = (looked_at[start : start + at_once] for start in range(0, len(looked_at), at_once))
            products = np.hstack([_products(basis, *_waves(part, angle)) for part in parts])
        line, gained = _refined(basis, angle, centre, looked_at[_strongest(products)], turns)
        if gained <= 0.0:
            break
        f = (gained / 3) / ((rss - gained) / dof) if gained < rss else math.inf
        if f_upper_tail(f, 3, dof) * len(orders) > p_value:
            break
        found.append(line)
        basis = _orthonormal(np.vstack([base, *(line_rows(angle, each, centre) for each in found)]), reading)
    if len(found) > 1:
        found = _polished(base, reading, angle, centre, found, turns)
    return tuple(sorted(found, key=lambda each: -each.amplitude_mm))


def _thinned(*columns: Floats) -> list[Floats]:
    """Return means of neighbouring readings where there are more than a search needs."""
    n = len(columns[0])
    at_once = math.ceil(n / _MOST_ROWS)
    if at_once == 1:
        return list(columns)
    whole = n // at_once * at_once
    return [column[:whole].reshape(-1, at_once).mean(axis=1) for column in columns]


def _orthonormal(rows: Floats, reading: Floats) -> _Basis:
    q, r = np.linalg.qr((rows / np.linalg.norm(rows, axis=1)[:, None]).T)
    kept = np.abs(np.diag(r)) > 1e-6
    q = q[:, kept]
    return _Basis(np.ascontiguousarray(q.T), reading - q @ (q.T @ reading))


def _waves(orders: Floats, angle: Floats) -> tuple[Floats, Floats]:
    """Return cosine and sine of each order at these angles, shape (orders, n) each."""
    waves = np.exp(1j * np.multiply.outer(orders, angle))
    return waves.real.copy(), waves.imag.copy()


def _standing_out(left: Floats, angle: Floats, orders: Floats) -> Floats:
    """Return those of the orders that stand highest in a transform of what is left, summed on even bins."""
    if len(orders) <= _STRONGEST:
        return orders
    step = 1.0 / (_BINS_PER_CYCLE * float(orders[-1]))
    turned = (angle - angle.min()) / (2 * math.pi)
    bins = np.bincount((turned / step).astype(np.int64), left)
    size = 1 << (2 * len(bins) - 1).bit_length()
    height = np.abs(np.fft.rfft(bins, size))
    at = np.rint(orders * step * size).astype(np.int64)
    return np.asarray(np.sort(orders[np.argsort(height[at])[-_STRONGEST:]]))


def _products(basis: _Basis, cos_rows: Floats, sin_rows: Floats) -> Floats:
    """Return, shape (5, candidates), cosine and sine of each with themselves, each other and what is left."""
    in_cos, in_sin = cos_rows @ basis.rows.T, sin_rows @ basis.rows.T
    cc = np.sum(cos_rows**2, axis=1) - np.sum(in_cos**2, axis=1)
    ss = np.sum(sin_rows**2, axis=1) - np.sum(in_sin**2, axis=1)
    cs = np.sum(cos_rows * sin_rows, axis=1) - np.sum(in_cos * in_sin, axis=1)
    return np.stack([cc, ss, cs, cos_rows @ basis.left, sin_rows @ basis.left])


def _strongest(products: Floats) -> int:
    """Return the candidate whose cosine and sine take most out of what is left."""
    cc, ss, cs, c, s = products
    determinant = cc * ss - cs**2
    clear = determinant > 1e-3 * (cc.max() * ss.max())
    gained = np.where(clear, (ss * c**2 - 2 * cs * c * s + cc * s**2) / np.where(clear, determinant, 1.0), 0)
    return int(np.argmax(gained))


def _refined(basis: _Basis, angle: Floats, centre: float, order: float, turns: float) -> tuple[Line, float]:
    """Return the best line near ``order``, between the same whole orders, and the squares it takes out."""
    furthest, edge = 1.0 / (2 * turns), _EDGE * _nearer(turns)
    lowest = max(order - furthest, math.floor(order) + edge)
    highest = min(order + furthest, math.floor(order) + 1 - edge)
    line = _amplitudes(basis, angle, order)
    best = line
    for _ in range(_NEWTON_STEPS):
        rows = basis.without(line_rows(angle, line[0], centre))
        step = np.linalg.lstsq(rows.T, basis.left, rcond=1e-9)[0]
        move = float(step[2]) / (line[0].amplitude_mm or 1.0)
        moved = min(max(line[0].order + move, lowest), highest)
        line = _amplitudes(basis, angle, moved)
        if line[1] <= best[1]:
            break
        best = line
    return best


def _amplitudes(basis: _Basis, angle: Floats, order: float) -> tuple[Line, float]:
    rows = basis.without(np.stack([np.cos(order * angle), np.sin(order * angle)]))
    size, _, _, _ = np.linalg.lstsq(rows.T, basis.left, rcond=1e-9)
    return Line(float(order), float(size[0]), float(size[1])), float(size @ (rows @ basis.left))


def _polished(
    base: Floats, reading: Floats, angle: Floats, centre: float, lines: list[Line], turns: float
) -> list[Line]:
    """Return the lines fitted together: each was found with the later ones still in the readings."""
    for _ in range(3):
        for i in range(len(lines)):
            others = [line_rows(angle, each, centre)[:2] for j, each in enumerate(lines) if j != i]
            basis = _orthonormal(np.vstack([base, *others]), reading)
            lines[i], _ = _refined(basis, angle, centre, lines[i].order, turns)
    return lines
