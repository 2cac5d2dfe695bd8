"""The data of one sweep as it enters the numerics: angles, readings, pulses and what the link lost.

Knows nothing of frames, files or screens. Angles are unwrapped and grow without end: turn k lies in
[2 pi k, 2 pi (k + 1)), zero at the mark, in the declared sense.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, fields
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from analysis.capture.angle_source import AngleSource
from analysis.capture.events import GapCause, TimedEvent
from analysis.capture.from_recording import FromRecording
from analysis.frames import frame
from analysis.notebook import as_html
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
    counted_rad: Floats | None = None
    """Angles as they were counted, by which turns are cut, where ``angle_rad`` was put back to the angles of
    before; None where they are the same."""

    @staticmethod
    def none() -> "Samples":
        """Return no samples at all."""
        empty = np.empty(0)
        return Samples(empty, empty, empty, np.empty(0, bool), np.empty(0, bool), np.empty(0, np.int16))

    @staticmethod
    def on_demand(blocks: "Callable[[], Iterator[Samples]]", known: object = None) -> "Samples":
        """Return samples that are read only when asked for, and held only where a column is.

        ``blocks`` gives all of them in order, each time anew; ``known``: what was made of them already.
        """
        samples = object.__new__(Samples)
        samples.__dict__.update(_blocks=blocks, _known=known)
        return samples

    if not TYPE_CHECKING:  # or every wrong name would be one of a column

        def __getattr__(self, name: str) -> Any:
            """Read all samples the first time a column is asked for."""
            read = self.__dict__.get("_blocks")
            if read is None or name not in {one.name for one in fields(Samples)}:
                raise AttributeError(name)
            self.__dict__.update(vars(joined(read())), _blocks=None)
            return self.__dict__[name]

    @property
    def known(self) -> object:
        """What was made of samples on demand already; None of others."""
        return self.__dict__.get("_known")

    def __len__(self) -> int:
        return len(self.t_s)

    def __repr__(self) -> str:
        """Return how many there are, on one line."""
        return f"Samples({len(self)} readings, {int(self.new.sum())} of them new)"

    def in_segment(self, number: int) -> "NDArray[np.bool_] | slice":
        """Return which samples lie in a stretch; a slice, which copies nothing, where all of them do."""
        here = self.segment == number
        return slice(None) if here.all() else here

    @property
    def cut_by_rad(self) -> Floats:
        """The angles by which turns are cut."""
        return self.angle_rad if self.counted_rad is None else self.counted_rad

    def take(self, where: NDArray[Any] | slice) -> "Samples":
        """Return the samples at these indices or where the mask is true; a slice shares their memory."""
        return Samples(
            self.t_s[where],
            self.angle_rad[where],
            self.reading_mm[where],
            self.new[where],
            self.out_of_range[where],
            self.segment[where],
            None if self.counted_rad is None else self.counted_rad[where],
        )

    def __deepcopy__(self, memo: object) -> "Samples":
        """Return itself: what was sampled is never changed, so that copies share it."""
        return self

    def copied(self) -> "Samples":
        """Return the same in memory of their own, so that what they were taken from can go."""
        return self.take(np.arange(len(self)))

    def blocks(self) -> "Iterator[Samples]":
        """Yield all samples in order, in blocks, no stretch coming back once it was left."""
        read = self.__dict__.get("_blocks")
        if read is not None:
            yield from read()
        elif (self.segment[1:] < self.segment[:-1]).any():
            yield self.take(np.argsort(self.segment, kind="stable"))
        else:
            yield self

    def in_segments(self) -> "Iterator[Samples]":
        """Yield the samples of each stretch, in order."""
        edges = [0, *(np.flatnonzero(np.diff(self.segment)) + 1).tolist(), len(self)]
        for start, stop in pairwise(edges):
            if start < stop:
                yield self if stop - start == len(self) else self.take(slice(start, stop))


def joined(blocks: Iterable[Samples]) -> Samples:
    """Return samples put one after the other; a single block as it is."""
    some = list(blocks)
    if len(some) <= 1:
        return some[0] if some else Samples.none()
    columns: list[Any] = []
    for one in fields(Samples):
        column = [getattr(block, one.name) for block in some]
        columns.append(None if column[0] is None else np.concatenate(column))
    return Samples(*columns)


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
    channels_in_file: tuple[int, ...] = ()
    """Channels that a file of several tips has columns of; empty for recordings, and files of one."""

    def columns(self) -> dict[str, NDArray[Any]]:
        """Return its samples by name of column, shape (n,) each: ``t_s`` where times are known, then ``turn``
        and ``angle_deg`` within it, ``reading_mm`` and ``new``."""
        s = self.samples
        turn = np.floor(s.angle_rad / (2.0 * np.pi) + 1e-12).astype(np.int64)
        return {
            **({"t_s": s.t_s} if self.timed else {}),
            "turn": turn,
            "angle_deg": np.round(np.degrees(s.angle_rad) - 360.0 * turn, 9) + 0.0,  # no minus before a zero
            "reading_mm": s.reading_mm,
            "new": s.new,
        }

    def frame(self, kind: str = "pandas") -> Any:
        """Return ``columns`` as a frame: ``pandas``, ``polars`` or ``arrow``. Raises BadInput."""
        return frame(self.columns(), kind)

    def _repr_html_(self) -> str:
        """Return what a notebook shows of it."""
        part = self.setup.part or "(no part named)"
        turns = float(np.ptp(self.samples.angle_rad)) / (2.0 * np.pi) if len(self.samples) else 0.0
        return as_html(
            "One sweep, not analysed yet",
            {
                "part": f"{part}, {self.setup.surface}",
                "readings": f"{len(self.samples)} over {turns:.2f} turns",
                "step of the gauge": f"{self.resolution_mm:g} mm" if self.resolution_mm else "not known",
                "angle by": f"{self.angle_source}, {'marked' if self.marked else 'not marked'}",
            },
        )

    def __repr__(self) -> str:
        """Return what it is on one line: set-up and events of a recording are pages."""
        turns = float(np.ptp(self.samples.angle_rad)) / (2.0 * np.pi) if len(self.samples) else 0.0
        marked = "marked" if self.marked else "not marked"
        return (
            f"Capture({self.setup.surface}, {len(self.samples)} readings over {turns:.2f} turns, "
            f"step {self.resolution_mm:g} mm, angle by {self.angle_source}, {marked})"
        )
