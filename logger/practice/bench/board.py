"""The board: counts, samples and answers in wire version 1, and owns up to what it could not send.

It is told what happens and when (simulated microseconds); it has no clock of its own beyond the one it
stamps frames with, and knows nothing of parts and gauges.
"""

from collections.abc import Callable
from dataclasses import dataclass
from random import Random

from logger.practice.bench.link import Link
from logger.wire.board_commands import MODES, VERBS, Command, CommandParser
from logger.wire.framing import encode_frame
from logger.wire.layout import (
    CAP_BATCH,
    CAP_BUTTON,
    CAP_BUZZER,
    CAP_DIGITAL,
    CAP_INDEX,
    CAP_TEXT,
    FLAG_HELD,
    FLAG_INDEX,
    FLAG_OUT_OF_RANGE,
    KIND_DIGITAL,
    MAX_BATCH,
    U32,
    WIRE_VERSION,
    wrap_i32,
)
from logger.wire.messages import (
    Batch,
    BoardError,
    Button,
    Channel,
    Heartbeat,
    Hello,
    Index,
    Message,
    Reply,
    Sample,
)
from logger.wire.text_frames import format_line

DEVICE_ID = 0x51AB0001
NAME = "practice indicator"
NAMES = (NAME, "practice indicator two")
MAX_RATE_HZ = 20_000
MAX_EDGES_PER_S = 20_000
BATCH_WAIT_US = 200_000
"""A batch that is not full is sent after so long."""
RAW_REACH = 12_700
"""Lowest and highest raw value the indicator can show, wherever its zero is set."""
U16 = 0xFFFF
CHANNEL_BITS = 0x0F


@dataclass(frozen=True)
class BoardKind:
    """A board as it is found."""

    first_turn: int = 0
    """Turns it had counted before the bench began to stand."""
    first_us: int = 0
    """Its clock at the bench's time 0."""
    first_seq: int = 0
    restart_at: float | None = None
    """When it restarts, turns done."""
    restart_us: int = 300_000
    """How long a restart takes."""
    index: bool = True
    """Whether an index pulse is wired to it."""
    scales_nm: tuple[int, ...] = ()
    """Nanometres a step of further indicators, channel 1 first."""


