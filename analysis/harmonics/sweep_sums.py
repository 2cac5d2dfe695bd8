"""Turns put together from their sums: the fit over all, each by itself, and what each has left of it."""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analysis.errors import NotDecidable
from analysis.harmonics.harmonic_fit import HarmonicFit
from analysis.harmonics.solve import as_fit, solve_normal, too_few
from analysis.harmonics.turn_residuals import TurnResiduals
from analysis.harmonics.turn_sums import ReferenceCurve, TurnSums

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

_TURNS_AT_ONCE = 64
_BY_TURN = (
    "number",
    "places",
    "heights_mm",
    "times_s",
    "square_mm2",
    "mean_s",
    "square_s2",
    "product_mm_s",
)
_SURELY_WELL = 0.9
"""Where the off-diagonal products of a row add to less than this of its length, the condition is below 5
(circles of Gershgorin)."""


@dataclass(frozen=True)
class SweepSums:
    """The sums of several turns about one reference curve; arrays have the turns along their first axis."""

    reference: ReferenceCurve
    highest_order: int
    """Up to this order all can be fitted."""
    number: NDArray[np.int64]
    places: Complexes
    heights_mm: Complexes
    times_s: Complexes
    square_mm2: Floats
    mean_s: Floats
    square_s2: Floats
    product_mm_s: Floats
    occupied: Callable[[], Floats]
    """Returns the angles at which readings stand, for a refusal."""

    @staticmethod
    def of(
        turns: Sequence[TurnSums],
        reference: ReferenceCurve,
        highest_order: int,
        occupied: Callable[[], Floats],
    ) -> "SweepSums":
        """Put turns together that were reduced about one reference, for orders up to the highest."""
        top = min(len(turn.heights_mm) for turn in turns)
        far = min(len(turn.places) for turn in turns)
        return SweepSums(
            reference,
            highest_order,
            np.array([turn.number for turn in turns]),
            np.array([turn.places[:far] for turn in turns]),
            np.array([turn.heights_mm[:top] for turn in turns]),
            np.array([turn.times_s[:top] for turn in turns]),
            np.array([turn.square_mm2 for turn in turns]),
            np.array([turn.mean_s for turn in turns]),
            np.array([turn.square_s2 for turn in turns]),
            np.array([turn.product_mm_s for turn in turns]),
            occupied,
        )

    def __len__(self) -> int:
        return len(self.number)

    @property
    def highest_added(self) -> int:
        """Up to this order single ones above can be fitted as well."""
        return int(min(self.heights_mm.shape[1] - 1, (self.places.shape[1] - 1) // 2))

    def fit(self, highest_order: int, *, drift: bool = False, added: Sequence[int] = ()) -> HarmonicFit:
        """Return the fit of orders 1..H over all turns, with drift and single orders above.

        The equations are those of the readings themselves (``fit_harmonics``); the fit keeps no residuals.
        Raises NotDecidable where the readings do not carry these orders.
        """
        n, level = int(self.number.sum()), self.reference.coefficients_mm
        if n < 1 + 2 * (highest_order + len(added)):
            raise NotDecidable(too_few(n, highest_order))
        gram, right, square, middle, span = self.equations([*range(highest_order + 1), *added], drift=drift)
        kept = 1 + 2 * highest_order
        beta, inverse, condition = solve_normal(gram, right, self.occupied, highest_order)
        dof = n - len(gram)
        variance = max(0.0, square - float(right @ beta)) / dof if dof > 0 else math.nan
        slope = float(beta[-1]) / span if drift else None
        of_orders = 1 + 2 * (highest_order + len(added))
        own = beta[:of_orders].copy()
        shared = min(kept, len(level))
        own[:shared] += level[:shared]
        return as_fit(
            own,
            level=0.0 if slope is None else -slope * middle,
            slope=slope,
            covariance=variance * inverse[1:of_orders, 1:of_orders],
            noise=math.sqrt(variance),
            dof=dof,
            lines=(),
            residual=np.empty(0),
            condition=condition,
            added=tuple(added),
        )

    def equations(
        self, orders: Sequence[int], *, drift: bool = False
    ) -> tuple[Floats, Floats, float, float, float]:
        """Return the normal equations of all turns together in rows of these orders, the first of them 0.

        Gram matrix, right side (mm) and sum of the squares (mm2) of the readings less the reference in those
        of the orders that it has; with drift the last row is (t - middle) / span, which come last (s).
        """
        places, heights = self.places.sum(axis=0), self.heights_mm.sum(axis=0)
        gram, right = gram_of(places, orders), rows_of(heights, orders)
        square, middle, span = math.fsum(self.square_mm2), 0.0, 1.0
        whole = [*range(self.reference.highest_order + 1)]
        # Orders of the reference that are not among them belong to the readings.
        missing = np.repeat([n not in orders for n in whole], 2)[1:]
        above = np.where(missing, self.reference.coefficients_mm, 0.0)
        if above.any():
            square += float(above @ (2.0 * rows_of(heights, whole) + gram_of(places, whole) @ above))
            right = right + gram_of(places, orders, whole) @ above
        if drift:
            middle = math.fsum(self.number * self.mean_s) / int(self.number.sum())
            span = float(np.ptp(self.mean_s)) or 1.0
            off = self.mean_s - middle
            late = self._late(off).sum(axis=0)
            product = math.fsum(self.product_mm_s + off * self.heights_mm[:, 0].real)
            product += float(rows_of(late, whole) @ above)
            spread = math.fsum(self.square_s2 + self.number * off**2) / span**2
            beside = rows_of(late, orders)[:, None] / span
            gram = np.block([[gram, beside], [beside.T, np.array([[spread]])]])
            right = np.append(right, product / span)
        return gram, right, square, middle, span

    def fit_as_far_as_it_goes(self, highest_order: int, *, drift: bool = False) -> HarmonicFit:
        """Return the fit of as many orders as the readings carry; raises NotDecidable where not even one."""
        for highest in range(highest_order, 1, -1):
            try:
                return self.fit(highest, drift=drift)
            except NotDecidable:
                continue
        return self.fit(1, drift=drift)

    def of_turns(self, positions: NDArray[np.intp]) -> "SweepSums":
        """Return the sums of some of the turns."""
        return replace(self, **{name: getattr(self, name)[positions] for name in _BY_TURN})

    def fits_of_turns(self, highest_order: int) -> Floats:
        """Return 1, a1, b1, ... of each turn by itself, without drift, mm, shape (turns, 1 + 2 H).

        NaN where a turn does not carry these orders.
        """
        own = np.full((len(self), 1 + 2 * highest_order), math.nan)
        orders = [*range(highest_order + 1)]
        whole = [*range(self.reference.highest_order + 1)]
        level = self.reference.coefficients_mm
        shared = min(own.shape[1], len(level))
        above = np.where(np.arange(len(level)) < own.shape[1], 0.0, level)
        for start in range(0, len(self), _TURNS_AT_ONCE):
            some = slice(start, start + _TURNS_AT_ONCE)
            gram, right = gram_of(self.places[some], orders), rows_of(self.heights_mm[some], orders)
            if above.any():
                right = right + gram_of(self.places[some], orders, whole) @ above
            own[some] = self._solved(gram, right, highest_order)
        enough = self.number >= own.shape[1]
        own[~enough] = math.nan
        own[:, :shared] += level[:shared]
        return own

    def _solved(self, gram: Floats, right: Floats, highest_order: int) -> Floats:
        length = np.sqrt(np.maximum(np.diagonal(gram, axis1=1, axis2=2), 1e-300))
        scaled = gram / (length[:, :, None] * length[:, None, :])
        well = np.abs(scaled).sum(axis=2).max(axis=1) - 1.0 < _SURELY_WELL
        beta = np.full(right.shape, math.nan)
        if well.any():
            solved = np.linalg.solve(scaled[well], (right[well] / length[well])[:, :, None])[:, :, 0]
            beta[well] = solved / length[well]
        for k in np.flatnonzero(~well):
            try:
                beta[k] = solve_normal(gram[k], right[k], self.occupied, highest_order)[0]
            except NotDecidable:
                continue
        return beta

    def left_of(self, fit: HarmonicFit) -> Iterator[TurnResiduals]:
        """Yield what each turn has left of a fit made from these sums, in rows of its own orders, some turns
        at once."""
        orders = [*range(max(self.highest_order, self.reference.highest_order) + 1), *fit.added_orders]
        taken = self._beside_reference(fit, orders)
        slope = fit.drift_mm_per_s or 0.0
        size = 1 + 2 * self.highest_order
        for start in range(0, len(self), _TURNS_AT_ONCE):
            some = slice(start, start + _TURNS_AT_ONCE)
            whole = gram_of(self.places[some], orders)
            heights = rows_of(self.heights_mm[some], orders)
            late = rows_of(self._late(self.mean_s)[some], orders)
            rest = heights - whole @ taken - slope * late
            of_time = self.product_mm_s[some] + self.mean_s[some] * self.heights_mm[some, 0].real
            time2 = self.square_s2[some] + self.number[some] * self.mean_s[some] ** 2
            # (y - taken - slope t)^2, multiplied out; what is taken is as small as what is left.
            square = (
                self.square_mm2[some]
                - (heights + rest) @ taken
                - slope * (2.0 * of_time - slope * time2)
                + slope * (late @ taken)
            )
            yield TurnResiduals(
                self.number[some], whole[:, :size, :size], rest[:, :size], np.maximum(square, 0.0)
            )

    def _late(self, off_s: ArrayLike) -> Complexes:
        """Return the sums of t e_m with each turn's mean time so far from zero, shape (turns, orders)."""
        off = np.asarray(off_s, np.float64)[:, None]
        return np.asarray(self.times_s + off * self.places[:, : self.times_s.shape[1]])

    def _beside_reference(self, fit: HarmonicFit, orders: Sequence[int]) -> Floats:
        """Return the fit less the reference, in rows of these orders."""
        taken = np.zeros(2 * len(orders) - 1)
        taken[0] = fit.constant_mm
        for at, n in enumerate(orders[1:]):
            if n <= fit.highest_order:
                taken[1 + 2 * at], taken[2 + 2 * at] = fit.cos_mm[n - 1], fit.sin_mm[n - 1]
        level = self.reference.coefficients_mm
        taken[: len(level)] -= level
        return taken


def rows_of(sums: Complexes, orders: Sequence[int]) -> Floats:
    """Return sums of e_m as sums over the rows 1, cos, sin, ... of these orders, the first of them 0.

    ``sums`` (..., orders) gives (..., 2 orders - 1).
    """
    some = sums[..., np.asarray(orders[1:], np.intp)]
    pairs = np.stack([some.real, some.imag], axis=-1).reshape(*some.shape[:-1], -1)
    return np.concatenate([sums[..., :1].real, pairs], axis=-1)


def gram_of(places: Complexes, orders: Sequence[int], others: Sequence[int] | None = None) -> Floats:
    """Return the products of the rows 1, cos, sin, ... of two sets of orders, the first of each 0.

    ``places`` (..., m) gives (..., 2 orders - 1, 2 others - 1).
    """
    i = np.asarray(orders, np.intp)[:, None]
    j = np.asarray(orders if others is None else others, np.intp)[None, :]
    plus, apart = places[..., i + j], places[..., np.abs(i - j)]
    turned = np.sign(i - j) * apart.imag
    gram = np.empty((*places.shape[:-1], i.size, 2, j.size, 2))
    gram[..., 0, :, 0] = apart.real + plus.real
    gram[..., 1, :, 1] = apart.real - plus.real
    gram[..., 0, :, 1] = plus.imag - turned
    gram[..., 1, :, 0] = plus.imag + turned
    flat = gram.reshape(*places.shape[:-1], 2 * i.size, 2 * j.size) / 2.0
    # The sine of order 0 is no row.
    return np.delete(np.delete(flat, 1, axis=-2), 1, axis=-1)
