"""How late a gauge is, told from speed changes within one sweep.

A late reading belongs to the angle of tau ago. At even speed that only turns every order on; where the speed
changes, the turns fit together best at the angle where the part really was, and so tell tau.
"""

import math
from dataclasses import dataclass

import numpy as np

from analysis.capture import Floats
from analysis.errors import NotDecidable
from analysis.harmonics import fit_harmonics

LATEST_S = 0.5
_STEP_S = 0.02
_HIGHEST = 15
_MOST_VALUES = 6000
_FEWEST_VALUES = 60
_OF_A_PARABOLA = 0.25
"""So much at least of what the bend at the best lag promises has to be gained over no lag at all."""
CLEAR_LAG_DEG = 1.0
"""A lag that turns the part by less is no matter."""
CAREFUL = 2.0
"""Residuals hang together (bearings, steps of the gauge): the noise alone would promise too much."""


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
        """True where the lag is told to half a degree of turning: worth a number."""
        return self.u_s * self.speed_rad_s < math.radians(0.5) or self.clear


def lag_from_speeds(
    all_t_s: Floats,
    all_angle_rad: Floats,
    t_s: Floats,
    reading_mm: Floats,
    *,
    highest_order: int,
    drift: bool,
) -> Lag | None:
    """Return the lag that lets the readings fit together best; None where there is too little to tell.

    Parameters: times and unwrapped angles of all samples of one stretch, rising in time; times and readings
    of the values that count. Orders, constant and drift are fitted anew at each lag tried.
    """
    inside = t_s >= all_t_s[0] + LATEST_S + _STEP_S
    times, readings = t_s[inside], reading_mm[inside]
    thin = max(1, len(times) // _MOST_VALUES)
    times, readings = times[::thin], readings[::thin]
    if len(times) < _FEWEST_VALUES or not float(np.ptp(all_t_s)) > 2.0 * LATEST_S:
        return None

    def left(lag_s: float) -> tuple[float, int]:
        angle = np.interp(times - lag_s, all_t_s, all_angle_rad)
        fit = fit_harmonics(
            angle, readings, times, highest_order=min(highest_order, _HIGHEST), drift=drift
        )  # fmt: skip
        return float(fit.residual_mm @ fit.residual_mm), fit.dof

    try:
        tried = np.arange(-0.1, LATEST_S + 1e-9, 0.1)
        left_by_each = [left(float(each))[0] for each in tried]
        lag = float(tried[int(np.argmin(left_by_each))])
        bend = 0.0
        for _ in range(4):
            before, (here, dof), after = left(lag - _STEP_S)[0], left(lag), left(lag + _STEP_S)[0]
            bend = (before - 2.0 * here + after) / _STEP_S**2
            if not bend > 0.0:
                return None
            lag = min(
                LATEST_S, max(-0.2, lag + min(0.1, max(-0.1, (before - after) / (2.0 * _STEP_S) / bend)))
            )
        here, dof = left(lag)
        # At an even speed every lag fits alike, and what bends between the tries is the count's own steps.
        gained = left(0.0)[0] - here
        if here > min(left_by_each) or gained < _OF_A_PARABOLA * bend * lag**2 / 2.0:
            return None
    except NotDecidable:
        return None
    if dof < 10:
        return None
    u = CAREFUL * math.sqrt(2.0 * here / dof / bend)
    speed = abs(float(all_angle_rad[-1] - all_angle_rad[0])) / float(np.ptp(all_t_s))
    return Lag(lag, u, speed)
