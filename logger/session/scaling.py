"""From a board's integers to millimetres, radians and seconds, against the mark.

The angle of a sample is (count - count at the mark) x 2 pi / counts per turn x sense. The mark is the newest
one on the wanted side; samples before the first use the first, within one boot. Knows nothing of frames.
"""

import math
from collections.abc import Mapping, Sequence
from copy import copy
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from analysis.capture import Floats, IndexPulses, Samples, joined
from analysis.setup import MarkKind, Setup
from logger.decoding import BootSamples
from logger.wire.messages import Channel

NM_PER_MM = 1e6
NO_ANGLE_AFTER_RESTART = "nothing after the restart has an angle: no mark was touched since"
TOUCHED_ELSEWHERE = "the mark was touched again at another angle: turns are counted from the newest"


@dataclass(frozen=True)
class Zeroed:
    """What is to be said of samples with their angles."""

    turned_rad: float
    """From the lowest angle to the highest."""
    index: IndexPulses
    marked: bool
    remarks: tuple[str, ...]


def mm_per_raw(channel: Channel) -> float:
    """Return the signed length of one raw step of a channel in mm; positive = surface toward the gauge."""
    step = channel.scale_num / channel.scale_den / NM_PER_MM
    return -step if channel.sign else step


def readings_mm(boot: BootSamples, channel: Channel, start: int = 0) -> Floats:
    """Return the readings of a boot from its sample ``start`` on in mm, each by what held when it was taken.

    NaN where the channel said meanwhile that it measures no length. ``channel`` is the one chosen. Shape
    (n,).
    """
    said = boot.descriptions(channel.channel)
    if len(said) < 2:
        return np.asarray(boot.value.view(start) * mm_per_raw(said[0][1] if said else channel))
    scales = {at: mm_per_raw(one) if one.is_length else math.nan for at, one in said}
    return np.asarray(boot.value.view(start) * _from_there_on(scales, start, len(boot)))


def range_mm(channel: Channel) -> tuple[float, float]:
    """Return the lowest and highest reading a channel can give, in mm."""
    ends = sorted((channel.raw_min * mm_per_raw(channel), channel.raw_max * mm_per_raw(channel)))
    return ends[0], ends[1]


def zero_at_mark(
    boots: Sequence[BootSamples],
    channel: Channel,
    counts_per_turn: float,
    setup: Setup,
    *,
    newest_from: int | None = None,
    last: bool = False,
) -> tuple[Samples, Zeroed]:
    """Return all samples whose angle can be told, each boot zeroed at its marks, and what goes with them.

    The first boot may do without a mark: count 0 stands for it. A later one (after a restart the board
    counts from 0 at an unknown angle) is left out until a mark of its own, with a remark. ``newest_from``
    leaves everything out but the newest boot from that sample on, for a look at the turn just ended.
    ``last``: counts and values are given up as they become numbers, for nobody will ask for them again.
    """
    blocks: list[Samples] = []
    pulses: list[IndexPulses] = []
    remarks: list[str] = []
    segment, marked = 0, False
    first = next((boot for boot in boots if len(boot)), None)
    for number, boot in enumerate(boots):
        start = newest_from or 0
        if len(boot) <= start or (newest_from is not None and number < len(boots) - 1):
            continue
        marks = marks_in_force(boot, setup)
        if not marks and number:
            remarks.append(NO_ANGLE_AFTER_RESTART)
            continue
        marked |= bool(marks)
        zeroed = ZeroedBoot(boot, first or boot, channel, counts_per_turn, setup, segment, start)
        blocks.append(zeroed.samples(start, len(boot), last=last))
        pulses.append(zeroed.pulses())
        segment = zeroed.next_segment(len(boot))
    if marked and any(is_touched_elsewhere(boot, setup, counts_per_turn) for boot in boots):
        remarks.append(TOUCHED_ELSEWHERE)
    samples = joined(blocks)
    turned_rad = float(np.ptp(samples.angle_rad)) if len(samples) else 0.0
    return samples, Zeroed(turned_rad, join_pulses(pulses), marked, tuple(remarks))


