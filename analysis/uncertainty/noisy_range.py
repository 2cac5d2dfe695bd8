"""Which max - min of values stands behind the one that was seen in noise, without a single draw.

Noise makes a max - min too large. As for a curve (``range_inversion``) the question is turned round: values
k f of one shape f are tried, and their limits are the k at which one as large as that seen comes by chance.
Here every value has noise of its own, so that the chance is an integral over the lowest of them (Hartley
1942, from memory): of sum f(x - h_i) times the product over all others of F(x + w - h_j) - F(x - h_j). Values
are counted in steps of a quarter of the noise: a thousand turns cost hardly more than ten.
"""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from analysis.numerics import Floats, normal_cdf, normal_quantile

Ints = NDArray[np.int64]

_LEVELS = (0.98, 0.02)
"""Chances of so little at the lower and the upper limit: a little under 2.5 %, for what shapes leave open."""
_FURTHEST = 12.0
_PER_NOISE = 64
"""Entries of a table for each noise."""
_STEP = 22 / _PER_NOISE
_LOWEST = np.arange(-16, 16) * _STEP
"""Where the lowest value may lie against the lowest of the shape, in noises.

Whole entries apart, so that the entries taken sum up as the integral does.
"""
_COUNTED_STEP = 0.25
_SETS_AT_ONCE = 64
_REACH = 9.0
"""Values further than so many noises from both ends are never an end."""
_BELOW, _ABOVE, _HEIGHTS = 9.0, 3.0, 13
"""Heights tried, in noises about what was seen."""
_CLASSES = 16


@dataclass(frozen=True)
class PlaceNoise:
    """Noise of values each of which has a size of its own, as tables over -12 to 12 of the unit."""

    unit_mm: float
    below: Floats
    density: Floats


def place_noise(variance: Floats, unit_mm: float) -> PlaceNoise:
    """Return the noise of values that have these variances (any shape) in units of ``unit_mm`` squared."""
    shares = (np.arange(_CLASSES) + 0.5) / _CLASSES
    sizes = np.sqrt(np.maximum(np.quantile(variance, shares), 1e-6))
    z, below, density = _normal()
    return PlaceNoise(
        unit_mm,
        np.mean([np.interp(z / size, z, below) for size in sizes], axis=0),
        np.mean([np.interp(z / size, z, density) / size for size in sizes], axis=0),
    )


def range_limits(
    seen_mm: float,
    shapes_mm: Iterable[Floats],
    noise: PlaceNoise,
    *,
    values_apart: float = 1.0,
    sets_apart: float = 1.0,
) -> tuple[float, float]:
    """Return 95 % limits of the widest max - min over sets of values, where ``seen_mm`` was seen in noise.

    Parameters: shapes that could be behind it, each (n, K): K sets of n values, taken one after another; the
    widest of all limits holds. Where neighbours hang together, a share ``values_apart`` or ``sets_apart`` of
    them counts.
    """
    found = [_limits(seen_mm / noise.unit_mm, shape, noise, values_apart, sets_apart) for shape in shapes_mm]
    low, high = min(each[0] for each in found), max(each[1] for each in found)
    return low * noise.unit_mm, high * noise.unit_mm


def _limits(
    seen: float, shape_mm: Floats, noise: PlaceNoise, values_apart: float, sets_apart: float
) -> tuple[float, float]:
    """Return both limits of one shape, in noises: heights at which the chance passes each of the levels."""
    lowest = shape_mm.min(axis=0) / noise.unit_mm
    widths = shape_mm.max(axis=0) / noise.unit_mm - lowest
    height = float(widths.max())
    scale = seen / height if height > 0.0 else 1.0

    def off(sets: Ints) -> Floats:
        """Return how far values lie above the lowest of their set, the widest set as wide as was seen."""
        return np.asarray((shape_mm[:, sets] / noise.unit_mm - lowest[sets]) * scale)

    counts, heights = _counted(off, widths * scale)
    tried = np.linspace(max(0.0, seen - _BELOW), seen + _ABOVE, _HEIGHTS)
    chance = _chance_at_most(seen, counts, heights, tried / seen, noise, values_apart, sets_apart)
    quantile = np.array([normal_quantile(p) for p in np.clip(chance, 1e-12, 1.0 - 1e-12).tolist()])
    falling = np.minimum.accumulate(quantile)[::-1]
    low, high = (float(np.interp(normal_quantile(level), falling, tried[::-1])) for level in _LEVELS)
    return low, high


def _chance_at_most(
    seen: float,
    counts: Floats,
    heights: Floats,
    scales: Floats,
    noise: PlaceNoise,
    values_apart: float,
    sets_apart: float,
) -> Floats:
    """Return the chance that the widest max - min is at most ``seen``, for each scale of the shape.

    ``counts``: values of each set at each of these heights, shape (sets, heights).
    """
    lowest = _LOWEST - scales[:, None, None] * heights[:, None]
    below = _at(noise.below, lowest)
    inside = np.maximum(_at(noise.below, lowest + seen) - below, 1e-300)
    none_outside = np.exp(values_apart * (counts @ np.log(inside)))
    one_lowest = values_apart * (counts @ (_at(noise.density, lowest) / inside))
    of_a_set = np.clip((one_lowest * none_outside).sum(axis=-1) * _STEP, 1e-300, 1.0)
    return np.asarray(np.exp(sets_apart * np.log(of_a_set).sum(axis=-1)))


def _counted(off: Callable[[Ints], Floats], widths: Floats) -> tuple[Floats, Floats]:
    """Return how many values of each set lie at each height, shape (sets, heights), and these heights.

    Parameters: what gives the values of some sets above their lowest, a column each; how wide each set is.
    A value between two heights counts in part at each. Sets that are never the widest are left out, and so
    are values that are never an end of theirs.
    """
    wide = np.flatnonzero(widths >= widths.max() - _REACH)
    some = [wide[start : start + _SETS_AT_ONCE] for start in range(0, len(wide), _SETS_AT_ONCE)]
    lower = np.unique(np.concatenate([np.unique(_ends(off(sets), widths[sets])[1]) for sets in some]))
    used = np.union1d(lower, lower + 1)
    counts = []
    for sets in some:
        part, whole, set_of = _ends(off(sets), widths[sets])
        at = np.searchsorted(used, whole) + len(used) * set_of
        size = len(sets) * len(used)
        counts.append(np.bincount(at, 1.0 - part, size) + np.bincount(at + 1, part, size))
    return np.concatenate(counts).reshape(-1, len(used)), used * _COUNTED_STEP


def _ends(off: Floats, widths: Floats) -> tuple[Floats, Ints, Ints]:
    """Return of each value that may be an end how far it lies above a height, which height, and its set."""
    ends = (off <= _REACH) | (off >= widths - _REACH)
    steps, set_of = off[ends] / _COUNTED_STEP, np.broadcast_to(np.arange(off.shape[1]), off.shape)[ends]
    whole = steps.astype(np.int64)
    return steps - whole, whole, set_of


def _at(table: Floats, z: Floats) -> Floats:
    """Return a table's entries nearest to these arguments."""
    near = np.rint((z + _FURTHEST) * _PER_NOISE).astype(np.int64)
    return np.asarray(table[np.clip(near, 0, len(table) - 1)])


@lru_cache
def _normal() -> tuple[Floats, Floats, Floats]:
    """Return arguments, and the normal distribution and density there."""
    z = np.linspace(-_FURTHEST, _FURTHEST, int(2 * _FURTHEST * _PER_NOISE) + 1)
    return z, normal_cdf(z), np.exp(-(z**2) / 2.0) / math.sqrt(2.0 * math.pi)
