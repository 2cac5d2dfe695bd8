"""A late gauge: how late it is in this sweep, and its readings put back to where they were taken."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from analysis.capture import AngleSource, Capture, Samples, Turn
from analysis.diagnosis import GaugeLag, lag_from_speeds

TAU_MAX_S = 0.150
"""A digital indicator may be so late when nothing tells (common practice, no source)."""
TAU_MAX_OF_PROBE_S = 0.020
"""The same of an analogue probe."""


def turned_back(capture: Capture, lag_s: float) -> Capture:
    """Return the capture with every reading at the angle of so long before; its turns stay cut as counted.

    A reading whose angle of then is not known counts as none.
    """
    s = capture.samples
    if lag_s == 0.0 or not capture.angle_source.is_timed_turning or not capture.timed:
        return capture
    angle, new = s.angle_rad.copy(), s.new.copy()
    for segment in np.unique(s.segment):
        here = s.segment == segment
        then_s = s.t_s[here] - lag_s
        angle[here] = np.interp(then_s, s.t_s[here], s.angle_rad[here])
        new[here] &= (then_s >= s.t_s[here][0]) & (then_s <= s.t_s[here][-1])
    counted = s.angle_rad if capture.counted_rad is None else capture.counted_rad
    return replace(capture, samples=replace(s, angle_rad=angle, new=new), counted_rad=counted)


def lag_of_gauge(
    capture: Capture, turns: Sequence[Turn], values: Samples, highest_order: int, *, drift: bool
) -> GaugeLag:
    """Return how late the gauge is, told by speed changes, by the set-up, or by nothing.

    Parameters: the capture as counted, the turns put together and their values that count, what is fitted.
    """
    speed = mean_speed_rad_s(capture, turns)
    if speed == 0.0:
        return GaugeLag()
    delay = capture.setup.gauge_delay
    declared = None if delay is None else (delay.delay_s, delay.u_s)
    most_s = TAU_MAX_OF_PROBE_S if capture.is_probe else TAU_MAX_S
    if capture.angle_source is not AngleSource.ENCODER or len(turns) < 2:
        # One turn passes every place once: how late the gauge is and how the part is formed are then one.
        return GaugeLag.joined(None, declared, speed, most_s)
    # Told by the stretch that the turns lie in.
    s = capture.samples
    here, mine = (each.in_segment(int(values.segment[-1])) for each in (s, values))
    found = lag_from_speeds(
        s.t_s[here],
        s.angle_rad[here],
        values.t_s[mine],
        values.reading_mm[mine],
        highest_order=highest_order,
        drift=drift,
    )
    return GaugeLag.joined(found, declared, speed, most_s)


def mean_speed_rad_s(capture: Capture, turns: Sequence[Turn]) -> float:
    """Return the mean speed of the turns, signed; 0 where none is known or the part stood while it was read.

    Arrays of angles that no encoder is named for are believed as they are, unless a recording was exported.
    """
    counted = (
        capture.counts_per_turn
        or capture.angle_source is AngleSource.INDEX
        or capture.from_recording is not None
    )
    if not capture.timed or not capture.angle_source.is_timed_turning or not counted:
        return 0.0
    lasted_s = sum(turn.end_s - turn.start_s for turn in turns)
    return turns[0].direction * 2.0 * math.pi * len(turns) / lasted_s if lasted_s > 0.0 else 0.0
