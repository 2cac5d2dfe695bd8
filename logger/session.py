"""One session at a board: bytes and events in, a snapshot and what happened out.

``feed(host_time, bytes)`` is the only way in, for screen, commands and tests. A session has no port, thread,
clock or screen, and holds no arithmetic beyond counting: turns and fits are made by ``analysis`` from what
``capture()`` returns.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from analysis.errors import BadInput
from analysis.samples import Capture, Floats, Gap, LinkCounts
from analysis.setup import Setup, parse_setup
from logger.items import Event, HostTime, Item, LinkBytes, SetupChange
from logger.link_account import LinkAccount
from logger.scaling import mm_per_raw, range_mm, zero_at_mark
from logger.stretch import Mark, Pulse, Stretch
from logger.wire.bulk import BulkDecoder, Decoded
from logger.wire.messages import (
    WIRE_VERSION,
    BoardError,
    Button,
    Channel,
    Heartbeat,
    Hello,
    Index,
    Message,
    Reply,
    Unknown,
)

BULK_BYTES = 1 << 20
"""How much a session over a recording gathers before it decodes."""


@dataclass(frozen=True, slots=True)
class BoardSaid:
    """A hello, reply or error, for whoever talks to the board."""

    message: Message


@dataclass(frozen=True, slots=True)
class Noted:
    """Something that has to be written into the recording as an event, once."""

    fields: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Restarted:
    """The board restarted: another boot_id."""

    boot_id: int


Happening = BoardSaid | Noted | Restarted


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
    """How many times the furthest count is a whole turn away from where counting began."""
    link: LinkCounts
    hello: Hello | None
    broken: tuple[str, ...]


class Session:
    """The state of one sitting at one board.

    ``live``: decode every piece at once and turn button presses into marks; otherwise (a recording) bytes are
    gathered and decoded in bulk, and marks come as the events that were written when they were made.
    """

    def __init__(self, setup: Mapping[str, str] | None = None, *, live: bool = True) -> None:
        self._live = live
        self._override = dict(setup or {})
        self._text: dict[str, str] = dict(self._override)
        self._setup = parse_setup(self._text)
        self._decoder = BulkDecoder()
        self._waiting: list[bytes] = []
        self._waiting_bytes = 0
        self._hello: Hello | None = None
        self._channels: dict[int, Channel] = {}
        self._stretches = [Stretch()]
        self._account = LinkAccount()
        self._unknown = 0
        self._broken: list[str] = []
        self._events: list[Mapping[str, Any]] = []
        self._host: HostTime | None = None

    # --- in -------------------------------------------------------------------------------------------

    def take(self, item: Item) -> tuple[Snapshot, list[Happening]]:
        """Take one item of a source, whatever it is."""
        if isinstance(item, LinkBytes):
            return self.feed(item.host, item.data)
        if isinstance(item, Event):
            self.event(item.host, item.fields)
        elif isinstance(item, SetupChange):
            self.change_setup(item.setup)
        return self.snapshot(), []

    def feed(self, host: HostTime, data: bytes) -> tuple[Snapshot, list[Happening]]:
        """Take the next bytes of the link.

        Returns the snapshot after them and what happened. Raises BadInput for a board that speaks a newer
        version of the wire. Bad bytes never raise: they are counted.
        """
        if self._host is None:
            self._stretches[-1].started_ns = host.monotonic_ns
        self._host = host
        if not self._live:
            self._waiting.append(data)
            self._waiting_bytes += len(data)
            if self._waiting_bytes < BULK_BYTES:
                return self.snapshot(), []
        return self.snapshot(), self._decode(data)

    def flush(self) -> list[Happening]:
        """Decode what has been gathered; a session over a recording needs it at the end."""
        return self._decode(b"") if self._waiting else []

    def event(self, host: HostTime, fields: Mapping[str, Any]) -> None:
        """Take an event: a mark, push, pull, a gap in the link, a window left out."""
        self.flush()
        kind = fields.get("event")
        stretch = self._stretches[-1]
        count = fields.get("count")
        if kind == "mark" and isinstance(count, int) and fields.get("on") in ("part", "arbor"):
            stretch.marks.append(Mark(str(fields["on"]), stretch.unwrap_count(count), len(stretch)))
        elif kind == "gap":
            self._account.unplugged_at.append((len(self._stretches) - 1, len(stretch)))
        elif kind == "count-zero":
            self._break("the count was set to zero in the middle of the sweep")
        self._events.append(
            {**fields, "_host_ns": host.monotonic_ns, "_at": (len(self._stretches) - 1, len(stretch))}
        )

    def change_setup(self, text: Mapping[str, str]) -> None:
        """Replace the set-up from here on; what was given to the session itself stays on top."""
        self._text = {**{key: value for key, value in text.items() if key != "crc32"}, **self._override}
        self._setup = parse_setup(self._text)

    # --- out ------------------------------------------------------------------------------------------

    @property
    def setup(self) -> Setup:
        """The set-up in force."""
        return self._setup

    @property
    def hello(self) -> Hello | None:
        """Who the board is; None until it said so."""
        return self._hello

    @property
    def counts_per_turn(self) -> float:
        """Counts a turn: the set-up's learnt value, else the board's own; 0 = no encoder."""
        return self._setup.counts_per_turn or float(self._hello.counts_per_turn if self._hello else 0)

    def snapshot(self) -> Snapshot:
        """Return what is known now."""
        stretch = self._stretches[-1]
        channel = self._channels.get(self._setup.channel)
        reading = None
        if len(stretch) and channel is not None:
            reading = float(stretch.value.view(len(stretch) - 1)[0]) * mm_per_raw(channel)
        return Snapshot(
            sum(len(one) for one in self._stretches),
            reading,
            stretch.last_count,
            self._whole_turns(),
            self._link(),
            self._hello,
            tuple(self._broken),
        )

    def newest(self, start: int = 0) -> Capture:
        """Return the newest stretch from its sample ``start`` on, to look for turns that have just ended."""
        channel = self._channel()
        zeroed = zero_at_mark(self._stretches, channel, self.counts_per_turn, self._setup, newest_from=start)
        return Capture(
            samples=zeroed.samples,
            setup=self._setup,
            counts_per_turn=self.counts_per_turn,
            resolution_mm=abs(mm_per_raw(channel)),
        )

    @property
    def boots(self) -> int:
        """How many boots of the board have been heard."""
        return len(self._stretches)

    def capture(self) -> Capture:
        """Return all samples of the chosen channel as one sweep.

        Raises BadInput where the board never said how its values scale, the channel does not exist or is
        no length, or where there is no encoder to tell angles by.
        """
        self.flush()
        channel = self._channel()
        counts = self.counts_per_turn
        if self._hello is not None and counts == 0:
            raise BadInput(
                "the board says it has no encoder (0 counts per turn) and the set-up gives none: set "
                "counts_per_turn, or take angles by an index pulse or by stops"
            )
        zeroed = zero_at_mark(self._stretches, channel, counts, self._setup)
        broken = [*self._broken, *(text for text in zeroed.remarks if "restart" in text)]
        return Capture(
            samples=zeroed.samples,
            setup=self._setup,
            index=zeroed.index,
            link=self._link(with_gaps=True),
            counts_per_turn=counts,
            resolution_mm=abs(mm_per_raw(channel)),
            range_mm=range_mm(channel),
            rate_hz=float(self._hello.rate_hz if self._hello else 0),
            marked=zeroed.marked,
            broken=tuple(broken),
            events=tuple(self._timed_events()),
        )

    # --- inside ---------------------------------------------------------------------------------------

    def _decode(self, data: bytes) -> list[Happening]:
        if self._waiting:
            data, self._waiting, self._waiting_bytes = b"".join(self._waiting), [], 0
        decoded = self._decoder.feed(data)
        happenings: list[Happening] = []
        samples, frames = decoded.samples, 0
        done = 0
        # Messages other than samples come between runs of samples: each run is taken as one block.
        for ordinal, message in decoded.others:
            upto = int(np.searchsorted(samples["ordinal"], ordinal))
            self._count_lost(decoded, slice(frames, ordinal), slice(done, upto))
            self._add(samples[done:upto])
            if isinstance(message, Hello) and self._is_restart(message):
                self._restart(message)
                happenings.append(Restarted(message.boot_id))
            self._count_lost(decoded, slice(ordinal, ordinal + 1), slice(upto, upto))
            happenings += self._message(message)
            done, frames = upto, ordinal + 1
        self._count_lost(decoded, slice(frames, len(decoded.seqs)), slice(done, len(samples)))
        self._add(samples[done:])
        return happenings

    def _add(self, block: Any) -> None:
        mine = block[(block["flags"] & 0x0F) == self._setup.channel]
        if len(mine):
            as_int = {name: mine[name].astype(np.int64) for name in ("t_us", "flags", "count", "value")}
            self._stretches[-1].add_samples(as_int["t_us"], as_int["flags"], as_int["count"], as_int["value"])
            if self._stretches[-1].enc_error_at is not None:
                self._break("the encoder reported an impossible step: the angle can no longer be trusted")

    def _count_lost(self, decoded: Decoded, frames: slice, samples: slice) -> None:
        """Account for the sequence numbers of these frames, and note after which sample any were lost."""
        stretch = self._stretches[-1]
        mine = decoded.samples[samples]
        mine = mine[(mine["flags"] & 0x0F) == self._setup.channel]
        for position, lost in self._account.frames(decoded.seqs[frames].astype(np.int64)):
            before = int(np.searchsorted(mine["ordinal"], frames.start + position))
            stretch.lost_at.append((len(stretch) + before, lost))

    def _is_restart(self, hello: Hello) -> bool:
        return self._hello is not None and hello.boot_id != self._hello.boot_id

    def _restart(self, hello: Hello) -> None:
        self._break(
            "the board restarted in the middle of the sweep: its count began again at an unknown angle"
        )
        self._stretches.append(
            Stretch(boot_id=hello.boot_id, started_ns=self._host.monotonic_ns if self._host else 0)
        )
        self._account.restarted()

    def _message(self, message: Message) -> list[Happening]:
        stretch = self._stretches[-1]
        if isinstance(message, Hello):
            if message.version > WIRE_VERSION:
                raise BadInput(
                    f"the board speaks version {message.version} of the wire, this program version "
                    f"{WIRE_VERSION}: "
                    "update the program, or load older firmware"
                )
            if self._hello is not None and message.counts_per_turn != self._hello.counts_per_turn:
                self._break(
                    f"the board first said {self._hello.counts_per_turn} counts per turn, then "
                    f"{message.counts_per_turn}"
                )
            self._hello = message
            stretch.boot_id = message.boot_id
            return [BoardSaid(message)]
        if isinstance(message, Channel):
            self._channels[message.channel] = message
            return [BoardSaid(message)]
        elif isinstance(message, Index):
            stretch.pulses.append(
                Pulse(stretch.unwrap_time(message.t_us), stretch.unwrap_count(message.count), message.turns)
            )
        elif isinstance(message, Button):
            return self._pressed(message)
        elif isinstance(message, Heartbeat):
            self._beat(message)
        elif isinstance(message, Reply | BoardError):
            return [BoardSaid(message)]
        elif isinstance(message, Unknown):
            self._unknown += 1
        return []

    def _pressed(self, button: Button) -> list[Happening]:
        """A press that means mark is written once as an event; in a recording that event is taken instead."""
        meaning = {1: self._setup.button_1, 2: self._setup.button_2}.get(button.button)
        if not self._live or button.down != 1:
            return []
        fields: dict[str, Any] = {"event": "button", "button": button.button, "count": button.count}
        if meaning == "mark":
            stretch = self._stretches[-1]
            fields = {"event": "mark", "on": self._setup.mark_on, "count": stretch.unwrap_count(button.count)}
            stretch.marks.append(Mark(self._setup.mark_on, fields["count"], len(stretch)))
        return [Noted(fields)]

    def _beat(self, beat: Heartbeat) -> None:
        self._stretches[-1].unwrap_count(beat.count)
        if self._account.beat(beat):
            self._break("the encoder reported impossible steps: the angle can no longer be trusted")

    def _break(self, why: str) -> None:
        if why not in self._broken:
            self._broken.append(why)

    def _channel(self) -> Channel:
        wanted = self._setup.channel
        channel = self._channels.get(wanted)
        if self._hello is None and not self._channels:
            raise BadInput(
                "no hello was found in these bytes: how values scale and how many counts make a turn is not "
                "known; is this a fullturn board?"
            )
        if channel is None:
            there = (
                ", ".join(f"{number} ({one.name})" for number, one in sorted(self._channels.items()))
                or "none"
            )
            raise BadInput(
                f"channel {wanted} was asked for, the board described: {there}; choose with --channel"
            )
        if channel.kind not in (1, 2) or channel.scale_den == 0:
            raise BadInput(
                f"channel {wanted} ({channel.name}) is no gauge of length: choose another with --channel"
            )
        return channel

    def _whole_turns(self) -> int:
        counts = self.counts_per_turn
        stretch = self._stretches[-1]
        if not counts or not len(stretch):
            return 0
        first = next((m.count for m in stretch.marks if m.on == self._setup.mark_on), 0)
        reach = abs(int(stretch.count.view(len(stretch) - 1)[0]) - first)
        return int(reach // counts)

    def _link(self, *, with_gaps: bool = False) -> LinkCounts:
        gaps: tuple[Gap, ...] = ()
        if with_gaps:
            gaps = self._account.gaps(self._stretches, [self._times_s(one) for one in self._stretches])
        return self._account.counts(self._decoder.frames, self._decoder.bad, len(self._stretches) - 1, gaps)

    def _times_s(self, stretch: Stretch) -> Floats:
        """Return the times of a stretch's samples, on one clock over all boots."""
        if not len(stretch):
            return np.empty(0)
        first = next(one for one in self._stretches if len(one))
        return np.asarray((stretch.t_us.view() - stretch.zero_us(first)) * 1e-6)

    def _timed_events(self) -> list[Mapping[str, Any]]:
        """Return the events with the device time of the sample that came before them."""
        timed: list[Mapping[str, Any]] = []
        for fields in self._events:
            number, at = fields["_at"]
            stretch = self._stretches[number]
            told = {key: value for key, value in fields.items() if not key.startswith("_")}
            if len(stretch):
                told["t_s"] = float(self._times_s(stretch)[min(max(at - 1, 0), len(stretch) - 1)])
            timed.append(told)
        return timed


def replay(items: Any, setup: Mapping[str, str] | None = None) -> Session:
    """Return the session that all these items make, decoded in bulk."""
    session = Session(setup, live=False)
    for item in items:
        session.take(item)
    session.flush()
    return session


__all__ = ["BoardSaid", "Happening", "Noted", "Restarted", "Session", "Snapshot", "replay"]
