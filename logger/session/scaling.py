"""From a board's integers to millimetres, radians and seconds, against the mark.

The angle of a sample is (count - count at the mark) x 2 pi / counts per turn x sense. The mark is the newest
one on the wanted side; samples before the first use the first, within one boot. Knows nothing of frames.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

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
) -> Zeroed:
    """Return all samples whose angle can be told, each boot zeroed at its marks.

    The first boot may do without a mark: count 0 stands for it. A later one (after a restart the board
    counts from 0 at an unknown angle) is left out until a mark of its own, with a remark. ``newest_from``
    leaves everything out but the newest boot from that sample on, for a look at the turn just ended.
    ``last``: counts and values are given up as they become numbers, for nobody will ask for them again.
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
        zero_from = _zero_from(marks, counts_per_turn)
        zeros = _from_there_on(zero_from, start, len(boot))
        t_s = boot.t_us.view(start).astype(np.float64)
        t_s -= origin_us
        t_s *= 1e-6
        angle_rad = boot.count.view(start).astype(np.float64)
        angle_rad -= zeros
        angle_rad *= per_count
        if last:
            boot.count.clear()
        # Another mark or another scale: a turn never spans the two.
        rescaled = (at for at, _ in boot.descriptions(channel.channel))
        breaks = sorted({at for at in (*_changes(zero_from), *rescaled) if start < at < len(boot)})
        segments = np.repeat(
            np.arange(segment, segment + len(breaks) + 1).astype(np.int16),
            np.diff([start, *breaks, len(boot)]),
        )
        reading = readings_mm(boot, channel, start)
        if last:
            boot.value.clear()
        known = np.isfinite(reading)
        samples = Samples(t_s, angle_rad, reading, ~boot.held(start), boot.out_of_range(start), segments)
        blocks.append(samples if known.all() else samples.take(known))
        if boot.pulses:
            pulses.append(_pulses(boot, origin_us, t_s, zeros, segments, per_count))
        segment += len(breaks) + 1
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
    return list(_zero_from(marks, counts_per_turn).values())[-1]


def _marks(boot: BootSamples, setup: Setup) -> list[tuple[int, int]]:
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


def _differ(boot: BootSamples, setup: Setup, counts_per_turn: float) -> bool:
    marks = _marks(boot, setup)
    return bool(marks) and any(at < len(boot) for at in _changes(_zero_from(marks, counts_per_turn)))


def _pulses(
    boot: BootSamples,
    origin_us: int,
    t_s: Floats,
    zeros: Floats,
    segments: NDArray[np.int16],
    per_count: float,
) -> IndexPulses:
    at = np.array([(pulse.t_us - origin_us) * 1e-6 for pulse in boot.pulses])
    # The pulse of a turn belongs to the zero in force when it passed.
    near = np.clip(np.searchsorted(t_s, at), 0, len(t_s) - 1)
    counts = np.array([pulse.count for pulse in boot.pulses], float)
    turns = np.array([pulse.turns for pulse in boot.pulses], np.int64)
    # ``turns`` is a running total: one more than before is a passing forward.
    steps = np.sign(np.diff(turns, prepend=turns[0] - np.sign(turns[0] or 1)))
    direction = (steps * (np.sign(per_count) if per_count else 1.0)).astype(np.int8)
    return IndexPulses(at, (counts - zeros[near]) * per_count, direction, segments[near])


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
