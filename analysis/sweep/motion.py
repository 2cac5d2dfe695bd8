"""Synchronous and asynchronous motion: max - min of the mean turn, greatest width over turns at one angle.

Definitions after ISO 230-7 and ASME B89.3.4 (from memory), read at 360 places. The printed values hold the
noise of the readings; their 95 % intervals are of the motion alone.
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from analysis.capture import Floats
from analysis.harmonics import SumsAtCounts
from analysis.numerics import Limits, UncertainNumber, normal_cdf, normal_quantile
from analysis.uncertainty import place_noise, range_limits

PLACES = 360
_ROUNDING = 1e-9
"""Noise below this share of what is seen is the rounding of the arithmetic."""
_SAME_PLACE = 3.6e9
"""Readings in one of so many parts of a turn stand at one count, whatever the last bit of their angle."""
_HALF_PLACE = np.exp(-1j * math.pi * np.arange(PLACES + 1) / (2 * PLACES))
"""Of each cosine over a mirrored turn: its places stand in the middle of steps."""
_TURNS_AT_ONCE = 64
_CLEAR_P = 0.001
_NEARLY_AS_WIDE = 0.8
_TURNS_LOOKED_AT = 12
"""The noise at the places is judged by so many turns: they are read alike."""
_VALUES_APART, _SETS_APART = 1.3, 3.0
"""So many places for each reading of a turn vary by themselves: in a mean turn, in widths (by simulation)."""
_NOISE_UNSURE = 0.8
"""Local noise of n readings is unsure by so much / sqrt n of itself (by simulation)."""


@dataclass(frozen=True)
class TurnAtPlaces:
    """One turn at 360 even angles from the mark, straight lines between readings, shape (360,) each."""

    reading_mm: Floats
    t_s: Floats
    noise_share: Floats
    """Variance of a reading there where one by itself has variance 1."""
    read: int
    """How many different places were read."""


@dataclass(frozen=True)
class RoundCurves:
    """Each turn at the 360 places, shape (turns, 360)."""

    reading_mm: Floats
    t_s: Floats
    noise_share: Floats
    read_a_turn: float
    """Mean number of different places read in a turn."""

    @staticmethod
    def of(turns: Iterable[TurnAtPlaces], number: int) -> "RoundCurves":
        """Put so many turns together, each let go as it is taken."""
        reading_mm, t_s, noise_share = (np.empty((number, PLACES)) for _ in range(3))
        read = 0
        for k, turn in enumerate(turns):
            reading_mm[k], t_s[k], noise_share[k] = turn.reading_mm, turn.t_s, turn.noise_share
            read += turn.read
        return RoundCurves(reading_mm, t_s, noise_share, read / number)

    def motion(self, drift_mm_per_s: float, *, remove_first_order: bool) -> "Motion":
        """Return how the turns move beside this drift; order 1 is eccentricity of an outside and a bore."""
        level = self.reading_mm - drift_mm_per_s * self.t_s
        return Motion(level, self.noise_share, self.read_a_turn, remove_first_order)


@dataclass(frozen=True)
class Motion:
    """All turns at the 360 places, their drift taken off."""

    level_mm: Floats
    """Shape (turns, 360)."""
    noise_share: Floats
    """Variance of each where a reading has variance 1, shape (turns, 360)."""
    read_a_turn: float
    """Mean number of different places read in a turn."""
    without_first_order: bool
    """True of an outside and a bore, where order 1 is eccentricity; on a face it is the fundamental."""

    @property
    def turns(self) -> int:
        """How many turns."""
        return len(self.level_mm)

    @cached_property
    def mean_turn_mm(self) -> Floats:
        """Mean over turns, its order 1 taken out where it is eccentricity, shape (360,)."""
        mean = np.asarray(self.level_mm.mean(axis=0))
        if self.without_first_order:
            phi = np.arange(PLACES) * (2.0 * math.pi / PLACES)
            for wave in (np.cos(phi), np.sin(phi)):
                mean = mean - 2.0 / PLACES * (mean @ wave) * wave
        return mean

    @property
    def synchronous_mm(self) -> float:
        """Max - min of the mean turn."""
        return float(np.ptp(self.mean_turn_mm))

    @property
    def asynchronous_mm(self) -> float:
        """Greatest width over turns at one place."""
        return float(np.ptp(self.level_mm, axis=0).max())

    def synchronous_of_motion(self, noise_mm: float) -> UncertainNumber:
        """Return the synchronous value of the motion alone with its limits; ``noise_mm`` of a reading."""
        if noise_mm <= _ROUNDING * self.synchronous_mm:
            return _exactly(self.synchronous_mm)
        share = self.noise_share.mean(axis=0) / self.turns
        unit = noise_mm * math.sqrt(float(share.mean()))
        limits = range_limits(
            self.synchronous_mm,
            [
                shape[:, None]
                for shape in _smooth_and_rough(self.mean_turn_mm, self._power(noise_mm) / self.turns)
            ],
            place_noise(share * (noise_mm / unit) ** 2, unit),
            values_apart=min(1.0, _VALUES_APART * self.read_a_turn / PLACES),
        )
        return self._of_unsure_noise(self.synchronous_mm, limits)

    def asynchronous_of_motion(self, noise_mm: float) -> UncertainNumber:
        """Return the same of the asynchronous value; one turn differs from nothing."""
        if self.asynchronous_mm == 0.0 or noise_mm <= _ROUNDING * self.asynchronous_mm:
            return _exactly(self.asynchronous_mm)
        off = self.level_mm - self.level_mm.mean(axis=0)
        some = self.noise_share[:: max(1, self.turns // _TURNS_LOOKED_AT)]
        limits = range_limits(
            self.asynchronous_mm,
            _even_and_rough(off, self._power(noise_mm)),
            place_noise(some, noise_mm),
            sets_apart=min(1.0, _SETS_APART * self.read_a_turn / PLACES),
        )
        return self._of_unsure_noise(self.asynchronous_mm, limits)

    def _power(self, noise_mm: float) -> float:
        """Return the variance a slow wave of noise has at each place: few readings make it slower."""
        return noise_mm**2 * max(float(self.noise_share.mean()), PLACES / self.read_a_turn)

    def _of_unsure_noise(self, seen_mm: float, limits: tuple[float, float]) -> UncertainNumber:
        """Return limits widened by what the noise itself is unsure of, about their middle."""
        low, high = limits
        middle = (low + high) / 2.0
        u = _NOISE_UNSURE / math.sqrt(self.turns * self.read_a_turn) * (seen_mm - middle)
        half = math.hypot((high - low) / 2.0, normal_quantile(0.975) * u)
        ends = (max(0.0, middle - half) if low > 0.0 else 0.0, middle + half)
        return UncertainNumber(middle, limits=Limits(ends), least=0.0)


def turn_at_places(angle_rad: Floats, reading_mm: Floats, t_s: Floats) -> TurnAtPlaces:
    """Return one turn at the places; several readings at one count are one place with their mean."""
    part = np.rint(angle_rad * (_SAME_PLACE / (2.0 * math.pi))).astype(np.int64) % int(_SAME_PLACE)
    order = np.argsort(part, kind="stable")
    part = part[order]
    first = np.flatnonzero(np.diff(part, prepend=-1))
    readings = np.diff(first, append=len(part))
    means = (np.add.reduceat(column[order], first) / readings for column in (reading_mm, t_s))
    return _between_means(part[first] / _SAME_PLACE, readings, *means)


def turn_at_counts(sums: SumsAtCounts) -> TurnAtPlaces:
    """Return one turn at the places from its sums at the counts of an encoder."""
    at = np.flatnonzero(sums.number)
    readings = sums.number[at]
    reading_mm = sums.heights_mm[at] / readings + sums.level_mm[at]
    return _between_means(
        at / len(sums.number), readings, reading_mm, sums.times_s[at] / readings + sums.mean_s
    )


def _between_means(
    of_turn: Floats, readings: NDArray[np.int64], reading_mm: Floats, t_s: Floats
) -> TurnAtPlaces:
    """Return one turn at the places, by straight lines between means of several readings each.

    Parameters: where they stand, as shares of the turn, rising; how many readings each is of; the means.
    """
    lower, upper, after = _neighbours(of_turn.tobytes())

    def between(column: Floats) -> Floats:
        return np.asarray((1.0 - after) * column[lower] + after * column[upper])

    variance = 1.0 / readings
    share = (1.0 - after) ** 2 * variance[lower] + after**2 * variance[upper]
    return TurnAtPlaces(between(reading_mm), between(t_s), share, len(of_turn))


@lru_cache(maxsize=1)
def _neighbours(of_turn: bytes) -> tuple[NDArray[np.intp], NDArray[np.intp], Floats]:
    """Return between which readings, by number, each place lies, and how far after the first of both.

    Of where they stand (as ``_between_means`` has it), which turn after turn is often the same.
    """
    at = np.frombuffer(of_turn)
    around = np.concatenate([at[-1:] - 1.0, at, at[:1] + 1.0])
    place = np.arange(PLACES) / PLACES
    before = np.searchsorted(around, place, side="right") - 1
    after = (place - around[before]) / (around[before + 1] - around[before])
    return (before - 1) % len(at), before % len(at), after


def _exactly(value_mm: float) -> UncertainNumber:
    return UncertainNumber(value_mm, limits=Limits((value_mm, value_mm)), least=0.0)


def _smooth_and_rough(mean_mm: Floats, power_mm2: float) -> list[Floats]:
    """Return mean turns that could be behind this one: its clear orders alone, and all shrunk by noise."""
    z = np.fft.rfft(mean_mm - mean_mm.mean())
    of_noise = np.abs(z) ** 2 / (PLACES * power_mm2)  # exponential of mean 1 where there is noise alone
    return [np.fft.irfft(z * kept, PLACES) for kept in _kept(of_noise, -math.log(_CLEAR_P))]


def _even_and_rough(off_mm: Floats, power_mm2: float) -> Iterator[Floats]:
    """Yield turns about their mean that could be behind these, shape (turns, 360) each.

    Waves along a turn that need not close (cosines of half turns) are kept where they are clear, and then all
    shrunk by noise, in the same memory. The smooth ones are made as wide wherever they are nearly so: few
    turns do not tell them apart, and the more places compete, the more noise adds.
    """
    turns = len(off_mm)
    some = [slice(start, start + _TURNS_AT_ONCE) for start in range(0, turns, _TURNS_AT_ONCE)]
    power = np.full(PLACES + 1, 2.0 * PLACES * power_mm2)
    power[0] *= 2.0
    squares = sum((_waves(off_mm[here]) ** 2).sum(axis=0) for here in some)
    of_noise = np.asarray(squares) / (turns - 1) / power
    clear, shrunk = _kept(of_noise, _chi_square_share(turns - 1))
    shape = np.empty_like(off_mm)
    for here in some:
        shape[here] = _of_waves(_waves(off_mm[here]) * clear)
    width = np.ptp(shape, axis=0)
    most = float(width.max())
    if most > 0.0:
        shape *= np.where(width > _NEARLY_AS_WIDE * most, most / np.maximum(width, 1e-300), 1.0)
    yield shape
    for here in some:
        shape[here] = _of_waves(_waves(off_mm[here]) * shrunk)
    yield shape


def _waves(off_mm: Floats) -> Floats:
    """Return the cosines of half turns that make up these turns, shape (turns, 361)."""
    mirrored = np.concatenate([off_mm, off_mm[:, ::-1]], axis=1)
    return np.asarray((np.fft.rfft(mirrored, axis=1) * _HALF_PLACE).real)


def _of_waves(waves: Floats) -> Floats:
    """Return the turns that such cosines make up, shape (turns, 360)."""
    return np.asarray(np.fft.irfft(waves * _HALF_PLACE.conj(), 2 * PLACES, axis=1)[:, :PLACES])


def _kept(of_noise: Floats, clear_from: float) -> tuple[Floats, Floats]:
    """Return which share of each wave is kept: the clear ones, one at least; and all, shrunk by noise."""
    clear = (of_noise > min(clear_from, float(of_noise.max()) * (1.0 - _ROUNDING))).astype(np.float64)
    return clear, np.maximum(0.0, 1.0 - 1.0 / np.maximum(of_noise, 1e-12))


def _chi_square_share(dof: int) -> float:
    """Return the mean square that noise exceeds with one chance in a thousand.

    Wilson and Hilferty 1931, from memory.
    """
    z = normal_quantile(1.0 - _CLEAR_P)
    return (1.0 - 2.0 / (9.0 * dof) + z * math.sqrt(2.0 / (9.0 * dof))) ** 3


def synchronous_of_noise(turns: int, noise_mm: float) -> float:
    """Return the synchronous value of noise alone with so many turns, mm: the range of a mean over turns.

    The printed value is off by more than this hardly ever, on either side: it is what noise can do to the
    highest and the lowest place where nothing else is there.
    """
    return noise_mm * _mean_range_of_normals(PLACES) / math.sqrt(turns)


def asynchronous_of_noise(turns: int, noise_mm: float) -> float:
    """Return the asynchronous value of noise alone with so many turns, mm (4.45 noises at 2, 6.27 at 20).

    The mean of the greatest of 360 ranges of so many normal values, by quadrature.
    """
    return noise_mm * _mean_widest_range(turns, PLACES) if turns > 1 else 0.0


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
    step, steps = 0.05, 320  # a smooth integrand that ends in nothing: the rule is exact to 12 digits
    w = step * np.arange(steps + 1)
    x = w - step * steps / 2.0
    density = np.exp(-(x**2) / 2.0) / math.sqrt(2.0 * math.pi)
    below = normal_cdf(step * np.arange(2 * steps + 1) - step * steps / 2.0)
    between = np.lib.stride_tricks.sliding_window_view(below, steps + 1) - below[: steps + 1]
    at_most = np.minimum(1.0, turns * step * (between ** (turns - 1) @ density))
    return float(np.trapezoid(1.0 - at_most**places, w))