class NeedsWholeSweep(Exception):
    """The angles of this sweep cannot be told before all of it has come."""


class ZeroedBoot:
    """The samples of one boot against its marks, in stretches numbered from ``segment`` on.

    They are asked for in order from ``start`` on. A mark that is touched before they are holds for what comes
    after it; one that changes what was told before raises NeedsWholeSweep.
    """

    def __init__(
        self,
        boot: BootSamples,
        first: BootSamples,
        channel: Channel,
        counts_per_turn: float,
        setup: Setup,
        segment: int,
        start: int = 0,
    ) -> None:
        self._boot, self._channel, self._setup = boot, channel, setup
        self._counts_per_turn = counts_per_turn
        self._per_count = 2.0 * math.pi / counts_per_turn * setup.sense if counts_per_turn else 0.0
        self._origin_us = boot.zero_us(first)
        self._segment, self._start = segment, start
        self._zeros: list[float] = []
        """Count at angle 0 by which each index pulse so far is told."""
        self._segments: list[int] = []
        """Stretch of each."""
        self._told_by: dict[int, float] | None = None
        """From which sample on which count was angle 0 for those given."""
        self._newest: tuple[float, int] | None = None
        """The same of the newest sample."""

    def samples(self, start: int, stop: int, *, last: bool = False) -> Samples:
        """Return the samples from number ``start`` to ``stop``; ``last``: their columns are given up."""
        boot, n = self._boot, stop - start
        zero_from, breaks = self._zero_from_and_breaks()
        before = {at: zero for at, zero in zero_from.items() if at < start}
        if self._told_by is not None and self._told_by != before:
            raise NeedsWholeSweep  # a mark says now that what was told is not so
        self._told_by = {at: zero for at, zero in zero_from.items() if at < stop}
        zeros = _from_there_on(zero_from, start, stop)
        t_s = boot.t_us.view(start)[:n].astype(np.float64)
        t_s -= self._origin_us
        t_s *= 1e-6
        angle_rad = boot.count.view(start)[:n].astype(np.float64)
        angle_rad -= zeros
        angle_rad *= self._per_count
        if last:
            boot.count.clear()
        edges = [start, *(at for at in breaks if start < at < stop), stop]
        numbers = self._segment + np.searchsorted(breaks, edges[:-1], side="right")
        segments = np.repeat(numbers.astype(np.int16), np.diff(edges))
        reading = readings_mm(boot, self._channel, start)[:n]
        if last:
            boot.value.clear()
        self._tell_pulses(t_s, zeros, segments)
        known = np.isfinite(reading)
        samples = Samples(
            t_s, angle_rad, reading, ~boot.held(start)[:n], boot.out_of_range(start)[:n], segments
        )
        return samples if known.all() else samples.take(known)

    def copied(self) -> "ZeroedBoot":
        """Return one that can be asked for more samples without this one hearing of it."""
        other = copy(self)
        other._zeros, other._segments = list(self._zeros), list(self._segments)
        return other

    def next_segment(self, stop: int) -> int:
        """Return the number of the first stretch after those up to sample ``stop``."""
        _, breaks = self._zero_from_and_breaks()
        return self._segment + sum(at < stop for at in breaks) + 1

    def pulses(self) -> IndexPulses:
        """Return the index pulses that came among the samples asked for, or behind the last of them."""
        pulses = self._boot.pulses
        if not pulses or self._newest is None:
            return IndexPulses.none()
        behind = len(pulses) - len(self._zeros)
        zeros = np.array(self._zeros + [self._newest[0]] * behind)
        segments = np.array(self._segments + [self._newest[1]] * behind, np.int16)
        at = np.array([(pulse.t_us - self._origin_us) * 1e-6 for pulse in pulses])
        counts = np.array([pulse.count for pulse in pulses], float)
        turns = np.array([pulse.turns for pulse in pulses], np.int64)
        # ``turns`` is a running total: one more than before is a passing forward.
        steps = np.sign(np.diff(turns, prepend=turns[0] - np.sign(turns[0] or 1)))
        direction = (steps * (np.sign(self._per_count) if self._per_count else 1.0)).astype(np.int8)
        return IndexPulses(at, (counts - zeros) * self._per_count, direction, segments)

    def _zero_from_and_breaks(self) -> tuple[dict[int, float], list[int]]:
        """Return from which sample on which zero holds, and where another stretch begins."""
        marks = marks_in_force(self._boot, self._setup) or [(0, 0)]
        zero_from = _zero_from(marks, self._counts_per_turn)
        # Another mark or another scale: a turn never spans the two.
        rescaled = (at for at, _ in self._boot.descriptions(self._channel.channel))
        return zero_from, sorted({at for at in (*_changes(zero_from), *rescaled) if at > self._start})

    def _tell_pulses(self, t_s: Floats, zeros: Floats, segments: NDArray[np.int16]) -> None:
        """Note by which zero each pulse is told: by the one in force when it passed."""
        for pulse in self._boot.pulses[len(self._zeros) :]:
            at = int(np.searchsorted(t_s, (pulse.t_us - self._origin_us) * 1e-6))
            if at < len(t_s):
                self._zeros.append(float(zeros[at]))
                self._segments.append(int(segments[at]))
                continue
            break
        if len(t_s):
            self._newest = (float(zeros[-1]), int(segments[-1]))


