"""What the checks look at, made from a fitted sweep the first time a check asks."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from analysis.capture import Capture
from analysis.checks import Deviation, Lobes, Turning
from analysis.diagnosis import (
    Bump,
    GaugeFacts,
    GaugeLag,
    Hysteresis,
    Jump,
    Slip,
    Standstill,
    find_jump,
    find_slip,
    find_standstills,
    play_from_going_back,
)
from analysis.numerics import on_grid
from analysis.sweep.fitting import FittedSweep
from analysis.sweep.lateness import TAU_MAX_S
from analysis.sweep.quantities import difference_between_turns_mm

_LOW_ORDERS = 5
"""Turns are compared in so few orders, which noise moves little."""
_JUMP_ORDERS = 15
_POINTS = 360


@dataclass(frozen=True)
class SweepEvidence:
    """The evidence of one fitted sweep. Lengths in mm."""

    fitted: FittedSweep
    reference_mm: float
    """The limit at the track, or the fitted TIR."""
    windows_left_out: int

    @property
    def capture(self) -> Capture:
        """The capture itself: link, pulses, events."""
        return self.fitted.capture

    @property
    def gauge(self) -> GaugeFacts:
        """The gauge as its readings show it."""
        return self.fitted.gauge_facts

    @property
    def few_places(self) -> bool:
        """True where so few places were read that faults of a stream cannot be looked for."""
        return self.fitted.few_places

    @property
    def turning(self) -> Turning:
        """The turns, and what of the part was seen in them."""
        pool = self.fitted.pool
        return Turning(
            self.fitted.turns,
            pool.other_direction,
            pool.refused,
            pool.places,
            pool.gap_deg,
            pool.orders_carried,
            self.windows_left_out,
        )

    @property
    def bumps(self) -> Sequence[Bump]:
        """Narrow bumps of the track."""
        return self.fitted.search.bumps

    @property
    def lobes(self) -> Lobes | None:
        """What there is above the highest order; None where no order above was looked for."""
        above, fit = self.fitted.above, self.fitted.fit
        if not math.isfinite(above.seen_mm):
            return None
        heights = tuple((n, 2.0 * float(fit.amplitude_mm[n - 1])) for n in above.orders)
        return Lobes(heights, 2.0 * above.seen_mm, above.looked_for, above.not_told)

    @property
    def lag(self) -> GaugeLag:
        """How late the gauge is."""
        return self.fitted.lag

    @cached_property
    def _noise_mm(self) -> float:
        return self.fitted.local_noise_mm

    @property
    def _values_per_turn(self) -> float:
        return max(self.fitted.pool.values_per_turn, 1.0)

    @cached_property
    def _drift_mm_per_turn(self) -> float | None:
        drift = self.fitted.fit.drift_mm_per_s
        turn_s = float(np.mean([turn.end_s - turn.start_s for turn in self.fitted.turns]))
        return None if drift is None else drift * turn_s

    @cached_property
    def closure(self) -> Deviation | None:
        """Reading back at the mark less the first one, a fitted drift taken off; None where not taken."""
        f = self.fitted
        if f.closure_mm is None:
            return None
        return Deviation(
            f.closure_mm - (self._drift_mm_per_turn or 0.0), self._noise_mm * f.closure_per_noise
        )

    @cached_property
    def drift_per_turn(self) -> Deviation | None:
        """Fitted drift over one turn; None where none was fitted."""
        drift, turns = self._drift_mm_per_turn, len(self.fitted.turns)
        noise = self._noise_mm * math.sqrt(12.0 / max(self.fitted.pool.number, 1)) / turns
        return None if drift is None else Deviation(drift, noise)

    @cached_property
    def repeat(self) -> Deviation:
        """Greatest difference between the curves of two turns."""
        f = self.fitted
        # Eleven coefficients of each of two turns: the standard deviation of their difference at one angle.
        noise = self._noise_mm * math.sqrt(2 * (1 + 2 * _LOW_ORDERS) / self._values_per_turn)
        if not f.plan.even_angles:
            # Bent sideways by uneven turning, curves differ where heights do not.
            return Deviation(float(np.ptp([turn.tir_fit_mm for turn in f.turns])), noise)
        low = np.array([_padded(turn.vectors_mm) for turn in f.turns])
        curves = on_grid(low.real, low.imag, _POINTS)
        return Deviation(difference_between_turns_mm(curves), noise)

    @cached_property
    def out_of_range_share(self) -> float:
        """Share of the turns' samples with the gauge beyond its range, 0 to 1."""
        turns = self.fitted.pool.counted_turns
        return sum(turn.out_of_range for turn in turns) / sum(turn.samples for turn in turns)

    @cached_property
    def standstills(self) -> Sequence[Standstill]:
        """Stretches of standstill, each held against what all the other readings say."""
        values = self.fitted.pool.values
        return find_standstills(
            values.angle_rad,
            values.reading_mm,
            self.fitted.detrended_mm,
            self.fitted.pool.turn,
            noise_mm=self._noise_mm,
            resolution_mm=self.gauge.resolution_mm,
        )

    @cached_property
    def jump(self) -> Jump | None:
        """A step in time that is not a step in angle."""
        values = self.fitted.pool.values
        return find_jump(
            values.angle_rad,
            values.reading_mm,
            values.t_s,
            orders=min(self.fitted.fit.highest_order, _JUMP_ORDERS),
            noise_mm=self._noise_mm,
            resolution_mm=self.gauge.resolution_mm,
        )

    @cached_property
    def hysteresis(self) -> Hysteresis | None:
        """What the ground passed twice tells of play, readings put back by a known lag."""
        f = self.fitted
        if not f.capture.timed:
            return None
        direction = f.turns[0].direction
        gone_back = f.pool.passed.segment.gone_back(direction)
        return play_from_going_back(gone_back, f.fit, direction=direction, noise_mm=self._noise_mm)

    @cached_property
    def slip(self) -> Slip | None:
        """Slip of encoder or coupling, which an index on the encoder's own disc cannot tell."""
        f = self.fitted
        if f.few_places or len(f.turns) < 2 or not f.capture.counts_per_turn or self.jump is not None:
            return None
        values, turn = f.pool.values, f.pool.turn
        found = find_slip(values.t_s, values.angle_rad, values.reading_mm, turn)
        if found is None or f.lag.found:
            return found
        # The start of a late gauge passes for a slip, and a turn cut short for another: both have to say it.
        late = values.t_s > self._under_way_s
        return find_slip(values.t_s[late], values.angle_rad[late], values.reading_mm[late], turn[late])

    @property
    def _under_way_s(self) -> float:
        """Time from which a gauge is late by one angle: until then a lag not found looks like a slip."""
        return self.fitted.pool.passed.segment.under_way_s + 2.0 * TAU_MAX_S


def _padded(vectors: NDArray[np.complex128]) -> NDArray[np.complex128]:
    """Return the low orders of a turn, those it does not carry as nothing."""
    low = np.zeros(_LOW_ORDERS, np.complex128)
    low[: min(len(vectors), _LOW_ORDERS)] = vectors[:_LOW_ORDERS]
    return low
