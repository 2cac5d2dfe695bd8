"""Readings handed over at the bare counts of an encoder of few counts, told from readings at stops.

Many readings at one angle were taken standing there, or while the part turned through the count. They say it
themselves: in turning they go on, from the first of a count to the last, the way they go from count to count.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.angle.between_counts import FEW_COUNTS, U_COUNTS, angles_between_counts
from analysis.capture import AngleSource, Capture, Floats

_FEWEST_AT_ONE = 1.5
"""Up to so many readings at one angle are stops, or a slow gauge."""
_STREAM_FROM = 5.0
"""So many at each angle, or all evenly in time, come from a gauge that was read without a pause."""
_U_TOLD = 0.25
"""0 is standing and 1 is turning: with a larger standard uncertainty neither is told."""
_OFF_GRID = 0.02
_LOOKED_AT = 4096
NOT_TOLD = (
    "readings stand at the {counts:g} angles of an encoder, {each:.0f} or so at each: they do not tell "
    "whether the part stood or turned there; hand over angles told between the counts, or one reading a stop"
)


@dataclass(frozen=True)
class _Stair:
    counts_per_turn: int
    count: Floats
    """Whole counts of each reading."""
    zero_rad: float
    """Angle handed over for count 0."""
    start: NDArray[np.intp]
    """Where each stretch of readings at one count begins."""

    @property
    def each(self) -> float:
        """Readings at one count, on the mean."""
        return len(self.count) / len(self.start)


def told_between_counts(capture: Capture) -> Capture:
    """Return a capture with angles told between the counts, where it came as a stair read in turning.

    Others come back as they are; where nothing tells turning from standing, the reason is put to ``broken``.
    An angle that was handed over stands for the middle of its count, since a mark stands anywhere within
    its own. Turns stay cut as counted. Own derivation.
    """
    stair = _stair_of(capture)
    if stair is None:
        return capture
    s = capture.samples
    turning, u = _share_of_turning(s.t_s, s.reading_mm, stair)
    if u > _U_TOLD:
        if not (_without_pause(s.t_s, stair) if capture.timed else stair.each >= _STREAM_FROM):
            return capture
        why = NOT_TOLD.format(counts=stair.counts_per_turn, each=stair.each)
        return replace(capture, broken=(*capture.broken, why))
    if turning < 0.5:
        return capture
    step = 2.0 * math.pi / stair.counts_per_turn
    count = np.full(len(s), np.nan)
    for segment in np.unique(s.segment):
        here = s.segment == segment
        count[here] = angles_between_counts(
            s.t_s[here], stair.count[here], stair.counts_per_turn, to_the_ends=True
        )
    known = np.isfinite(count)
    samples = replace(s, angle_rad=(count - 0.5) * step + stair.zero_rad, counted_rad=s.angle_rad)
    return replace(
        capture,
        samples=samples.take(known),
        counts_per_turn=float(stair.counts_per_turn),
        between_counts=True,
        u_angle_rad=math.hypot(capture.u_angle_rad, U_COUNTS * step),
    )


def _stair_of(capture: Capture) -> _Stair | None:
    """Return the stair that the angles are, None where they are none."""
    if (
        capture.angle_source is not AngleSource.ENCODER
        or capture.between_counts
        or capture.counts_per_turn >= FEW_COUNTS
    ):
        return None
    angle = capture.samples.angle_rad
    steps = np.abs(np.diff(angle[:_LOOKED_AT]))
    changes = steps[steps > 1e-9]
    if not len(changes) or len(steps) < _FEWEST_AT_ONE * len(changes):
        return None
    counts = round(2.0 * math.pi / float(changes.min()))
    if not 3 <= counts < FEW_COUNTS:
        return None
    step = 2.0 * math.pi / counts
    zero = float(angle[0] - step * np.rint(angle[0] / step))
    exact = (angle - zero) / step
    count = np.rint(exact)
    if float(np.max(np.abs(exact - count))) > _OFF_GRID:
        return None
    start = np.flatnonzero(np.diff(count, prepend=np.nan) != 0.0)
    if len(start) < 4 or len(count) < _FEWEST_AT_ONE * len(start):
        return None
    return _Stair(counts, count, zero, start)


def _share_of_turning(t_s: Floats, reading_mm: Floats, stair: _Stair) -> tuple[float, float]:
    """Return by how much readings go on within a count as they do from count to count, with its u.

    0 where the part stood, 1 where it turned evenly.
    """
    start = stair.start
    number = np.diff(start, append=len(t_s))
    mean = np.add.reduceat(reading_mm, start) / number
    onward = np.diff(stair.count[start])
    # A count with another one on either side, passed the same way.
    inner = np.flatnonzero((onward[:-1] == onward[1:]) & (number[1:-1] > 1)) + 1
    slope = np.zeros(len(start))
    slope[inner] = (mean[inner + 1] - mean[inner - 1]) / 2.0
    of = np.repeat(np.arange(len(start)), number)
    first, last = t_s[start], t_s[start + number - 1]
    lasted = (last - first) * number / np.maximum(number - 1, 1)
    place = (t_s - (first + last)[of] / 2.0) / np.where(lasted > 0.0, lasted, 1.0)[of]
    used = np.isin(of, inner)
    expected, off = (slope[of] * place)[used], (reading_mm - mean[of])[used]
    power, dof = float(expected @ expected), len(off) - len(inner) - 1
    if dof < 1 or power <= 0.0:
        return 0.0, math.inf
    share = float(expected @ off) / power
    left = off - share * expected
    return share, math.sqrt(max(float(left @ left), 1e-30) / dof / power)


def _without_pause(t_s: Floats, stair: _Stair) -> bool:
    """Return whether readings come as evenly where the count changes as within it."""
    at_change = np.zeros(len(t_s) - 1, bool)
    at_change[stair.start[1:] - 1] = True
    steps = np.diff(t_s)
    return float(np.median(steps[at_change])) <= 1.5 * float(np.median(steps[~at_change]))
