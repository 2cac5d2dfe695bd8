"""The samples of one boot of a board as unwrapped integers: times, counts, raw values, pulses and marks.

A boot begins with a boot and ends where a board with another boot_id speaks. Knows nothing of units,
angles or turns.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from analysis.setup import MarkSide
from logger.wire.counters import unwrap32, unwrap32_array
from logger.wire.layout import FLAG_ENCODER, FLAG_HELD, FLAG_OUT_OF_RANGE
from logger.wire.messages import STALLED_S, Channel

SILENT_US = 0.999e6 * STALLED_S
"""From so long a silence on it may be told of: to the last bit by seconds, which are made later."""
Ints = NDArray[np.int64]
Floats = NDArray[np.float64]


class GrowingColumn:
    """An array that grows at its end at constant cost a value, and may forget its beginning.

    Places count from the first value ever appended, whatever was forgotten.
    """

    def __init__(self, dtype: type) -> None:
        self._data: NDArray[Any] = np.empty(0, dtype)
        self._used = 0
        self.forgotten = 0
        """How many values were forgotten."""

    def __len__(self) -> int:
        return self.forgotten + self._used

    def extend(self, values: NDArray[Any]) -> None:
        """Append values."""
        wanted = self._used + len(values)
        if wanted > len(self._data):
            grown = np.empty(max(wanted, 2 * len(self._data), 64), self._data.dtype)
            grown[: self._used] = self._data[: self._used]
            self._data = grown
        self._data[self._used : wanted] = values
        self._used = wanted

    def cut(self, length: int) -> None:
        """Forget the values beyond this length."""
        self._used = min(self._used, max(0, length - self.forgotten))

    def forget(self, upto: int) -> None:
        """Forget the values before place ``upto``, and give their memory back."""
        gone = min(max(0, upto - self.forgotten), self._used)
        self._data = self._data[gone : self._used].copy()
        self._used -= gone
        self.forgotten += gone

    def view(self, start: int = 0) -> NDArray[Any]:
        """Return the values from place ``start`` on; not to be kept across the next call that changes it.

        Raises IndexError where some of them were forgotten.
        """
        if start < self.forgotten:
            raise IndexError(f"values from {start} on were asked for, those before {self.forgotten} are gone")
        return self._data[start - self.forgotten : self._used]

    def clear(self) -> None:
        """Let go of all values as if there had been none."""
        self._data, self._used, self.forgotten = np.empty(0, self._data.dtype), 0, 0


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark that was touched: from which sample on it holds, and its count."""

    on: MarkSide
    count: int
    """Unwrapped count."""
    at: int
    """Number of samples of its boot that had come before it."""


@dataclass(frozen=True, slots=True)
class Pulse:
    """An index pulse, unwrapped."""

    t_us: int
    count: int
    turns: int


