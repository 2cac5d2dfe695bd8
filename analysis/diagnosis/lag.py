"""How late a gauge is, told from speed changes within one sweep, or as its set-up declares it.

A late reading belongs to the angle of tau ago. At even speed that only turns every order on; where the speed
changes, the turns fit together best at the angle where the part really was, and so tell tau.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from analysis.capture import Floats
from analysis.errors import NotDecidable
from analysis.harmonics import HarmonicFit, fit_harmonics

LATEST_S = 0.5
_EARLIEST_S = -0.2
"""What a late gauge is found at by chance."""
_STEP_S, _WIDE_S = 0.02, 0.05
_BLOCK_RAD = math.pi / 2.0
"""Residuals hang together (bearings, steps of the gauge); those so far apart are taken as free."""
_HIGHEST = 15
_MOST_VALUES = 6000
_FEWEST_VALUES = 60
KNOWN_S = 0.035
"""Below this standard uncertainty the interval of a lag is narrower than what may be unknown."""
CLEAR_LAG_DEG = 1.0
"""A lag that turns the part by less is no matter."""
_TOLD_BY_SPEEDS = 4.0
"""A lag is told where, squared, it moves the readings so many times as far as the count's stairs would."""
_NORMAL_975 = 1.959964
DISAGREES = 3.0
"""Declared and found lag disagree from so many of their joint standard uncertainties on."""
CAREFUL = 2.0
"""What residuals show of hanging together is little in a few turns: their u is doubled."""


@dataclass(frozen=True)
class Lag:
    """What the speed changes tell."""

    lag_s: float
    u_s: float
    speed_rad_s: float
    """Typical speed of the sweep."""

    @property
    def turned_rad(self) -> float:
        """By how much every high place is found too far on."""
        return self.lag_s * self.speed_rad_s

    @property
    def clear(self) -> bool:
        """True where a lag is seen beyond what chance explains, and it turns the part by over a degree."""
        return self.lag_s > 5.0 * self.u_s and self.turned_rad > math.radians(CLEAR_LAG_DEG)

    @property
    def known(self) -> bool:
        """True where the lag is told well enough to turn angles back by it."""
        return self.u_s < KNOWN_S or self.clear


class LagSource(StrEnum):
    """What tells how late a gauge is."""

    SPEEDS = "speeds"
    SETUP = "set-up"
    NOT_KNOWN = "not known"


@dataclass(frozen=True)
class GaugeLag:
    """How late the gauge is, from whatever tells it; angles are turned back by it only where it is known.

    ``GaugeLag()`` is that of readings at a standstill, where a lag turns nothing.
    """

    source: LagSource = LagSource.NOT_KNOWN
    lag_s: float = 0.0
    """0 where it is not known."""
    u_s: float = 0.0
    speed_rad_s: float = 0.0
    """Mean speed of the turns, signed; 0 for readings taken standing."""
    most_s: float = 0.0
    """Where it is not known: the latest such a gauge may be."""
    disagrees: bool = False
    """True where what was found contradicts what was declared, which then does not count."""

    @staticmethod
    def joined(
        found: Lag | None, declared: tuple[float, float] | None, speed_rad_s: float, most_s: float
    ) -> "GaugeLag":
        """Return how late the gauge is by what was found and what was declared.

        Parameters: what speed changes tell; the declared delay with its standard uncertainty (s); mean signed
        speed of the turns; the latest the gauge may be where neither tells. Both together are joined by
        inverse variance; what was declared does not count where it is off by over 3 of their joint u.
        """
        if found is not None and declared is not None:
            apart_s = abs(found.lag_s - declared[0])
            if apart_s > DISAGREES * math.hypot(found.u_s, declared[1]):
                # However badly it is told: what was declared is ruled out.
                return GaugeLag(LagSource.SPEEDS, found.lag_s, found.u_s, speed_rad_s, disagrees=True)
        if found is None or not found.known:
            if declared is None:
                # What speeds tell too badly to turn angles by still rules out the latest.
                seen_s = math.inf if found is None else max(0.0, found.lag_s + _NORMAL_975 * found.u_s)
                return GaugeLag(LagSource.NOT_KNOWN, 0.0, 0.0, speed_rad_s, min(most_s, seen_s))
            return GaugeLag(LagSource.SETUP, *declared, speed_rad_s)
        if declared is None:
            return GaugeLag(LagSource.SPEEDS, found.lag_s, found.u_s, speed_rad_s)
        delay_s, u_delay_s = declared
        # Weights so written that a delay declared without any doubt is taken as it is.
        share = found.u_s**2 / (found.u_s**2 + u_delay_s**2)
        joined_s = found.lag_s + share * (delay_s - found.lag_s)
        return GaugeLag(LagSource.SPEEDS, joined_s, u_delay_s * math.sqrt(share), speed_rad_s)

    @property
    def known(self) -> bool:
        """True where something tells it."""
        return self.source is not LagSource.NOT_KNOWN

    @property
    def found(self) -> bool:
        """True where this sweep itself tells it."""
        return self.source is LagSource.SPEEDS

    @property
    def turned_rad(self) -> float:
        """By how much angles were turned back, signed."""
        return self.lag_s * self.speed_rad_s

    @property
    def u_turned_rad(self) -> float:
        """Standard uncertainty of every angle from it."""
        return self.u_s * abs(self.speed_rad_s)

    @property
    def may_turn_rad(self) -> float:
        """By how much an unknown lag may have turned every angle on, signed as the turning.

        A late gauge finds a high place too far on as it is turned: the truth lies up to so much before.
        """
        return self.most_s * self.speed_rad_s

    @property
    def matters(self) -> bool:
        """True where it turns the part by over a degree."""
        return abs(self.turned_rad) > math.radians(CLEAR_LAG_DEG)


