"""The named numbers of a sweep that are not read off the fit alone: what a dial shows, what does not repeat.

Definitions of synchronous and asynchronous motion after ISO 230-7 and ASME B89.3.4 (from memory).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from analysis.capture import Floats
from analysis.harmonics import HarmonicFit
from analysis.numerics import normal_cdf

BINS = 360
CLOCK_PLACES = (4, 8, 12)
_REACH_DEG = 10.0


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


def range_bias_mm(
    curve_at_readings_mm: Floats, noise_mm: float, resolution_mm: float, seed: int, draws: int = 200
) -> float:
    """Return by how much max - min of noisy readings exceeds max - min of the curve under them, on average.

    Drawn anew around the curve with normal noise and the gauge's rounding; ``seed`` makes it repeatable.
    """
    if not noise_mm > 0 or len(curve_at_readings_mm) < 2:
        return 0.0
    rng = np.random.default_rng(seed)
    n = len(curve_at_readings_mm)
    draws = min(draws, max(20, 400_000 // n))
    drawn = curve_at_readings_mm + rng.normal(0.0, noise_mm, (draws, n))
    if resolution_mm > 0:
        drawn = np.round(drawn / resolution_mm) * resolution_mm
    return float(np.mean(np.ptp(drawn, axis=1))) - float(np.ptp(curve_at_readings_mm))


def on_bins(angle_rad: Floats, reading_mm: Floats) -> Floats:
    """Return the readings of one turn at 360 even angles from the mark, by straight lines between."""
    around = np.mod(angle_rad, 2 * math.pi)
    order = np.argsort(around, kind="stable")
    around, reading = around[order], reading_mm[order]
    whole = np.concatenate([around[-1:] - 2 * math.pi, around, around[:1] + 2 * math.pi])
    closed = np.concatenate([reading[-1:], reading, reading[:1]])
    return np.asarray(np.interp(np.arange(BINS) * (2 * math.pi / BINS), whole, closed))


def synchronous_asynchronous(
    turns: Sequence[tuple[Floats, Floats]], *, remove_first_order: bool
) -> tuple[float, float]:
    """Return (max - min of the mean over turns, greatest width over turns at one angle), in mm.

    Parameters: (angle, reading less drift) of each turn. On a face order 1 stays (it is the fundamental); on
    an outside or a bore it is taken out, since it is eccentricity.
    """
    levels = np.array([on_bins(angle, reading) for angle, reading in turns])
    mean = levels.mean(axis=0)
    if remove_first_order:
        phi = np.arange(BINS) * (2 * math.pi / BINS)
        mean = mean - 2 / BINS * ((mean @ np.cos(phi)) * np.cos(phi) + (mean @ np.sin(phi)) * np.sin(phi))
    return float(np.ptp(mean)), float(np.ptp(levels, axis=0).max())


def synchronous_of_noise(turns: int, noise_mm: float) -> float:
    """Return the synchronous value of noise alone with so many turns, mm: the range of a mean over turns.

    The printed value is off by more than this hardly ever, on either side: it is what noise can do to the
    highest and the lowest place where nothing else is there.
    """
    return noise_mm * _mean_range_of_normals(BINS) / math.sqrt(turns)


def asynchronous_of_noise(turns: int, noise_mm: float) -> float:
    """Return the asynchronous value of noise alone with so many turns, mm (4.45 noises at 2, 6.27 at 20).

    The mean of the greatest of 360 ranges of so many normal values, by quadrature.
    """
    return noise_mm * _mean_widest_range(turns, BINS) if turns > 1 else 0.0


@lru_cache
def _mean_range_of_normals(values: int) -> float:
    """Return the mean range of n standard normal values: integral of 1 - F^n - (1 - F)^n (Tippett 1925)."""
    x = np.linspace(-8.0, 8.0, 1601)
    f = normal_cdf(x)
    return float(np.trapezoid(1.0 - f**values - (1.0 - f) ** values, x))


@lru_cache
def _mean_widest_range(turns: int, places: int) -> float:
    """Return the mean of the greatest of ``places`` ranges of ``turns`` standard normal values each.

    A range is at most w with probability n times the integral of the density times
    (F(x + w) - F(x))^(n - 1) over x (Hartley 1942, from memory).
    """
    x, w = np.linspace(-8.0, 8.0, 801), np.linspace(0.0, 16.0, 801)
    density = np.exp(-(x**2) / 2.0) / math.sqrt(2.0 * math.pi)
    step = float(x[1] - x[0])
    between = normal_cdf(x + w[:, None]) - normal_cdf(x)
    at_most = np.minimum(1.0, turns * step * (between ** (turns - 1) @ density))
    return float(np.trapezoid(1.0 - at_most**places, w))


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
