"""What the newest readings say: reading, angle, speed, high and low so far, the newest pass round the part.

Fed by the timer with what the ring holds; keeps a fixed amount whatever the length of the sweep, and hands
out a frozen ``LiveReading``.
"""

import math
from collections import deque

import numpy as np
from numpy.typing import NDArray

from analysis.capture import Floats
from analysis.measurands import push_pull_floats
from logger.decoding import counts_moved
from logger.live.state.pass_trace import PassTrace
from logger.live.state.reading import LiveReading
from logger.live.state.sample_ring import SampleBlock

SPEED_S = 0.6
BUTTON_STEP_MM = 0.2
"""No surface that a tip can follow moves so far from one value to the next."""
BUTTON_ZERO_MM = 0.004
THINNED_S = 0.04
"""Readings of a push and pull are kept no closer than this: a hold lasts many times as long."""
KEPT_S = 12.0
"""Readings kept for the 20-second check."""


class Readout:
    """The state of the newest readings."""

    def __init__(self) -> None:
        self.reading_mm: float | None = None
        self.angle_rad: float | None = None
        self.new_ns: int | None = None
        """When the newest NEW gauge value came, on the source's monotonic clock."""
        self.newest_ns = 0
        self.high: tuple[float, float] | None = None
        """(mm, degrees or NaN) of the highest reading since the last clearing."""
        self.low: tuple[float, float] | None = None
        self.pass_trace = PassTrace()
        self.epoch = -1
        self._new_t: deque[float] = deque(maxlen=22)
        self._course: deque[tuple[float, float]] = deque(maxlen=400)
        """Times and angles, where an angle is known."""
        self._counts: deque[tuple[float, float]] = deque(maxlen=400)
        """Times and counts, angle or not."""
        self._recent: deque[tuple[Floats, Floats]] = deque()
        self._thinned: deque[tuple[int, float, float]] = deque(maxlen=4000)
        """When heard, time and reading, thinned out: what a shaft is pushed and pulled in."""
        self._before_mm: float | None = None
        self._jump = ""

        self._handed_out: LiveReading | None = None
        """What was handed out last, until something changes."""

    def reading(self) -> LiveReading:
        """Return what is known now; the same value again while nothing changes."""
        if self._handed_out is None:
            low, high = self.pass_trace.drawn()
            self._handed_out = LiveReading(
                reading_mm=self.reading_mm,
                angle_rad=self.angle_rad,
                new_ns=self.new_ns,
                newest_ns=self.newest_ns,
                period_s=self._period_s(),
                counts_per_s=_speed(self._counts),
                counts_moved=self._moved(),
                speed_rad_s=_speed(self._course),
                newest_speed_rad_s=self._newest_speed(),
                high=self.high,
                low=self.low,
                direction=self.pass_trace.direction,
                pass_low=low,
                pass_high=high,
                missing_deg=tuple(self.pass_trace.missing()),
            )
        return self._handed_out

    def take(self, block: SampleBlock) -> None:
        """Take what the ring held."""
        self._handed_out = None if len(block) else self._handed_out
        for epoch in np.unique(block.epoch).tolist():
            self._take(epoch, block, block.epoch == epoch)

    def _take(
        self, epoch: int, block: SampleBlock, where: "np.ndarray[tuple[int], np.dtype[np.bool_]]"
    ) -> None:
        if epoch != self.epoch:
            self.epoch = epoch
            self.pass_trace.clear()
            self.high = self.low = None
            self._new_t.clear()
            self._course.clear()
            self._counts.clear()
            self._recent.clear()
            self._thinned.clear()
        t_s, angle, reading = block.t_s[where], block.angle_rad[where], block.reading_mm[where]
        new, host = block.new[where], block.host_ns[where]
        self.newest_ns = int(host[-1])
        self.reading_mm = float(reading[-1])
        self.angle_rad = float(angle[-1]) if math.isfinite(angle[-1]) else None
        _go_on(self._course, t_s, angle)
        _go_on(self._counts, t_s, block.count[where])
        if not new.any():
            return
        self.new_ns = int(host[new][-1])
        self._new_t.extend(t_s[new][-22:].tolist())
        self._recent.append((t_s[new], reading[new]))
        while self._recent and float(self._recent[0][0][-1]) < float(t_s[-1]) - KEPT_S:
            self._recent.popleft()
        self._thin_out(host[new], t_s[new], reading[new])
        self.pass_trace.add(angle[new], reading[new])
        self._ends(angle[new], reading[new])
        self._look_for_buttons(reading[new])

    def _thin_out(self, host: NDArray[np.int64], t_s: Floats, reading: Floats) -> None:
        last_s = self._thinned[-1][1] if self._thinned else -math.inf
        for heard, at_s, mm in zip(host.tolist(), t_s.tolist(), reading.tolist(), strict=True):
            if at_s - last_s >= THINNED_S:
                self._thinned.append((heard, at_s, mm))
                last_s = at_s

    def floats_since(self, since_ns: int, step_mm: float) -> int:
        """Return how often a shaft that is pushed and pulled went from one hold to the next."""
        kept = [(at_s, mm) for heard, at_s, mm in self._thinned if heard >= since_ns]
        t_s, reading = np.array(kept).reshape(-1, 2).T
        return len(push_pull_floats(t_s, reading, step_mm))

    def _look_for_buttons(self, reading: Floats) -> None:
        """Tell the indicator's own buttons: a change of unit, or a jump to zero, between two values."""
        row = reading if self._before_mm is None else np.concatenate([[self._before_mm], reading])
        self._before_mm = float(reading[-1])
        before, after = row[:-1], row[1:]
        jumped = np.abs(after - before) > BUTTON_STEP_MM
        if not jumped.any():
            return
        with np.errstate(divide="ignore", invalid="ignore"):
            ratio = np.abs(after / before)
        unit = jumped & ((np.abs(ratio / 25.4 - 1) < 0.03) | (np.abs(ratio * 25.4 - 1) < 0.03))
        zero = jumped & (np.abs(after) < BUTTON_ZERO_MM)
        if unit.any():
            self._jump = "somebody pressed in/mm on the indicator"
        elif zero.any():
            self._jump = "somebody pressed zero on the indicator"

    def _ends(self, angle: Floats, reading: Floats) -> None:
        top, bottom = int(np.argmax(reading)), int(np.argmin(reading))
        if self.high is None or reading[top] > self.high[0]:
            self.high = (float(reading[top]), math.degrees(float(angle[top])) % 360.0)
        if self.low is None or reading[bottom] < self.low[0]:
            self.low = (float(reading[bottom]), math.degrees(float(angle[bottom])) % 360.0)

    def take_jump(self) -> str:
        """Return what a jump of the reading looked like, once; empty where there was none."""
        jump, self._jump = self._jump, ""
        return jump

    def draw_turn(self, angle_rad: Floats, reading_mm: Floats) -> None:
        """Draw a whole turn whose angles are known only now that it has ended."""
        self._handed_out = None
        self.pass_trace.clear()
        self.pass_trace.add(angle_rad, reading_mm)
        self.high = self.low = None
        self._ends(angle_rad, reading_mm)

    def draw_stop(self, deg: float, reading_mm: float) -> None:
        """Draw one reading taken standing."""
        self._handed_out = None
        self.pass_trace.put(deg, reading_mm)

    def clear_pass(self) -> None:
        """Forget the newest pass."""
        self._handed_out = None
        self.pass_trace.clear()

    def set_extremes(self, high: tuple[float, float] | None, low: tuple[float, float] | None) -> None:
        """Let high and low so far be these; None begins them anew."""
        self._handed_out = None
        self.high, self.low = high, low

    def await_reading(self) -> None:
        """The board was away: its newest value is one that comes from now on."""
        self._handed_out = None
        self.new_ns = None

    def _period_s(self) -> float | None:
        if len(self._new_t) < 2:
            return None
        steps = np.diff(np.array(self._new_t))
        steps = steps[steps > 0]
        return float(np.median(steps)) if len(steps) else None

    def _moved(self) -> float | None:
        t_s, counts = zip(*self._counts, strict=True) if self._counts else ((), ())
        return counts_moved(t_s, counts)

    def _newest_speed(self) -> float:
        if len(self._course) < 2:
            return 0.0
        (t0, a0), (t1, a1) = self._course[-2], self._course[-1]
        return (a1 - a0) / (t1 - t0) if t1 > t0 else 0.0

    def recent(self, seconds: float) -> tuple[Floats, Floats]:
        """Return times and readings of the new values of the last seconds, shape (n,) each."""
        if not self._recent:
            return np.empty(0), np.empty(0)
        t_s = np.concatenate([t for t, _ in self._recent])
        reading = np.concatenate([r for _, r in self._recent])
        inside = t_s > t_s[-1] - seconds
        return t_s[inside], reading[inside]


def _go_on(course: deque[tuple[float, float]], t_s: Floats, values: Floats) -> None:
    """Add the known ones of these values, thinned out where many came at once."""
    known = np.isfinite(values)
    t_s, values = t_s[known], values[known]
    if not len(t_s):
        return
    thinned = np.unique(np.r_[0 : len(t_s) : max(1, len(t_s) // 8), len(t_s) - 1])
    course.extend(zip(t_s[thinned].tolist(), values[thinned].tolist(), strict=True))


def _speed(course: deque[tuple[float, float]]) -> float | None:
    """Return by how much a second the values have grown over the newest moment; None where nothing tells."""
    if len(course) < 2:
        return None
    end_t, end = course[-1]
    start_t, start = course[0]
    for t, value in reversed(course):
        start_t, start = t, value
        if end_t - t >= SPEED_S:
            break
    return (end - start) / (end_t - start_t) if end_t > start_t else None
