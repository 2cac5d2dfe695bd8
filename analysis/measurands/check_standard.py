"""A check standard held against limits that were fixed beforehand, as a vector: size and side at once.

A high side that has turned moves the vector where the runout stays the same. The rule is one, the square of
its distance from the mean of the baseline over its scatter, against F: more at once would raise more false
alarms.
Sources: R. A. Johnson and D. W. Wichern, Applied Multivariate Statistical Analysis, on a future observation
with equal variances and no correlation (from memory); ISO/IEC 17025:2017, 7.7.1 asks for such a record.
"""

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from analysis.errors import NotDecidable
from analysis.numerics import beta_shares, f_upper_tail

ALPHA = 0.01
"""How often a check standard that is as it was would be called out."""
FEWEST_DAYS = 10
POWER = 0.9
_ENOUGH = 1e-12
_STEPS = 100


@dataclass(frozen=True, slots=True)
class CheckBaseline:
    """What a check standard read on many days, first order, mm."""

    mean_mm: complex
    s_mm: float
    """Standard deviation of one component of one day, pooled over both."""
    n: int
    alpha: float = ALPHA

    @property
    def dof(self) -> int:
        """Degrees of freedom of the scatter: both components, less their means."""
        return 2 * (self.n - 1)

    @property
    def limit(self) -> float:
        """Squared distance over which a check is out: F(1 - alpha; 2, dof), closed for two components."""
        return self.dof / 2.0 * (math.pow(self.alpha, -2.0 / self.dof) - 1.0)

    @property
    def limit_mm(self) -> float:
        """Distance from the mean over which a check is out, mm: to every side the same."""
        return math.sqrt(2.0 * self.limit * self._one_more_mm2)

    def distance(self, z_mm: complex) -> float:
        """Return the squared distance of a later check from the mean, in units of its scatter."""
        return abs(z_mm - self.mean_mm) ** 2 / (2.0 * self._one_more_mm2)

    @property
    def shift_found_mm(self) -> float:
        """Shift of the vector that one check shows in nine of ten, mm."""
        low, high = 0.0, 1.0
        while self._found(high) < POWER:
            high *= 2.0
        for _ in range(_STEPS):
            middle = (low + high) / 2.0
            low, high = (middle, high) if self._found(middle) < POWER else (low, middle)
        return math.sqrt(high * self._one_more_mm2)

    @property
    def turn_found_deg(self) -> float | None:
        """Turn of the high side alone that is found as often; None where even half a turn is less."""
        half = self.shift_found_mm / (2.0 * abs(self.mean_mm)) if self.mean_mm else math.inf
        return math.degrees(2.0 * math.asin(half)) if half <= 1.0 else None

    @property
    def _one_more_mm2(self) -> float:
        return self.s_mm**2 * (1.0 + 1.0 / self.n)

    def _found(self, noncentrality: float) -> float:
        """Return P(F' > limit) of the noncentral F with 2 and dof degrees: Poisson-weighted betas."""
        all_of_it = 2.0 * self.limit + self.dof
        x, y = 2.0 * self.limit / all_of_it, self.dof / all_of_it
        weight, below, left, j = math.exp(-noncentrality / 2.0), 0.0, 1.0, 0
        while left > _ENOUGH and j < 10_000:
            below += weight * beta_shares(x, y, 1.0 + j, self.dof / 2.0)[0]
            left -= weight
            j += 1
            weight *= noncentrality / 2.0 / j
        return 1.0 - below


REPEATS_ALPHA = 0.05
"""How often repeats that are as they were would be called wide; NIST/SEMATECH e-Handbook, 2.6.2, takes it."""


@dataclass(frozen=True, slots=True)
class CheckRepeats:
    """How repeats within one check of the baseline scatter, pooled: turns of a sweep, first order, mm."""

    s_mm: float
    """Standard deviation of one component of one turn."""
    dof: float
    alpha: float = REPEATS_ALPHA

    def limit_mm(self, dof: float) -> float:
        """Return over what s of a later check with ``dof`` is wide: s sqrt(F(1 - alpha; dof, own dof))."""
        low, high = 0.0, 1.0
        while f_upper_tail(high, dof, self.dof) > self.alpha:
            high *= 2.0
        for _ in range(_STEPS):
            middle = (low + high) / 2.0
            if f_upper_tail(middle, dof, self.dof) > self.alpha:
                low = middle
            else:
                high = middle
        return self.s_mm * math.sqrt(high)


def scatter_of_repeats(z_mm: Sequence[complex]) -> tuple[float, int] | None:
    """Return s of one component of repeats, mm, and its degrees of freedom; None of fewer than two."""
    if len(z_mm) < 2:
        return None
    mean, dof = sum(z_mm) / len(z_mm), 2 * (len(z_mm) - 1)
    return math.sqrt(math.fsum(abs(z - mean) ** 2 for z in z_mm) / dof), dof


def pooled_repeats(scatters: Sequence[tuple[float, float]]) -> CheckRepeats | None:
    """Return s and degrees of freedom of several checks pooled; None where none of them has any scatter.

    The root of the mean of squares by their degrees of freedom (NIST/SEMATECH e-Handbook, 2.6.2).
    """
    dof = math.fsum(each for _, each in scatters)
    squares = math.fsum(each * s**2 for s, each in scatters)
    return CheckRepeats(math.sqrt(squares / dof), dof) if squares > 0.0 else None


def check_baseline(z_mm: Sequence[complex], days: Sequence[date]) -> CheckBaseline:
    """Return the baseline of checks on these days, of each day the first.

    Raises NotDecidable with fewer than ten days, or where all read the same to the last digit.
    """
    first: dict[date, complex] = {}
    for z, day in zip(z_mm, days, strict=True):
        first.setdefault(day, z)
    n = len(first)
    if n < FEWEST_DAYS:
        raise NotDecidable(
            f"{len(z_mm)} checks on {n} days: limits want {FEWEST_DAYS} days at least, since checks of one "
            "day scatter less than days do; measure it on more days"
        )
    mean = sum(first.values()) / n
    s = math.sqrt(sum(abs(z - mean) ** 2 for z in first.values()) / (2.0 * (n - 1)))
    if not cmath.isfinite(mean) or s <= 0.0:
        raise NotDecidable(
            f"{n} checks that read the same to the last digit: they have no scatter to hold a later one "
            "against; record each anew"
        )
    return CheckBaseline(mean, s, n)
