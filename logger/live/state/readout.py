"""What the newest readings say: reading, angle, speed, high and low so far, and whether the gauge speaks.

Fed by the timer with what the ring holds; keeps a fixed amount whatever the length of the sweep.
"""

import math
from collections import deque

import numpy as np

from analysis.capture import Floats
from logger.live.state.pass_trace import PassTrace
from logger.live.state.sample_ring import SampleBlock

LEAST_SILENCE_S = 0.5
PERIODS = 3.0
UNKNOWN_PERIOD_S = 2.0
"""Allowed before two values have told the gauge's own period."""
SPEED_S = 0.6
BUTTON_STEP_MM = 0.2
"""No surface that a tip can follow moves so far from one value to the next."""
BUTTON_ZERO_MM = 0.004
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
        self._recent: deque[tuple[Floats, Floats]] = deque()
        self._before_mm: float | None = None
        self.jump = ""
        """What a jump of the reading looks like, until somebody reads it; empty while there was none."""

    def take(self, block: SampleBlock) -> None:
        """Take what the ring held."""
        for epoch in np.unique(block.epoch).tolist():
            self._take(epoch, block, block.epoch == epoch)

    def _take(
        self, epoch: int, block: SampleBlock, where: "np.ndarray[tuple[int], np.dtype[np.bool_]]"
    ) -> None:
        if epoch != self.epoch:
            self.epoch = epoch
            self.pass_trace.clear()
            self.clear_ends()
            self._new_t.clear()
            self._course.clear()
            self._recent.clear()
        t_s, angle, reading = block.t_s[where], block.angle_rad[where], block.reading_mm[where]
        new, host = block.new[where], block.host_ns[where]
        self.newest_ns = int(host[-1])
        self.reading_mm = float(reading[-1])
        self.angle_rad = float(angle[-1]) if math.isfinite(angle[-1]) else None
        if self.angle_rad is not None:
            step = max(1, len(t_s) // 8)
            self._course.extend(zip(t_s[::step].tolist(), angle[::step].tolist(), strict=True))
            self._course.append((float(t_s[-1]), self.angle_rad))
        if not new.any():
            return
        self.new_ns = int(host[new][-1])
        self._new_t.extend(t_s[new][-22:].tolist())
        self._recent.append((t_s[new], reading[new]))
        while self._recent and float(self._recent[0][0][-1]) < float(t_s[-1]) - KEPT_S:
            self._recent.popleft()
        self.pass_trace.add(angle[new], reading[new])
        self._ends(angle[new], reading[new])
        self._look_for_buttons(reading[new])

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
            self.jump = "somebody pressed in/mm on the indicator"
        elif zero.any():
            self.jump = "somebody pressed zero on the indicator"

    def _ends(self, angle: Floats, reading: Floats) -> None:
        top, bottom = int(np.argmax(reading)), int(np.argmin(reading))
        if self.high is None or reading[top] > self.high[0]:
            self.high = (float(reading[top]), math.degrees(float(angle[top])) % 360.0)
        if self.low is None or reading[bottom] < self.low[0]:
            self.low = (float(reading[bottom]), math.degrees(float(angle[bottom])) % 360.0)

    def redraw(self, angle_rad: Floats, reading_mm: Floats) -> None:
        """Draw a whole turn whose angles are known only now that it has ended."""
        self.pass_trace.clear()
        self.pass_trace.add(angle_rad, reading_mm)
        self.clear_ends()
        self._ends(angle_rad, reading_mm)

    def clear_ends(self) -> None:
        """Begin high and low so far anew."""
        self.high = self.low = None

    @property
    def period_s(self) -> float | None:
        """The gauge's own period, from its newest values; None before two of them."""
        if len(self._new_t) < 2:
            return None
        steps = np.diff(np.array(self._new_t))
        steps = steps[steps > 0]
        return float(np.median(steps)) if len(steps) else None

    def silent(self, now_ns: int) -> bool:
        """Tell whether no NEW value came for the longer of 0.5 s and three of the gauge's own periods."""
        if self.new_ns is None:
            return True
        period = self.period_s
        allowed = UNKNOWN_PERIOD_S if period is None else max(LEAST_SILENCE_S, PERIODS * period)
        return (now_ns - self.new_ns) * 1e-9 > allowed

    @property
    def speed_rad_s(self) -> float:
        """Speed over the newest moment; 0 while it stands or nothing tells."""
        if len(self._course) < 2:
            return 0.0
        end_t, end_angle = self._course[-1]
        start_t, start_angle = self._course[0]
        for t, angle in reversed(self._course):
            start_t, start_angle = t, angle
            if end_t - t >= SPEED_S:
                break
        return (end_angle - start_angle) / (end_t - start_t) if end_t > start_t else 0.0

    def angle_now_rad(self, now_ns: int) -> float | None:
        """Return the angle carried on over the reading's own age, at most 0.15 s."""
        if self.angle_rad is None:
            return None
        age_s = min(0.15, max(0.0, (now_ns - self.newest_ns) * 1e-9))
        return self.angle_rad + self._newest_speed() * age_s

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
