"""Angles without an encoder: steady between index pulses, or a steady spin whose period the signal tells.

Both take evenness of turning for granted between what they know, and say how far that may be wrong.
"""

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from analysis.capture import Floats
from analysis.errors import BadInput, NotDecidable
from analysis.harmonics import fit_harmonics

LEAST_UNEVENNESS = 0.05
"""Relative speed change within a turn allowed for even where none shows (common practice, no source)."""
UNEVEN_RAD = math.radians(15.0)
"""A turn whose curve lies further aside than this and than three times the usual is left out (ours)."""
_SEARCH_ORDERS = 3
_MOST_OF_FILLED = 4.0
"""A spin is searched for as many cycles as its readings could tell at most, and this many times as many."""
_MOST_AT_ONCE = 1 << 22
"""Values of waves held at a time."""


@dataclass(frozen=True)
class SteadyAngles:
    """Angles told by time."""

    angle_rad: Floats
    """Unwrapped, shape (n,); NaN where no angle can be told."""
    u_rad: float
    """Standard uncertainty of an angle within the turn."""
    period_s: float
    left_out: int = 0
    """Turns left out for having been turned unevenly."""


def angles_between_pulses(t_s: Floats, reading_mm: Floats, pulse_s: Floats) -> SteadyAngles:
    """Return the angle of each time by straight lines between index pulses; zero at the first pulse.

    A turn in which the hand stopped or went back bends its curve sideways against the others; from three
    turns on such a turn is found and its angles are NaN. What bending remains between the others, put down
    to the angle, is the uncertainty. Raises BadInput for fewer than two pulses.
    """
    if len(pulse_s) < 2:
        raise BadInput(
            f"{len(pulse_s)} index pulse(s), but one turn lies between two: turn on until the mark has "
            "passed three times"
        )
    turns = np.arange(len(pulse_s)) * (2.0 * math.pi)
    angle = np.interp(t_s, pulse_s, turns)
    angle[(t_s < pulse_s[0]) | (t_s > pulse_s[-1])] = np.nan
    # Each reading's turn, found once: a look at all of them for every turn would cost the square.
    turn = np.searchsorted(turns, angle, side="right") - 1
    turn[np.isnan(angle)] = -1
    bent = _bending(angle, reading_mm, turn, len(pulse_s) - 1)
    uneven = [k for k, value in enumerate(bent) if value > max(3.0 * float(np.median(bent)), UNEVEN_RAD)]
    if len(bent) < 3 or len(uneven) * 2 > len(bent):
        uneven = []
    angle[np.isin(turn, uneven)] = np.nan
    left_out = set(uneven)
    kept = [value for k, value in enumerate(bent) if k not in left_out]
    lasted = np.diff(pulse_s)
    between = float(np.sqrt(np.mean(np.square(kept)))) if len(kept) > 1 else LEAST_UNEVENNESS * 2.0
    return SteadyAngles(angle, max(LEAST_UNEVENNESS, between), float(np.mean(lasted)), len(uneven))


def _bending(angle_rad: Floats, reading_mm: Floats, turn: NDArray[np.intp], turns: int) -> list[float]:
    """Return by how much (rad, rms) each turn's curve lies sideways of the most typical one."""
    grid: Floats = np.linspace(0.0, 2.0 * math.pi, 180, endpoint=False)
    order = np.argsort(turn, kind="stable")
    edges = np.searchsorted(turn[order], np.arange(turns + 1))
    curves = []
    for begin, end in pairwise(edges.tolist()):
        mine = order[begin:end]
        if len(mine) < 4 * _SEARCH_ORDERS:
            return [0.0] * turns
        curves.append(
            fit_harmonics(angle_rad[mine], reading_mm[mine], highest_order=_SEARCH_ORDERS).curve(grid)
        )
    drawn = np.array(curves)
    apart = np.array([np.sqrt(np.mean((drawn - one) ** 2, axis=1)) for one in drawn])
    typical = int(np.argmin(np.median(apart, axis=1)))
    slope = float(np.sqrt(np.mean(np.gradient(drawn[typical], grid) ** 2)))
    if slope == 0.0:
        return [0.0] * turns
    return [min(1.0, float(value) / slope) for value in apart[typical]]


