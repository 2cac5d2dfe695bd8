"""One pass over the samples of a sweep, in blocks of any size: all that is made of it without holding it.

What comes out does not depend on how the samples are cut into blocks, so that a board that streams, a file
that is read piece by piece and arrays give the same.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from analysis.capture import (
    AngleSource,
    Capture,
    Certificate,
    Samples,
    TurnCutter,
    TurnSamples,
    Window,
    joined,
    one_turn_of,
    words_of_exclusion,
)
from analysis.capture.events import TimedEvent
from analysis.diagnosis import GaugeCount, HeldValues
from analysis.sweep.chosen_turns import ChosenTurns
from analysis.sweep.corrections import cosine_of_gauge, tells_held_values
from analysis.sweep.lateness import ReadingsOfBefore
from analysis.sweep.travelled_segment import TravelledSegment

FEWEST_PLACES = 3


@dataclass(frozen=True)
class PassSettings:
    """All that a pass depends on beside the samples: two passes of equal settings give the same."""

    step_mm: float = 0.0
    """Of the gauge, as the device or file states it."""
    counts_per_turn: float = 0.0
    angle_source: AngleSource = AngleSource.ENCODER
    timed: bool = True
    gauge_table_mm: tuple[tuple[float, float], ...] = ()
    cosine: float = 1.0
    """By which readings are brought to the surface's own direction."""
    windows: tuple[Window, ...] = ()
    excluding: tuple[TimedEvent, ...] = ()
    """What a person left out and took back, and where the sweep broke."""
    orders: int | None = None
    """The highest order that a person asks for."""
    lag_s: float = 0.0
    """Every reading is put back to the angle of so long before."""

    @staticmethod
    def of(
        capture: Capture, windows: Iterable[Window] = (), orders: int | None = None, lag_s: float = 0.0
    ) -> "PassSettings":
        """Return those of a capture; ``lag_s`` counts only where readings were taken while it turned."""
        turning = capture.angle_source.is_timed_turning and capture.timed
        return PassSettings(
            capture.resolution_mm,
            capture.counts_per_turn,
            capture.angle_source,
            capture.timed,
            capture.setup.gauge_table_mm,
            cosine_of_gauge(capture.setup.gauge_angle_deg),
            tuple(windows),
            words_of_exclusion(capture.events),
            orders,
            lag_s if turning else 0.0,
        )

    @property
    def resolution_mm(self) -> float:
        """Step of the readings at the surface."""
        return self.step_mm * self.cosine


@dataclass
class Extent:
    """How far all samples reach."""

    first_s: float = math.inf
    last_s: float = -math.inf
    lowest_rad: float = math.inf
    highest_rad: float = -math.inf

    def take(self, block: Samples) -> None:
        """Take the next samples."""
        t_s, angle_rad = block.t_s, block.angle_rad
        self.first_s, self.last_s = min(self.first_s, float(t_s.min())), max(self.last_s, float(t_s.max()))
        self.lowest_rad = min(self.lowest_rad, float(angle_rad.min()))
        self.highest_rad = max(self.highest_rad, float(angle_rad.max()))

    @property
    def lasted_s(self) -> float:
        """Time from the first to the last sample."""
        return max(0.0, self.last_s - self.first_s)

    @property
    def turned_rad(self) -> float:
        """Angle from the lowest to the highest."""
        return max(0.0, self.highest_rad - self.lowest_rad)


@dataclass(frozen=True)
class PassedSweep:
    """What a pass over a sweep has made of it."""

    settings: PassSettings
    chosen: ChosenTurns
    """Its full turns."""
    gauge: GaugeCount
    segment: TravelledSegment
    """The segment in which the turns lie."""
    extent: Extent


class SweepPass:
    """Takes the samples of one sweep in order, each once."""

    def __init__(self, settings: PassSettings) -> None:
        self.settings = settings
        self._certificate = Certificate.of(settings.gauge_table_mm)
        self._held = None
        if tells_held_values(settings.angle_source, timed=settings.timed):
            self._held = HeldValues(settings.step_mm)
        self._before = ReadingsOfBefore(settings.lag_s) if settings.lag_s else None
        self._cutter = TurnCutter()
        self._places: list[Samples] | None = [] if settings.angle_source.is_by_places else None
        """Readings at places go round without ever passing the mark: all of them may be one turn."""
        self._gauge = GaugeCount(settings.resolution_mm)
        self._chosen = ChosenTurns(settings)
        self._segments: list[TravelledSegment] = []
        """The newest, and before it the newest with a turn that counts."""
        self._extent = Extent()

    def feed(self, block: Samples) -> None:
        """Take the next samples, as they were captured."""
        if not len(block):
            return
        for one in [block] if self._held is None else self._held.feed(block):
            self._correct(one)

    def finish(self) -> PassedSweep:
        """Return what there is now that no more samples come."""
        if self._held is not None:
            for one in self._held.finish():
                self._correct(one)
        if self._before is not None:
            self._take(self._before.finish())
        self._choose(self._cutter.finish())
        if self._places and not self._chosen.found and self._gauge.samples >= FEWEST_PLACES:
            self._choose([one_turn_of(joined(self._places))])
        with_turns = [one for one in self._segments if one.has_turns]
        segment = (with_turns or self._segments or [TravelledSegment(0)])[-1]
        return PassedSweep(self.settings, self._chosen, self._gauge, segment, self._extent)

    def _correct(self, block: Samples) -> None:
        """Take samples whose held values are marked."""
        reading_mm = block.reading_mm
        if self._certificate is not None:
            reading_mm = reading_mm - self._certificate.error_at(reading_mm)
        if self.settings.cosine != 1.0:
            reading_mm = reading_mm * self.settings.cosine
        if reading_mm is not block.reading_mm:
            block = replace(block, reading_mm=reading_mm)
        for one in block.in_segments():
            self._take([one] if self._before is None else self._before.feed(one))

    def _take(self, blocks: Iterable[Samples]) -> None:
        """Take samples of one stretch each, corrected and at the angles of before."""
        for block in blocks:
            number = int(block.segment[0])
            if not self._segments or self._segments[-1].number != number:
                self._segments.append(TravelledSegment(number))
            self._segments[-1].take(block)
            self._extent.take(block)
            self._gauge.take(block)
            if self._places is not None:
                self._places.append(block)
            self._choose(self._cutter.feed(block))
            *before, newest = self._segments
            self._segments = [*[one for one in before if one.has_turns][-1:], newest]

    def _choose(self, turns: Iterable[TurnSamples]) -> None:
        for one in turns:
            if self._chosen.add(one.turn, one.samples):
                for segment in self._segments:
                    segment.has_turns |= segment.number == one.turn.segment


def pass_over(samples: Samples, settings: PassSettings) -> PassedSweep:
    """Return what one pass over all samples gives; one that was made already is not made again."""
    if isinstance(samples.known, PassedSweep) and samples.known.settings == settings:
        return samples.known
    done = SweepPass(settings)
    for block in samples.blocks():
        done.feed(block)
    return done.finish()
