"""Named numbers of a sweep that are not read off the fit alone: closure, what a dial shows, clock places."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.capture import Floats
from analysis.harmonics import HarmonicFit
from analysis.numerics import Component, Limits, UncertainNumber

CLOCK_PLACES = (4, 8, 12)
_REACH_DEG = 10.0
_DRAWS = 200
_MOST_DRAWN = 600_000
_DRAWN_AT_ONCE = 200_000
"""So many readings at most are drawn for what a dial shows: of long sweeps the first turns speak for all."""
_DIAL_LEVELS = (0.025, 0.05, 0.5, 0.95, 0.975)


@dataclass(frozen=True, slots=True)
class Closure:
    """How far one turn comes back to its start."""

    mm: float
    """Reading back at the mark less the first one."""
    per_noise: float
    """Standard deviation of that for readings of noise 1."""


def closure(angle_rad: Floats, reading_mm: Floats, form_mm: Floats | float = 0.0) -> Closure:
    """Return the reading back at the mark less the first one, from a straight fit on each side.

    Parameters: unwrapped angles and readings of one turn in the order taken, shape (n,), and the part's form
    there: what comes back with the turn bends the straight fits, so it is taken off first. Each fit takes the
    readings within ten degrees of its end, and five of them at the least.
    """
    travel = np.abs(angle_rad - angle_rad[0])
    order = np.argsort(travel, kind="stable")
    travel, reading = travel[order], (reading_mm - form_mm)[order]
    reach = math.radians(_REACH_DEG)
    few = min(5, len(travel))
    first = travel <= max(travel[0] + reach, travel[few - 1])
    last = travel >= min(travel[-1] - reach, travel[-few])
    # Where the turn closes the circle exactly: the ends lie a little inside the two passings of the mark.
    lead = (2 * math.pi - (travel[-1] - travel[0])) / 2 if travel[-1] < 2 * math.pi else 0.0
    start, start_variance = _straight_at(travel[first], reading[first], float(travel[0]) - lead)
    end, end_variance = _straight_at(travel[last], reading[last], float(travel[-1]) + lead)
    return Closure(end - start, math.sqrt(start_variance + end_variance))


def _straight_at(x: Floats, y: Floats, at: float) -> tuple[float, float]:
    """Return a straight fit read off at one place, and its variance for noise 1."""
    if len(x) < 2 or float(np.ptp(x)) < 1e-9:
        return float(y.mean()), 1.0 / len(x)
    off = x - x.mean()
    spread = float(off @ off)
    beyond = at - float(x.mean())
    return float(y.mean() + off @ y / spread * beyond), 1.0 / len(x) + beyond**2 / spread


CurveAndRange = tuple[Floats, float]
"""A curve at the readings of one turn, shape (n,), and its max - min between them as well, mm."""


def dial_reading(
    raw_mm: float,
    turns_mm: Sequence[CurveAndRange],
    local_noise_mm: float,
    resolution_mm: float,
    seed: int,
    *,
    narrow_mm: Sequence[CurveAndRange] = (),
) -> UncertainNumber:
    """Return what a dial would show without noise and rounding: max - min of readings, its bias taken off.

    Parameters: the median over turns of max - min of the readings; the fitted curve at the readings of each
    turn, and its range between them as well; noise between neighbours, its rounding in it; step of the gauge;
    ``narrow_mm`` the same turns with narrow tops where bumps are. Turns are drawn anew about the curve, each
    draw at a zero of its own within a step, and their median max - min is held against the curve's range,
    which readings beside a top miss. On a narrow top few readings compete for the highest, and its bias is
    less: with both shapes the limits hold either. They hold that bias alone.
    Own derivation (by drawing, JCGM 101 in kind).
    """
    noise = math.sqrt(max(0.0, local_noise_mm**2 - resolution_mm**2 / 12.0))
    if noise == 0.0 and resolution_mm == 0.0:
        return UncertainNumber(raw_mm, limits=Limits((raw_mm, raw_mm), u=0.0), least=0.0)
    shapes = [turns_mm, narrow_mm] if narrow_mm else [turns_mm]
    excess = [_excess_of_noise(shape, noise, resolution_mm, seed) for shape in shapes]
    quantiles = np.array([np.quantile(each, _DIAL_LEVELS) for each in excess])
    (least, less), (more, most) = quantiles.min(axis=0)[:2].tolist(), quantiles.max(axis=0)[3:].tolist()
    value, u = raw_mm - float(quantiles[-1, 2]), float(np.std(excess[-1]))
    limits = Limits((raw_mm - most, raw_mm - least), (raw_mm - more, raw_mm - less), u=u)
    return UncertainNumber(value, {"noise of a turn": Component(u)}, limits=limits, least=0.0)


def _excess_of_noise(
    turns_mm: Sequence[CurveAndRange], noise: float, resolution_mm: float, seed: int
) -> Floats:
    """Return by how much the median max - min of drawn turns exceeds that of their curve, mm, each draw."""
    turns_mm = turns_mm[: max(1, min(len(turns_mm), _MOST_DRAWN // max(_DRAWS * len(turns_mm[0][0]), 1)))]
    own = np.array([range_mm for _, range_mm in turns_mm])
    rng = np.random.default_rng(seed)
    zero = rng.uniform(-0.5, 0.5, (_DRAWS, 1)) * resolution_mm
    drawn = np.empty((len(turns_mm), _DRAWS))
    for k, (curve, _) in enumerate(turns_mm):
        at_once = max(1, _DRAWN_AT_ONCE // len(curve))
        for start in range(0, _DRAWS, at_once):
            some = slice(start, min(start + at_once, _DRAWS))
            reading = noise * rng.standard_normal((some.stop - start, len(curve)))
            reading += curve + zero[some]
            if resolution_mm > 0.0:
                reading = np.round(reading / resolution_mm) * resolution_mm
            drawn[k, some] = np.ptp(reading, axis=1)
    return np.asarray(np.median(drawn - own[:, None], axis=0))


def clock_tir_mm(fit: HarmonicFit) -> dict[str, float]:
    """Return max - min of the fitted curve at 4, 8 and 12 evenly spaced places from the mark."""
    return {
        str(places): float(np.ptp(fit.curve(np.arange(places) * (2 * math.pi / places))))
        for places in CLOCK_PLACES
    }


def distinct_places(angle_rad: Floats) -> int:
    """Return how many different places of the turn the readings stand at (to a thousandth of a degree)."""
    thousandths = np.rint(np.degrees(np.mod(angle_rad, 2 * math.pi)) * 1e3).astype(np.int64) % 360_000
    return int(np.count_nonzero(np.bincount(thousandths, minlength=1)))


def difference_between_turns_mm(curves: NDArray[np.float64]) -> float:
    """Return the greatest difference between any two turns' curves at one angle; shape (turns, angles) in."""
    return float(np.ptp(curves, axis=0).max()) if len(curves) > 1 else 0.0
