"""From a board's integers to millimetres, radians and seconds, against the mark.

The angle of a sample is (count - count at the mark) x 2 pi / counts per turn x sense. The mark is the newest
one on the wanted side; samples before the first use the first, within one boot. Knows nothing of frames.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analysis.capture import Floats, IndexPulses, Samples
from analysis.setup import MarkKind, Setup
from logger.decoding import BootSamples
from logger.wire.messages import Channel

NM_PER_MM = 1e6


@dataclass(frozen=True)
class Zeroed:
    """Samples and pulses with their angles, and what is to be said of the marks."""

    samples: Samples
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
    ats, scales = zip(
        *((at, mm_per_raw(one) if one.is_length else math.nan) for at, one in said), strict=True
    )
    return np.asarray(boot.value.view(start) * _from_there_on(ats, scales, start, len(boot)))


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
) -> Zeroed:
    """Return all samples whose angle can be told, each boot zeroed at its marks.

    The first boot may do without a mark: count 0 stands for it. A later one (after a restart the board
    counts from 0 at an unknown angle) is left out until a mark of its own, with a remark. ``newest_from``
    leaves everything out but the newest boot from that sample on, for a look at the turn just ended.
    """
    per_count = 2.0 * math.pi / counts_per_turn * setup.sense if counts_per_turn else 0.0
    blocks: list[Samples] = []
    pulses: list[IndexPulses] = []
    remarks: list[str] = []
    segment, marked = 0, False
    first = next((boot for boot in boots if len(boot)), None)
    for number, boot in enumerate(boots):
        start = newest_from or 0
        if len(boot) <= start or (newest_from is not None and number < len(boots) - 1):
            continue
        marks = _marks(boot, setup)
        if not marks:
            if number:
                remarks.append("nothing after the restart has an angle: no mark was touched since")
                continue
            marks = [(0, 0)]
        else:
            marked = True
        origin_us = boot.zero_us(first or boot)
        zeros = _zero_of_each(len(boot), marks, counts_per_turn, start)
        t_s = (boot.t_us.view(start) - origin_us) * 1e-6
        # Another mark or another scale: a turn never spans the two.
        breaks = np.diff(zeros, prepend=zeros[:1]) != 0
        breaks[[at - start for at, _ in boot.descriptions(channel.channel) if at > start]] = True
        segments = segment + np.cumsum(breaks)
        reading = readings_mm(boot, channel, start)
        blocks.append(
            Samples(
                t_s,
                (boot.count.view(start) - zeros) * per_count,
                reading,
                ~boot.held(start),
                boot.out_of_range(start),
                segments.astype(np.int16),
            ).take(np.isfinite(reading))
        )
        if boot.pulses:
            pulses.append(_pulses(boot, origin_us, t_s, zeros, segments, per_count))
        segment = int(segments[-1]) + 1
    if marked and any(_differ(boot, setup, counts_per_turn) for boot in boots):
        remarks.append("the mark was touched again at another angle: turns are counted from the newest")
    return Zeroed(_join_samples(blocks), _join_pulses(pulses), marked, tuple(remarks))


def count_at_zero(
    boot: BootSamples, setup: Setup, counts_per_turn: float, *, first_boot: bool
) -> float | None:
    """Return the count that stands for angle 0 now; None after a restart until a mark is touched."""
    marks = _marks(boot, setup)
    if not marks:
        return 0.0 if first_boot else None
    return float(_zero_of_each(1, [(0, count) for _, count in marks], counts_per_turn)[0])


def _marks(boot: BootSamples, setup: Setup) -> list[tuple[int, int]]:
    """Return (samples before, count) of the marks in force; an event beats the index pulse."""
    events = [(mark.at, mark.count) for mark in boot.marks if mark.on == setup.mark_on]
    if events or setup.mark != MarkKind.INDEX or not boot.pulses:
        return events
    forward = next((pulse for pulse in boot.pulses if pulse.turns > 0), boot.pulses[0])
    return [(0, forward.count)]


def _zero_of_each(n: int, marks: list[tuple[int, int]], counts_per_turn: float, start: int = 0) -> Floats:
    """Return the count of the mark in force for each of n samples, from ``start`` on: shape (n - start,).

    A mark touched again at the same angle a few turns later keeps the first one's count, so that the turns
    go on; only another angle makes another zero.
    """
    in_force = float(marks[0][1])
    ats, zeros = [0], [in_force]
    for at, count in marks[1:]:
        turns = round((count - in_force) / counts_per_turn) if counts_per_turn else 0
        off = count - in_force - turns * counts_per_turn
        if abs(off) > counts_per_turn * 0.5 / 360.0:
            in_force = float(count)
        ats.append(at)
        zeros.append(in_force)
    return _from_there_on(ats, zeros, start, n)


def _from_there_on(ats: Sequence[int], values: Sequence[float], start: int, n: int) -> Floats:
    """Return for each place from ``start`` to ``n`` the value that holds there, each from its ``at`` on.

    ``ats`` rise or stay, the first is 0; of several at one place the last holds. Shape (n - start,).
    """
    edges = np.clip([*ats, n], start, n)
    return np.repeat(np.asarray(values, np.float64), np.diff(edges))


def _differ(boot: BootSamples, setup: Setup, counts_per_turn: float) -> bool:
    marks = _marks(boot, setup)
    return bool(len(marks) > 1 and np.ptp(_zero_of_each(len(boot), marks, counts_per_turn)) > 0)


def _pulses(
    boot: BootSamples, origin_us: int, t_s: Floats, zeros: Floats, segments: Floats, per_count: float
) -> IndexPulses:
    at = np.array([(pulse.t_us - origin_us) * 1e-6 for pulse in boot.pulses])
    # The pulse of a turn belongs to the zero in force when it passed.
    near = np.clip(np.searchsorted(t_s, at), 0, len(t_s) - 1)
    counts = np.array([pulse.count for pulse in boot.pulses], float)
    turns = np.array([pulse.turns for pulse in boot.pulses], np.int64)
    # ``turns`` is a running total: one more than before is a passing forward.
    steps = np.sign(np.diff(turns, prepend=turns[0] - np.sign(turns[0] or 1)))
    direction = (steps * (np.sign(per_count) if per_count else 1.0)).astype(np.int8)
    return IndexPulses(at, (counts - zeros[near]) * per_count, direction, segments[near].astype(np.int16))


def _join_samples(blocks: list[Samples]) -> Samples:
    if len(blocks) == 1:
        return blocks[0]
    names = ("t_s", "angle_rad", "reading_mm", "new", "out_of_range", "segment")
    kinds = (float, float, float, bool, bool, np.int16)
    columns = [
        np.concatenate([getattr(block, name) for block in blocks]) if blocks else np.empty(0, kind)
        for name, kind in zip(names, kinds, strict=True)
    ]
    return Samples(*columns)


def _join_pulses(pulses: list[IndexPulses]) -> IndexPulses:
    if not pulses:
        return IndexPulses.none()
    return IndexPulses(
        *(
            np.concatenate([getattr(one, name) for one in pulses])
            for name in ("t_s", "angle_rad", "direction", "segment")
        )
    )
