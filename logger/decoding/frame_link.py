"""One link that carries frames: bytes in, the integers of each boot out, and what the board said of itself.

Bytes are decoded at once when live, and in large blocks from a recording; both give the same. Knows nothing
of angles or turns.
"""

from typing import Any

import numpy as np

from analysis.capture import LinkCounts
from analysis.capture.events import BoardRestarted, ButtonPressed, MarkTouched, StopPressed
from analysis.errors import BadInput
from analysis.setup import AngleFrom, ButtonUse, Setup
from logger.decoding.boot_samples import BootSamples, GrowingColumn, Pulse
from logger.decoding.link_events import BoardMessage, LinkOutput, PressRefused
from logger.decoding.link_statistics import LinkStatistics
from logger.decoding.standing import counts_moved, stands
from logger.stream import HostTime
from logger.wire.bulk import BulkDecoder, Decoded
from logger.wire.layout import WIRE_VERSION
from logger.wire.messages import BoardError, Button, Channel, Heartbeat, Hello, Index, Message, Reply

BULK_BYTES = 1 << 18
"""How much of a recording is gathered before it is decoded."""
STANDING_SAMPLES = 20_000
"""At most so many samples are looked at to tell whether the part stands: no board sends more in 0.5 s."""
ENCODER_BROKE = "the encoder reported impossible steps: the angle can no longer be trusted"
TOO_FAST = "the count stepped faster than the board can follow: the angle can no longer be trusted"
_SPARE_COUNTS = 16
"""What a count may step beyond twice the edges a second that the board says it can follow."""
MOST_REASONS = 16
"""So many reasons why the angle cannot be trusted are kept: nobody reads a thousand."""
RESTARTED = "the board restarted in the middle of the sweep: its count began again at an unknown angle"


