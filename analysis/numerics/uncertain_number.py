"""One uncertain number: a value, the parts that make it uncertain, and its limits (JCGM 100, JCGM 101).

Numbers that belong together, as the orders of a curve, are ``OrderVectors``: their correlation is kept there.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import reduce

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analysis.numerics.quantiles import t_quantile

Floats = NDArray[np.float64]

LEVEL = 0.95
_NORMAL = (1.959964, 1.644854)
"""Normal quantiles at .975 and .95 by which a part widens given limits; six decimals, so that digits stay."""


@dataclass(frozen=True, slots=True)
class Distribution:
    """How what is given of a source is spread, and by what it is divided to be a standard uncertainty."""

    name: str
    divisor: float


NORMAL = Distribution("normal", 1.0)
"""Given as a standard uncertainty: found from scatter, or stated as one (JCGM 100:2008, 4.2, 4.3.3)."""
EXPANDED = Distribution("normal", 2.0)
"""Given as U at k = 2 (the same, 4.3.3)."""
NORMAL_95 = Distribution("normal", 1.96)
"""Given as half of a 95 % interval (the same, 4.3.4)."""
RECTANGULAR = Distribution("rectangular", math.sqrt(3.0))
"""Given as half the width between limits (the same, 4.3.7)."""
TRIANGULAR = Distribution("triangular", math.sqrt(6.0))
"""Given as half the width that a difference of two equal rectangles has (the same, 4.3.9)."""
ARCSINE = Distribution("arc sine", math.sqrt(2.0))
"""Given as the amplitude of a sine of unknown phase (JCGM 101:2008, 6.4.6)."""


@dataclass(frozen=True, slots=True)
class Component:
    """One part of an uncertainty: a line of its budget."""

    u: float
    """Standard uncertainty (k = 1), in the unit of the number."""
    dof: float = math.inf
    """Degrees of freedom."""
    shift: float = 0.0
    """By how much the truth lies above the value on this part's account, which is not taken off it."""
    one_sided: bool = False
    """True where it moves and widens only the limit on the side of ``shift``: a play only hides height."""
    distribution: Distribution = NORMAL
    sensitivity: float = 1.0
    """By how much the number changes for one of what is given."""

    @property
    def given(self) -> float:
        """What is known of the source, before divisor and sensitivity; 0 where it moves nothing."""
        return self.u * self.distribution.divisor / abs(self.sensitivity) if self.sensitivity else 0.0

    def times(self, spread: float, shift: float) -> "Component":
        """Return it with its spread and what stands on one side each times a factor."""
        return replace(
            self, u=spread * self.u, shift=shift * self.shift, sensitivity=spread * self.sensitivity
        )

    @property
    def upward(self) -> bool:
        """True where it widens the upper limit."""
        return not self.one_sided or self.shift >= 0.0

    @property
    def downward(self) -> bool:
        """True where it widens the lower limit."""
        return not self.one_sided or self.shift < 0.0


@dataclass(frozen=True, slots=True)
class Limits:
    """Limits at 95 % that were found otherwise than by Student's t, as by counting draws."""

    two_sided: tuple[float, float]
    one_sided: tuple[float, float] | None = None
    """The truth lies above the first, and below the second, in 95 of 100 cases each; None: the two-sided."""
    u: float | None = None
    """Standard uncertainty that goes with them; None where the parts have it."""

    def widened(
        self,
        value: float,
        two_sided: float,
        one_sided: float,
        *,
        least: float = -math.inf,
        furthest: float = math.inf,
        sides: tuple[bool, bool] = (True, True),
    ) -> "Limits":
        """Return limits whose distances from the value have these half widths joined in quadrature.

        ``least`` and ``furthest`` bound them as in ``UncertainNumber``; ``sides``: the lower, the upper one.
        """

        def both(ends: tuple[float, float], half: float) -> tuple[float, float]:
            below, above = (half if side else 0.0 for side in sides)
            low = value - min(furthest, math.hypot(value - ends[0], below))
            return max(least, low), value + min(furthest, math.hypot(ends[1] - value, above))

        single = None if self.one_sided is None else both(self.one_sided, one_sided)
        return Limits(both(self.two_sided, two_sided), single, self.u)