def count_at_zero(
    boot: BootSamples, setup: Setup, counts_per_turn: float, *, first_boot: bool
) -> float | None:
    """Return the count that stands for angle 0 now; None after a restart until a mark is touched."""
    marks = marks_in_force(boot, setup)
    if not marks:
        return 0.0 if first_boot else None
    return list(_zero_from(marks, counts_per_turn).values())[-1]


def marks_in_force(boot: BootSamples, setup: Setup) -> list[tuple[int, int]]:
    """Return (samples before, count) of the marks in force; an event beats the index pulse."""
    events = [(mark.at, mark.count) for mark in boot.marks if mark.on == setup.mark_on]
    if events or setup.mark != MarkKind.INDEX or not boot.pulses:
        return events
    forward = next((pulse for pulse in boot.pulses if pulse.turns > 0), boot.pulses[0])
    return [(0, forward.count)]


def _zero_from(marks: list[tuple[int, int]], counts_per_turn: float) -> dict[int, float]:
    """Return from which sample on which count of the mark is in force, in order, the first from sample 0 on.

    A mark touched again at the same angle a few turns later keeps the first one's count, so that the turns
    go on; only another angle makes another zero.
    """
    in_force = float(marks[0][1])
    zero_from = {0: in_force}
    for at, count in marks[1:]:
        turns = round((count - in_force) / counts_per_turn) if counts_per_turn else 0
        off = count - in_force - turns * counts_per_turn
        if abs(off) > counts_per_turn * 0.5 / 360.0:
            in_force = float(count)
        zero_from[at] = in_force
    return zero_from


def _changes(zero_from: Mapping[int, float]) -> list[int]:
    """Return from which samples on another zero holds than before."""
    return [at for (_, before), (at, zero) in pairwise(zero_from.items()) if zero != before]


def _from_there_on(values: Mapping[int, float], start: int, n: int) -> Floats:
    """Return for each place from ``start`` to ``n`` the value that holds there, each from its key on.

    Keys rise from 0 on. Shape (n - start,); one value throughout takes no memory.
    """
    if len(set(values.values())) == 1:
        return np.broadcast_to(values[0], n - start)
    edges = np.clip([*values, n], start, n)
    return np.repeat(np.array(list(values.values()), np.float64), np.diff(edges))


def is_touched_elsewhere(boot: BootSamples, setup: Setup, counts_per_turn: float) -> bool:
    """Return whether the mark of a boot was touched again at another angle, with samples after it."""
    marks = marks_in_force(boot, setup)
    return bool(marks) and any(at < len(boot) for at in _changes(_zero_from(marks, counts_per_turn)))


def join_pulses(pulses: list[IndexPulses]) -> IndexPulses:
    if not pulses:
        return IndexPulses.none()
    return IndexPulses(
        *(
            np.concatenate([getattr(one, name) for one in pulses])
            for name in ("t_s", "angle_rad", "direction", "segment")
        )
    )
