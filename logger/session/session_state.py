"""What is known of a session at this moment: its links, set-up and events, and what they answer who paints.

Takes nothing in; ``Session`` does that. Holds no arithmetic beyond counting.
"""

import math
from dataclasses import dataclass

from analysis.capture import AngleSource, Bools, Floats, LinkCounts
from analysis.capture.events import Event, StopPressed, TimedEvent
from analysis.errors import BadInput
from analysis.setup import MarkSide, Setup
from logger.decoding import LineLink
from logger.session.angles_while_turning import live_angles, live_counts
from logger.session.mark_in_force import MarkInForce, mark_in_force
from logger.session.scaling import count_at_zero, mm_per_raw, readings_mm
from logger.session.sweep_links import Links
from logger.wire.messages import Channel, Hello


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


class SessionState:
    """Links, set-up and events of one session as they are now."""

    def __init__(self, links: Links, setup: Setup) -> None:
        self._links, self._setup = links, setup
        self._events: list[tuple[Event, int, int]] = []
        """Each with the number of the boot and of the samples of that boot that came before it."""
        self._zero: float | None = None
        self._zero_of: tuple[object, ...] = ()
        """What ``_zero`` was reckoned from."""

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

    @property
    def events(self) -> list[Event]:
        """The events so far, in order."""
        return [event for event, _, _ in self._events]

    @property
    def samples_of_newest(self) -> int:
        """How many samples of the newest boot have come."""
        return len(self._links.gauge.boots[-1])

    @property
    def forgotten(self) -> int:
        """How many samples of the newest boot were forgotten."""
        return self._links.gauge.boots[-1].forgotten

    @property
    def has_all_samples(self) -> bool:
        """Whether nothing was forgotten."""
        return not any(boot.forgotten for boot in self._links.gauge.boots)

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

    # --- inside ---------------------------------------------------------------------------------------

    @property
    def _channel(self) -> Channel | None:
        """The chosen channel; None before the board described it."""
        gauge = self._links.gauge
        return gauge.channel() if isinstance(gauge, LineLink) else gauge.channels.get(self._setup.channel)

    def timed_events(self) -> list[TimedEvent]:
        """Return the events with the device time of the sample that came before them."""
        boots = self._links.gauge.boots
        first = next((boot for boot in boots if len(boot)), None)
        timed: list[TimedEvent] = []
        for event, number, at in self._events:
            boot, t_s = boots[number], None
            if first is not None and len(boot):
                t_s = boot.time_s(first, min(max(at - 1, 0), len(boot) - 1))
            timed.append(TimedEvent(t_s, event))
        return timed