def lag_from_speeds(
    all_t_s: Floats,
    all_angle_rad: Floats,
    t_s: Floats,
    reading_mm: Floats,
    *,
    highest_order: int,
    drift: bool,
    count_rad: float = 0.0,
) -> Lag | None:
    """Return the lag that lets the readings fit together best; None where there is too little to tell.

    Parameters: times and unwrapped angles of all samples of one stretch, rising in time; times and readings
    of the values that count; ``count_rad`` the count whose stairs are in the angles, 0 for none. Orders,
    constant and drift are fitted anew at each lag tried. At an even speed only the stairs differ from lag to
    lag, and tell nothing.
    """
    # Beyond the ends of the stretch no angle is known, at any lag that is looked at.
    inside = (t_s >= all_t_s[0] + LATEST_S + 2.0 * _WIDE_S) & (
        t_s <= all_t_s[-1] + _EARLIEST_S - 2.0 * _WIDE_S
    )
    times, readings = t_s[inside], reading_mm[inside]
    thin = max(1, len(times) // _MOST_VALUES)
    times, readings = times[::thin], readings[::thin]
    if len(times) < _FEWEST_VALUES or not float(np.ptp(all_t_s)) > 2.0 * LATEST_S:
        return None

    def fitted(lag_s: float) -> HarmonicFit:
        angle = np.interp(times - lag_s, all_t_s, all_angle_rad)
        return fit_harmonics(angle, readings, times, highest_order=min(highest_order, _HIGHEST), drift=drift)

    def squares(lag_s: float) -> float:
        residual = fitted(lag_s).residual_mm
        return float(residual @ residual)

    def moved_mm(lag_s: float, by_s: float) -> Floats:
        return fitted(lag_s + by_s).residual_mm - fitted(lag_s - by_s).residual_mm

    try:
        # Close lags show a fast hand best, wide ones a slow hand on a coarse count.
        moved = (moved_mm(0.0, by_s) for by_s in (_WIDE_S, _STEP_S))
        by_stairs_mm2 = len(times) * _by_stairs_mm2(fitted(0.0), count_rad)
        if all(float(each @ each) < _TOLD_BY_SPEEDS * by_stairs_mm2 for each in moved):
            return None
        tried = np.arange(-0.1, LATEST_S + 1e-9, 0.1)
        lag = float(tried[int(np.argmin([squares(float(each)) for each in tried]))])
        step = _WIDE_S
        for _ in range(2):
            around = lag + step * np.arange(-2.0, 3.0)
            # The bend over several steps: between close ones the count's own stairs would bend it.
            half_bend, slope, _ = np.polyfit(around - lag, [squares(float(each)) for each in around], 2)
            if not half_bend > 0.0:
                return None
            lag = min(
                LATEST_S, max(_EARLIEST_S, lag - min(_WIDE_S, max(-_WIDE_S, slope / (2.0 * half_bend))))
            )
            fit = fitted(lag)
            residual = fit.residual_mm
            white = math.sqrt(float(residual @ residual) / max(fit.dof, 1) / half_bend)
            step = min(_WIDE_S, max(_STEP_S, CAREFUL * white))
        moves = moved_mm(lag, step) / (2.0 * step)
    except NotDecidable:
        return None
    if fit.dof < 10:
        return None
    turned = np.interp(times, all_t_s, all_angle_rad)
    block = np.floor((turned - turned.min()) / _BLOCK_RAD).astype(np.int64)
    hanging = math.sqrt(float(np.sum(np.bincount(block, moves * residual) ** 2))) / half_bend
    u = CAREFUL * max(white, hanging)
    speed = abs(float(all_angle_rad[-1] - all_angle_rad[0])) / float(np.ptp(all_t_s))
    return Lag(float(lag), float(u), speed)


def _by_stairs_mm2(fit: HarmonicFit, count_rad: float) -> float:
    """Return the mean square by which a reading differs at two angles for the stairs of the count alone.

    Each angle is off by a rectangle of one count (JCGM 100, 4.3.7), on the mean square slope of the part.
    """
    orders = np.arange(1, fit.highest_order + 1)
    slope_mm2 = float(np.sum((orders * fit.amplitude_mm) ** 2)) / 2.0
    return slope_mm2 * count_rad**2 / 6.0
