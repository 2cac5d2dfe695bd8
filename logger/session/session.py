"""One session at a board: bytes, events and set-ups in, what the link gave and what is known out.

``take(item)`` is the only way in, for screen, commands and tests. A session has no port, thread, clock or
screen, and holds no arithmetic beyond counting: turns and fits are made by ``analysis`` from what
``capture()`` returns.
"""

import logging
import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import assert_never

import numpy as np
from numpy.typing import NDArray

from analysis.angle import Stop
from analysis.capture import AngleSource, Bools, Capture, Floats, LinkCounts
from analysis.capture.events import (
    CountZeroed,
    Event,
    LinkLost,
    MarkTouched,
    MarkUndone,
    NotDecoded,
    StopPressed,
    TimedEvent,
)
from analysis.errors import BadInput, FullturnError
from analysis.setup import MarkSide, Setup, parse_setup
from logger.decoding import FrameLink, LineLink, LinkOutput, rig_of_setup
from logger.session.angles_by_stops import stop_now
from logger.session.angles_while_turning import live_angles, live_counts
from logger.session.mark_in_force import MarkInForce, mark_in_force
from logger.session.scaling import count_at_zero, mm_per_raw, readings_mm
from logger.session.sweep_angles import build_capture, capture_of_newest
from logger.session.sweep_links import Link, Links
from logger.stream import HostTime, Item, LinkBytes, RecordedEvent, SetupChange
from logger.wire.messages import Channel, Hello

Ints = NDArray[np.int64]
GAUGE_LINK, ANGLE_LINK = 0, 1
log = logging.getLogger("fullturn.worker")


@dataclass(frozen=True)
class Snapshot:
    """What is known at this moment, for painting."""

    samples: int
    """Samples of the chosen channel so far."""
    reading_mm: float | None
    """Newest reading; None before the first, or before the board said how its values scale."""
    count: int | None
    """Newest unwrapped count."""
    whole_turns: int
    """In which whole turn from the mark the newest reading lies: 0 up from it, -1 down from it."""
    link: LinkCounts
    hello: Hello | None
    broken: tuple[str, ...]


@dataclass(frozen=True)
class Readings:
    """The newest readings of one boot, for painting; arrays have shape (n,)."""

    boot: int
    """Number of the boot they belong to, from 0."""
    zero_count: float | None
    """Count that stands for angle 0; None while nothing tells the angle."""
    t_s: Floats
    """Board time, seconds from an arbitrary zero of this boot."""
    count: Floats
    """Count of the encoder, unwrapped, known without any mark; NaN where none has come."""
    angle_rad: Floats
    """Angle past the mark in force, unwrapped; NaN while nothing tells it."""
    reading_mm: Floats
    """As the indicator shows them; NaN where its channel said that it measures no length."""
    new: Bools
    """Where the gauge gave a new value."""


