"""What kind of gauge this was, told from its own readings: its step, its update rate, what it holds.

Knows nothing of turns or limits.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from analysis.capture import AngleSource, Bools, Capture, Floats, Samples

USUAL_TURNS = 3
"""So many are turned where nobody planned another number."""
_VALUES_TOGETHER = 80
_PLACES = 39
"""Values and places of all turns together that carry fifteen orders (``highest_order_together``)."""
FILLED_DEG = 12.0
"""A turn is filled when no gap between its places is wider."""
FILLED_IN_TURNS = 6
_ROUNDING_MM = 1e-10
_AT_ONCE = 1 << 18
_TELLS_A_GAUGE = 100_000
"""So many readings tell whether a gauge is slow: it is so from the first on."""


@dataclass(frozen=True)
class GaugeFacts:
    """The gauge as its readings show it."""

    rate_hz: float
    """New values a second."""
    resolution_mm: float
    """Smallest step between two different readings; 0 where none can be told."""
    held_fraction: float
    """Share of the samples that only repeat an old value."""
    max_rpm: float
    """Fastest turning at which the turns planned still carry fifteen orders, and at every slower speed; not a
    statement about danger."""
    lag_s: float | None = None
    """Delay of the gauge; None until two speeds or two directions have told it."""


def smallest_step_mm(reading_mm: Floats, stated_mm: float = 0.0) -> float:
    """Return the step of the readings: the smallest difference of which all differences are multiples.

    ``stated_mm`` is the step the device states; a coarser one is believed only when every reading obeys it.
    """
    values = _different(reading_mm, stated_mm)
    if len(values) < 2:
        return stated_mm
    gaps = np.diff(values)
    step = float(gaps[gaps > 1e-8].min()) if (gaps > 1e-8).any() else 0.0
    if step <= stated_mm * 1.001 or step == 0.0:
        return stated_mm
    ratio = gaps / step
    obeyed = bool(np.all(np.abs(ratio - np.round(ratio)) < 0.02))
    return step if obeyed and len(values) > 3 else stated_mm


def _different(reading_mm: Floats, stated_mm: float) -> Floats:
    """Return the different readings, rising; those of a gauge whose step is known need no sorting."""
    if not stated_mm > 0.0:
        return np.unique(np.round(reading_mm, 9))
    found: list[Floats] = [np.empty(0)]
    for start in range(0, len(reading_mm), _AT_ONCE):
        some = reading_mm[start : start + _AT_ONCE]
        steps = np.rint(some / stated_mm)
        lowest = float(steps.min())
        if steps.max() - lowest > _AT_ONCE or np.abs(some - steps * stated_mm).max() > _ROUNDING_MM:
            return np.unique(np.round(reading_mm, 9))
        occupied = np.flatnonzero(np.bincount((steps - lowest).astype(np.int64)))
        found.append(np.asarray(occupied + lowest, np.float64))
    return np.asarray(np.round(np.unique(np.concatenate(found)) * stated_mm, 9), np.float64)


def is_new_value(t_s: Floats, reading_mm: Floats, resolution_mm: float) -> Bools:
    """Tell new values from repeated ones where the device does not flag them.

    A slow gauge shows itself by changing only at long, even intervals; a coarse one also changes now and
    then in quick succession. Only in the first case are repeats taken for held values. Shape (n,).
    """
    everything = np.ones(len(reading_mm), bool)
    beginning = slice(_TELLS_A_GAUGE)
    if (
        len(reading_mm) > _TELLS_A_GAUGE
        and is_new_value(t_s[beginning], reading_mm[beginning], resolution_mm).all()
    ):
        return everything
    changed = np.flatnonzero(np.abs(np.diff(reading_mm)) > resolution_mm * 1e-6) + 1
    if len(changed) < 10:
        return everything
    between = np.diff(t_s[changed])
    typical = float(np.median(np.diff(t_s)))
    shortest = float(np.quantile(between, 0.05))
    if typical <= 0 or shortest < 3.0 * typical:
        return everything
    period = float(np.mean(between[between < 1.5 * shortest]))
    # Seen by samples, so many periods are off by up to one sample, and a slow gauge may itself be uneven.
    tolerance = max(1.05 * typical, min(2.05 * typical, 0.1 * period))
    periodic = np.mean(np.abs(between - np.round(between / period) * period) <= tolerance)
    if periodic < 0.9:
        return everything
    new = np.zeros(len(reading_mm), bool)
    new[0] = True
    new[changed] = True
    return new


def mark_held_values(capture: Capture) -> Capture:
    """Return the capture with held values told from new ones where nothing that sent them says which are."""
    s = capture.samples
    if not capture.timed or capture.angle_source is AngleSource.STOPS or len(s) == 0 or not s.new.all():
        return capture
    new = is_new_value(s.t_s, s.reading_mm, capture.resolution_mm)
    return capture if new.all() else replace(capture, samples=replace(s, new=new))


def wanted_values_per_turn(turns_planned: int | None) -> float:
    """Return how many new values each turn needs for the turns planned to carry fifteen orders together.

    A gauge in step with the turning sees its places of one turn on every turn: at so many values a turn, or
    more, there are enough of them even then.
    """
    return max(_VALUES_TOGETHER / (turns_planned or USUAL_TURNS), float(_PLACES))


def fastest_rpm(rate_hz: float, turns_planned: int | None) -> float:
    """Return the fastest turning, rpm, that a gauge of so many new values a second can follow."""
    return 60.0 * rate_hz / wanted_values_per_turn(turns_planned)


def gauge_facts(
    samples: Samples, stated_resolution_mm: float, turns_planned: int | None = None
) -> GaugeFacts:
    """Return rate, step and held share of the gauge over all samples given, and how fast it can follow."""
    counted = samples.new & ~samples.out_of_range
    fresh = slice(None) if counted.all() else counted
    gaps = np.diff(samples.t_s[fresh])
    gaps = gaps if not len(gaps) or gaps.min() > 0 else gaps[gaps > 0]
    rate = 1.0 / float(np.median(gaps, overwrite_input=True)) if len(gaps) else 0.0
    del gaps  # of an hour, as large as the times themselves
    return GaugeFacts(
        rate_hz=rate,
        resolution_mm=smallest_step_mm(samples.reading_mm[fresh], stated_resolution_mm),
        held_fraction=1.0 - float(np.mean(samples.new)) if len(samples) else 0.0,
        max_rpm=fastest_rpm(rate, turns_planned),
    )


@dataclass(frozen=True)
class Beat:
    """A gauge that keeps step with the turning and sees the same few places for ever."""

    places: int
    slower_rpm: int
    """Nearest slower whole speed at which six turns fill the turn."""
    faster_rpm: int


def beat_with_turning(rate_hz: float, rpm: float) -> Beat | None:
    """Return the beat of a gauge with the turning, None where six turns fill the turn to 12 degrees."""
    if rate_hz <= 0 or rpm <= 0 or _widest_gap_deg(rate_hz, rpm) <= FILLED_DEG:
        return None
    per_turn = 60.0 * rate_hz / rpm
    places = round(per_turn)
    if places < 1 or abs(per_turn - places) > 0.02 * per_turn:
        return None
    return Beat(places, _filling_rpm(rate_hz, rpm, -1), _filling_rpm(rate_hz, rpm, 1))


def _filling_rpm(rate_hz: float, rpm: float, direction: int) -> int:
    start = math.floor(rpm) if direction > 0 else math.ceil(rpm)
    for step in range(1, 61):
        tried = start + direction * step
        if tried < 1:
            break
        if _widest_gap_deg(rate_hz, tried) <= FILLED_DEG:
            return tried
    return max(1, round(fastest_rpm(rate_hz, None)))


def _widest_gap_deg(rate_hz: float, rpm: float) -> float:
    """Return the widest gap between the places that six turns of readings stand at."""
    step = 360.0 * rpm / (60.0 * rate_hz)
    around = np.sort(np.mod(np.arange(math.ceil(FILLED_IN_TURNS * 360.0 / step)) * step, 360.0))
    return float(np.max(np.diff(around, append=around[0] + 360.0)))
