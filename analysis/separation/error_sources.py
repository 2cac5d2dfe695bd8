"""Whose error it is, out of all sweeps of one job: part, seat, spindle and dirt, each as vectors.

In its own bearings a sweep reads the part, on the lathe part + seat + spindle (+ dirt of this mounting). What
the sweeps at hand do not tell is named instead of guessed. Knows nothing of recordings or screens.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from analysis.capture import Floats
from analysis.numerics import OrderVectors, combined, t_quantile
from analysis.separation.by_position import Separation
from analysis.separation.combined_curve import first_of
from analysis.uncertainty import FirstOrderEstimate

SAME_INDEX_DEG = 2.0
"""Mountings further apart on the arbor differ by the spindle's share too, not by dirt alone."""


@dataclass(frozen=True)
class ArborSweep:
    """One sweep on the lathe."""

    vectors: OrderVectors
    """Orders in arbor angle."""
    index_deg: float
    """Where the part's mark sat on the arbor."""


class ErrorFrame(StrEnum):
    """Whose angle an error's orders are told in."""

    PART = "part"
    ARBOR = "arbor"


@dataclass(frozen=True)
class ErrorSource:
    """The share of one error source."""

    name: str
    """``part``, ``part and seat``, ``seat``, ``spindle`` or ``dirt``."""
    frame: ErrorFrame
    vectors: OrderVectors
    first: FirstOrderEstimate
    missing: tuple[int, ...] = ()
    """Orders of which these sweeps tell nothing; zero in ``vectors``."""
    mounting: int | None = None
    """Of dirt: which mounting, from 1."""

    def half_width_mm(self, angle_rad: Floats) -> Floats:
        """Return the half-width of the 95 % interval of the curve at each angle, mm."""
        return self.vectors.u_curve_mm(angle_rad) * t_quantile(0.975, self.vectors.dof)


@dataclass(frozen=True)
class ErrorSources:
    """All that can be told."""

    shares: tuple[ErrorSource, ...]
    separation: Separation | None
    """None before part and spindle were told apart."""

    def share(self, name: str) -> ErrorSource | None:
        """Return the first share of this name."""
        return next((one for one in self.shares if one.name == name), None)


def find_error_sources(
    bearings: OrderVectors | None, mountings: Sequence[ArborSweep], separation: Separation | None = None
) -> ErrorSources:
    """Tell the error sources apart.

    Parameters: the sweep in the part's own bearings in part angle, or None; every mounting before the cut in
    its order; part and spindle told apart from the last of them and others, or None. All seen from the same
    end.
    """
    shares: list[ErrorSource] = []
    if bearings is not None:
        shares.append(ErrorSource("part", ErrorFrame.PART, bearings, first_of(bearings)))
    if separation is not None:
        shares += _separated(separation, bearings)
    return ErrorSources((*shares, *_dirt(mountings)), separation)


def _separated(found: Separation, bearings: OrderVectors | None) -> list[ErrorSource]:
    missing = found.not_separable
    shares = []
    if bearings is None:
        shares.append(
            ErrorSource("part and seat", ErrorFrame.PART, found.part, first_of(found.part), missing)
        )
    else:
        highest = min(found.part.highest_order, bearings.highest_order)
        separable = [n for n in range(1, highest + 1) if n not in missing]
        seat = (found.part - bearings).only(separable)
        shares.append(ErrorSource("seat", ErrorFrame.PART, seat, first_of(seat), missing))
    shares.append(ErrorSource("spindle", ErrorFrame.ARBOR, found.spindle, first_of(found.spindle), missing))
    return shares


def _dirt(mountings: Sequence[ArborSweep]) -> list[ErrorSource]:
    """Return by how much each earlier mounting differed from the last: dirt, a burr, a careless re-seat."""
    shares: list[ErrorSource] = []
    for number, one in enumerate(mountings[:-1], 1):
        last = mountings[-1]
        apart = abs((one.index_deg - last.index_deg + 180.0) % 360.0 - 180.0)
        if apart > SAME_INDEX_DEG:
            continue
        moved = combined([(one.vectors, 1.0), (last.vectors, -1.0)]).turned(-math.radians(last.index_deg))
        shares.append(ErrorSource("dirt", ErrorFrame.PART, moved, first_of(moved), mounting=number))
    return shares