class Session:
    """The state of one session at one gauge.

    ``live``: decode every piece at once and turn button presses into marks; otherwise (a recording) bytes are
    gathered and decoded in bulk, and marks come as the events that were written when they were made.
    """

    def __init__(self, setup: Mapping[str, str] | None = None, *, live: bool = True) -> None:
        self._live = live
        self._override = dict(setup or {})
        self._setup = parse_setup(self._override)
        self._links = self._make_links()
        self._events: list[tuple[Event, int, int]] = []
        """Each with the number of the boot and of the samples of that boot that came before it."""
        self._zero: float | None = None
        self._zero_of: tuple[object, ...] = ()
        """What ``_zero`` was reckoned from."""

    # --- in -------------------------------------------------------------------------------------------

    def take(self, item: Item) -> list[LinkOutput]:
        """Take one item of a source, whatever it is, and return what the link gave besides samples."""
        match item:
            case LinkBytes():
                return self.feed(item.host, item.data, item.link)
            case RecordedEvent():
                self.take_event(item.event)
            case SetupChange():
                self.change_setup(item.setup)
            case _:
                assert_never(item)
        return []

    def feed(self, host: HostTime, data: bytes, link: int = GAUGE_LINK) -> list[LinkOutput]:
        """Take the next bytes of a link and return what it gave besides samples.

        Raises BadInput for a board that speaks a newer version of the wire. Bad bytes never raise: they are
        counted; where they lead the decoder itself astray, that link is decoded no further and says so.
        """
        outputs = self._decoded(self._link(link), data, lambda: self._link(link).feed(host, data))
        if self._live:  # a recording holds the events that came of its bytes
            for output in outputs:
                if isinstance(output, Event):
                    self._note(output)
        return outputs

    def flush(self) -> None:
        """Decode what has been gathered; a session over a recording needs it at the end."""
        for link in (self._links.gauge, self._links.angle):
            if link is not None:
                self._decoded(link, b"", link.flush)

    def skip(self, item: Item) -> None:
        """Count the bytes of an item that came and is not to be decoded."""
        if isinstance(item, LinkBytes):
            self._link(item.link).statistics.not_decoded += len(item.data)

    def take_event(self, event: Event) -> None:
        """Take an event: a mark, push, pull, a stop, a gap in the link, a window left out."""
        self.flush()
        counting = self._links.counting
        boot = counting.boots[-1]
        match event:
            case MarkTouched(on, count):
                boot.touch_mark(on, boot.unwrap_count(count))
            case MarkUndone(on):
                boot.undo_marks(on)
            case LinkLost():
                self._link(event.link).unplugged()
            case CountZeroed():
                counting.break_angle("the count was set to zero in the middle of the sweep")
        self._note(event)

    def change_setup(self, text: Mapping[str, str]) -> None:
        """Replace the set-up from here on; what was given to the session itself stays on top."""
        self.flush()  # what came before it was decoded under the set-up of its own time
        plain = {key: value for key, value in text.items() if key != "crc32"}
        self._setup = parse_setup(self._override, kept=plain)
        if not self.has_samples and self.hello is None:
            self._links = self._make_links()
        self._links = Links(self._links.gauge, self._links.angle, self._setup)
        for link in (self._links.gauge, self._links.angle):
            if link is not None:
                link.setup = self._setup

    # --- out ------------------------------------------------------------------------------------------

    @property
    def setup(self) -> Setup:
        """The set-up in force."""
        return self._setup

    @property
    def hello(self) -> Hello | None:
        """Who the board is; None until it said so, and for gauges that are no board of ours."""
        return self._links.gauge.hello

    @property
    def counts_per_turn(self) -> float:
        """Counts a turn: the set-up's learnt value, else the device's own; 0 = no encoder."""
        return self._links.counts_per_turn

    @property
    def angle_source(self) -> AngleSource:
        """Where the angle comes from; ``NONE`` while nothing tells it."""
        return self._links.source

    @property
    def two_ports(self) -> bool:
        """Tell whether the counts come on a port of their own."""
        return self._links.angle is not None

    @property
    def boots(self) -> int:
        """How many boots of the board have been heard."""
        return len(self._links.gauge.boots)

    def mark_counts(self, on: MarkSide) -> list[int]:
        """Return the counts at which this side's mark was touched in the newest boot, in order."""
        return [mark.count for mark in self._links.counting.boots[-1].marks if mark.on == on]

    def snapshot(self) -> Snapshot:
        """Return what is known now."""
        gauge = self._links.gauge
        return Snapshot(
            sum(len(boot) for boot in gauge.boots),
            self.reading_mm,
            self.newest_count,
            self.whole_turns,
            gauge.link_counts(),
            gauge.hello,
            tuple(gauge.broken),
        )

    @property
    def given_up(self) -> bool:
        """Tell whether bytes of a link are no longer decoded, because its decoder broke off."""
        links = (self._links.gauge, self._links.angle)
        return any(link.statistics.given_up for link in links if link is not None)

    @property
    def has_samples(self) -> bool:
        """Tell whether any sample of the chosen channel has come."""
        return self._links.gauge.has_samples

    @property
    def reading_mm(self) -> float | None:
        """The newest reading; None before the first, or before the board said how its values scale."""
        boot, channel = self._links.gauge.boots[-1], self._channel
        if not len(boot) or channel is None:
            return None
        newest_mm = float(readings_mm(boot, channel, len(boot) - 1)[0])
        return newest_mm if math.isfinite(newest_mm) else None

    @property
    def whole_turns(self) -> int:
        """In which whole turn from the mark the newest reading lies: 0 up from it, -1 down from it."""
        counts, boot = self.counts_per_turn, self._links.counting.boots[-1]
        match self._links.source:
            case AngleSource.INDEX:
                return max(0, len(self._links.gauge.boots[0].pulses) - 1)
            case AngleSource.STOPS:
                stops = sum(isinstance(event, StopPressed) for event, _, _ in self._events)
                return stops // ((self._setup.places or len(self._setup.holes) or stops) + 1)
            case AngleSource.STEADY:
                return 0
        zero = self.zero_count
        if not counts or not len(boot) or zero is None:
            return 0
        return math.floor((int(boot.count.view()[-1]) - zero) / counts)

    def readings(self, start: int = 0) -> Readings | None:
        """Return the readings of the newest boot from its sample ``start`` on; None before values scale."""
        gauge, channel = self._links.gauge, self._channel
        if channel is None:
            return None
        boot, zero = gauge.boots[-1], self.zero_count
        return Readings(
            len(gauge.boots) - 1,
            zero,
            boot.t_us.view(start) * 1e-6,
            live_counts(self._links, start),
            live_angles(self._links, start, zero),
            readings_mm(boot, channel, start),
            ~boot.held(start),
        )

    @property
    def zero_count(self) -> float | None:
        """The count that stands for angle 0 now; None after a restart until a mark is touched."""
        boots, counts = self._links.counting.boots, self.counts_per_turn
        known = (len(boots), boots[-1].marks_changed, len(boots[-1].pulses), counts, self._setup)
        if known != self._zero_of:  # asked for at every piece, and marks may be many
            self._zero_of = known
            self._zero = count_at_zero(boots[-1], self._setup, counts, first_boot=len(boots) == 1)
        return self._zero

    @property
    def mark(self) -> MarkInForce | None:
        """The mark that angles count from now; None where they count from none."""
        return mark_in_force(self._links)

    def missing_channel(self) -> str:
        """Say why the chosen channel can give no reading, all channels being known; empty where it may."""
        try:
            self._links.gauge.channel()
        except BadInput as error:
            return str(error)
        return ""

    def frames_lost(self) -> int:
        """Return how many frames the link has lost so far."""
        return self._links.gauge.link_counts().lost

    @property
    def newest_count(self) -> int | None:
        """The newest unwrapped count of any message; None before the first."""
        return self._links.counting.boots[-1].last_count

    @property
    def resolution_mm(self) -> float:
        """Step of the gauge as the board states it; 0 where it is not known yet."""
        if isinstance(self._links.gauge, LineLink) or self._channel is None:
            return 0.0
        return abs(mm_per_raw(self._channel))

    def newest(self, start: int = 0) -> Capture:
        """Return the newest boot from its sample ``start`` on: there turns may have ended just now.

        Where the angle is no count, everything so far is returned: such sweeps are short.
        """
        if self._links.source is not AngleSource.ENCODER or self._links.angle is not None:
            return self.capture()
        return capture_of_newest(self._links, start)

    def counts(self, start: int = 0) -> Ints | None:
        """Return the counts of the newest boot from its sample ``start`` on; not to be kept.

        None where the angle of a reading is not the count that came with it.
        """
        links = self._links
        if links.source is not AngleSource.ENCODER or links.angle is not None or not self.counts_per_turn:
            return None
        return links.gauge.boots[-1].count.view(start)

    def stop_now(self) -> Stop:
        """Return the reading of the second that has just passed; raises BadInput where too few have come."""
        return stop_now(self._links)

    def capture(self, *, last: bool = False) -> Capture:
        """Return all samples of the chosen channel as one sweep.

        ``last``: the session is over and is not asked again; its memory is given up as the sweep is made.
        Raises BadInput where the board never said how its values scale, the channel does not exist or is
        no length, or where nothing tells the angle.
        """
        self.flush()
        return build_capture(self._links, self._timed_events(), last=last)

    # --- inside ---------------------------------------------------------------------------------------

    def _decoded(self, link: Link, data: bytes, decode: Callable[[], list[LinkOutput]]) -> list[LinkOutput]:
        account = link.statistics
        if account.given_up:
            account.not_decoded += len(data)
            return []
        size = len(data) + link.waiting_bytes
        try:
            return decode()
        except FullturnError:
            raise
        except Exception as fault:
            # A mistake of ours, of whatever kind: the bytes are recorded, and what came before stays true.
            log.exception("decoding is given up")
            account.given_up = f"the decoder broke off ({type(fault).__name__}: {fault})"
            account.not_decoded += size
            for boot in link.boots:
                boot.even_out()
            return [NotDecoded(account.given_up, ANGLE_LINK if link is self._links.angle else GAUGE_LINK)]

    def _make_links(self) -> Links:
        rig = rig_of_setup(self._setup.text)
        if rig is None:
            return Links(FrameLink(self._setup, live=self._live), None, self._setup)
        gauge = LineLink(self._setup, rig, host_clock=rig.second is not None)
        angle = LineLink(self._setup, rig.second, host_clock=True) if rig.second else None
        return Links(gauge, angle, self._setup)

    @property
    def _channel(self) -> Channel | None:
        """The chosen channel; None before the board described it."""
        gauge = self._links.gauge
        return gauge.channel() if isinstance(gauge, LineLink) else gauge.channels.get(self._setup.channel)

    def _link(self, link: int) -> Link:
        return self._links.angle if link == ANGLE_LINK and self._links.angle else self._links.gauge

    def _note(self, event: Event) -> None:
        boots = self._links.gauge.boots
        self._events.append((event, len(boots) - 1, len(boots[-1])))

    def _timed_events(self) -> list[TimedEvent]:
        """Return the events with the device time of the sample that came before them."""
        boots = self._links.gauge.boots
        first = next((boot for boot in boots if len(boot)), None)
        timed: list[TimedEvent] = []
        for event, number, at in self._events:
            boot, t_s = boots[number], None
            if first is not None and len(boot):
                before = min(max(at - 1, 0), len(boot) - 1)
                t_s = float(boot.times_s(first, slice(before, before + 1))[0])
            timed.append(TimedEvent(t_s, event))
        return timed


def replay(items: Iterable[Item], setup: Mapping[str, str] | None = None) -> Session:
    """Return the session that all these items make, decoded in bulk."""
    session = Session(setup, live=False)
    for item in items:
        session.take(item)
    session.flush()
    return session