def angles_of_steady_spin(
    t_s: Floats, reading_mm: Floats, *, slowest_s: float = 60.0, fastest_s: float = 0.05
) -> SteadyAngles:
    """Return angles from the period of the readings themselves; zero at the first reading.

    The period is the longest one whose harmonic fit explains the readings as well as any: a multiple of it
    would too, a part of it would not. Raises NotDecidable where no period between the bounds explains them,
    or where less than two turns were recorded.
    """
    lasted = float(t_s[-1] - t_s[0])
    if len(t_s) < 20 or lasted < 2.0 * fastest_s:
        raise NotDecidable(f"{len(t_s)} readings in {lasted:.1f} s carry no period: let it turn longer")
    longest = min(slowest_s, lasted / 2.0)
    spread = reading_mm - reading_mm.mean()
    whole = float(spread @ spread)
    # Steps of a tenth of a cycle over the whole length cannot step over a period.
    typical_s = float(np.median(np.diff(t_s)))
    fastest_hz = min(1.0 / fastest_s, 0.5 / typical_s) if typical_s > 0.0 else 1.0 / fastest_s
    if (fastest_hz - 1.0 / longest) * lasted > _MOST_OF_FILLED * 0.5 * len(t_s):
        raise NotDecidable(
            f"{len(t_s)} readings do not fill the {lasted:.0f} s they came in: no period can be told across "
            "what is missing; record it anew without interruption"
        )
    rates = np.arange(1.0 / longest, fastest_hz, 0.1 / lasted)
    rates = rates[rates < fastest_hz]
    if whole == 0.0 or len(rates) == 0:
        raise NotDecidable("the readings do not change: no period can be told; is the part turning?")
    power = _power(rates, t_s, spread)
    strongest = float(rates[int(np.argmax(power))])
    # The strongest line may be an overtone: the true rate is the lowest of its parts that explains more.
    tried = [strongest / part for part in range(_SEARCH_ORDERS, 0, -1) if strongest / part >= 1.0 / longest]
    fits = [(_refined(rate, 0.1 / lasted, t_s, reading_mm), rate) for rate in tried]
    best = min(rss for (rss, _), _ in fits)
    (rss, rate), _ = next(one for one in fits if one[0][0] <= 1.2 * best + 1e-12)
    if rss > 0.5 * whole:
        raise NotDecidable(
            "no steady period explains the readings: the spin was not steady enough; use an index mark"
        )
    return SteadyAngles(2.0 * math.pi * rate * (t_s - t_s[0]), LEAST_UNEVENNESS / 2.0, 1.0 / rate)


def _power(rates_hz: Floats, t_s: Floats, spread: Floats) -> Floats:
    """Return the share of the spread that a sinusoid at each rate explains, near enough to find the peak."""
    power = np.empty(len(rates_hz))
    at_once = max(1, min(256, _MOST_AT_ONCE // len(t_s)))
    for start in range(0, len(rates_hz), at_once):
        block = rates_hz[start : start + at_once]
        turned = np.exp(-2j * math.pi * np.multiply.outer(block, t_s))
        power[start : start + at_once] = np.abs(turned @ spread) ** 2
    return power


def _refined(rate_hz: float, reach_hz: float, t_s: Floats, reading_mm: Floats) -> tuple[float, float]:
    """Return (sum of squares left, rate) at the best rate near this one, by golden section."""

    def rss(rate: float) -> float:
        residual = fit_harmonics(
            2.0 * math.pi * rate * (t_s - t_s[0]), reading_mm, highest_order=_SEARCH_ORDERS
        ).residual_mm
        return float(residual @ residual)

    low, high = rate_hz - reach_hz, rate_hz + reach_hz
    ratio = (math.sqrt(5.0) - 1.0) / 2.0
    a, b = high - ratio * (high - low), low + ratio * (high - low)
    at_a, at_b = rss(a), rss(b)
    for _ in range(40):
        if at_a < at_b:
            high, b, at_b = b, a, at_a
            a = high - ratio * (high - low)
            at_a = rss(a)
        else:
            low, a, at_a = a, b, at_b
            b = low + ratio * (high - low)
            at_b = rss(b)
    return min((at_a, a), (at_b, b))
