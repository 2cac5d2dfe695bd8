"""A late gauge: how late it is in this sweep, and its readings put back to where they were taken."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from analysis.capture import AngleSource, Capture, Samples, Turn, joined
from analysis.diagnosis import GaugeLag, lag_from_speeds
from analysis.sweep.travelled_segment import TravelledPath

TAU_MAX_S = 0.150
"""A digital indicator may be so late when nothing tells (common practice, no source)."""
_TURNED_BY_S = 1.0
"""By so much the angles of before are kept for longer: clocks tremble."""
TAU_MAX_OF_PROBE_S = 0.020
"""The same of an analogue probe."""


def turned_back(capture: Capture, lag_s: float) -> Capture:
    """Return the capture with every reading at the angle of so long before; its turns stay cut as counted.

    A reading whose angle of then is not known counts as none.
    """
    if lag_s == 0.0 or not capture.angle_source.is_timed_turning or not capture.timed:
        return capture
    before = ReadingsOfBefore(lag_s)
    blocks = [put_back for one in capture.samples.in_segments() for put_back in before.feed(one)]
    return replace(capture, samples=joined([*blocks, *before.finish()]))


class ReadingsOfBefore:
    """Puts every reading to the angle of so long before, as samples go by, one stretch in each block.

    Angles as they were counted stay beside. A reading whose angle of then is not known counts as none.
    """

    def __init__(self, lag_s: float) -> None:
        self._lag_s = lag_s
        self._segment: int | None = None
        self._begun_s = 0.0
        """Time of the first sample of the stretch."""
        self._path: list[Samples] = []
        """The samples among which the angles of those to come lie."""
        self._waiting: list[Samples] = []
        """Samples whose angle lies ahead of all that have come: of a gauge that is early."""

    def feed(self, block: Samples) -> list[Samples]:
        """Take the next samples and return those whose angle is known."""
        done: list[Samples] = []
        if int(block.segment[0]) != self._segment:
            done = self.finish()
            self._segment, self._begun_s = int(block.segment[0]), float(block.t_s[0])
        self._path.append(block)
        self._waiting.append(block)
        if float(block.t_s[-1]) < self._begun_s:
            return done  # a clock that ran backwards tells nothing
        some = joined(self._waiting)
        ready = int(np.searchsorted(some.t_s - self._lag_s, some.t_s[-1], side="right"))
        self._waiting = [some.take(slice(ready, None))] if ready < len(some) else []
        done += self._put_back(some.take(slice(0, ready)))
        self._forget(float(some.t_s[min(ready, len(some) - 1)]))
        return done

    def finish(self) -> list[Samples]:
        """Return what waits for angles that do not come any more."""
        done = self._put_back(joined(self._waiting)) if self._waiting else []
        self._path, self._waiting = [], []
        return done

    def _put_back(self, samples: Samples) -> list[Samples]:
        if not len(samples):
            return []
        t_s = np.concatenate([one.t_s for one in self._path])
        angle_rad = np.concatenate([one.angle_rad for one in self._path])
        then_s = samples.t_s - self._lag_s
        known = (then_s >= self._begun_s) & (then_s <= t_s[-1])
        back = replace(
            samples,
            angle_rad=np.interp(then_s, t_s, angle_rad),
            new=samples.new & known,
            counted_rad=samples.cut_by_rad,
        )
        return [back]

    def _forget(self, next_s: float) -> None:
        """Let go of what no sample from this time on can stand beside."""
        while len(self._path) > 1 and float(self._path[1].t_s[0]) < next_s - self._lag_s - _TURNED_BY_S:
            del self._path[0]


def lag_of_gauge(
    capture: Capture,
    turns: Sequence[Turn],
    values: Samples,
    path: TravelledPath,
    highest_order: int,
    *,
    drift: bool,
) -> GaugeLag:
    """Return how late the gauge is, told by speed changes, by the set-up, or by nothing.

    Parameters: what is known of the sweep, the turns put together, their values that count, the path on which
    they lie, all as counted, and what is fitted.
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
    t_s, angle_rad = path.columns()
    mine = values.in_segment(int(values.segment[-1]))
    stairs = capture.counts_per_turn and not capture.between_counts
    found = lag_from_speeds(
        t_s, angle_rad, values.t_s[mine], values.reading_mm[mine], highest_order=highest_order, drift=drift,
        count_rad=2.0 * math.pi / capture.counts_per_turn if stairs else 0.0,
    )  # fmt: skip
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