@dataclass(frozen=True, slots=True)
class UncertainNumber:
    """A value in one unit, and what makes it uncertain. Without ``limits`` Student's t gives its limits."""

    value: float
    parts: Mapping[str, Component] = field(default_factory=dict)
    """Its budget: name of each line -> what it adds."""
    unit: str = "mm"
    limits: Limits | None = None
    """Two-sided and one-sided at 95 %, where inversion or counting gave them, without any part's shift."""
    least: float = -math.inf
    """No limit lies below this: a length is not below zero."""
    furthest: float = math.inf
    """No limit lies further from the value than this: an angle is known to half a turn at the worst."""

    def __repr__(self) -> str:
        """Return value and 95 % interval on one line; the budget is in ``parts``."""
        low, high = self.interval()
        return f"UncertainNumber({self.value:.6g} {self.unit}, 95 % {low:.6g} to {high:.6g})"

    @property
    def u(self) -> float:
        """Combined standard uncertainty (JCGM 100:2008, 5.1.2), or what goes with the given limits."""
        if self.limits is not None and self.limits.u is not None:
            return self.limits.u
        return _root(part.u for part in self.parts.values())

    @property
    def dof(self) -> float:
        """Effective degrees of freedom of the parts (Welch and Satterthwaite, JCGM 100:2008, G.4.1)."""
        whole = _root(part.u for part in self.parts.values())
        finite = [part for part in self.parts.values() if part.u > 0.0 and math.isfinite(part.dof)]
        if not finite:
            return math.inf
        fewest = min(part.dof for part in finite)
        return fewest / math.fsum((part.u / whole) ** 4 * (fewest / part.dof) for part in finite)

    def interval(self, level: float = LEVEL) -> tuple[float, float]:
        """Return the two-sided interval; ValueError for another level than 95 % of given limits."""
        if self.limits is None:
            return self._shifted(self._around(t_quantile((1.0 + level) / 2.0, self.dof)))
        _given_at(level)
        return self._shifted(self.limits.two_sided)

    def one_sided(self, level: float = LEVEL) -> tuple[float, float]:
        """Return the limits of which each by itself holds with this level; errors as ``interval``."""
        if self.limits is None:
            return self._shifted(self._around(t_quantile(level, self.dof)))
        _given_at(level)
        return self._shifted(self.limits.one_sided or self.limits.two_sided)

    def expanded(self, level: float = LEVEL) -> tuple[float, float]:
        """Return the expanded uncertainty U, the wider half of the interval, and its factor k = U / u.

        k is infinite where only limits were given, without any u.
        """
        low, high = self.interval(level)
        wide = max(self.value - low, high - self.value)
        return wide, wide / self.u if self.u > 0.0 else math.inf

    def with_part(self, name: str, part: Component) -> "UncertainNumber":
        """Return the number with one part more, under a name of its own; given limits widen in quadrature."""
        if name in self.parts:
            raise ValueError(f"a part named {name!r} is there already: give this one a name of its own")
        limits = self.limits
        if limits is not None:
            finite = math.isfinite(part.dof)
            two, one = (t_quantile(0.975, part.dof), t_quantile(0.95, part.dof)) if finite else _NORMAL
            sides = (part.downward, part.upward)
            limits = limits.widened(
                self.value, two * part.u, one * part.u, least=self.least, furthest=self.furthest, sides=sides
            )
            if limits.u is not None:
                limits = replace(limits, u=math.hypot(limits.u, part.u))
        return replace(self, parts={**self.parts, name: part}, limits=limits)

    def scaled(self, factor: float) -> "UncertainNumber":
        """Return the number times a factor above zero: an eccentricity is half the TIR of order 1."""
        if not factor > 0.0:
            raise ValueError(f"factor {factor:g} is not above zero: it would turn the limits round")
        limits = self.limits
        if limits is not None:
            limits = Limits(
                _times(limits.two_sided, factor),
                None if limits.one_sided is None else _times(limits.one_sided, factor),
                None if limits.u is None else limits.u * factor,
            )
        return replace(
            self,
            value=self.value * factor,
            parts={name: part.times(factor, factor) for name, part in self.parts.items()},
            limits=limits,
            least=self.least * factor,
            furthest=self.furthest * factor,
        )

    def _around(self, k: float) -> tuple[float, float]:
        below = k * _root(part.u for part in self.parts.values() if part.downward)
        above = k * _root(part.u for part in self.parts.values() if part.upward)
        return self.value - min(self.furthest, below), self.value + min(self.furthest, above)

    def _shifted(self, ends: tuple[float, float]) -> tuple[float, float]:
        low = ends[0] + math.fsum(part.shift for part in self.parts.values() if part.downward)
        high = ends[1] + math.fsum(part.shift for part in self.parts.values() if part.upward)
        return max(self.least, self.value - self.furthest, low), min(self.value + self.furthest, high)


def _root(each: Iterable[float]) -> float:
    return reduce(math.hypot, each, 0.0)


def _times(ends: tuple[float, float], factor: float) -> tuple[float, float]:
    return ends[0] * factor, ends[1] * factor


def _given_at(level: float) -> None:
    if level != LEVEL:
        raise ValueError(f"limits were given at {LEVEL:g} and cannot be had at {level:g}")


def propagate(gradient: ArrayLike, covariance: ArrayLike) -> Floats:
    """Carry a covariance through a linear (or linearised) function: G C G'.

    Parameters: ``gradient`` shape (p,) or (m, p); ``covariance`` shape (p, p). Returns a variance of shape ()
    or a covariance (m, m). Source: JCGM 100:2008, 5.2.2 (equation 13).
    """
    g = np.asarray(gradient, dtype=np.float64)
    return np.asarray(g @ np.asarray(covariance, dtype=np.float64) @ g.T)


def coverage_interval(draws: ArrayLike, coverage: float = LEVEL) -> tuple[float, float]:
    """Return the interval that leaves out the same share of draws on either side.

    Parameters: ``draws`` shape (n,); ``coverage`` in (0, 1). Source: JCGM 101:2008, 7.7 (the
    probabilistically symmetric interval).
    """
    tail = (1.0 - coverage) / 2.0
    low, high = np.quantile(np.asarray(draws, dtype=np.float64), [tail, 1.0 - tail])
    return float(low), float(high)