@dataclass
class BootSamples:
    """What one boot has sent of one channel."""

    boot_id: int | None = None
    started_ns: int = 0
    """Host monotonic clock when its first bytes came."""
    t_us: GrowingColumn = field(default_factory=lambda: GrowingColumn(np.int64))
    count: GrowingColumn = field(default_factory=lambda: GrowingColumn(np.int64))
    value: GrowingColumn = field(default_factory=lambda: GrowingColumn(np.int64))
    flags: GrowingColumn = field(default_factory=lambda: GrowingColumn(np.uint8))
    channels: list[tuple[int, Channel]] = field(default_factory=list)
    """(samples before, what the board said of a channel) of each time that its values scaled otherwise."""
    marks: list[Mark] = field(default_factory=list)
    marks_changed: int = 0
    """How often marks were touched or undone."""
    pulses: list[Pulse] = field(default_factory=list)
    enc_error_at: int | None = None
    """Number of samples before the encoder first owned up to an error."""
    lost_at: list[tuple[int, int]] = field(default_factory=list)
    """(samples before, frames lost) of each gap in the sequence numbers."""
    host_ahead_ns: int | None = None
    """Least by which the host's clock ran ahead of the newest sample's board time: the quickest delivery."""
    _described: dict[int, Channel] = field(default_factory=dict)
    """The newest of ``channels``, by number."""
    silent_at: list[int] = field(default_factory=list)
    """Numbers of the samples before which nothing came for long."""
    _last_t: int | None = None
    _last_count: int | None = None
    _first_us: int = 0
    _asked_for: set[int] = field(default_factory=set)
    """Samples whose times are wanted whatever is forgotten, ..."""
    _kept_us: dict[int, int] = field(default_factory=dict)
    """... and the times of those that were."""

    def touch_mark(self, on: MarkSide, count: int) -> None:
        """Note that a mark was touched now, at an unwrapped count.

        The count of the mark before the last takes the last one back, as if it had never been touched: a hand
        that touches a mark anew does not meet the same count again.
        """
        self.marks_changed += 1
        mine = (at for at in reversed(range(len(self.marks))) if self.marks[at].on is on)
        newest, before = next(mine, None), next(mine, None)
        if newest is not None and before is not None and self.marks[before].count == count:
            del self.marks[newest]
        else:
            self.marks.append(Mark(on, count, len(self)))

    def even_out(self) -> None:
        """Cut the columns to the shortest: whoever broke off in the middle left one longer than another."""
        columns = (self.t_us, self.count, self.value, self.flags)
        shortest = min(map(len, columns))
        for column in columns:
            column.cut(shortest)

    def undo_marks(self, on: MarkSide) -> None:
        """Forget every mark of this side."""
        self.marks_changed += 1
        self.marks = [mark for mark in self.marks if mark.on is not on]

    def __len__(self) -> int:
        return len(self.t_us)

    @property
    def last_count(self) -> int | None:
        """Newest unwrapped count of any message; None before the first."""
        return self._last_count

    def add_samples(self, t_us: Ints, flags: Ints, count: Ints, value: Ints) -> None:
        """Append samples of the chosen channel, all of shape (n,), as they are on the wire."""
        times = unwrap32_array(int(t_us[0]) if self._last_t is None else self._last_t, t_us)
        first = _signed(int(count[0])) if self._last_count is None else self._last_count
        counts = unwrap32_array(first, count)
        if not len(self):
            self._first_us = int(times[0])
        self._note_silence(times)
        if self.enc_error_at is None and (flags & FLAG_ENCODER).any():
            self.enc_error_at = len(self) + int(np.argmax((flags & FLAG_ENCODER) != 0))
        self.t_us.extend(times)
        self.count.extend(counts)
        self.value.extend(value)
        self.flags.extend(flags)
        self._last_t, self._last_count = int(times[-1]), int(counts[-1])

    def _note_silence(self, times: Ints) -> None:
        gaps = np.diff(times, prepend=self.t_us.view(len(self) - 1) if len(self) else times[:1])
        for place in (np.flatnonzero(gaps > SILENT_US) + len(self)).tolist():
            self.silent_at.append(place)
            self.ask_for_time(place)

    def ask_for_time(self, number: int) -> None:
        """Keep the times of this sample, which may not have come yet, and of the one before it."""
        self._asked_for |= {max(number, 1) - 1, max(number, 1)}

    def forget(self, upto: int) -> None:
        """Forget the samples before number ``upto``, but for the times that were asked for."""
        gone = [number for number in self._asked_for if number < min(upto, len(self))]
        for number in gone:
            self._kept_us[number] = self.time_us(number)
        self._asked_for.difference_update(gone)
        for column in (self.t_us, self.count, self.value, self.flags):
            column.forget(upto)

    @property
    def forgotten(self) -> int:
        """How many samples were forgotten."""
        return self.t_us.forgotten

    def time_us(self, number: int) -> int:
        """Return the board time of one sample, which is there or was asked for before it went."""
        kept = self._kept_us.get(number)
        return int(self.t_us.view(number)[0]) if kept is None else kept

    def describe(self, channel: Channel) -> None:
        """Note how a channel's values scale from here on; the same said again changes nothing."""
        before = self._described.get(channel.channel)
        if before is None or not before.scales_as(channel):
            self.channels.append((len(self), channel))
            self.ask_for_time(len(self))
            self._described[channel.channel] = channel

    def descriptions(self, number: int) -> list[tuple[int, Channel]]:
        """Return from which sample on each description of a channel holds, the first one from the first on.

        Only those that scale otherwise than the one before; one that no sample came under is left out.
        """
        found: list[tuple[int, Channel]] = []
        for at, channel in self.channels:
            if channel.channel != number:
                continue
            if found and found[-1][0] >= at:
                found.pop()
            if not found:
                found.append((0, channel))
            elif not found[-1][1].scales_as(channel) and at < len(self):
                found.append((at, channel))
        return found

    def heard(self, host_ns: int) -> None:
        """Note when the host had the newest sample, to bring board times onto the host's clock."""
        if self._last_t is not None:
            ahead = host_ns - self._last_t * 1000
            if self.host_ahead_ns is None or ahead < self.host_ahead_ns:
                self.host_ahead_ns = ahead

    def zero_us(self, first: "BootSamples") -> int:
        """Return the board time that is second 0 for all boots; ``first`` is the first boot with samples.

        Between boots only the host's clock tells how long it took.
        """
        return self._first_us - (self.started_ns - first.started_ns) // 1000

    def begun_s(self, first: "BootSamples") -> float:
        """Return the time of the first sample in seconds, ``first`` as in ``zero_us``."""
        return float((np.array([self._first_us]) - self.zero_us(first))[0] * 1e-6)

    def time_s(self, first: "BootSamples", number: int) -> float:
        """Return the time of one sample in seconds, ``first`` as in ``zero_us``."""
        return float((np.array([self.time_us(number)]) - self.zero_us(first))[0] * 1e-6)

    def times_s(self, first: "BootSamples", at: slice = slice(None)) -> Floats:
        """Return the times of these samples in seconds, ``first`` as in ``zero_us``. Shape (n,)."""
        return np.asarray((self.t_us.view()[at] - self.zero_us(first)) * 1e-6)

    def unwrap_count(self, raw: int) -> int:
        """Return the unwrapped count nearest to the newest one, and take it as the newest where none was."""
        if self._last_count is None:
            self._last_count = _signed(raw)
        return unwrap32(self._last_count, raw)

    def unwrap_time(self, raw: int) -> int:
        """Return the unwrapped time nearest to the newest one."""
        if self._last_t is None:
            self._last_t = raw
        return unwrap32(self._last_t, raw)

    def held(self, start: int = 0) -> NDArray[np.bool_]:
        """Return where the board said it only repeats the last value. Shape (n,)."""
        return np.asarray((self.flags.view(start) & FLAG_HELD) != 0)

    def out_of_range(self, start: int = 0) -> NDArray[np.bool_]:
        """Return where the board said the gauge was beyond its range. Shape (n,)."""
        return np.asarray((self.flags.view(start) & FLAG_OUT_OF_RANGE) != 0)


def times_s(boots: Sequence[BootSamples], boot: BootSamples) -> Floats:
    """Return the times of a boot's samples in seconds, on one clock over all boots; shape (n,)."""
    if not len(boot):
        return np.empty(0)
    return boot.times_s(next(one for one in boots if len(one)))


def _signed(raw: int) -> int:
    return (raw + (1 << 31)) % (1 << 32) - (1 << 31)
