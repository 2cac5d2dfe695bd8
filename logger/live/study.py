"""What the analysis says of the turns so far, made beside the painting and never by it.

The same code as ``sweep``: what the screen shows is what the recording gives when it is read again.
"""

from dataclasses import dataclass

import numpy as np

from analysis.certificate import corrected_by_certificate
from analysis.errors import BadInput, NotDecidable
from analysis.extremes import on_grid
from analysis.lag import Lag, lag_from_speeds
from analysis.pooling import corrected_for_gauge
from analysis.results import SweepResult, TurnResult
from analysis.samples import Capture
from analysis.sweep import analyse
from analysis.turns import cut_turns

CURVE_POINTS = 360


@dataclass(frozen=True)
class Study:
    """The newest analysis."""

    result: SweepResult | None
    problem: str
    """Why there is none; empty where there is."""
    lag: Lag | None
    agree_mm: float | None
    """Greatest difference between the curves of the last two turns; None before two."""


def study(capture: Capture) -> Study:
    """Analyse a capture; what cannot be analysed comes back as words."""
    try:
        result = analyse(capture)
    except (BadInput, NotDecidable) as error:
        return Study(None, str(error), None, None)
    return Study(result, "", _lag(capture, result), agreement_mm(result.turns))


def _lag(capture: Capture, result: SweepResult) -> Lag | None:
    if not capture.timed or not result.turns:
        return None
    samples = corrected_for_gauge(corrected_by_certificate(capture)).samples
    way = result.turns[0].direction
    turns = [turn for turn in cut_turns(samples) if turn.direction == way]
    if not turns:
        return None
    newest = max(turn.segment for turn in turns)
    where = np.unique(np.concatenate([turn.where for turn in turns if turn.segment == newest]))
    fresh = where[samples.new[where] & ~samples.out_of_range[where]]
    course = np.flatnonzero(samples.segment == newest)
    found = lag_from_speeds(
        samples.t_s[course],
        samples.angle_rad[course],
        samples.t_s[fresh],
        samples.reading_mm[fresh],
        highest_order=result.pooled.highest_order,
        drift=len(result.turns) > 1,
    )
    return found if found is not None and found.known and found.lag_s > 0.0 else None


def agreement_mm(turns: tuple[TurnResult, ...]) -> float | None:
    """Return the greatest difference between the fitted curves of the last two turns."""
    if len(turns) < 2:
        return None
    a, b = turns[-2].vectors_mm, turns[-1].vectors_mm
    n = min(len(a), len(b))
    off = b[:n] - a[:n]
    return float(np.max(np.abs(on_grid(off.real, off.imag, CURVE_POINTS))))
