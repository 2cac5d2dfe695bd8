"""Recordings of one part in time: the quantity of each with its interval, and its change by month."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from analysis.errors import BadInput
from analysis.numerics import least_squares, t_quantile
from analysis.store import StoredNumber, StoredSweep, stored_number

DAYS_A_MONTH = 365.2425 / 12.0
FEWEST = 3
"""Of recordings, for a slope: a line through two has nothing left to tell how well it is known."""


@dataclass(frozen=True, slots=True)
class TrendPoint:
    """One recording."""

    sweep: StoredSweep
    number: StoredNumber


@dataclass(frozen=True, slots=True)
class Trend:
    """A quantity in time, oldest first."""

    quantity: str
    points: tuple[TrendPoint, ...]
    slope_mm_per_month: float | None
    """Of the straight line of least squares; None with fewer than three recordings or all at one time."""
    slope_95: tuple[float, float] | None
    dof: int
    without: int
    """Recordings that hold no such quantity."""


def trend(sweeps: Sequence[StoredSweep], quantity: str) -> Trend:
    """Return how a quantity of one part at one stage changes. Raises BadInput where they are of several."""
    _one_of("stages", [one.stage for one in sweeps], "--stage")
    _one_of("serials", [one.serial for one in sweeps], "--serial")
    found = ((one, stored_number(one, quantity)) for one in sweeps)
    points = tuple(TrendPoint(one, number) for one, number in found if number is not None)
    slope, ends, dof = _slope([(one.sweep.started, one.number.value_mm) for one in points])
    return Trend(quantity, points, slope, ends, dof, len(sweeps) - len(points))


def _slope(points: Sequence[tuple[str, float]]) -> tuple[float | None, tuple[float, float] | None, int]:
    if len(points) < FEWEST:
        return None, None, 0
    times = [datetime.fromisoformat(started) for started, _ in points]
    months = np.array([(at - times[0]).total_seconds() / 86_400.0 / DAYS_A_MONTH for at in times])
    if not np.ptp(months):
        return None, None, 0
    middle = months - months.mean()
    found = least_squares(np.column_stack([np.ones_like(middle), middle]), [mm for _, mm in points])
    slope = float(found.estimates[1])
    half = t_quantile(0.975, found.dof) * float(found.standard_errors[1])
    return slope, (slope - half, slope + half), found.dof


def _one_of(what: str, values: Sequence[str], option: str) -> None:
    found = sorted(set(values))
    if len(found) > 1:
        listed = ", ".join(repr(value) for value in found)
        raise BadInput(f"{len(found)} {what} in one trend ({listed}): name one with {option}")