class Board:
    """A board from power on to power off."""

    def __init__(self, kind: BoardKind, seed: str, counts_per_turn: int, scale_nm: int, link: Link) -> None:
        self._boots = Random(f"{seed}:boot")
        self._per_turn = counts_per_turn
        self._scales_nm = (scale_nm, *kind.scales_nm)
        self._index_wired = kind.index
        self._link = link
        self._seq = kind.first_seq
        self._clock_us = kind.first_us
        self._zero = -kind.first_turn * counts_per_turn
        self._turns = kind.first_turn
        self._commands = CommandParser()
        self._batch: list[tuple[int, int, int, int]] = []
        self._dropped = 0
        self._index_since = False
        self._cause = 1
        self._boot_id = self._boots.getrandbits(32)
        self.running = False
        """False from power on or a restart until it has booted."""
        self.streaming = False
        self.rate_hz = 0
        """Samples a second; 0 = as values come."""
        self.mode = MODES[0]
        self._after_line = False
        """True until a frame has followed the last line of text mode."""

    def boot(self, t_us: int) -> None:
        """Begin to work and say hello."""
        self.running = True
        self._hello(t_us)

    def restart(self, boot_us: int, count: int) -> None:
        """Forget everything; the clock and the count stand at 0 when it has booted again."""
        self.running = self.streaming = self._index_since = self._after_line = False
        self.rate_hz, self.mode = 0, MODES[0]
        self._seq = self._dropped = self._turns = 0
        self._clock_us, self._zero = -boot_us, count
        self._commands = CommandParser()
        self._batch.clear()
        self._cause = 2
        self._boot_id = self._boots.getrandbits(32)
        self._link.forget()

    def receive(self, data: bytes) -> list[Command]:
        """Take bytes from the PC and return the commands in them; a board that boots hears nothing."""
        return self._commands.feed(data) if self.running else []

    def obey(self, command: Command, t_us: int, count: int) -> None:
        """Do what a command asks and answer it."""
        token = "" if command.token is None else f"{command.token} "
        if command.verb not in VERBS:
            self._send(lambda seq, t: BoardError(seq, t, f"{token}err verb"), t_us)
            return
        problem = self._do(command, t_us, count)
        if problem:
            self._send(lambda seq, t: BoardError(seq, t, f"{token}err {problem}"), t_us)
        else:
            words = " ".join((command.verb, *command.args))
            self._send(lambda seq, t: Reply(seq, t, f"{token}ok {words}"), t_us)

    def _do(self, command: Command, t_us: int, count: int) -> str:
        """Do it; return why not, in one word, or nothing."""
        verb, args = command.verb, command.args
        wanted = 1 if verb in ("rate", "mode", "beep", "lamp") else 0
        if len(args) != wanted:
            return "arguments"
        if verb in ("rate", "beep", "lamp"):
            highest = {"rate": MAX_RATE_HZ, "beep": 9, "lamp": 1}[verb]
            if not (args[0].isascii() and args[0].isdecimal() and int(args[0]) <= highest):
                return "range"
        if verb == "mode" and args[0] not in MODES:
            return "range"
        if verb == "hello":
            self._hello(t_us)
        elif verb == "start":
            self.streaming = True
        elif verb in ("stop", "rate", "mode", "zero"):
            self.flush(t_us)
            if verb == "stop":
                self.streaming = False
            elif verb == "rate":
                self.rate_hz = int(args[0])
            elif verb == "mode":
                self._after_line = self.mode == "text"
                self.mode = args[0]
            else:
                self._zero = count
        return ""

    def sample(self, t_us: int, count: int, value: int, held: bool, channel: int = 0) -> None:
        """Send a reading, or keep it for the batch; what finds no room is counted as dropped."""
        flags = channel | (FLAG_HELD if held else 0) | (FLAG_INDEX if self._index_since else 0)
        if not -RAW_REACH <= value <= RAW_REACH:
            flags |= FLAG_OUT_OF_RANGE
        self._index_since = False
        if self.mode == "batch" and -0x8000 <= value <= 0x7FFF:
            self._keep(t_us, count, value, flags)
            return
        self.flush(t_us)
        if self.mode == "text":
            line = format_line(self._seq, self._time(t_us), self._count(count), value, flags)
            if self._link.carry(line, t_us):
                self._seq = (self._seq + 1) & U16
            else:
                self._drop(1)
        elif not self._send(
            lambda seq, t: Sample(seq, t, flags, self._count(count), value), t_us, rare=False
        ):
            self._drop(1)

    def index(self, t_us: int, count: int, direction: int) -> None:
        """Note and send that the index passed."""
        self._turns += direction
        self._index_since = True
        self._send(lambda seq, t: Index(seq, t, self._count(count), wrap_i32(self._turns)), t_us)

    def button(self, t_us: int, count: int, number: int, down: bool) -> None:
        """Send that a button was pressed or let go."""
        self._send(lambda seq, t: Button(seq, t, self._count(count), number, int(down)), t_us)

    def heartbeat(self, t_us: int, count: int) -> None:
        """Send the heartbeat; one that finds no room is not made up for."""
        rx = self._commands.rx_errors & U16
        self._send(
            lambda seq, t: Heartbeat(
                *(seq, t, self.streaming, self._count(count), self._dropped, 0, 0, rx),
                wrap_i32(self._turns),
            ),
            t_us,
        )

    @property
    def batch_due_us(self) -> int | None:
        """When the batch that is being filled has waited long enough; None if there is none."""
        return self._batch[0][0] + BATCH_WAIT_US if self._batch else None

    def flush(self, t_us: int) -> None:
        """Send the batch that is being filled, full or not."""
        if not self._batch:
            return
        kept, self._batch = self._batch, []
        times, counts, values, flags = zip(*kept, strict=True)
        any_flags = 0
        for each in flags:
            any_flags |= each
        steps = tuple(b - a for a, b in zip((counts[0], *counts), counts, strict=False))
        dt_us = times[1] - times[0] if len(times) > 1 else 0
        count0, latched = self._count(counts[0]), self._time(times[0])
        if not self._send(
            lambda seq, _: Batch(seq, latched, any_flags, count0, dt_us, steps, values), t_us, rare=False
        ):
            self._drop(len(kept))

    def _keep(self, t_us: int, count: int, value: int, flags: int) -> None:
        """Add a sample to the batch; first send the batch if this one does not fit in it."""
        if self._batch:
            last_us, last_count, _, _ = self._batch[-1]
            dt_us = t_us - last_us
            even = len(self._batch) < 2 or dt_us == self._batch[1][0] - self._batch[0][0]
            other = self._batch[-1][3] & CHANNEL_BITS != flags & CHANNEL_BITS
            if other or not even or dt_us > U16 or not -128 <= count - last_count <= 127:
                self.flush(t_us)
        self._batch.append((t_us, count, value, flags))
        if len(self._batch) == MAX_BATCH:
            self.flush(t_us)

    def _hello(self, t_us: int) -> None:
        caps = CAP_DIGITAL | CAP_BATCH | CAP_TEXT | CAP_BUTTON | CAP_BUZZER
        caps |= CAP_INDEX if self._index_wired else 0
        channels = len(self._scales_nm)
        self._send(
            lambda seq, t: Hello(
                *(seq, t, WIRE_VERSION, 1, 0, caps, DEVICE_ID, self._per_turn, 1000, self.rate_hz, channels),
                *(self._cause, self._boot_id, MAX_EDGES_PER_S),
            ),
            t_us,
            before=b"\x00",  # ends whatever fragment went before
        )
        for number, scale_nm in enumerate(self._scales_nm):
            self._describe(number, scale_nm, t_us)

    def _describe(self, number: int, scale_nm: int, t_us: int) -> None:
        """Say what a channel measures and how it scales."""
        name, reach = NAMES[number], (-RAW_REACH, RAW_REACH)
        self._send(lambda seq, t: Channel(seq, t, number, KIND_DIGITAL, 0, scale_nm, 1, *reach, name), t_us)

    def _send(
        self, make: Callable[[int, int], Message], t_us: int, *, rare: bool = True, before: bytes = b""
    ) -> bool:
        """Send one frame if there is room; only a frame that goes out takes a number."""
        if not self.running:
            return True
        frame = encode_frame(make(self._seq, self._time(t_us)).encode())
        if self.mode == "text" or self._after_line:
            before = b"\x00"  # a frame among lines must not begin with a line's tail
        if not self._link.carry(before + frame, t_us, rare=rare):
            return False
        self._after_line = False
        self._seq = (self._seq + 1) & U16
        return True

    def _drop(self, samples: int) -> None:
        self._dropped = (self._dropped + samples) & U16

    def _time(self, t_us: int) -> int:
        return (t_us + self._clock_us) & U32

    def _count(self, count: int) -> int:
        return wrap_i32(count - self._zero)