class FrameLink:
    """The state of one link that carries frames."""

    def __init__(self, setup: Setup, *, live: bool) -> None:
        self.setup = setup
        """In force for channel and buttons; the session replaces it when it changes."""
        self.hello: Hello | None = None
        """Who the board is; None until it said so."""
        self.channels: dict[int, Channel] = {}
        self.boots = [BootSamples(value=_values_of_frames())]
        self.has_samples = False
        """Whether any sample of the chosen channel has come."""
        self.statistics = LinkStatistics()
        self.broken: list[str] = []
        """Why the angle can no longer be trusted, each reason once."""
        self._live = live
        self._decoder = BulkDecoder()
        self._waiting: list[bytes] = []
        self._waiting_bytes = 0
        self._host: HostTime | None = None

    def feed(self, host: HostTime, data: bytes) -> list[LinkOutput]:
        """Take the next bytes; raises BadInput for a board that speaks a newer version of the wire."""
        if self._host is None:
            self.boots[-1].started_ns = host.monotonic_ns
        self._host = host
        if not self._live:
            self._waiting.append(data)
            self._waiting_bytes += len(data)
            if self._waiting_bytes < BULK_BYTES:
                return []
        return self._decode(data)

    @property
    def waiting_bytes(self) -> int:
        """Bytes that were gathered and not decoded yet."""
        return self._waiting_bytes

    def flush(self) -> list[LinkOutput]:
        """Decode what has been gathered."""
        return self._decode(b"") if self._waiting else []

    @property
    def counts_per_turn(self) -> float:
        """Counts a turn as the board says; 0 = no encoder."""
        return float(self.hello.counts_per_turn if self.hello else 0)

    @property
    def rate_hz(self) -> float:
        """Readings a second as the board says; 0 = as values come."""
        return float(self.hello.rate_hz if self.hello else 0)

    def channel(self) -> Channel:
        """Return the chosen channel; raises BadInput where there is none, or it is no gauge of length."""
        wanted = self.setup.channel
        found = self.channels.get(wanted)
        if self.hello is None and not self.channels:
            raise BadInput(
                "no hello was found in these bytes: how values scale and how many counts make a turn is not "
                "known; is this a fullturn board?"
            )
        if found is None:
            described = [f"{number} ({one.name})" for number, one in sorted(self.channels.items())]
            there = ", ".join(described) or "none"
            raise BadInput(
                f"channel {wanted} was asked for, the board described: {there}; choose with --channel"
            )
        if not found.is_length:
            said = [one for boot in self.boots for _, one in boot.descriptions(wanted) if one.is_length]
            if said:
                return said[-1]  # what it was while it was one: the rest is left out
            raise BadInput(
                f"channel {wanted} ({found.name}) is no gauge of length: choose another with --channel"
            )
        return found

    def link_counts(self, *, with_gaps: bool = False) -> LinkCounts:
        """Return what the link did so far."""
        frames, bad, restarts = self._decoder.frames, self._decoder.bad, len(self.boots) - 1
        gaps = self.statistics.gaps(self.boots) if with_gaps else ()
        return self.statistics.counts(frames, bad, restarts, gaps)

    def unplugged(self) -> None:
        """Note that the cable went out here."""
        boot = self.boots[-1]
        boot.ask_for_time(len(boot))
        self.statistics.unplugged_at.append((len(self.boots) - 1, len(boot)))

    def break_angle(self, why: str) -> None:
        """Note why the angle can no longer be trusted, once."""
        if len(self.broken) < MOST_REASONS and why not in self.broken:
            self.broken.append(why)

    def _decode(self, data: bytes) -> list[LinkOutput]:
        if self._waiting:
            data, self._waiting, self._waiting_bytes = b"".join(self._waiting), [], 0
        decoded = self._decoder.feed(data)
        outputs: list[LinkOutput] = []
        samples, frames, done = decoded.samples, 0, 0
        # Messages other than samples come between runs of samples: each run is taken as one block.
        for ordinal, message in decoded.others:
            upto = int(np.searchsorted(samples["ordinal"], ordinal))
            self._count_lost(decoded, slice(frames, ordinal), slice(done, upto))
            self._add(samples[done:upto])
            if isinstance(message, Hello) and self.hello and message.boot_id != self.hello.boot_id:
                self._restart(message)
                outputs.append(BoardRestarted(message.boot_id))
            self._count_lost(decoded, slice(ordinal, ordinal + 1), slice(upto, upto))
            outputs += self._message(message)
            done, frames = upto, ordinal + 1
        self._count_lost(decoded, slice(frames, len(decoded.seqs)), slice(done, len(samples)))
        self._add(samples[done:])
        return outputs

    def _add(self, block: Any) -> None:
        mine = self._of_channel(block)
        if not len(mine):
            return
        boot = self.boots[-1]
        self.has_samples, before = True, max(0, len(boot) - 1)
        boot.add_samples(mine["t_us"], mine["flags"], mine["count"], mine["value"])
        self._hold_to_its_speed(boot, before)
        if self._host is not None and self._live:
            boot.heard(self._host.monotonic_ns)
        if boot.enc_error_at is not None:
            self.break_angle(ENCODER_BROKE)

    def _of_channel(self, block: Any) -> Any:
        """Return the samples of the chosen channel; where there is no other they are not copied."""
        mine = (block["flags"] & 0x0F) == self.setup.channel
        return block if mine.all() else block[mine]

    def _hold_to_its_speed(self, boot: BootSamples, first: int) -> None:
        """Break the angle where a count steps as no encoder of this board can, however good its checksum."""
        edges_per_s = self.hello.max_edges_per_s if self.hello else 0
        if not edges_per_s:
            return
        counted = np.abs(np.diff(boot.count.view(first)))
        far = np.flatnonzero(counted > _SPARE_COUNTS)
        if len(far):
            t_us = boot.t_us.view(first)
            passed_us = np.abs(t_us[far + 1] - t_us[far])
            if (counted[far] > 2e-6 * edges_per_s * passed_us + _SPARE_COUNTS).any():
                self.break_angle(TOO_FAST)

    def _count_lost(self, decoded: Decoded, frames: slice, samples: slice) -> None:
        """Account for the sequence numbers of these frames, and note after which sample any were lost."""
        boot = self.boots[-1]
        gaps = self.statistics.frames(decoded.seqs[frames])
        if not gaps:
            return
        mine = self._of_channel(decoded.samples[samples])["ordinal"]
        for position, lost in gaps:
            before = int(np.searchsorted(mine, frames.start + position))
            boot.lost_at.append((len(boot) + before, lost))
            boot.ask_for_time(len(boot) + before)

    def _restart(self, hello: Hello) -> None:
        self.break_angle(RESTARTED)
        started_ns = self._host.monotonic_ns if self._host else 0
        self.boots.append(
            BootSamples(boot_id=hello.boot_id, started_ns=started_ns, value=_values_of_frames())
        )
        for channel in self.channels.values():
            self.boots[-1].describe(channel)  # until it says so itself
        self.statistics.restarted()

    def _message(self, message: Message) -> list[LinkOutput]:
        boot = self.boots[-1]
        if isinstance(message, Hello):
            self._meet(message)
            return [BoardMessage(message)]
        if isinstance(message, Channel):
            self.channels[message.channel] = message
            boot.describe(message)
            return [BoardMessage(message)]
        if isinstance(message, Reply | BoardError):
            return [BoardMessage(message)]
        if isinstance(message, Button):
            return self._pressed(message)
        if isinstance(message, Index):
            t_us, count = boot.unwrap_time(message.t_us), boot.unwrap_count(message.count)
            boot.pulses.append(Pulse(t_us, count, message.turns))
        elif isinstance(message, Heartbeat):
            boot.unwrap_count(message.count)
            if self.statistics.beat(message):
                self.break_angle(ENCODER_BROKE)
        return []

    def _meet(self, hello: Hello) -> None:
        if hello.version > WIRE_VERSION:
            raise BadInput(
                f"the board speaks version {hello.version} of the wire, this program version {WIRE_VERSION}: "
                "update the program, or load older firmware"
            )
        if self.hello is not None and hello.counts_per_turn != self.hello.counts_per_turn:
            self.break_angle(
                f"the board first said {self.hello.counts_per_turn} counts per turn, then "
                f"{hello.counts_per_turn}"
            )
        self.hello = hello
        self.boots[-1].boot_id = hello.boot_id

    def _turns(self, boot: BootSamples) -> bool:
        newest = max(0, len(boot) - STANDING_SAMPLES)
        moved = counts_moved(boot.t_us.view(newest) * 1e-6, boot.count.view(newest))
        return stands(moved, self.setup.counts_per_turn or self.counts_per_turn) is False

    def _pressed(self, button: Button) -> list[LinkOutput]:
        """A press is written once as an event; in a recording that event is taken instead."""
        if not self._live or button.down != 1:
            return []
        boot, setup = self.boots[-1], self.setup
        count, t_us = boot.unwrap_count(button.count), boot.unwrap_time(button.t_us)
        meaning = {1: setup.button_1, 2: setup.button_2}.get(button.button)
        if meaning is ButtonUse.MARK:
            if self._turns(boot):
                return [PressRefused("it turns: stand the mark under the tip, then press")]
            return [MarkTouched(setup.mark_on, count)]
        if setup.angle_source is AngleFrom.STOPS:
            return [StopPressed(count, t_us)]
        return [ButtonPressed(button.button, count)]


def _values_of_frames() -> GrowingColumn:
    """Return a column of values as wide as they are on the wire."""
    return GrowingColumn(np.int32)
