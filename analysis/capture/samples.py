"""The data of one sweep as it enters the numerics: angles, readings, pulses and what the link lost.

Knows nothing of frames, files or screens. Angles are unwrapped and grow without end: turn k lies in
[2 pi k, 2 pi (k + 1)), zero at the mark, in the declared sense.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from analysis.capture.angle_source import AngleSource
from analysis.capture.events import GapCause, TimedEvent
from analysis.capture.from_recording import FromRecording
from analysis.setup import Setup

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Samples:
    """Readings against angle, in the order they were taken; all arrays have shape (n,)."""

    t_s: Floats
    """Time of the latch on the device's clock, seconds from the first sample."""
    angle_rad: Floats
    """Unwrapped part (or arbor) angle from the mark, radians, already in the declared sense."""
    reading_mm: Floats
    """Reading, millimetres, positive = surface toward the indicator."""
    new: Bools
    """True where the gauge gave a new value (False: the last value again, held)."""
    out_of_range: Bools
    """True where the device said the gauge was beyond its range."""
    segment: NDArray[np.int16]
    """Number of the stretch between restarts and breaks; a turn never spans two."""

    def __len__(self) -> int:
        return len(self.t_s)

    def __repr__(self) -> str:
        """Return how many there are, on one line."""
        return f"Samples({len(self)} readings, {int(self.new.sum())} of them new)"

    def in_segment(self, number: int) -> "NDArray[np.bool_] | slice":
        """Return which samples lie in a stretch; a slice, which copies nothing, where all of them do."""
        here = self.segment == number
        return slice(None) if here.all() else here

    def take(self, where: NDArray[Any] | slice) -> "Samples":
        """Return the samples at these indices or where the mask is true; a slice shares their memory."""
        return Samples(
            self.t_s[where],
            self.angle_rad[where],
            self.reading_mm[where],
            self.new[where],
            self.out_of_range[where],
            self.segment[where],
        )


def joined(blocks: Iterable[Samples]) -> Samples:
    """Return samples put one after the other."""
    columns = zip(*([getattr(block, one.name) for one in fields(Samples)] for block in blocks), strict=True)
    return Samples(*(np.concatenate(column) for column in columns))


@dataclass(frozen=True)
class IndexPulses:
    """Every index pulse seen; all arrays have shape (m,)."""

    t_s: Floats
    """Device time, same zero as the samples."""
    angle_rad: Floats
    """Unwrapped angle at the pulse, same zero and sense as the samples."""
    direction: NDArray[np.int8]
    """+1 passed in the direction of growing angle, -1 against it."""
    segment: NDArray[np.int16]
    """Stretch, as in Samples."""

    @staticmethod
    def none() -> "IndexPulses":
        """Return no pulses at all."""
        return IndexPulses(np.empty(0), np.empty(0), np.empty(0, np.int8), np.empty(0, np.int16))


@dataclass(frozen=True, slots=True)
class Gap:
    """A stretch of device time from which nothing came."""

    start_s: float
    end_s: float
    lost: int
    """Frames known to be lost."""
    why: GapCause


@dataclass(frozen=True)
class LinkCounts:
    """What the link did: frames good, bad and lost, and what the board owned up to."""

    frames: int = 0
    bad: int = 0
    lost: int = 0
    dropped: int = 0
    enc_errors: int = 0
    word_errors: int = 0
    rx_errors: int = 0
    restarts: int = 0
    not_decoded: int = 0
    """Bytes that were kept and could not be decoded, from the first that stopped the decoder on."""
    gaps: tuple[Gap, ...] = ()


@dataclass(frozen=True)
class Capture:
    """One sweep with all that is known about how it was taken."""

    samples: Samples
    setup: Setup
    angle_source: AngleSource = AngleSource.ENCODER
    index: IndexPulses = field(default_factory=IndexPulses.none)
    link: LinkCounts | None = None
    """None for typed readings and CSV files."""
    counts_per_turn: float = 0.0
    """Encoder counts a turn (may be a learnt fraction); 0 = no encoder."""
    resolution_mm: float = 0.0
    """Step of the reading as the device or the file states it; 0 = not known."""
    range_mm: tuple[float, float] | None = None
    """Lowest and highest reading the gauge can give, where known."""
    rate_hz: float = 0.0
    """Sampling rate the device states; 0 = as values come."""
    timed: bool = True
    """False where no times are known: ``t_s`` then only counts the readings."""
    u_angle_rad: float = 0.0
    """Standard uncertainty of the angle common to a turn: an offset of clocks, uneven turning, slip."""
    counted_rad: Floats | None = None
    """Angles as they were counted, by which turns are cut, where readings were put back to the angles of
    before, shape as the samples; None where they are the same."""
    is_probe: bool = False
    """True for an analogue probe, which is less late than a digital indicator."""
    between_counts: bool = False
    """True where the encoder has so few counts that angles were told between them, by time."""
    marked: bool = True
    """False when no mark was touched and count 0 stands in for it."""
    broken: tuple[str, ...] = ()
    """Reasons why the angle can no longer be trusted from some point on."""
    restarted_s: float | None = None
    """Device time at which the newest boot of the board began; None where it never restarted."""
    events: tuple[TimedEvent, ...] = ()
    """Events of the recording that concern this sweep, and what was found out when it was read."""
    from_recording: FromRecording | None = None
    """What a file says of the recording that it came from; None for recordings, and files of their own."""

    def __repr__(self) -> str:
        """Return what it is on one line: set-up and events of a recording are pages."""
        turns = float(np.ptp(self.samples.angle_rad)) / (2.0 * np.pi) if len(self.samples) else 0.0
        marked = "marked" if self.marked else "not marked"
        return (
            f"Capture({self.setup.surface}, {len(self.samples)} readings over {turns:.2f} turns, "
            f"step {self.resolution_mm:g} mm, angle by {self.angle_source}, {marked})"
        )
