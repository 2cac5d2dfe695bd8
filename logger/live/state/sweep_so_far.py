"""What the analysis says of the turns so far, made beside the painting and never by it.

The same code as ``sweep``: what the screen shows is what the recording gives when it is read again.
"""

import math
from dataclasses import dataclass, field

import numpy as np

from analysis.capture import AngleSource, Bools, Capture, Floats, corrected_by_certificate, cut_turns
from analysis.diagnosis import GaugeLag
from analysis.errors import BadInput, NotDecidable
from analysis.harmonics import HarmonicFit, fit_harmonics
from analysis.numerics import extremes, on_grid
from analysis.results import SweepResult, TurnResult
from analysis.sweep import analyse, corrected_for_gauge

CURVE_POINTS = 360
CLEAR = 3.5
"""Standard uncertainties: noise alone gets so far in one order of five hundred."""


@dataclass(frozen=True, slots=True)
class FoundSpots:
    """Places on the part, degrees past the mark."""

    high_point_deg: float
    high_side_deg: float
    low_point_deg: float


@dataclass(frozen=True)
class SweepSoFar:
    """The newest analysis."""

    result: SweepResult | None
    problem: str
    """Why there is none; empty where there is."""
    lag: GaugeLag | None
    spots: FoundSpots | None
    """Where the spots are with the gauge's lag taken off; None where no lag is known."""
    agree_mm: float | None
    """Greatest difference between the curves of the last two turns; None before two."""
    last_turn: tuple[Floats, Floats] | None = field(default=None, repr=False)
    """Angles (rad) and readings (mm) of the last turn, where angles are known only now."""
    revision: int = 0
    """Of the state that it was made of."""


def analyse_so_far(capture: Capture) -> SweepSoFar:
    """Analyse a capture; what cannot be analysed comes back as words."""
    try:
        result = analyse(capture)
    except (BadInput, NotDecidable) as error:
        return SweepSoFar(None, str(error), None, None, None)
    lag, spots = _without_lag(capture, result)
    drawn = None if capture.angle_source is AngleSource.ENCODER else _last_turn(capture)
    return SweepSoFar(result, "", lag, spots, agreement_mm(result.turns), drawn)


def _last_turn(capture: Capture) -> tuple[Floats, Floats] | None:
    turns = cut_turns(capture.samples)
    if not turns:
        return None
    where = turns[-1].where
    return capture.samples.angle_rad[where], capture.samples.reading_mm[where]


def _without_lag(capture: Capture, result: SweepResult) -> tuple[GaugeLag | None, FoundSpots | None]:
    """Return the lag of the gauge, and the spots where the readings are put back to where they were taken."""
    found = result.lag
    if not found.known or found.lag_s <= 0.0:
        return None, None
    samples = corrected_for_gauge(corrected_by_certificate(capture)).samples
    direction = result.turns[0].direction
    turns = [turn for turn in cut_turns(samples) if turn.direction == direction]
    if not turns:
        return None, None
    newest = max(turn.segment for turn in turns)
    where = np.unique(np.concatenate([turn.where for turn in turns if turn.segment == newest]))
    fresh = where[samples.new[where] & ~samples.out_of_range[where]]
    course = np.flatnonzero(samples.segment == newest)
    angle = np.interp(samples.t_s[fresh] - found.lag_s, samples.t_s[course], samples.angle_rad[course])
    try:
        fit = fit_harmonics(angle, samples.reading_mm[fresh], highest_order=result.pooled.highest_order)
    except NotDecidable:
        return found, None
    clear = _clear_of_noise(fit)
    top = extremes(fit.cos_mm * clear, fit.sin_mm * clear)
    side = math.degrees(fit.high_place_rad(1))
    return found, FoundSpots(math.degrees(top.high_rad), side, math.degrees(top.low_rad))


def _clear_of_noise(fit: HarmonicFit) -> Bools:
    """Return which orders are clear of noise, shape (H,): the others only shake the top of a flat curve."""
    variance = np.diag(fit.covariance_mm2).reshape(-1, 2).mean(axis=1)
    clear = fit.amplitude_mm > CLEAR * np.sqrt(np.where(np.isfinite(variance), variance, np.inf))
    clear[0] = True
    return np.asarray(clear)


def agreement_mm(turns: tuple[TurnResult, ...]) -> float | None:
    """Return the greatest difference between the fitted curves of the last two turns."""
    if len(turns) < 2:
        return None
    a, b = turns[-2].vectors_mm, turns[-1].vectors_mm
    n = min(len(a), len(b))
    off = b[:n] - a[:n]
    return float(np.max(np.abs(on_grid(off.real, off.imag, CURVE_POINTS))))
