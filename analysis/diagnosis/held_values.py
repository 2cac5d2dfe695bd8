"""Values that a slow gauge only holds, told from new ones where nothing that sent them says which are."""

from dataclasses import replace
from typing import ClassVar

import numpy as np

from analysis.capture import Bools, Floats, Samples, joined

_FEWEST_CHANGES = 10
_SLOW_FROM = 3.0
"""A gauge is slow whose values stay for so many samples at least."""


class HeldValues:
    """Marks held values as samples go by, in blocks of any size.

    A slow gauge is so from the first on: the beginning tells it, and is held back until it does. Where
    samples of the beginning are marked already, whatever sent them knows better. ``step_mm``: of the gauge;
    0 = not known.
    """

    TOLD_BY: ClassVar[int] = 100_000
    """So many readings, or all where there are fewer, tell whether a gauge is slow."""

    def __init__(self, step_mm: float) -> None:
        self._step_mm = step_mm
        self._waiting: list[Samples] = []
        self._slow: bool | None = None
        self._before_mm = float("nan")

    def feed(self, block: Samples) -> list[Samples]:
        """Take the next samples and return those of which it is known now."""
        if self._slow is not None:
            return [self._marked(block)]
        self._waiting.append(block)
        if block.new.all() and sum(map(len, self._waiting)) < self.TOLD_BY:
            return []
        return self.finish()

    def finish(self) -> list[Samples]:
        """Return what was held back: nothing more tells."""
        if not self._waiting:
            return []
        waiting, self._waiting = self._waiting, []
        first = joined(one.take(slice(0, self.TOLD_BY)) for one in waiting).take(slice(0, self.TOLD_BY))
        new = is_new_value(first.t_s, first.reading_mm, self._step_mm)
        self._slow = bool(first.new.all()) and not new.all()
        return [self._marked(one) for one in waiting]

    def _marked(self, block: Samples) -> Samples:
        if not self._slow or not len(block):
            return block
        # The first of all differs from no number, and so is new.
        new = ~(np.abs(np.diff(block.reading_mm, prepend=self._before_mm)) <= self._step_mm * 1e-6)
        self._before_mm = float(block.reading_mm[-1])
        return replace(block, new=block.new & new)


def is_new_value(t_s: Floats, reading_mm: Floats, step_mm: float) -> Bools:
    """Tell new values from repeated ones where the device does not flag them.

    A slow gauge shows itself by changing only at long, even intervals; a coarse one also changes now and
    then in quick succession. Only in the first case are repeats taken for held values. Shape (n,).
    """
    everything = np.ones(len(reading_mm), bool)
    changed = np.flatnonzero(np.abs(np.diff(reading_mm)) > step_mm * 1e-6) + 1
    if len(changed) < _FEWEST_CHANGES:
        return everything
    between = np.diff(t_s[changed])
    typical = float(np.median(np.diff(t_s)))
    shortest = float(np.quantile(between, 0.05))
    if typical <= 0 or shortest < _SLOW_FROM * typical:
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
